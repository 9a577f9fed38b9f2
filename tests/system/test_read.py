"""`ambershelf read`: the text of symbols in other character sets, what a symbol says of itself, and --explain."""

import json

import labels
import processes
import room


class Read(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.folder = self.shop.folder

    def zint(self, name, data, *options, symbology="DATAMATRIX"):
        """A symbol written by the zint program, an encoder that is not ours."""
        path = self.folder / f"{name}.png"
        done = processes.run(["zint", "-b", symbology, "-o", path, "--scale=3", "--whitesp=6", "--vwhitesp=6", *options,
                              "-d", data])
        self.assertLess(done.returncode, 5, done.stderr)  # below 5 is a warning
        return path

    def read(self, *arguments, code=0):
        done = self.shop.command("read", *arguments)
        self.assertEqual(done.returncode, code, done.stderr)
        self.assertNotIn(b"AddressSanitizer", done.stderr)
        self.assertNotIn(b"runtime error", done.stderr)
        return done.stdout.decode(), done.stderr.decode()

    def test_text_is_in_the_set_that_the_symbol_says(self):
        for number, codec, text in ((4, "iso8859-2", "Łódź"), (20, "shift_jis", "樹脂"), (26, "utf-8", "Größe 樹")):
            path = self.zint(f"eci-{number}", text, f"--eci={number}")
            [[(code, symbol)]] = labels.ambershelf_read(path)
            self.assertEqual(code, text.encode(codec))  # Python's own tables
            self.assertEqual((symbol["text"], symbol["eci"], symbol["symbology"]), (text, number, "]d4"))
            self.assertEqual(self.read(path)[0], f"{path}: ]d4 {text}\n")

    def test_without_a_set_or_with_one_that_is_not_known_the_bytes_are_shown(self):
        [[(code, symbol)]] = labels.ambershelf_read(self.zint("plain", "C004217T"))
        self.assertEqual((code, symbol["text"], symbol["eci"]), (b"C004217T", "C004217T", None))
        self.assertNotIn("structured", symbol)
        self.assertNotIn("reader_programming", symbol)
        path = self.zint("binary", r"A\x81B", "--eci=899", "--binary", "--esc")
        [[(code, symbol)]] = labels.ambershelf_read(path)
        self.assertEqual((code, symbol["text"], symbol["eci"]), (b"A\x81B", "A<0x81>B", 899))
        self.assertEqual(self.read(path)[0], f"{path}: ]d4 A<0x81>B\n")

    def test_nothing_in_a_symbol_moves_the_cursor_of_a_terminal(self):
        path = self.zint("escape", r"A\e[2JB" + "\u009b5C\u00e9", "--esc", "--eci=26")
        self.assertEqual(self.read(path)[0], f"{path}: ]d4 A<0x1B>[2JB<0xC2><0x9B>5Cé\n")

    def test_a_part_of_a_series_and_reader_programming_are_told(self):
        path = self.zint("series", "PART", "--structapp=2,3,001005")
        [[(_, symbol)]] = labels.ambershelf_read(path)
        self.assertEqual(symbol["structured"], {"index": 2, "total": 3, "file": 256 * 1 + 5})  # ISO/IEC 16022, 5.6
        self.assertEqual(self.read(path)[0], f"{path}: ]d1 PART (2 of 3)\n")
        [[(_, symbol)]] = labels.ambershelf_read(self.zint("init", "SET", "--init"))
        self.assertIs(symbol["reader_programming"], True)

    def test_a_carton_is_read_when_asked(self):
        bars = self.zint("bars", "[01]09506000134352[10]L24117", "--gs1", symbology="GS1_128")
        label, both = self.zint("label", "C004217T"), self.folder / "both.png"
        processes.run(["convert", bars, label, "-background", "white", "-gravity", "center", "-append", both])
        [[(code, symbol)]] = labels.ambershelf_read(both)
        self.assertEqual((code, symbol["symbology"]), (b"C004217T", "]d1"))
        out, _ = self.read("--cartons", both)
        self.assertEqual(out, f"{both}: ]C1 010950600013435210L24117\n{both}: ]d1 C004217T\n")
        out, _ = self.read("--cartons", "--json", both)
        first = json.loads(out)["symbols"][0]
        self.assertEqual((first["rows"], first["columns"], first["corrected"], first["eci"]), (0, 0, -1, None))

    def test_explain_shows_the_stages_and_changes_nothing(self):
        path, to = self.zint("label", "C004217T L24117"), self.folder / "why"
        plain, _ = self.read("--json", path)
        out, _ = self.read("--json", "--explain", to, path)
        before, after = json.loads(plain), json.loads(out)
        self.assertEqual(before["symbols"], after["symbols"])
        names = sorted(file.name for file in to.iterdir())
        text = (to / "explain.txt").read_text()
        for stage in ("001-grey", "-limits-1", "-mask-1", "-borders-1", "-corners-1", "-tracks-1", "-grid", "-result"):
            [*found] = [name for name in names if stage in name]
            self.assertTrue(found, (stage, names))
        for name in names:
            if name.endswith(".png"):  # each is a picture that an outside program can read
                self.assertEqual(processes.run(["identify", to / name]).returncode, 0, name)
        self.assertEqual([name[:3] for name in names[:-1]], [f"{i:03}" for i in range(1, len(names))])
        self.assertIn("wanted, read", text)
        self.assertRegex(text, r"(?m)^1 symbols \(\d+-result\.png\)$")

    def test_explain_says_what_stopped_a_label(self):
        whole, even = self.zint("whole", "C004217T L24117 RS24117B"), self.folder / "even.png"
        top, bottom = self.folder / "top.png", self.folder / "bottom.png"
        processes.run(["convert", whole, "-gravity", "south", "-chop", "0x80", top])  # without the L's bottom leg
        processes.run(["convert", whole, "-gravity", "north", "-chop", "0x60", bottom])  # without the clock track above
        processes.run(["convert", "-size", "90x90", "xc:gray80", even])
        no_corner = "no corner of an L was found"
        for path, word in ((bottom, "given up: no clock tracks"), (top, no_corner), (even, no_corner)):
            to = self.folder / f"why-{path.stem}"
            self.assertIn("no symbol found", self.read("--explain", to, path)[0])
            text = (to / "explain.txt").read_text()
            self.assertIn("\n0 symbols", text)
            self.assertIn(word, text)

    def test_explain_keeps_its_hands_off_what_is_there(self):
        path, to = self.zint("label", "C004217T"), self.folder / "mine"
        to.mkdir()
        (to / "notes.txt").write_text("mine")
        _, err = self.read("--explain", to, path, code=1)
        self.assertIn("has files in it", err)
        self.assertEqual([file.name for file in to.iterdir()], ["notes.txt"])
        (to / "notes.txt").unlink()
        self.read("--explain", to, path)
        self.assertIn("explain.txt", [file.name for file in to.iterdir()])
        _, err = self.read("--explain", path, path, code=1)  # a file
        self.assertIn("as a folder", err)
        _, err = self.read("--explain", self.folder / "no" / "where", path, code=1)
        self.assertIn("cannot be made", err)

    def test_explain_takes_one_picture(self):
        path = self.zint("label", "C004217T")
        for arguments in (["--explain", "x", path, path], ["--explain", "x", "-"], ["--explain", "x", "--repeat", "3", path]):
            _, err = self.read(*arguments, code=2)
            self.assertIn("one picture", err.splitlines()[0])
        self.read("--explain", code=2)
