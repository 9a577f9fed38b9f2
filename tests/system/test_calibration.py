"""A label printer with faults is set right by a photograph: its calibration label as it got it, printed with the faults,
photographed by the camera model of tests/pictures; what is measured is set, and the next label lands where its template
says. What a printer does with a dot is arithmetic: dot n comes out at fault + n dots of the size that they come out."""

import unittest

import labels
import processes
import settings
import test_print_queue

DPI, WIDTH_MM, HEIGHT_MM = 203, 50, 25
DOT_MM = 25.4 / DPI
SYMBOL_MIDDLE_MM = 10.2  # vat-case.label: symbol at 1 1 room 18.4 x 18.4
SYMBOL_END_MM = 18.5        # of the raster: it ends before, and nothing else begins, moved or not


class Fault:
    def __init__(self, right_mm, down_mm, across, down):
        self.right_mm, self.down_mm, self.across, self.down = right_mm, down_mm, across, down

    def across_mm(self, dot):
        return self.right_mm + dot * DOT_MM * self.across

    def down_mm_of(self, dot):
        return self.down_mm + dot * DOT_MM * self.down


def symbol_box(page):
    """Dots from, to, across and down, of what is black in the symbol's part of a vat-case label."""
    _, _, rows, _ = page
    wide, high = int(SYMBOL_END_MM / DOT_MM), int(SYMBOL_END_MM / DOT_MM)
    black_rows = [y for y in range(high) if 0 in rows[y][:wide]]
    black = [x for x in range(wide) if any(rows[y][x] == 0 for y in black_rows)]
    return black[0], black[-1] + 1, black_rows[0], black_rows[-1] + 1


class Calibration(test_print_queue.Queue):
    def photographed(self, printer, name, fault):
        page = labels.pwg_page(printer.folder / "spool" / self.pages_of(name)[-1])
        dots = labels.pgm(page, self.shop.folder / "dots.pgm")
        picture = self.shop.folder / "photograph.pgm"
        done = processes.run([settings.BUILD / "tests/pictures/photograph_label", dots, DPI, WIDTH_MM, HEIGHT_MM, fault.right_mm,
                              fault.down_mm, fault.across, fault.down, 0.2, 7, picture])
        self.assertEqual(done.returncode, 0, done.stderr)
        return picture

    def vat_page(self, printer, vat):
        self.act("reprint", {"unit": vat})
        number = processes.wait_until(lambda: self.state(vat)[1] == "printed" and self.state(vat)[0], 40, f"a label of {vat}")
        name = processes.wait_until(lambda: self.pages_of(f"{vat}-{number}"), 15, "its page")[0]
        return labels.pwg_page(printer.folder / "spool" / name)

    def far_off(self, page, fault):
        """How far the symbol's middle comes out from where the template has it, in millimetres, both ways."""
        left, right, top, bottom = symbol_box(page)
        return (fault.across_mm((left + right) / 2) - SYMBOL_MIDDLE_MM, fault.down_mm_of((top + bottom) / 2) - SYMBOL_MIDDLE_MM)

    def test_a_photograph_sets_a_printer_right(self):
        fault = Fault(1.3, -0.4, 1.018, 0.985)
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        vat = next(unit["serial"] for unit in kiosk.units() if unit["kind"] == "vat")
        before = self.vat_page(printer, vat)
        off = self.far_off(before, fault)
        self.assertGreater(abs(off[0]), 1.0)
        self.assertGreater(abs(off[1]), 0.4)

        self.act("print-calibration", {})
        processes.wait_until(lambda: self.pages_of("calibration"), 15, "the calibration label")
        answer = kiosk.picture(self.photographed(printer, "calibration", fault), "image/x-portable-graymap",
                               "?grade=yes&source=page")
        self.assertEqual(answer.status, 200, answer)
        found = answer.body["calibration"]
        self.assertIsNone(found["trouble"])
        measured = found["measured"]
        self.assertEqual((found["dpi"], measured["width_mm"], measured["height_mm"]), (DPI, WIDTH_MM, HEIGHT_MM))
        self.assertAlmostEqual(measured["left_mm"], fault.right_mm + 5 * fault.across, delta=0.1)
        self.assertAlmostEqual(measured["top_mm"], fault.down_mm + 5 * fault.down, delta=0.1)
        self.assertAlmostEqual(measured["came_out_mm"] / measured["stretch_mm"], fault.across, delta=0.003)
        self.assertAlmostEqual(measured["came_out_down_mm"] / measured["stretch_down_mm"], fault.down, delta=0.003)
        self.assertAlmostEqual(measured["turn_degrees"], 0.2, delta=0.1)
        self.assertTrue(0 < measured["left_error_mm"] < 0.05 and 0 < measured["came_out_error_mm"] < 0.1)
        self.assertEqual(kiosk.get("/api/label-printers").body["label_printers"], [])  # nothing is set unseen

        storekeeper = next(row["name"] for row in kiosk.get("/api/people").body["people"] if row["role"] == "storekeeper")
        keys = ("left_mm", "top_mm", "stretch_mm", "came_out_mm", "stretch_down_mm", "came_out_down_mm")
        self.act("calibrate", {"printer": "label-printer", "dpi": found["dpi"], "module_dots": found["smallest"],
                               **{key: measured[key] for key in keys}}, storekeeper)
        after = self.vat_page(printer, vat)
        self.assertEqual((after[0], after[1], after[3]), (before[0], before[1], before[3]))  # the raster stays the roll's
        off = self.far_off(after, fault)
        self.assertLess(abs(off[0]), DOT_MM, f"{off}, {symbol_box(before)} became {symbol_box(after)}")
        self.assertLess(abs(off[1]), DOT_MM, f"{off}, {symbol_box(before)} became {symbol_box(after)}")
        left, right, _, _ = symbol_box(after)
        [read] = labels.ambershelf_read(labels.picture(labels.pgm(after, self.shop.folder / "after.pgm"), self.shop.folder / "after.png", scale=400))
        self.assertEqual((right - left) % read[0][1]["columns"], 0, "a module is no whole dots")
        self.assert_clean(self.shop)

    def test_what_cannot_be_measured_is_a_sentence_and_the_symbols_still_count(self):
        fault = Fault(0, 0, 1.09, 1.09)  # more than any printer: the roll is another
        kiosk, printer = self.opened()
        kiosk.wait_all_printed()
        self.act("print-calibration", {})
        processes.wait_until(lambda: self.pages_of("calibration"), 15, "the calibration label")
        answer = kiosk.picture(self.photographed(printer, "calibration", fault), "image/x-portable-graymap", "?grade=yes")
        found = answer.body["calibration"]
        self.assertIsNone(found["measured"])
        self.assert_sentence(found["trouble"], "off the size of a label of 50 x 25 mm")
        self.assertEqual(found["dpi"], DPI)


if __name__ == "__main__":
    unittest.main()
