"""The morning after: what a start says of the night, and what a damaged ledger does to a running kiosk."""

import os
import re
import shutil
import signal
import time
import unittest

import labels
import processes
import room
import settings
import web

PAGE = 4096
NO_FILE = "the file is the server's own affair"


def flip(path, at, length=1):
    with open(path, "r+b") as file:
        file.seek(at)
        old = file.read(length)
        file.seek(at)
        file.write(bytes(byte ^ 0x5A for byte in old))


@unittest.skipIf(settings.ENGINE != "sqlite", NO_FILE)
class Opening(room.RoomTest):
    def opened(self, demo=True):
        self.shop = self.room(with_scanner=False)
        self.kiosk = self.shop.open(demo=demo)
        people = {row["name"]: row["serial"] for row in self.kiosk.get("/api/people").body["people"]}
        self.ines = people["Ines"]
        self.unit = next(row["serial"] for row in self.kiosk.units()
                         if row["kind"] == "cartridge" and row["status"] == "in")
        return self.kiosk

    def move(self, kiosk, place="A03"):
        return kiosk.act("put-away", {"unit": self.unit, "place": place}, self.ines)

    def wait_file(self, kiosk, *states):
        return processes.wait_until(
            lambda: (health := kiosk.get("/health").body)["file"] in states and health, 30, f"the check: {states}")

    def pages_of(self, name):
        rows = self.shop.ledger.rows(f"SELECT pageno FROM dbstat WHERE name = '{name}' AND pagetype = 'leaf' "
                                     "ORDER BY pageno")
        return [int(row[0]) for row in rows]

    def leaf_end(self, name):
        """Where the last leaf page of a table or index ends: its first cells stand there."""
        return self.pages_of(name)[-1] * PAGE

    def assert_stopped(self, kiosk, *words):
        health = kiosk.get("/health")
        self.assertEqual(health.status, 503, health)
        self.assertFalse(health.body["ok"])
        self.assert_sentence(health.body["stopped"], "backup", *words)
        refused = self.move(kiosk)
        self.assertEqual((refused.status, refused["code"]), (500, "damaged"), refused)
        self.assert_sentence(refused["detail"], *words)
        metrics = kiosk.get("/metrics").body
        self.assertIn("ambershelf_", metrics)

    # ---- how the last stop was ----

    def test_an_orderly_stop_is_not_mentioned_and_the_file_is_checked_in_the_background(self):
        self.opened()
        for _ in range(2):
            self.assertEqual(self.wait_file(self.kiosk, "good")["notes"], [])
            self.assertEqual(self.kiosk.end(), 0)
            self.assertNotIn("not orderly", self.shop.log_text())
            self.assertEqual((self.shop.folder / (self.shop.ledger.path.name + ".lock")).read_bytes(), b"")
            self.kiosk = self.shop.open(demo=True)
        self.assertIn("was checked whole", self.shop.log_text())

    def test_a_killed_kiosk_is_said_and_checked_before_the_first_act(self):
        self.opened()
        self.assertEqual(self.move(self.kiosk).status, 200)
        pid = self.kiosk.process.pid
        self.kiosk.kill()
        self.kiosk = self.shop.open(demo=True)
        health = self.kiosk.get("/health").body
        self.assertEqual(health["file"], "good", "a small file is checked before the port is open")
        self.assertIn(f"the last stop was not orderly: process {pid} ended", self.shop.log_text())
        self.assertEqual(self.kiosk.unit(self.unit)["place"], "A03")
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_a_large_file_is_checked_first_thing_while_people_work(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        # 20 MB of real rows: answers of acts that were long ago
        self.shop.ledger.spoil("WITH RECURSIVE n(i) AS (SELECT 1 UNION ALL SELECT i + 1 FROM n WHERE i < 20000) "
                               "INSERT INTO act_answer SELECT 1000000 + i, 1, "
                               "'{\"text\":\"' || hex(randomblob(400)) || '\"}' FROM n; "
                               "INSERT INTO act SELECT number, 'old-act-' || number, 'look', '', '', x'00', 1, NULL, NULL, "
                               "1 FROM act_answer WHERE number > 1000000")
        (self.shop.folder / (self.shop.ledger.path.name + ".lock")).write_text("4711\n")
        self.kiosk = self.shop.open(demo=True)
        self.assertIn("process 4711", self.shop.log_text())
        health = self.kiosk.get("/health")
        if health.body["file"] != "good":
            self.assertEqual(health.status, 200)
            self.assert_sentence(health.body["notes"][0], "not orderly", "being checked")
        self.assertEqual(self.move(self.kiosk).status, 200)
        self.assertEqual(self.wait_file(self.kiosk, "damaged")["file"], "damaged")  # x'00' is no digest: found
        self.assertEqual(self.kiosk.end(), 0)

    def test_the_check_stops_at_once_when_the_kiosk_is_to_end(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        for _ in range(5):
            (self.shop.folder / (self.shop.ledger.path.name + ".lock")).write_text("4711\n")
            self.kiosk = self.shop.open(demo=True)
            self.assertEqual(self.kiosk.end(seconds=8), 0)
        self.assert_clean(self.shop)

    # ---- damage that a start finds ----

    def damaged_start(self, spoil, *words):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        spoil(self.shop.ledger.path)
        before = self.shop.ledger.path.read_bytes()
        self.kiosk = self.shop.open(demo=True)
        self.assert_stopped(self.kiosk, *words)
        self.assertIn("no act is booked any more", self.shop.log_text())
        self.assertEqual(self.kiosk.get("/").status, 200, "the page is there to say so")
        self.assertEqual(self.kiosk.end(), 0)
        self.assertEqual(self.shop.ledger.path.read_bytes(), before, "the file is kept as it was")

    def test_a_file_whose_header_is_gone_is_said_on_the_page(self):
        self.damaged_start(lambda path: flip(path, 0, 60), "ledger", "damaged")

    def test_a_file_that_is_cut_off_is_said_on_the_page(self):
        self.damaged_start(lambda path: os.truncate(path, 3 * PAGE), "damaged")

    def test_a_changed_movement_among_the_last_is_said_with_its_number(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        head = self.shop.ledger.rows("SELECT seq FROM ledger_head")[0][0]
        self.shop.ledger.spoil(f"UPDATE movement SET kiosk = 'other' WHERE seq = {head}")
        self.kiosk = self.shop.open(demo=True)
        self.assert_stopped(self.kiosk, f"movement {head}")

    def test_a_log_that_lost_its_header_stops_the_kiosk_and_both_files_are_kept(self):
        self.opened()
        self.kiosk.listen()
        os.kill(self.kiosk.process.pid, signal.SIGSTOP)  # so that no idle checkpoint comes
        os.kill(self.kiosk.process.pid, signal.SIGCONT)
        self.assertEqual(self.move(self.kiosk).status, 200)
        self.kiosk.kill()
        log = self.shop.folder / (self.shop.ledger.path.name + "-wal")
        if log.stat().st_size == 0:
            self.skipTest("the log was emptied before the kill")
        bytes_before = log.read_bytes()
        with open(log, "r+b") as file:
            file.write(b"\0" * 32)
        shutil.copy(self.shop.ledger.path, self.shop.folder / "kept")
        self.kiosk = self.shop.open(demo=True)
        health = self.kiosk.get("/health").body
        if health["stopped"]:  # else all of it was in the file already
            self.assert_stopped(self.kiosk, "-wal", "header", "keep the file and its log")
            self.assertEqual(log.stat().st_size, len(bytes_before))
        else:
            self.assertEqual(self.kiosk.unit(self.unit)["place"], "A03")
        self.assertEqual(self.kiosk.end(), 0)

    # ---- damage under a running kiosk ----

    def test_the_background_check_finds_damage_that_a_start_does_not_see(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        self.shop.ledger.spoil("UPDATE erasable_text SET value = 'Somebody' WHERE value = 'Ines'")
        self.kiosk = self.shop.open(demo=True)
        self.kiosk.listen()
        health = self.wait_file(self.kiosk, "damaged")
        self.assert_stopped(self.kiosk, "text")
        self.assertGreater(self.kiosk.stream.count("ledger"), 0, "pages are told")
        self.assertEqual(health["file_sentence"], health["stopped"])

    def test_damage_in_an_index_alone_is_named_as_such(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        flip(self.shop.ledger.path, self.leaf_end("movement_by_unit") - 200, 60)
        self.kiosk = self.shop.open(demo=True)
        self.wait_file(self.kiosk, "index")
        self.assert_stopped(self.kiosk, "only in its index movement_by_unit", "every movement and row is whole")

    def test_a_statement_that_meets_damage_stops_the_kiosk_and_nothing_is_answered_wrongly(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        head = self.shop.ledger.rows("SELECT seq FROM ledger_head")[0][0]
        for page in self.pages_of("act_by_id"):  # which a start does not look at
            flip(self.shop.ledger.path, (page - 1) * PAGE, 100)
        self.kiosk = self.shop.open(demo=True)
        self.assertEqual(self.kiosk.get("/health").body["stopped"], None)
        refused = self.move(self.kiosk)  # before the background check begins
        self.assertEqual((refused.status, refused["code"]), (500, "damaged"), refused)
        self.assert_stopped(self.kiosk, "damaged")
        self.assertIn("no act is booked any more", self.shop.log_text())
        self.assertEqual(self.shop.ledger.rows("SELECT MAX(seq) FROM movement"), [[head]])

    def test_a_reader_that_meets_damage_stops_the_kiosk_too(self):
        self.opened()
        self.wait_file(self.kiosk, "good")
        self.shop.ledger.spoil("UPDATE place SET kind = 7 || x'00' WHERE code = 'A01'")
        self.shop.ledger.spoil(f"UPDATE unit SET status = 'nowhere' WHERE serial = '{self.unit}'")
        self.assertEqual(self.kiosk.get("/api/units?limit=500").status, 500)
        self.assert_stopped(self.kiosk, "unit")
