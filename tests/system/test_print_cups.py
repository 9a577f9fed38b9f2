"""The daemon in front of a real CUPS queue: the label printer is kiosk/demo-printer behind a cupsd of our own. A queue
says "completed" of what its printer lost, and prints again what it was stopped in; here documents are counted on the
printer's side. How CUPS behaves was measured with 2.4.2 (docs/printing.md), no standard says it. In tests/all a sample;
with --long the rest, some five seconds each."""

import os
import time
import unittest

import cups
import labels
import processes
import room
import settings

rest = unittest.skipUnless(settings.LONG, "one of the rest: --long")


class ThroughCups(room.RoomTest):
    ABOUT_PRINTING = True

    def opened(self, strict=False, **extra):
        absent = cups.missing()
        if absent:
            self.skipTest(f"{absent} (packages cups-daemon, cups-client) is not installed")
        self.shop = self.room(with_printer=True)
        self.extra = extra
        self.aside = []  # names of what came out before the printer began its numbers anew
        self.printer = self.printer_of(self.shop)
        self.cups = cups.Cups(self.printer.uri, strict)
        room.cleared(self, self.cups.stop)
        self.cups.start()
        self.printer.uri = f"cups:{cups.QUEUE}"  # from here on only what the daemon is told
        before = os.environ.get("CUPS_SERVER")
        os.environ["CUPS_SERVER"] = self.cups.address
        self.addCleanup(lambda: os.environ.pop("CUPS_SERVER") if before is None
                        else os.environ.update(CUPS_SERVER=before))
        self.kiosk = self.shop.open(**extra)
        self.maren, _ = self.shop.furnish()  # two badges are printed
        return self.kiosk

    def order(self):
        """Serial of a cartridge just taken on: its label is ordered."""
        before = {unit["serial"] for unit in self.kiosk.units()}
        answer = self.kiosk.act("take-on", {"item": "FLINT", "lot": "L1", "expires": "2031-12-31", "place": "A01",
                                            "amount_ml": 1000}, self.maren)
        self.assertEqual(answer.status, 200, answer)
        serial, = {unit["serial"] for unit in self.kiosk.units()} - before
        return serial

    def state(self, serial):
        return self.shop.ledger.rows(f"SELECT state FROM print WHERE unit = '{serial}' ORDER BY number")[-1][0]

    def wait_state(self, serial, state, seconds=30):
        processes.wait_until(lambda: self.state(serial) == state, seconds, f"the label of {serial} to be {state}")

    def documents(self, serial):
        """How many documents of this label the printer ever got."""
        names = self.aside + [page.name for page in self.printer.pages()]
        return sum(serial.lower() in name for name in names)

    def questions(self, serial):
        return [row for row in self.kiosk.get("/api/questions").body["questions"] if row["unit"] == serial]

    def at_the_printer(self, serial):
        processes.wait_until(lambda: self.documents(serial), 20, f"the label of {serial} to reach the printer")

    def in_hand(self):
        """A label that the printer has and does not get on with."""
        self.kiosk.wait_all_printed()
        self.printer.hold("media-empty")
        serial = self.order()
        self.at_the_printer(serial)
        # and all of it: what the queue still holds a part of, it sends again by itself
        processes.wait_until(lambda: "cups-waiting-for-job-completed" in self.cups.alerts(), 20, "the queue to have sent it")
        return serial

    def said(self, *words, seconds=20):
        """The sentence about the label printer, as the page shows it, once it holds all the words."""
        def holds():
            sentence = self.kiosk.get("/health").body["label_printer"]["sentence"]
            return sentence if all(word in sentence for word in words) else None
        sentence = processes.wait_until(holds, seconds, f"a sentence with {words}")
        self.assert_sentence(sentence)
        return sentence

    def switch_printer(self, on):
        """It numbers its jobs anew, and a page of the same number and name would take the place of the one before."""
        if on:
            self.printer.start()
        else:
            self.printer.stop()
            for page in self.printer.pages():
                self.aside.append(page.name)
                page.unlink()

    def asked_once(self, serial, *words):
        self.wait_state(serial, "unknown")
        question, = self.questions(serial)
        self.assertEqual(question["code"], "label-unknown")
        self.assert_sentence(question["note"], *words)
        listed = [row for row in self.kiosk.get("/api/labels").body["open"] if row["unit"] == serial]
        self.assertEqual([row["state"] for row in listed], ["unknown"], "the page's list has it")

    def prints_on(self):
        """What is ordered now comes out, once: nothing stands in the way any more."""
        serial = self.order()
        self.wait_state(serial, "printed")
        self.assertEqual(self.documents(serial), 1)

    def finish(self):
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)


