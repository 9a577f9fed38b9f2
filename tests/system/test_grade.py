"""`ambershelf grade`: what it says of labels with damage of a known kind, and what it must not say."""

import json

import labels
import processes
import room

STANDING = "process-control estimate, ISO/IEC 15415-style, uncalibrated"


class Grade(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.folder = self.shop.folder

    def zint(self, name):
        """22x22 by the zint program, 12 pixels a module, 3 modules of quiet zone."""
        path = self.folder / f"{name}.png"
        processes.run(["zint", "-b", "DATAMATRIX", "--vers=7", "-o", path, "--scale=6", "--whitesp=3", "--vwhitesp=3",
                       "-d", "KESTREL QUAY FLINT 0042"])
        return path

    def grade(self, *arguments, code=0):
        done = self.shop.command("grade", *arguments)
        self.assertEqual(done.returncode, code, done.stderr)
        self.assertNotIn(b"AddressSanitizer", done.stderr)
        self.assertNotIn(b"runtime error", done.stderr)
        return done.stdout.decode(), done.stderr.decode()

    def one(self, path):
        line = json.loads(self.grade("--json", path)[0])
        self.assertEqual((line["standing"], line["edition"]), (STANDING, "ISO/IEC 15415:2011 method"))
        [symbol] = line["symbols"]
        return symbol

    def test_a_label_as_drawn_has_4_everywhere(self):
        path = self.zint("fair")
        symbol = self.one(path)
        self.assertEqual(bytes.fromhex(symbol["hex"]), b"KESTREL QUAY FLINT 0042")
        self.assertAlmostEqual(symbol["pixels_a_module"], 12, delta=0.1)
        self.assertIsNone(symbol["worst"])
        for name in ("decode", "modulation", "reflectance_margin", "axial_nonuniformity", "grid_nonuniformity",
                     "unused_error_correction", "fixed_pattern_damage"):
            self.assertEqual(symbol[name]["level"], 4, name)
        self.assertEqual(len(symbol["fixed_pattern_damage"]["segments"]), 6)
        self.assertIn("Nothing stands out", self.grade(path)[0])

    def test_a_dead_dot_of_the_head_lowers_the_leg_it_crosses(self):
        path, struck = self.zint("fair"), self.folder / "struck.png"
        # three of the left leg's modules, painted white over: 13.6 % is level 1 (ISO/IEC 16022, Annex M)
        rows = [f"rectangle 36,{36 + 12 * row} 47,{47 + 12 * row}" for row in (4, 9, 14)]
        processes.run(["convert", path, "-fill", "white", *[word for row in rows for word in ("-draw", row)], struck])
        symbol = self.one(struck)
        leg = symbol["fixed_pattern_damage"]["segments"][0]
        self.assertEqual((leg["part"], leg["modules"], leg["wrong"], leg["level"]), ("left leg", 22, 3, 1))
        self.assertEqual(symbol["worst"], {"parameter": "fixed pattern damage", "level": 1})
        out, _ = self.grade(struck)
        self.assertIn("most in the left leg", out)
        self.assertIn("clean the head", out)

    def test_a_stretched_label_has_its_ratio(self):
        path, wide = self.zint("fair"), self.folder / "wide.png"
        processes.run(["convert", path, "-resize", "110%x100%!", wide])
        axial = self.one(wide)["axial_nonuniformity"]
        self.assertAlmostEqual(axial["value"], 0.1 / 1.05, delta=0.005)
        self.assertEqual(axial["level"], 2)

    def test_it_claims_no_more_than_a_camera_can(self):
        path, soft = self.zint("fair"), self.folder / "soft.png"
        processes.run(["convert", path, "-blur", "0x5", soft])
        for picture in (path, soft):
            for arguments in ((picture,), ("--json", picture)):
                out, _ = self.grade(*arguments)
                self.assertIn(STANDING, out)
                said = out.replace(str(self.folder), "")
                self.assertNotRegex(said, r"(?i)\bpass|\bgrade\b|certif|GS1")
                self.assertNotRegex(said, r"\d/\d\d/\d\d\d")  # grade / aperture / light, as a verifier reports
                self.assertNotRegex(said, r"\b[ABCDF]\b")
        self.assertLess(self.one(soft)["modulation"]["level"], 4)

    def test_a_picture_without_a_symbol_is_a_sentence_and_the_next_is_judged(self):
        good, empty, broken = self.zint("fair"), self.folder / "empty.png", self.folder / "broken.png"
        processes.run(["convert", "-size", "90x90", "xc:gray80", empty])
        broken.write_bytes(b"no picture")
        out, err = self.grade("--json", empty, broken, self.folder / "none.png", good, code=1)
        lines = [json.loads(line) for line in out.splitlines()]
        self.assertEqual([(line["file"], len(line["symbols"])) for line in lines], [(str(empty), 0), (str(good), 1)])
        complaints = err.splitlines()
        self.assertEqual(len(complaints), 3, err)
        for complaint, name in zip(complaints, ("empty.png", "broken.png", "none.png")):
            self.assert_sentence(complaint, name)

    def test_each_symbol_of_a_picture_is_judged(self):
        path, two = self.zint("fair"), self.folder / "two.png"
        processes.run(["convert", path, path, "+append", two])
        symbols = json.loads(self.grade("--json", two)[0])["symbols"]
        [read] = labels.ambershelf_read(two)
        self.assertEqual([symbol["corners"] for symbol in symbols], [symbol["corners"] for _, symbol in read])
        self.assertIn("symbol 2", self.grade(two)[0])
