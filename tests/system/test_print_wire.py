"""A label whose sending ends without an answer: the printer has it or not, and only its list of jobs can tell. The
printer is kiosk/demo-printer; what breaks is the network before it."""

import processes
import room
import test_print_queue
import wire


class Broken(test_print_queue.Queue):
    def opened_by_wire(self):
        self.shop = self.room(with_printer=True)
        self.printer_of(self.shop)
        self.wire = wire.Wire(self.shop.printer.port)
        room.cleared(self, self.wire.close)
        self.shop.printer.uri = f"ipp://127.0.0.1:{self.wire.port}/ipp/print"
        self.kiosk = self.shop.open(demo=True)
        self.people = {row["name"]: row["serial"] for row in self.kiosk.get("/api/people").body["people"]}
        self.kiosk.wait_all_printed()

    def test_a_label_that_the_printer_has_is_found_by_its_name_and_not_sent_again(self):
        self.opened_by_wire()
        self.wire.cut = "after"
        (first, second), _ = self.receive(2)
        self.wait_state(second, ["printed"])
        self.assertIsNone(self.wire.cut, "it was cut")
        self.assertEqual(self.state(first), (1, "printed"))
        self.assertEqual((len(self.pages_of(first)), len(self.pages_of(second))), (1, 1))
        self.assertEqual(self.questions_of(first), [])
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_a_label_that_the_printer_does_not_know_is_asked_about_and_not_sent_again(self):
        self.opened_by_wire()
        self.wire.cut = "before"
        (first, second), _ = self.receive(2)
        self.wait_state(second, ["printed"])
        self.assertEqual(self.state(first), (1, "unknown"), "it may have come out, as far as the kiosk can tell")
        question, = self.questions_of(first)
        self.assert_sentence(question["note"], "Did it come out?")
        self.assertEqual((len(self.pages_of(first)), len(self.pages_of(second))), (0, 1))
        self.act("reprint", {"unit": first})
        self.wait_state(first, ["printed"])
        self.assertEqual(len(self.pages_of(first)), 1)
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)

    def test_the_daemon_ends_before_the_printer_tells_and_its_next_start_finds_the_label(self):
        self.opened_by_wire()
        self.shop.printer.hold("media-empty")
        self.wire.cut = "after"
        (serial,), _ = self.receive(1)
        self.wait_at_the_printer(serial)
        self.kiosk.kill()
        self.shop.printer.release()
        processes.wait_until(lambda: self.wire.cut is None, 10, "the cut")
        self.kiosk = self.shop.open(demo=True)
        self.wait_state(serial, ["printed"])
        self.assertEqual(len(self.pages_of(serial)), 1)
        self.assertEqual(self.questions_of(serial), [])
