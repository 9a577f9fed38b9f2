"""The command line: parse, label, read, verify, export, import; exit codes 0, 1, 2 and one clear sentence."""

import json

import labels
import processes
import room

# Worked payloads of our own syntax (ISO/IEC 15434 format 06, ANSI MH10.8.2); bytes and module rows of P1 to P3 were
# computed by an encoder of our own, zint 2.11.1 and bwip-js 4.11.4 alike.
WORKED = {
    "P1": ("vat-case", {"serial": "V0001236", "lot": "RS24117B", "filled": "2026-02-14", "expires": "2026-08-14"},
           "5B293E1E30361D5356303030313233361D315452533234313137421D31364432303236303231341D3134443230323630383134"
           "1E04", 22),
    "P2": ("cartridge", {"serial": "C004217T", "lot": "L24117", "filled": "2026-01-31", "expires": "2027-01-31",
                         "content": "1000"},
           "5B293E1E30361D5343303034323137541D31544C32343131371D31364432303236303133311D31344432303237303133311D"
           "3751313030304D4C1E04", 24),
    "P3": ("place", {"place": "A03-12"}, "5B293E1E30361D4C4130332D31321E04", 14),
}
COMMANDS = ("serve", "read", "grade", "label", "parse", "verify", "backup", "restore", "export", "import", "eye", "compute")


