"""The kiosk's surroundings fail: a full disk, a second daemon, a clock that went back, a configuration with a mistake."""

import os
import pathlib
import signal
import subprocess
import tempfile
import threading
import unittest

import labels
import processes
import room
import settings
import web

DISK_BYTES = 3 << 20


class SmallDisk:
    """A memory file system of three megabytes, for root only."""

    def __init__(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="as-disk-", dir="/tmp"))
        done = processes.run(["mount", "-t", "tmpfs", "-o", f"size={DISK_BYTES},mode=0755", "tmpfs", self.folder])
        if done.returncode != 0:
            self.folder.rmdir()
            raise unittest.SkipTest("a small file system cannot be mounted here (needs root)")

    def fill(self):
        """Takes all the room there is."""
        with open(self.folder / "filler", "ab", buffering=0) as file:
            try:
                while True:
                    file.write(b"\0" * 4096)
            except OSError:
                pass

    def free(self):
        (self.folder / "filler").unlink()

    def close(self):
        processes.run(["umount", self.folder])
        self.folder.rmdir()


class FullDisk(room.RoomTest):
    def test_a_full_disk_is_said_and_when_there_is_room_again_all_goes_on(self):
        if settings.ENGINE != "sqlite":
            self.skipTest("the server's disk is not the kiosk's")
        disk = SmallDisk()
        room.cleared(self, disk.close)
        shop = self.room(with_scanner=False, folder=disk.folder)
        shop.log = pathlib.Path(tempfile.mkstemp(prefix="as-log-", dir=settings.MEMORY)[1])  # a log may not fill a disk
        self.addCleanup(shop.log.unlink)
        kiosk = shop.open(demo=True)
        ines = next(row["serial"] for row in kiosk.get("/api/people").body["people"] if row["name"] == "Ines")
        unit = next(row["serial"] for row in kiosk.units() if row["kind"] == "cartridge" and row["status"] == "in")
        places = ["A01", "A02", "A03"]

        def move(count):
            return kiosk.act("put-away", {"unit": unit, "place": places[count % 3]}, ines, number=f"full-{count:06d}")
        self.assertEqual(move(0).status, 200)
        disk.fill()
        done, answer = 0, None
        for count in range(1, 500):
            answer = move(count)
            if answer.status != 200:
                break
            done = count
        self.assertEqual((answer.status, answer["code"]), (500, "storage"), answer)
        self.assert_sentence(answer["detail"], "full")
        self.assertEqual(kiosk.unit(unit)["place"], places[done % 3], "what was refused is not there, the rest is")
        self.assertEqual(kiosk.get("/health").status, 503)
        self.assertFalse(kiosk.get("/health").body["writer_ok"])
        self.assertEqual(move(done + 1).status, 500)
        disk.free()
        answer = move(done + 1)  # the same act again
        self.assertEqual(answer.status, 200, answer)
        self.assertNotIn("repeated", answer.body)
        self.assertEqual(kiosk.unit(unit)["place"], places[(done + 1) % 3])
        self.assertEqual(kiosk.get("/health").status, 200)
        self.assertTrue(kiosk.running())
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(shop)


class SecondDaemon(room.RoomTest):
    def serve(self, shop, *more):
        """A daemon that is expected to end by itself."""
        return shop.command("serve", "--config", shop.folder / "kiosk.ini", *more, timeout=30)

    def test_a_second_daemon_on_one_ledger_is_refused_with_a_sentence(self):
        if settings.ENGINE != "sqlite":
            self.skipTest("several kiosks may share one PostgreSQL ledger")
        shop = self.room(with_scanner=False)
        kiosk = shop.open(demo=True)
        done = self.serve(shop, "--demo")
        self.assertEqual((done.returncode, done.stdout), (1, b""))
        last = done.stderr.decode().strip().splitlines()[-1]
        self.assert_sentence(last, str(shop.ledger.path), f"process {kiosk.process.pid}", "stop it")
        self.assertEqual(kiosk.get("/health").status, 200)
        kiosk.kill()  # a killed one leaves no lock behind
        self.assertEqual(shop.open(demo=True).end(), 0)

    def test_import_into_a_ledger_in_use_is_refused(self):
        if settings.ENGINE != "sqlite":
            self.skipTest("several kiosks may share one PostgreSQL ledger")
        shop = self.room(with_scanner=False)
        shop.open(demo=True)
        exported = shop.command("export", shop.ledger.address)
        done = shop.command("import", shop.ledger.address, input=exported.stdout)
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode(), "process")

    def test_a_port_in_use_and_a_demo_on_a_real_ledger_are_refused(self):
        shop = self.room(with_scanner=False)
        kiosk = shop.open()
        shop.furnish()
        self.assertEqual(kiosk.end(), 0)
        done = self.serve(shop, "--demo")
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode().strip().splitlines()[-1], "real room", "without --demo")
        other = self.room(with_scanner=False)
        taken = other.open(demo=True)
        config = shop.folder / "kiosk.ini"
        config.write_text(config.read_text().replace("port = 0", f"port = {taken.port}"))
        done = self.serve(shop)
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode().strip().splitlines()[-1], str(taken.port))

    def test_a_mistake_in_the_configuration_names_its_place(self):
        shop = self.room(with_scanner=False)
        config = shop.folder / "kiosk.ini"
        for text, words in (("[kiosk]\nnmae = desk\n", ["nmae", "kiosk", "not known"]),
                            ("[web]\nport = 99999\n", ["port", "range"]),
                            ("[kiosk]\nname = desk\nwithout sense\n", ["line 3"]),
                            ("[kiosk]\nname = " + "x" * 300 + "\n", ["name", "too long"]),
                            ("[scanner hand]\ntype = serial\n", ["hand", "path"]),
                            ("[web]\naddress = 0.0.0.0\n[ledger]\naddress = %s\n" % shop.ledger.address, ["0.0.0.0"])):
            config.write_text(text)
            done = self.serve(shop)
            self.assertEqual(done.returncode, 1, text)
            self.assert_sentence(done.stderr.decode().strip().splitlines()[-1], *words)
        done = shop.command("serve", "--config", shop.folder / "none.ini")
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode(), "none.ini", "cannot be read")


