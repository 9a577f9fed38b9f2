"""Labels between the kiosk and the printer: what a power cut, an absent printer, an empty roll or a failed job does to
them. Nothing prints twice, nothing vanishes silently."""

import labels
import processes
import room


class Labels(room.RoomTest):
    ABOUT_PRINTING = True

    def opened(self, printer=True, **extra):
        self.shop = self.room(with_printer=True)
        if printer:
            self.printer_of(self.shop)
        self.extra = extra
        self.kiosk = self.shop.open(demo=True, **extra)
        self.people = {row["name"]: row["serial"] for row in self.kiosk.get("/api/people").body["people"]}
        return self.kiosk, self.shop.printer

    def settle_badges(self):
        """The demo's own people have badges to print; let them come out first."""
        self.kiosk.wait_all_printed()
        return len(self.shop.printer.pages())

    def receive(self, count):
        """Serials of `count` cartridges just received; their labels are ordered."""
        kiosk, before = self.kiosk, {unit["serial"] for unit in self.kiosk.units()}
        self.assertEqual(kiosk.act("delivery-open", {"supplier": "Oakum"}, self.people["Ines"]).status, 200)
        delivery = kiosk.get("/api/deliveries").body["deliveries"][-1]["id"]
        answer = kiosk.act("receive", {"delivery": delivery, "item": "KELP", "lot": "KP-7", "expires": "2031-01-31",
                                       "quantity": count}, self.people["Ines"])
        self.assertEqual(answer.status, 200, answer)
        return [unit["serial"] for unit in kiosk.units() if unit["serial"] not in before]

    def state(self, serial):
        """State of the newest label of a unit, from the database."""
        rows = self.shop.ledger.rows(f"SELECT number, state FROM print WHERE unit = '{serial}' ORDER BY number")
        return (int(rows[-1][0]), rows[-1][1])

    def wait_state(self, serial, number, state, seconds=30):
        processes.wait_until(lambda: self.state(serial) == (number, state), seconds,
                             f"label {number} of {serial} to be {state}")

    def pages_of(self, serial):
        return [page.name for page in self.shop.printer.pages() if serial.lower() in page.name.lower()]

    def test_a_label_half_sent_at_a_power_cut_is_asked_about_and_not_printed_twice(self):
        kiosk, printer = self.opened()
        badges = self.settle_badges()
        printer.hold("media-empty")
        first, second = self.receive(2)
        self.wait_state(first, 1, "sent")
        processes.wait_until(lambda: self.pages_of(first), 10, "the first label to reach the printer")
        kiosk.kill()
        printer.stop()  # the power is gone for both: nobody can tell what became of the label
        printer.start()
        kiosk = self.kiosk = self.shop.open(demo=True)
        self.wait_state(first, 1, "unknown")
        questions = [row for row in kiosk.get("/api/questions").body["questions"] if row["unit"] == first]
        self.assertEqual([row["code"] for row in questions], ["label-unknown"])
        self.assert_sentence(questions[0]["note"], first, "Did it come out?", "Scan it")
        printer.release()
        self.wait_state(second, 1, "printed", 40)
        self.assertEqual(self.state(first), (1, "unknown"), "nobody has said yet that it came out")
        self.assertEqual(len(printer.pages()), badges + 2, "each label is on paper once")
        self.assertEqual((len(self.pages_of(first)), len(self.pages_of(second))), (1, 1))
        page = labels.pgm(labels.pwg_page(printer.page_of(f"{first}-1")), self.shop.folder / "label.pgm")
        [[(code, _)]] = labels.ambershelf_read(labels.picture(page, self.shop.folder / "label.png", 33, 1.2, 200))
        view = kiosk.scan(code)
        self.assertIn(f"Label {first} is proved", view["title"])
        self.assertEqual(self.state(first), (1, "proved"))
        self.assertTrue(kiosk.unit(first)["labelled"])
        open_still = [row for row in kiosk.get("/api/questions").body["questions"] if row["unit"] == first]
        self.assertEqual(open_still, [], "the scan answers the question")
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_the_roll_in_the_printer_decides_which_template_is_drawn(self):
        kiosk, printer = self.opened(printer=False)
        for roll, dots in {"25x13": (200, 104), "100x150": (799, 1199)}.items():  # mm x 203 / 25.4
            printer.roll = roll
            self.printer_of(self.shop)
            serial, = self.receive(1)
            self.wait_state(serial, 1, "printed", 40)
            page = labels.pwg_page(printer.page_of(f"{serial}-1"))
            self.assertEqual(page[:2], dots)
            page = labels.pgm(page, self.shop.folder / f"{roll}.pgm")
            [[(code, _)]] = labels.ambershelf_read(labels.picture(page, self.shop.folder / f"{roll}.png", 33, 1.2, 200))
            unit = kiosk.unit(serial)
            self.assertEqual(code, labels.envelope("S" + serial) if roll == "25x13" else labels.unit(unit))
            self.assertIn(f"Label {serial} is proved", kiosk.scan(code)["title"])
            printer.stop()
        printer.roll = "62x29"  # nothing is for this one
        stream = kiosk.listen()
        self.printer_of(self.shop)
        serial, = self.receive(1)
        stream.wait(lambda: any("62x29" in said for said in stream.sentences("label-printer")), 40, "which roll")
        self.assert_sentence(stream.sentences("label-printer")[-1], "'cartridge' is 50 x 25 mm", "right roll")
        self.assertEqual(self.pages_of(serial), [])

    def test_labels_wait_while_the_printer_is_away_and_come_out_when_it_is_back(self):
        kiosk, printer = self.opened(printer=False)
        stream = kiosk.listen()
        serial, = self.receive(1)
        stream.wait(lambda: any(stream.sentences("label-printer")), 15, "a sentence about the printer")
        self.assert_sentence(stream.sentences("label-printer")[0], "printer")
        self.assertEqual(self.state(serial), (1, "waiting"))
        self.assertIn(stream.sentences("label-printer")[0], self.shop.log_text())
        self.printer_of(self.shop)
        self.wait_state(serial, 1, "printed", 40)
        stream.wait(lambda: stream.sentences("label-printer")[-1] == "", 10, "word that the printer is well")
        self.assertEqual(len(self.pages_of(serial)), 1)

    def test_an_empty_roll_is_said_and_the_label_comes_out_when_there_is_a_new_one(self):
        kiosk, printer = self.opened()
        self.settle_badges()
        stream = kiosk.listen()
        printer.hold("media-empty")
        serial, = self.receive(1)
        stream.wait(lambda: any("label" in said for said in stream.sentences("label-printer")), 15, "a sentence")
        self.assert_sentence(stream.sentences("label-printer")[-1], "label")
        self.assertEqual(self.state(serial), (1, "sent"))
        printer.release()
        self.wait_state(serial, 1, "printed")
        stream.wait(lambda: stream.sentences("label-printer")[-1] == "", 10, "word that the printer is well")
        self.assertEqual(len(self.pages_of(serial)), 1)

    def test_a_job_the_printer_gives_up_is_failed_and_the_reprint_has_the_next_number(self):
        kiosk, printer = self.opened()
        self.settle_badges()
        stream = kiosk.listen()
        printer.fail(True)
        serial, = self.receive(1)
        self.wait_state(serial, 1, "failed")
        stream.wait(lambda: any("reprint" in said for said in stream.sentences("label-printer")), 10, "a sentence")
        failed = [row for row in kiosk.prints("failed") if row["unit"] == serial]
        self.assertEqual([row["number"] for row in failed], [1])
        printer.fail(False)
        answer = kiosk.act("reprint", {"unit": serial}, self.people["Ines"])
        self.assertEqual(answer.status, 200, answer)
        self.wait_state(serial, 2, "printed")
        self.assertEqual(len(self.pages_of(f"{serial}-2")), 1)
        view = kiosk.scan(labels.unit(kiosk.unit(serial)))
        self.assertIn("is proved", view["title"])
        self.assertEqual(self.state(serial), (2, "proved"))

    def test_a_printer_that_falls_silent_is_asked_about_after_a_time(self):
        kiosk, printer = self.opened(labels=["ask-seconds = 2"])
        self.settle_badges()
        printer.hold("other")  # no reason a person could act on
        serial, = self.receive(1)
        self.wait_state(serial, 1, "sent")  # from before the first byte; a printer that vanishes then was not sent it
        processes.wait_until(lambda: self.pages_of(serial), 10, "the label to reach the printer")
        printer.stop()  # in the middle of the job
        self.wait_state(serial, 1, "unknown", 40)
        notes = [row["note"] for row in kiosk.get("/api/questions").body["questions"] if row["unit"] == serial]
        self.assertEqual(len(notes), 1)
        self.assert_sentence(notes[0], "come out")