class Commands(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.folder = self.shop.folder

    def run_command(self, *arguments, code=0, **options):
        done = self.shop.command(*arguments, **options)
        self.assertEqual(done.returncode, code, (arguments, done.stderr))
        self.assertNotIn(b"AddressSanitizer", done.stderr)
        self.assertNotIn(b"runtime error", done.stderr)
        return done.stdout.decode(), done.stderr.decode()

    def draw(self, name, to=None):
        template, fields, _, _ = WORKED[name]
        path = to or self.folder / f"{name}.png"
        words = [word for field, value in fields.items() for word in ("--field", f"{field}={value}")]
        self.run_command("label", template, *words, "--dpi", 203, "-o", path)
        return path

    def test_each_command_has_help_and_an_unknown_one_is_wrong_usage(self):
        for command in COMMANDS:
            out, err = self.run_command(command, "--help")
            self.assertTrue(out.startswith(f"ambershelf {command}"), out)
            self.assertGreater(len(out.splitlines()), 2)
            self.assertEqual(err, "")
        out, _ = self.run_command("--help")
        for command in COMMANDS:
            self.assertIn(f"ambershelf {command}", out)
        out, err = self.run_command("reed", code=2)
        self.assertIn("'reed' is not a command", err)
        self.assertEqual(out, "")
        self.run_command(code=2)
        self.assertRegex(self.run_command("--version")[0], r"^ambershelf \d+\.\d+\.\d+\n$")

    def test_a_rule_answers_0_a_fault_is_1_and_an_unknown_rule_2(self):
        case = {"ratings": [{"class": "Flint", "hours": 500}], "used": [{"class": "Flint", "hours": 180}]}
        out, err = self.run_command("compute", "damage-sum", input=json.dumps(case).encode())
        self.assertEqual((json.loads(out)["damage"], json.loads(out)["retire"], err), (0.36, False, ""))
        out, err = self.run_command("compute", "damage-sum", input=json.dumps({**case, "limit": 2}).encode(), code=1)
        fault = json.loads(out)["fault"]
        self.assertEqual((fault["code"], fault["key"]), ("range", "limit"))
        self.assertIn(fault["text"], err)
        out, _ = self.run_command("compute", "damage-sum", input=b"{", code=1)
        self.assertEqual(json.loads(out)["fault"]["code"], "json")
        out, err = self.run_command("compute", "damages", input=b"{}", code=2)
        self.assertEqual(out, "")
        self.assertIn("'damages' is not a rule", err)
        self.assertIn("rules: ", err)
        for rule in err.split("rules: ")[1].split("\n")[0].split():
            out, _ = self.run_command("compute", rule, "--help")
            self.assertTrue(out.startswith(f"# {rule}\n"), out[:80])

    def test_wrong_usage_is_exit_2_and_says_what(self):
        picture = self.folder / "x.png"
        for arguments, words in (
                (["parse", "text"], "standard input"), (["read"], "which pictures"), (["read", "--fast", "x"], "--fast"),
                (["read", "--repeat", "0", "x"], "repeat"), (["grade"], "which pictures"),
                (["grade", "--fast", "x"], "--fast"), (["label"], "TEMPLATE"),
                (["label", "place", "--field", "place=A01", "-o", picture], "--dpi"),
                (["label", "place", "--field", "place=A01", "--dpi", "20", "-o", picture], "100 to 1200"),
                (["label", "place", "--field", "A01", "--dpi", "203", "-o", picture], "NAME=VALUE"),
                (["label", "place", "--field", "place=A01", "--dpi", "203", "-o", self.folder / "x.gif"], ".png"),
                (["verify"], "which ledger"), (["export", "a", "b"], "which ledger"), (["import"], "which ledger"),
                (["backup"], "the one file"), (["backup", "a", "b"], "the one file"), (["restore"], "the one backup"),
                (["backup", "--ledger"], "--ledger wants a word"), (["backup", "--fast", "a"], "--fast"),
                (["restore", "--forget", "all", "a"], "--forget"), (["restore", "a", "b", "c"], "one word too many"),
                (["backup", "--config", "a", "--ledger", "b", "c"], "either"), (["verify", "a", "--head", "9"], "NUMBER:HASH"),
                (["serve", "--fast"], "--fast"), (["eye", "x"], "no arguments")):
            out, err = self.run_command(*arguments, code=2)
            self.assertEqual(out, "")
            self.assertIn(words, err.splitlines()[0], arguments)
            self.assertIn(f"usage: ambershelf {arguments[0]}", err)
        self.assertFalse(picture.exists())

    def test_parse_says_what_a_scan_says(self):
        cases = (
            (bytes.fromhex(WORKED["P1"][2]), {"kind": "unit", "serial": "V0001236", "lot": "RS24117B",
                                              "filled": "2026-02-14", "expires": "2026-08-14"}),
            (bytes.fromhex(WORKED["P2"][2]), {"kind": "unit", "serial": "C004217T", "lot": "L24117",
                                              "filled": "2026-01-31", "expires": "2027-01-31", "content": 1000,
                                              "content_unit": "ML"}),
            (bytes.fromhex(WORKED["P3"][2]), {"kind": "place", "place": "A03-12"}),
            (labels.card("250ML"), {"kind": "card", "card": "250ML"}),
            # GS1 Syntax Engine, element strings with FNC1 as GS
            (labels.supplier("(01)09506000134352(11)260131(17)270131(10)L24117(21)C004217T"),
             {"kind": "supplier", "item": "09506000134352", "item_is_gtin": True, "lot": "L24117",
              "serial": "C004217T", "made": "2026-01-31", "expires": "2027-01-31", "day_was_00": False}),
            (b"(01)09506000134352(10)LOT2407(17)270200(21)V000123",  # as typed
             {"kind": "supplier", "item": "09506000134352", "item_is_gtin": True, "lot": "LOT2407",
              "serial": "V000123", "expires": "2027-02-28", "day_was_00": True}),
        )
        for code, fields in cases:
            out, _ = self.run_command("parse", input=code)
            self.assertEqual(json.loads(out), fields, code)

    def test_parse_refuses_with_a_sentence(self):
        for code, word in ((b"", "empty"), (b"]d20109506000134353", "check digit"), (b"x" * 5000, "4096"),
                           (b"[)>\x1e06\x1dSC0042", "cut"), (b"\xff\x00", "no text")):
            out, err = self.run_command("parse", input=code, code=1)
            self.assertEqual(out, "")
            self.assert_sentence(err, word)

    def test_label_draws_the_worked_payloads_and_read_gives_their_bytes(self):
        for name, (_, _, hex_bytes, size) in WORKED.items():
            path = self.draw(name)
            [[(code, symbol)]] = labels.ambershelf_read(path)
            self.assertEqual(code.hex().upper(), hex_bytes, name)
            self.assertEqual((symbol["rows"], symbol["columns"], symbol["symbology"], symbol["corrected"]),
                             (size, size, "]d1", 0), name)
            large = labels.picture(path, self.folder / f"{name}-large.png", scale=300)
            for reader, read in labels.OUTSIDE_READERS.items():
                self.assertEqual(read(large), code, f"{reader} on {name}")

    def test_the_three_forms_of_a_label_say_the_same(self):
        png, pwg = self.draw("P2"), self.draw("P2", self.folder / "P2.pwg")
        page = labels.pwg_page(pwg)
        self.assertEqual((page[0], page[1], page[3]), (400, 200, 203))
        flat = labels.pgm(page, self.folder / "P2.pgm")
        compared = processes.run(["compare", "-metric", "AE", png, flat, "null:"])
        self.assertEqual(compared.stderr.split()[0], b"0", "dots that differ between PNG and PWG")
        pdf = self.draw("P2", self.folder / "P2.pdf")
        self.assertEqual(pdf.read_bytes()[:5], b"%PDF-")

    def test_a_label_that_cannot_be_right_is_not_drawn(self):
        path = self.folder / "x.png"
        for fields, words in (({"serial": "C004217X"}, ["serial", "C004217X"]), ({}, ["serial", "missing"]),
                              ({"serial": "C004217T", "expires": "2026-02-30"}, ["expires", "2026-02"]),
                              ({"serial": "C004217T", "lot": "a b"}, ["lot"]),
                              ({"serial": "C004217T", "colour": "red"}, ["colour"])):
            arguments = [word for field, value in fields.items() for word in ("--field", f"{field}={value}")]
            _, err = self.run_command("label", "cartridge", *arguments, "--dpi", 203, "-o", path, code=1)
            self.assert_sentence(err, *words)
            self.assertFalse(path.exists(), "no half label lies about")
        _, err = self.run_command("label", "poster", "--field", "serial=C004217T", "--dpi", 203, "-o", path, code=1)
        self.assert_sentence(err, "poster")

    def test_a_broken_picture_among_good_ones_is_one_line_and_the_next_goes_on(self):
        good, broken, last = self.draw("P1"), self.folder / "broken.png", self.draw("P3")
        broken.write_bytes(good.read_bytes()[:200])
        missing = self.folder / "missing.png"
        for way in ("arguments", "standard input"):
            names = [good, broken, missing, last]
            if way == "arguments":
                out, err = self.run_command("read", "--json", *names, code=1)
            else:
                out, err = self.run_command("read", "--json", "-", code=1,
                                            input="".join(f"{name}\n" for name in names).encode())
            lines = [json.loads(line) for line in out.splitlines()]
            self.assertEqual([line["file"] for line in lines], [str(good), str(last)])
            self.assertEqual([line["symbols"][0]["hex"] for line in lines], [WORKED["P1"][2], WORKED["P3"][2]])
            self.assertEqual(sorted(lines[0]), ["cpu_ms", "file", "height", "symbols", "width"])
            self.assertEqual(sorted(lines[0]["symbols"][0]),
                             ["columns", "corners", "corrected", "eci", "hex", "rows", "symbology", "text"])
            complaints = err.splitlines()
            self.assertEqual(len(complaints), 2, err)
            self.assert_sentence(complaints[0], "broken.png")
            self.assert_sentence(complaints[1], "missing.png")
        out, _ = self.run_command("read", last)
        self.assertIn("A03-12", out)

    def test_corners_start_at_the_corner_of_the_l_and_go_round_clockwise(self):
        upright, quarter = self.draw("P3"), self.folder / "quarter.png"
        labels.picture(upright, quarter, turn=90)
        [[(_, one)], [(_, two)]] = labels.ambershelf_read(upright, quarter)
        for symbol, where in ((one, "bottom left"), (two, "top left")):
            xs, ys = zip(*symbol["corners"])
            first = ("bottom" if ys[0] > sum(ys) / 4 else "top") + (" left" if xs[0] < sum(xs) / 4 else " right")
            self.assertEqual(first, where)
            area = sum(x1 * y2 - x2 * y1 for (x1, y1), (x2, y2)
                       in zip(symbol["corners"], symbol["corners"][1:] + symbol["corners"][:1]))
            self.assertGreater(area, 0, "clockwise where y goes down")

    def test_repeat_gives_the_same_symbols(self):
        path = self.draw("P1")
        once, often = (json.loads(self.run_command("read", "--json", "--repeat", n, path)[0]) for n in (1, 9))
        self.assertEqual(once["symbols"], often["symbols"])
        self.assertGreater(often["cpu_ms"], 0)


class Verify(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        kiosk = self.shop.open(demo=True)
        self.unit = next(row["serial"] for row in kiosk.units() if row["kind"] == "cartridge")
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(self.shop)

    def assert_found(self, *words):
        code, said = self.shop.verify()
        self.assertEqual(code, 1, said)
        self.assert_sentence(said, *words)

    def test_a_row_changed_behind_the_kiosk_is_found(self):
        self.shop.ledger.spoil(f"UPDATE unit SET amount_ul = amount_ul + 1000 WHERE serial = '{self.unit}'")
        self.assert_found(self.unit)

    def test_a_movement_changed_behind_the_kiosk_is_found(self):
        self.shop.ledger.spoil("UPDATE movement SET lot = 'OTHER' WHERE seq = (SELECT MAX(seq) FROM movement "
                               "WHERE kind = 'take-on' AND lot IS NOT NULL)")
        [[seq]] = self.shop.ledger.rows("SELECT MAX(seq) FROM movement WHERE lot = 'OTHER'")
        self.assert_found(seq)

    def test_a_row_or_a_movement_that_vanished_is_found(self):
        self.shop.ledger.spoil("DELETE FROM movement WHERE seq = (SELECT MAX(seq) FROM movement)")
        [[seq]] = self.shop.ledger.rows("SELECT MAX(seq) + 1 FROM movement")
        self.assert_found(seq)

    def test_a_changed_name_is_found(self):
        self.shop.ledger.spoil("UPDATE erasable_text SET value = 'Mallory' WHERE id = (SELECT MIN(id) FROM "
                               "erasable_text)")
        self.assert_found("text")

    def test_what_is_no_ledger_is_said(self):
        other = self.shop.folder / "notes.txt"
        other.write_text("no ledger\n" * 200)
        for path in (other, self.shop.folder / "none.db"):
            done = self.shop.command("verify", path)
            self.assertEqual(done.returncode, 1)
            self.assert_sentence(done.stderr.decode(), path.name)
        self.assertFalse((self.shop.folder / "none.db").exists(), "verify makes no file")

    def test_an_export_that_was_cut_or_changed_is_refused_with_its_line(self):
        exported = self.shop.command("export", self.shop.ledger.address).stdout
        lines = exported.splitlines(keepends=True)
        changed = lines[:]
        at = next(i for i, line in enumerate(lines) if b"take-on" in line)
        changed[at] = changed[at].replace(b"take-on", b"receipt", 1)
        for text, words in ((b"".join(lines[:-1]), ["cut"]), (b"".join(lines[:20]), ["cut"]),
                            (b"".join(changed), [str(at + 1)]), (b"", ["empty"]), (b"no export\n", ["1"])):
            target = room.database.create(self.shop.folder)
            room.cleared(self, target.drop)
            done = self.shop.command("import", target.address, input=text)
            self.assertEqual(done.returncode, 1, text[:60])
            self.assert_sentence(done.stderr.decode(), *words)
            good = self.shop.command("import", target.address, input=exported)
            self.assertEqual(good.returncode, 0, f"nothing stayed of the bad one: {good.stderr}")