class Outsider:
    """The sqlite3 program on the kiosk's file: somebody's query tool, left open over lunch."""

    def __init__(self, path):
        self.process = processes.start(["sqlite3", "-batch", path], stdin=subprocess.PIPE, stdout=subprocess.PIPE,
                                       stderr=subprocess.STDOUT)
        os.set_blocking(self.process.stdout.fileno(), False)

    def say(self, *statements):
        """Runs them; returns when they are done, and what they said."""
        said = b""
        self.process.stdin.write("\n".join([*statements, ".print done", ""]).encode())
        self.process.stdin.flush()

        def done():
            nonlocal said
            said += self.process.stdout.read() or b""
            return said.endswith(b"done\n")
        processes.wait_until(done, 20, f"sqlite3 to do {statements}")
        return said.decode().removesuffix("done\n")

    def close(self):
        if self.process.poll() is None:
            processes.end(self.process)
        self.process.stdin.close()
        self.process.stdout.close()


@unittest.skipIf(settings.ENGINE != "sqlite", "the file is the server's own affair")
class OtherPrograms(room.RoomTest):
    def opened(self):
        self.shop = self.room(with_scanner=False)
        self.kiosk = self.shop.open(demo=True)
        self.ines = next(row["serial"] for row in self.kiosk.get("/api/people").body["people"] if row["name"] == "Ines")
        self.units = [row["serial"] for row in self.kiosk.units() if row["kind"] == "cartridge" and row["status"] == "in"]
        self.log_file = self.shop.folder / (self.shop.ledger.path.name + "-wal")
        return self.kiosk

    def outsider(self):
        other = Outsider(self.shop.ledger.path)
        room.cleared(self, other.close)
        return other

    def move(self, unit, place, number=None):
        return self.kiosk.act("put-away", {"unit": unit, "place": place}, self.ines, number=number)

    def test_another_programs_write_lock_is_named_and_all_goes_on_after_it(self):
        for begin in ("BEGIN EXCLUSIVE;", "BEGIN IMMEDIATE;"):
            kiosk = self.opened()
            other = self.outsider()
            other.say(begin, "UPDATE place SET name = name;")
            refused = self.move(self.units[0], "A03", "while-it-writes-1")
            self.assertEqual((refused.status, refused["code"]), (503, "busy"), refused)
            self.assert_sentence(refused["detail"], "in use by another program", f"sqlite3, process {other.process.pid}",
                                 "nothing of this act was booked")
            self.assertEqual(kiosk.unit(self.units[0])["status"], "in", "reading goes on")
            other.say("ROLLBACK;")
            answer = self.move(self.units[0], "A03", "while-it-writes-1")
            self.assertEqual(answer.status, 200, answer)
            self.assertNotIn("repeated", answer.body)
            self.assertEqual(kiosk.unit(self.units[0])["place"], "A03")
            self.assertEqual(kiosk.get("/health").status, 200)
            other.close()
            self.assertEqual(kiosk.end(), 0)
            self.assert_clean(self.shop)

    def test_acts_that_wait_while_another_program_writes_are_booked_once_when_it_ends(self):
        kiosk = self.opened()
        other = self.outsider()
        other.say("BEGIN IMMEDIATE;", "UPDATE place SET name = name;")
        answers = {}

        def send(number):
            while True:  # as the page does: busy is sent again
                answer = web.Web.act(kiosk, "put-away", {"unit": self.units[number % 4], "place": "A01"}, self.ines,
                                     number=f"patience-{number:04d}")
                if answer.status != 503:
                    answers[number] = answer
                    return
        threads = [threading.Thread(target=send, args=(number,)) for number in range(12)]
        for thread in threads:
            thread.start()
        processes.wait_until(lambda: kiosk.get("/health").body["waiting"] > 0, 20, "an act to wait")
        self.assertEqual(answers, {})
        other.say("ROLLBACK;")
        for thread in threads:
            thread.join(60)
        self.assertEqual([answers[number].status for number in range(12)], [200] * 12)
        booked = self.shop.ledger.rows("SELECT COUNT(*), COUNT(DISTINCT act) FROM movement WHERE act LIKE 'patience-%'")
        self.assertEqual(booked, [["12", "12"]])
        other.close()
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_the_log_grows_under_a_slow_reader_is_said_and_shrinks_when_he_leaves(self):
        kiosk = self.opened()
        kiosk.listen()
        other = self.outsider()
        other.say("BEGIN;", "SELECT COUNT(*) FROM movement;")
        stop, done = threading.Event(), []

        def work(lane):
            count = 0
            while not stop.is_set():
                answer = web.Web.act(kiosk, "put-away", {"unit": self.units[lane], "place": ("A01", "A02")[count % 2]},
                                     self.ines)
                if answer.status != 200:
                    done.append(answer)
                    return
                count += 1
            done.append(count)
        threads = [threading.Thread(target=work, args=(lane,)) for lane in range(4)]
        for thread in threads:
            thread.start()
        health = processes.wait_until(lambda: (body := kiosk.get("/health").body)["notes"] and body, 120, "a note")
        stop.set()
        for thread in threads:
            thread.join(30)
        self.assertTrue(all(isinstance(count, int) for count in done), done)
        acts = sum(done)
        self.assertGreater(acts, 1000)
        self.assertGreater(self.log_file.stat().st_size, 64 << 20)
        self.assert_sentence(health["notes"][0], "write-ahead log", "MB", f"process {other.process.pid} (sqlite3)",
                             "end it")
        self.assertTrue(health["ok"], "it works; it only takes room")
        self.assertIn(f"process {other.process.pid} (sqlite3) has been reading", self.shop.log_text())
        self.assertEqual(self.shop.log_text().count("has grown to"), 1, "said once, not with each act")
        other.say("COMMIT;")
        # the check of the file reads too, at the lowest priority: on a busy machine it takes its time
        processes.wait_until(lambda: self.log_file.stat().st_size == 0, 120, "the log to be emptied, with nobody acting")
        processes.wait_until(lambda: kiosk.get("/health").body["notes"] == [], 10, "the note to go")
        self.assertIn("the write-ahead log is short again", self.shop.log_text())
        print(f"{acts} acts", end=" ... ")
        other.close()
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_a_program_that_holds_the_kiosks_lock_is_named_at_a_start(self):
        self.opened()
        self.assertEqual(self.kiosk.end(), 0)
        holder = processes.start(["flock", str(self.shop.ledger.path) + ".lock", "sh", "-c", "echo held; exec sleep 60"],
                                 stdout=subprocess.PIPE)
        self.addCleanup(holder.stdout.close)
        self.assertEqual(holder.stdout.readline(), b"held\n")
        with open(str(self.shop.ledger.path) + ".lock", "w", encoding="ascii") as file:
            file.write("4711\n")  # as import and restore do
        done = self.shop.command("serve", "--demo", "--config", self.shop.folder / "kiosk.ini", timeout=30)
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode().strip().splitlines()[-1], "process 4711", "stop it")
        processes.end(holder)
        for pid in processes.children(os.getpid()):
            if processes.command_of(pid) == "sleep 60":
                os.kill(pid, signal.SIGKILL)
                processes.wait_gone(pid)


