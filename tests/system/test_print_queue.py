"""What waits for the label printer, and nothing printed twice or lost without a question: the daemon is killed (SIGKILL)
and the printer restarted in each state of a label. In tests/all a sample; with --long every pair."""

import os
import pathlib
import shutil
import signal
import tempfile
import time
import unittest

import labels
import processes
import room
import settings


class Queue(room.RoomTest):
    ABOUT_PRINTING = True

    def opened(self, printer=True, **extra):
        self.shop = self.room(with_printer=True)
        if printer:
            self.printer_of(self.shop)
        self.kiosk = self.shop.open(demo=True, **extra)
        self.people = {row["name"]: row["serial"] for row in self.kiosk.get("/api/people").body["people"]}
        return self.kiosk, self.shop.printer

    def act(self, kind, content, who="Ines"):
        answer = self.kiosk.act(kind, content, self.people[who])
        self.assertEqual(answer.status, 200, f"{kind} {content}: {answer}")
        return answer.body

    def own_folder(self):
        folder = pathlib.Path(tempfile.mkdtemp(prefix="ambershelf-own."))
        self.addCleanup(shutil.rmtree, folder, True)
        return folder

    def receive(self, count):
        """Serials of `count` cartridges just received, and the name of their batch."""
        before = {unit["serial"] for unit in self.kiosk.units()}
        self.act("delivery-open", {"supplier": "Oakum"})
        delivery = self.kiosk.get("/api/deliveries").body["deliveries"][-1]["id"]
        self.act("receive", {"delivery": delivery, "item": "KELP", "lot": "KP-7", "expires": "2031-01-31", "quantity": count})
        serials = [unit["serial"] for unit in self.kiosk.units() if unit["serial"] not in before]
        batch = self.shop.ledger.rows(f"SELECT batch FROM print WHERE unit = '{serials[0]}'")[0][0]
        return serials, batch

    def state(self, serial):
        rows = self.shop.ledger.rows(f"SELECT number, state FROM print WHERE unit = '{serial}' ORDER BY number")
        return (int(rows[-1][0]), rows[-1][1])

    def wait_state(self, serial, states, seconds=40):
        """The newest label's state, once it is one of `states`."""
        processes.wait_until(lambda: self.state(serial)[1] in states, seconds, f"the label of {serial} to be one of {states}")
        return self.state(serial)[1]

    def pages_of(self, serial):
        return [page.name for page in self.shop.printer.pages() if serial.lower() in page.name.lower()]

    def questions_of(self, serial):
        return [row for row in self.kiosk.get("/api/questions").body["questions"] if row["unit"] == serial]

    def wait_at_the_printer(self, serial):
        self.wait_state(serial, ["sent"])
        processes.wait_until(lambda: self.pages_of(serial), 15, f"the label of {serial} to reach the printer")


