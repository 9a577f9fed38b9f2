"""Backups while the room works, by the clock, and the day the disk dies. Runs on both engines: a backup is always one
SQLite file, and PostgreSQL's ledger comes back into an empty database."""

import os
import re
import threading

import database
import processes
import room
import settings

CLIENTS, BACKUPS = 8, 6
LINE = re.compile(r"^(?P<file>.+): (?P<movements>\d+) movements, (?P<units>\d+) units, head (?P<mark>\d+:[0-9A-F]{64}), "
                  r"newest movement (?P<newest>\S+); made (?P<made>\S+), checked whole\n$")
NAME = re.compile(r"^ledger-\d{8}T\d{6}Z-(\d+)\.sqlite$")


class BackupTest(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.copies = self.shop.folder / "copies"
        self.copies.mkdir()
        self.address = self.shop.ledger.address

    def say(self, *arguments, code=0):
        done = self.shop.command(*arguments)
        self.assertEqual(done.returncode, code, (arguments, done.stdout, done.stderr))
        self.assertNotIn(b"Sanitizer", done.stderr)
        return (done.stdout if code == 0 else done.stderr).decode()

    def backup(self, name, address=None):
        """The words of the line it prints."""
        line = self.say("backup", "--ledger", address or self.address, self.copies / name)
        self.assertRegex(line, LINE)
        words = LINE.match(line).groupdict()
        self.assertEqual(words["mark"].split(":")[0], words["movements"])
        return words

    def names(self):
        return sorted(os.listdir(self.copies))

    def scheduled(self, **more):
        lines = {"folder": self.copies, "every-hours": 24, "keep": 3, **more}
        return [f"{key} = {value}" for key, value in lines.items()]

    def health(self):
        answer = self.shop.kiosk.get("/health")
        self.assertIn(answer.status, (200, 503), answer)  # 503: the ledger is damaged; the rest is told all the same
        return answer.body

    def wait_backup(self, condition, what):
        return processes.wait_until(lambda: condition(self.health()["backup"]) and self.health()["backup"], 30, what)


class WhileTheRoomWorks(BackupTest):
    def book_until(self, stop, person, number, trouble):
        try:
            turn = 0
            while not stop.is_set():
                turn += 1
                answer = self.shop.kiosk.act("place-entry", {"code": f"S{number}-{turn % 50}", "kind": "shelf",
                                                             "name": f"turn {turn}"}, person)
                if answer.status != 200:
                    trouble.append(answer)
        except Exception as error:
            trouble.append(error)

    def test_every_backup_is_whole_and_a_state_of_the_chain(self):
        kiosk = self.shop.open()
        person, _ = self.shop.furnish()
        stop, trouble = threading.Event(), []
        clients = [threading.Thread(target=self.book_until, args=(stop, person, number, trouble))
                   for number in range(CLIENTS)]
        for client in clients:
            client.start()
        try:
            marks = []
            for number in range(BACKUPS):
                before = kiosk.get("/health").body["seq"]
                made = self.backup(f"{number}.sqlite")
                self.assertGreaterEqual(int(made["movements"]), before, "not older than when it was asked for")
                marks.append(made["mark"])
        finally:
            stop.set()
            for client in clients:
                client.join()
        self.assertEqual(trouble, [], "the counter was not disturbed")
        self.assertEqual(kiosk.end(), 0)
        self.assertGreater(len(set(marks)), 2, "the room went on booking meanwhile")
        heads = [word for mark in marks for word in ("--head", mark)]
        copies = [word for number in range(BACKUPS) for word in ("--against", self.copies / f"{number}.sqlite")]
        said = self.say("verify", self.address, *copies, *heads)
        self.assertEqual(len(said.splitlines()), 1 + 2 * BACKUPS)
        for number in range(BACKUPS):
            self.say("verify", self.copies / f"{number}.sqlite")
        self.assertEqual(self.names(), [f"{number}.sqlite" for number in range(BACKUPS)], "no parts, no side files")

    def test_the_head_on_the_page_is_the_one_of_the_backup(self):
        self.shop.open()
        self.shop.furnish()
        made = self.backup("one.sqlite")
        health = self.health()
        self.assertEqual(f"{health['seq']}:{health['head']}", made["mark"])
        self.assertEqual(health["backup"]["set_up"], False)
        self.say("verify", self.address, "--head", f"{health['seq']}:{health['head'][:16]}")


class ByTheClock(BackupTest):
    def fresh(self, instant, **more):
        """A start of the daemon at this instant."""
        self.shop.set_clock(instant)
        return self.shop.open(backup=self.scheduled(**more))

    def test_a_restart_neither_skips_nor_doubles_and_the_newest_stay(self):
        self.fresh("2026-02-14T10:00:00Z")
        self.shop.furnish()
        self.wait_backup(lambda told: told["ok"], "the first backup")
        self.shop.kiosk.end()
        first = self.names()
        self.assertEqual(len(first), 1)
        self.assertTrue(first[0].startswith("ledger-20260214T100000Z-"), first)
        self.fresh("2026-02-15T09:59:00Z")  # a minute too early
        told = self.wait_backup(lambda told: told["ok"], "word of the one that is there")
        self.assertEqual((told["file"], told["newest"]), (first[0], "2026-02-14T10:00:00.000Z"))
        self.shop.kiosk.end()
        self.assertEqual(self.names(), first)
        for day in range(15, 20):
            self.fresh(f"2026-02-{day}T10:00:30Z")
            self.wait_backup(lambda told: told["ok"] and f"202602{day}" in told["file"], f"the backup of day {day}")
            self.shop.kiosk.end()
        self.assertEqual([name[:15] for name in self.names()], [f"ledger-202602{day}" for day in (17, 18, 19)])
        for name in self.names():
            self.say("verify", self.address, "--against", self.copies / name)

    def test_a_clock_set_back_stops_no_backup(self):
        self.fresh("2026-02-14T10:00:00Z")
        person, _ = self.shop.furnish()
        self.wait_backup(lambda told: told["ok"], "the first backup")
        self.shop.kiosk.act("place-entry", {"code": "A02", "kind": "shelf"}, person)
        self.shop.kiosk.end()
        self.fresh("2025-07-01T00:00:00Z")
        self.wait_backup(lambda told: told["ok"] and "20250701" in told["file"], "a backup all the same")
        self.assertEqual(len(self.names()), 2)

    def test_a_folder_that_is_gone_is_told_and_the_kiosk_goes_on(self):
        self.copies.rmdir()
        self.fresh("2026-02-14T10:00:00Z")
        told = self.wait_backup(lambda told: "is its disk there" in told["sentence"], "the trouble")
        self.assertFalse(told["ok"])
        self.assertIsNone(told["newest"])
        self.shop.furnish()  # books
        self.assertFalse(self.copies.exists(), "an unmounted disk's folder is not made")
        self.assertIn("no good backup since", self.shop.log_text())

    def test_a_ledger_that_is_not_whole_is_told_with_the_day_of_the_last_good_one(self):
        self.fresh("2026-02-14T10:00:00Z")
        self.shop.furnish()
        self.wait_backup(lambda told: told["ok"], "the first backup")
        self.shop.kiosk.end()
        good = self.names()
        self.shop.ledger.spoil("UPDATE movement SET word = 'auditor' WHERE kind = 'person-entry'")
        self.fresh("2026-02-16T10:00:00Z")
        told = self.wait_backup(lambda told: told["sentence"].startswith("no good backup since 2026-02-14T10:00"),
                                "the trouble")
        self.assertFalse(told["ok"])
        self.assertEqual(told["file"], good[0])
        self.assertEqual(self.names(), good, "the only good one stays, and no part")

    def test_the_configuration_is_checked(self):
        for line in ("every-hours = 0", "every-hours = daily", "keep = 0", "keep = 1001", "fodler = /tmp"):
            with self.assertRaisesRegex(AssertionError, "exit 1"):
                self.shop.open(backup=[line])


class TheDayTheDiskDies(BackupTest):
    def test_a_dead_ledger_comes_back_with_its_head_and_the_room_goes_on(self):
        kiosk = self.shop.open()
        person, _ = self.shop.furnish()
        made = self.backup("night.sqlite")
        kiosk.act("place-entry", {"code": "LOST", "kind": "shelf"}, person)
        kiosk.kill()
        if settings.ENGINE == "postgresql":
            self.shop.ledger.drop()
            self.shop.ledger = database.create(self.shop.folder)
        else:
            for file in self.shop.folder.glob(self.shop.ledger.path.name + "*"):
                file.unlink()
        said = self.say("restore", "--ledger", self.shop.ledger.address, self.copies / "night.sqlite")
        self.assertIn(f"head {made['mark']}", said)
        self.assertIn("serials of each letter are skipped", said)
        self.assert_clean(self.shop)
        self.assertIn(made["mark"].split(":")[1][:16], self.shop.verify()[1])
        kiosk = self.shop.open()
        self.assertEqual(self.health()["head"], made["mark"].split(":")[1])
        answer = kiosk.act("person-entry", {"name": "Ada", "role": "technician"}, person)
        self.assertIn(answer.status, (200, 503), answer)  # 503: the ledger is damaged; the rest is told all the same
        self.assertGreater(int(answer.body["serial"][1:-1]), 1000, "badges printed since the backup stay unique")
        places = [row["code"] for row in kiosk.get("/api/places").body["places"]]
        self.assertNotIn("LOST", places)

    def test_no_restore_under_a_running_kiosk(self):
        kiosk = self.shop.open()
        self.shop.furnish()
        self.backup("one.sqlite")
        words = "already works on" if settings.ENGINE == "sqlite" else "an empty one only"
        self.assert_sentence(self.say("restore", "--ledger", self.address, self.copies / "one.sqlite", code=1), words)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_what_would_be_left_behind_must_be_said(self):
        kiosk = self.shop.open()
        person, _ = self.shop.furnish()
        self.backup("one.sqlite")
        if settings.ENGINE == "postgresql":  # only into an empty one, where nothing can be left behind
            self.assert_sentence(self.say("restore", "--ledger", self.address, "--forget", "2",
                                          self.copies / "one.sqlite", code=1), "leave --forget out")
            return
        for code in ("B02", "B03"):
            kiosk.act("place-entry", {"code": code, "kind": "shelf"}, person)
        kiosk.kill()  # what was booked stands in the log alone
        self.assert_sentence(self.say("restore", "--ledger", self.address, self.copies / "one.sqlite", code=1),
                             "holds 2 movements", "--forget 2")
        said = self.say("restore", "--ledger", self.address, "--forget", "2", self.copies / "one.sqlite")
        kept = re.search(r"kept as '([^']+)'; 2 of its movements", said)
        self.say("verify", kept[1], "--against", self.copies / "one.sqlite")
        kiosk = self.shop.open()
        self.assertEqual(kiosk.get("/health").status, 200)

    def test_a_cut_or_rewritten_ledger_is_found_by_what_was_kept_elsewhere(self):
        kiosk = self.shop.open()
        person, _ = self.shop.furnish()
        old = self.backup("old.sqlite")
        kiosk.act("place-entry", {"code": "B02", "kind": "shelf"}, person)
        new = self.backup("new.sqlite")
        self.assertEqual(kiosk.end(), 0)
        # an older copy in the ledger's place agrees with itself
        self.assertIn("all agree", self.say("verify", self.copies / "old.sqlite", "--head", old["mark"]))
        said = self.say("verify", self.copies / "old.sqlite", "--head", new["mark"], code=1)
        self.assertIn("movements are missing", said)
        said = self.say("verify", self.copies / "old.sqlite", "--against", self.copies / "new.sqlite", code=1)
        self.assertIn(f"movement {int(old['movements']) + 1} (place-entry", said)

    def test_a_full_disk_is_a_sentence(self):
        self.shop.open()
        self.shop.furnish()
        limited = ["bash", "-c", 'ulimit -f 100; exec "$@"', "limited", settings.PROGRAM, "backup", "--ledger", self.address,
                   self.copies / "x.sqlite"]
        done = processes.run(limited, settings.SANITIZERS)
        self.assertEqual(done.returncode, 1, done)
        self.assert_sentence(done.stderr.decode(), "disk", "x.sqlite")
        self.assertEqual(self.names(), [])