class Clock(room.RoomTest):
    def opened(self, instant, trusted=True):
        self.shop.set_clock(instant, trusted)
        self.kiosk = self.shop.open()
        self.kiosk.listen()
        return self.kiosk

    def take(self, serial):
        """Badge, thing, printer: the view after the printer."""
        self.kiosk.scan(labels.badge(self.tobias))
        self.kiosk.scan(labels.badge(serial))  # the serial alone is enough
        return self.kiosk.scan(labels.place("CAPSTAN-1"))

    def test_a_clock_before_the_last_movement_asks_until_a_storekeeper_confirms_it(self):
        self.shop = self.room()
        kiosk = self.opened("2026-02-14T10:00:00Z")
        self.maren, self.tobias = self.shop.furnish()
        first, second = (kiosk.act("take-on", {"item": "FLINT", "lot": "L1", "expires": "2026-12-31", "place": "A01",
                                               "amount_ml": 1000, "labelled": True}, self.maren) for _ in range(2))
        self.assertEqual((first.status, second.status), (200, 200), first)
        first, second = (row["serial"] for row in kiosk.units())
        self.assertTrue(kiosk.view()["clock_trusted"])
        self.assertEqual(kiosk.end(), 0)

        kiosk = self.opened("2025-02-13T09:00:00Z")  # a year back, though it calls itself synchronised
        self.assertFalse(kiosk.get("/health").body["clock_trusted"])
        self.assertFalse(kiosk.view()["clock_trusted"])
        said = [line for line in self.shop.log_text().splitlines() if "the last movement" in line]
        self.assert_sentence(said[-1], "2025-02-13", "2026-02-14", "storekeeper confirm")
        view = self.take(first)
        self.assertEqual((view["verdict"], [reason["code"] for reason in view["reasons"]]),
                         ("ask", ["clock", "need-unknown"]))
        self.assert_sentence(view["reasons"][0]["sentence"], "clock", "2026-12-31")
        self.assertEqual(kiosk.unit(first)["status"], "in")
        self.assertIn("Booked", kiosk.scan(labels.card("YES"))["title"])  # the person looked at the date
        booked = kiosk.unit(first)["history"][-1]
        self.assertEqual((booked["kind"], booked["trusted"]), ("check-out", False))
        kiosk.scan(labels.badge(self.tobias))
        kiosk.scan(labels.badge(first))
        kiosk.scan(labels.place("A01"))

        refused = kiosk.act("clock-confirm", {}, self.tobias)
        self.assertEqual(refused.status, 422, refused)
        self.assert_sentence(refused["detail"], "storekeeper")
        self.assertFalse(kiosk.view()["clock_trusted"])
        self.assertEqual(kiosk.act("clock-confirm", {}, self.maren).status, 200)
        self.assertTrue(kiosk.get("/health").body["clock_trusted"])
        view = self.take(second)
        self.assertEqual([reason["code"] for reason in view["reasons"]], ["need-unknown"], view["title"])
        view = kiosk.scan(labels.card("UNKNOWN"))
        self.assertEqual(view["verdict"], "go", view["title"])
        self.assertIn("Booked", view["title"])
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_a_clock_that_nothing_keeps_is_not_trusted(self):
        self.shop = self.room()
        kiosk = self.opened("2026-02-14T10:00:00Z", trusted=False)
        self.assertFalse(kiosk.view()["clock_trusted"])
        self.assertEqual(kiosk.view()["today"], "2026-02-14")