class Waiting(Queue):
    def test_a_batch_is_stopped_part_of_it_had_again_and_who_is_in_a_hurry_comes_out_first(self):
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        printer.hold("media-empty")
        first, batch = self.receive(4)
        self.wait_at_the_printer(first[0])  # the others wait behind it
        hurry, _ = self.receive(1)
        self.act("print-move", {"unit": hurry[0]})
        self.act("print-withdraw", {"batch": batch, "from": 3, "to": 4})
        listed = kiosk.get("/api/labels").body
        self.assertEqual([row["unit"] for row in listed["sent"]], [first[0]])
        self.assertEqual([(row["unit"], row["waiting"]) for row in listed["batches"]], [(hurry[0], 1), (first[1], 1)])
        self.assertEqual([(row["unit"], row["state"]) for row in listed["open"] if row["unit"][0] == "C"],
                         [(first[2], "withdrawn"), (first[3], "withdrawn")])
        self.assertEqual(listed["unproved_units"], 5)
        printer.release()
        self.wait_state(hurry[0], ["printed"])
        self.wait_state(first[1], ["printed"])
        order = [page.name.lower() for page in printer.pages()][-3:]
        for name, serial in zip(order, [first[0], hurry[0], first[1]]):
            self.assertIn(serial.lower(), name)
        self.assertEqual((self.pages_of(first[2]), self.pages_of(first[3])), ([], []))
        self.act("reprint", {"batch": batch, "from": 3, "to": 4})
        for serial in first[2:]:
            self.wait_state(serial, ["printed"])
            self.assertEqual(len(self.pages_of(f"{serial}-2")), 1)
        each = kiosk.get(f"/api/labels/{batch}").body
        self.assertEqual([(row["in_batch"], row["unit"], row["state"]) for row in each["labels"]],
                         [(1, first[0], "printed"), (2, first[1], "printed"), (3, first[2], "withdrawn"), (4, first[3], "withdrawn")])
        view = kiosk.scan(labels.unit(kiosk.unit(hurry[0])))
        self.assertIn("is proved", view["title"])
        self.assertEqual(kiosk.get("/api/labels").body["unproved_units"], 4)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_a_label_that_the_printer_has_is_dropped_there(self):
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        printer.hold("media-empty")
        (first, second), _ = self.receive(2)
        self.wait_at_the_printer(first)
        self.act("print-withdraw", {"unit": first})
        processes.wait_until(lambda: "Cancel-Job successful-ok" in printer.log_text(), 15, "the printer to hear of it")
        printer.release()  # ippeveprinter ends a job it was told to cancel when its command ends
        state = self.wait_state(first, ["withdrawn", "printed"])
        self.assertEqual(state, "withdrawn")
        self.assertEqual(self.questions_of(first), [], "nobody is asked about what nobody wants")
        self.wait_state(second, ["printed"])
        self.assertEqual(len(self.pages_of(second)), 1)
        self.act("reprint", {"unit": first})
        self.wait_state(first, ["printed"])
        self.assertEqual(self.state(first), (2, "printed"))

    def test_health_says_how_the_label_printer_is_and_go_is_answered(self):
        kiosk, printer = self.opened(printer=False)
        self.receive(1)
        said = processes.wait_until(lambda: kiosk.get("/health").body["label_printer"]["sentence"], 15, "a sentence")
        self.assert_sentence(said, "printer")
        self.assertTrue(kiosk.get("/health").body["label_printer"]["set_up"])
        self.act("print-go", {})
        self.assertEqual(self.shop.ledger.rows("SELECT word FROM movement WHERE kind = 'print-tell'")[0][0], "go")
        self.printer_of(self.shop)
        kiosk.wait_all_printed()
        processes.wait_until(lambda: kiosk.get("/health").body["label_printer"]["sentence"] == "", 15, "word that it is well")
        self.act("print-go", {})  # this printer knows no such thing: it says so, and labels go on coming out
        processes.wait_until(lambda: "not set going" in self.shop.log_text(), 10, "its answer in the log")
        serials, _ = self.receive(1)
        self.wait_state(serials[0], ["printed"])

    def test_a_label_whose_roll_is_not_in_waits_and_holds_up_no_other(self):
        own = self.own_folder()
        (own / "place.label").write_text("label 62 x 29\nsymbol place at 1 1 room 20 x 20\n"
                                         "text at 22 1 room 39 x 9 letters 4 \"{place}\"\n"
                                         "text at 22 12 room 39 x 5 letters 2 \"{sample}\" only if sample\n")
        kiosk, printer = self.opened(labels=[f"own-templates = {own}"])
        kiosk.wait_all_printed()
        self.act("place-entry", {"code": "Z01", "kind": "shelf", "label": True}, "Maren")
        serials, _ = self.receive(2)
        for serial in serials:
            self.wait_state(serial, ["printed"])
        said = processes.wait_until(lambda: kiosk.get("/health").body["label_printer"]["sentence"], 15, "a sentence")
        self.assert_sentence(said, "'place' is 62 x 29 mm", "right roll")
        self.assertEqual([row["place"] for row in kiosk.get("/api/labels").body["batches"]], ["Z01"])
        self.assertEqual(self.pages_of("Z01"), [])

    def test_what_the_configuration_wishes_is_asked_of_a_printer_that_offers_it(self):
        kiosk, printer = self.opened(labels=["darkness = 20", "speed = 50", "tracking = gap"])
        serials, _ = self.receive(1)
        self.wait_state(serials[0], ["printed"])
        job = self.pages_of(serials[0])[0].partition("-")[0]
        asked = (printer.folder / f"asked-{job}").read_text()
        for wish in ("PRINT_DARKNESS=20", "PRINT_SPEED=5000", "media-tracking=gap"):
            self.assertIn(wish, asked)

    def test_a_wish_beyond_what_the_printer_can_do_is_said_and_no_label_is_lost(self):
        kiosk, printer = self.opened(labels=["speed = 900"])
        serials, _ = self.receive(1)
        said = processes.wait_until(lambda: kiosk.get("/health").body["label_printer"]["sentence"], 15, "a sentence")
        self.assert_sentence(said, "speed")
        self.assertEqual(self.state(serials[0]), (1, "waiting"))
        self.assertEqual(self.pages_of(serials[0]), [])

    def test_the_calibration_label_is_printed_for_the_roll_that_is_in(self):
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        self.act("print-calibration", {})
        processes.wait_until(lambda: self.pages_of("calibration"), 15, "the calibration label")
        page = labels.pgm(labels.pwg_page(printer.folder / "spool" / self.pages_of("calibration")[0]), self.shop.folder / "calibration.pgm")
        [read] = labels.ambershelf_read(labels.picture(page, self.shop.folder / "calibration.png", 33, 1.2, 200))
        self.assertIn(b"X203D4S5025", [code for code, _ in read])
        serials, _ = self.receive(1)
        self.wait_state(serials[0], ["printed"])

    def test_without_a_label_printer_that_is_said(self):
        shop = self.room(with_scanner=False)
        kiosk = shop.open(demo=True)
        printer = kiosk.get("/health").body["label_printer"]
        self.assertFalse(printer["set_up"])
        self.assert_sentence(printer["sentence"], "labels wait")