class Day(ThroughCups):
    def test_a_label_comes_out_once_as_it_was_drawn_and_is_proved(self):
        self.opened()
        serial = self.order()
        self.wait_state(serial, "printed")
        page = labels.pwg_page(self.printer.page_of(f"{serial}-1"))
        self.assertEqual(page[:2], (400, 200), "50 x 25 mm at 203 dpi, though the queue does not say what lies in it")
        self.assertEqual(self.documents(serial), 1)
        picture = labels.pgm(page, self.shop.folder / "label.pgm")
        [[(code, _)]] = labels.ambershelf_read(labels.picture(picture, self.shop.folder / "label.png", 0, 0, 300))
        self.assertEqual(code, labels.unit(self.kiosk.unit(serial)))
        self.kiosk.scan(code)
        self.assertEqual(self.state(serial), "proved")
        self.assertEqual(self.questions(serial), [])
        self.finish()

    @rest
    def test_the_roll_that_is_set_at_the_queue_decides_which_template_is_drawn(self):
        self.opened()
        for roll, dots in {"100x50": (799, 400), "62x29": (400, 200)}.items():  # mm x 203 / 25.4; no template is 62x29
            self.cups.set_roll(roll)
            serial = self.order()
            self.wait_state(serial, "printed")
            self.assertEqual(labels.pwg_page(self.printer.page_of(f"{serial}-1"))[:2], dots)
        self.finish()

    def test_a_queue_stopped_in_mid_label_does_not_print_it_again_and_somebody_is_asked(self):
        self.opened()
        serial = self.in_hand()
        self.cups.run("cupsdisable")
        self.asked_once(serial, "taken back", "Did it come out?")
        self.printer.release()
        time.sleep(0.5)  # the printer ends what it had; while it is busy the queue would wait ten seconds
        self.cups.run("cupsenable")
        self.prints_on()
        self.assertEqual(self.documents(serial), 1, "a queue left to itself sends it a second time")
        self.assertEqual(len(self.questions(serial)), 1)
        self.finish()

    @rest
    def test_a_label_waits_before_a_stopped_queue_which_the_page_sets_going(self):
        self.opened()
        self.kiosk.wait_all_printed()
        self.cups.run("cupsdisable")
        serial = self.order()
        self.said("paused")
        self.assertEqual((self.state(serial), self.documents(serial)), ("waiting", 0))
        self.assertEqual(self.kiosk.act("print-go", {}, self.maren).status, 200)
        self.wait_state(serial, "printed")
        self.assertEqual(self.documents(serial), 1)
        self.finish()

    @rest
    def test_a_queue_that_takes_no_jobs_is_said_and_they_come_out_once_it_does(self):
        self.opened()
        self.kiosk.wait_all_printed()
        self.cups.run("cupsreject")
        serial = self.order()
        self.said("takes no labels")
        self.assertEqual((self.state(serial), self.documents(serial)), ("waiting", 0))
        self.cups.run("cupsaccept")
        self.wait_state(serial, "printed")
        self.assertEqual(self.documents(serial), 1)
        self.assertEqual(self.questions(serial), [])
        self.finish()


class Ends(ThroughCups):
    def test_a_printer_switched_off_with_the_label_in_it_leaves_it_unknown_though_cups_says_completed(self):
        self.opened()
        for _ in range(2):  # of the second one CUPS says nothing new: its printer does
            serial = self.in_hand()
            self.switch_printer(False)
            self.printer.release()
            self.switch_printer(True)
            self.asked_once(serial, "may have lost", "Did it come out?")
            self.prints_on()
            self.assertEqual(self.documents(serial), 1, "it is not sent once more")
        self.finish()

    @rest
    def test_a_label_that_the_printer_gives_up_is_never_called_printed_whatever_cups_says(self):
        self.opened()
        self.kiosk.wait_all_printed()
        self.printer.fail(True)
        for _ in range(10):  # canceled, for CUPS; completed in one of some twenty-five
            serial = self.order()
            self.kiosk.wait_all_printed()
            self.assertIn(self.state(serial), ("failed", "unknown"))
        self.printer.fail(False)
        self.prints_on()
        self.finish()

    @rest
    def test_a_printer_that_is_away_prints_by_itself_once_when_it_is_back(self):
        self.opened()
        self.kiosk.wait_all_printed()
        self.switch_printer(False)
        serial = self.order()
        self.wait_state(serial, "sent")  # the queue has it
        self.assertEqual(self.documents(serial), 0)
        self.switch_printer(True)
        self.wait_state(serial, "printed")
        self.assertEqual(self.documents(serial), 1)
        self.assertEqual(self.questions(serial), [])
        self.finish()

    def test_a_daemon_killed_with_the_label_on_its_way_finds_it_again_and_sends_no_second_one(self):
        self.opened()
        serial = self.in_hand()
        self.kiosk.kill()
        self.kiosk = self.shop.open(**self.extra)
        self.said("label")  # why it waits: it is followed again
        self.assertEqual(self.state(serial), "sent")
        self.kiosk.kill()
        self.printer.release()  # and comes out while no daemon looks
        processes.wait_until(lambda: "idle" in self.cups.state(), 15, "the queue to be idle")
        self.kiosk = self.shop.open(**self.extra)
        self.wait_state(serial, "printed")
        self.assertEqual(self.questions(serial), [], "the queue knows how it ended")
        self.prints_on()
        self.assertEqual(self.documents(serial), 1)
        self.finish()


class Strict(ThroughCups):
    @rest
    def test_a_queue_that_only_administrators_set_going_says_so_and_nothing_is_lost(self):
        self.opened(strict=True)
        self.kiosk.wait_all_printed()
        self.cups.run("cupsdisable")
        serial = self.order()
        self.said("paused")
        self.assertEqual(self.kiosk.act("print-go", {}, self.maren).status, 200)
        processes.wait_until(lambda: "not set going" in self.shop.log_text(), 10, "its answer in the log")
        line = [line for line in self.shop.log_text().splitlines() if "not set going" in line][-1]
        self.assert_sentence(line, "lpadmin", "cupsenable")
        self.assertEqual((self.state(serial), self.documents(serial)), ("waiting", 0))
        self.cups.run("cupsenable")
        self.wait_state(serial, "printed")
        self.assertEqual(self.documents(serial), 1)
        self.finish()