class End(room.RoomTest):
    def test_the_daemon_ends_cleanly_at_a_signal_and_leaves_no_process_behind(self):
        for number in (signal.SIGTERM, signal.SIGINT):
            shop = self.room(with_printer=True)
            self.printer_of(shop)
            kiosk = shop.open(demo=True)
            kiosk.listen()
            worker = kiosk.eye()
            self.assertEqual(kiosk.end(number, seconds=8), 0, shop.log_text()[-500:])
            self.assertFalse(processes.alive(worker))
            self.assertIn(f"signal {int(number)}", shop.log_text())
            self.assert_clean(shop)

    def test_the_daemon_ends_in_the_middle_of_things(self):
        """A picture in hand, acts on their way, a label at a printer that hangs, streams open."""
        shop = self.room(with_printer=True)
        self.printer_of(shop)
        shop.printer.hold("media-empty")
        kiosk = shop.open(demo=True)
        kiosk.listen()
        kiosk.wait_prints(lambda prints: prints["sent"], "a label to be sent")
        worker = kiosk.eye()
        os.kill(worker, signal.SIGSTOP)
        picture = shop.folder / "p.pgm"
        picture.write_bytes(b"P5 8 8 255\n" + b"\0" * 64)
        answers = []
        post = threading.Thread(target=lambda: answers.append(kiosk.picture(picture, "image/x-portable-graymap")))
        post.start()
        self.assertEqual(kiosk.end(signal.SIGTERM, seconds=15), 0)
        post.join(20)
        self.assertEqual(answers[0].status, 503, answers)
        self.assertTrue(processes.wait_gone(worker))
        self.assert_clean(shop)

    def test_a_killed_daemon_takes_its_worker_with_it(self):
        shop = self.room(with_scanner=False)
        kiosk = shop.open(demo=True)
        worker = kiosk.eye()
        kiosk.process.kill()
        kiosk.process.wait(20)
        self.assertTrue(processes.wait_gone(worker))