# How a label gets into each state; the daemon or the printer is then ended and started again. What may be so afterwards:
# the states, and whether somebody is asked. A label that reached the printer is on paper once, never twice.
ENDS = ("daemon", "printer", "both")
STEPS = {
    "waiting": {"daemon": "printed", "printer": "printed", "both": "printed"},
    "sent": {"daemon": "printed", "printer": "unknown", "both": "unknown"},
    "printed": {"daemon": "printed", "printer": "printed", "both": "printed"},
    "failed": {"daemon": "failed", "printer": "failed", "both": "failed"},
    "unknown": {"daemon": "unknown", "printer": "unknown", "both": "unknown"},
    "withdrawn": {"daemon": "withdrawn", "printer": "withdrawn", "both": "withdrawn"},
    "proved": {"daemon": "proved", "printer": "proved", "both": "proved"},
}
SAMPLE = {("waiting", "both"), ("sent", "daemon"), ("sent", "printer")}


@unittest.skipUnless(settings.ENGINE == "postgresql", "a SQLite ledger has one kiosk")
class Several(Queue):
    ABOUT_PRINTING = False

    def test_a_kiosk_that_starts_leaves_alone_what_another_is_sending(self):
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        printer.hold("media-empty")
        (serial,), _ = self.receive(1)
        self.wait_at_the_printer(serial)
        scanner, self.shop.scanner = self.shop.scanner, None  # that one is at the first kiosk
        hangs = int((printer.folder / "printer.pid").read_text())
        os.kill(hangs, signal.SIGSTOP)  # so that the second one cannot learn from the printer how the label is
        other = self.shop.open(demo=True, kiosk=["name = second"])
        try:
            processes.wait_until(lambda: other.get("/health").body["label_printer"]["set_up"], 15, "the second kiosk")
            time.sleep(5)  # it looks at what was being sent when it starts, and gives the printer some seconds
            self.assertEqual((self.state(serial), self.questions_of(serial)), ((1, "sent"), []))
        finally:
            self.assertEqual(other.end(), 0)
            os.kill(hangs, signal.SIGCONT)
            self.shop.kiosk, self.shop.scanner = kiosk, scanner
        printer.release()
        self.wait_state(serial, ["printed"])
        self.assertEqual(len(self.pages_of(serial)), 1)


class Restarts(Queue):
    """One room; a fresh label for each pair of a state and what ends."""

    def bring(self, state):
        """A label of one unit in this state; its serial."""
        printer = self.shop.printer
        if state in ("waiting", "withdrawn", "sent", "unknown"):
            printer.hold("media-empty")
        if state == "failed":
            printer.fail(True)
        if state in ("waiting", "withdrawn"):
            (blocking, serial), _ = self.receive(2)
            self.blocking = blocking
            self.wait_at_the_printer(blocking)  # and ours waits behind it
        else:
            (serial,), _ = self.receive(1)
            self.blocking = None
        if state == "withdrawn":
            self.act("print-withdraw", {"unit": serial})
        if state in ("sent", "unknown"):
            self.wait_at_the_printer(serial)
        if state == "unknown":
            self.end("printer")
        if state in ("printed", "proved"):
            self.wait_state(serial, ["printed"])
        if state == "proved":
            self.assertIn("is proved", self.kiosk.scan(labels.unit(self.kiosk.unit(serial)))["title"])
        self.wait_state(serial, [state])
        printer.fail(False)
        return serial

    def end(self, what):
        """Ends it outright and starts it again."""
        printer = self.shop.printer
        if what in ("daemon", "both"):
            self.kiosk.kill()
        if what in ("printer", "both"):
            printer.stop()
            self.forget_spool()
            printer.start()
        if what in ("daemon", "both"):
            self.kiosk = self.shop.open(demo=True, **self.extra)

    def forget_spool(self):
        """A printer that starts again numbers its jobs anew: what came out before is counted and put aside, or a page of
        the same name would take its place."""
        for page in self.shop.printer.pages():
            self.came_out.append(page.name.lower())
            page.unlink()

    def papers(self, serial):
        now = [page.name.lower() for page in self.shop.printer.pages()]
        return sum(serial.lower() in name for name in self.came_out + now)

    def check(self, state, what):
        self.came_out = []
        serial = self.bring(state)
        self.end(what)
        self.shop.printer.release()
        expected = STEPS[state][what]
        self.wait_state(serial, [expected])
        if self.blocking:
            self.wait_state(self.blocking, ["printed", "unknown"])
        other, _ = self.receive(1)  # the printer is at work again, and all before this one has been dealt with
        self.wait_state(other[0], ["printed"])
        self.assertEqual(self.state(serial)[1], expected)
        self.assertEqual(len(self.questions_of(serial)), 1 if expected == "unknown" else 0, "asked once, or not at all")
        if expected in ("printed", "proved"):
            self.assertEqual(self.papers(serial), 1)
        elif expected == "withdrawn":
            self.assertEqual(self.papers(serial), 0)
        else:
            self.assertLessEqual(self.papers(serial), 1)
        if self.blocking:
            self.assertLessEqual(self.papers(self.blocking), 1)

    def test_nothing_is_printed_twice_or_lost_whatever_ends_in_whatever_state(self):
        self.extra = {"labels": ["ask-seconds = 3"]}
        kiosk, _ = self.opened(**self.extra)
        kiosk.wait_all_printed()
        for state in STEPS:
            for what in ENDS:
                if settings.LONG or (state, what) in SAMPLE:
                    with self.subTest(state=state, ends=what):
                        self.check(state, what)
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)
