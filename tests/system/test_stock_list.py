"""A shop's spreadsheet into the ledger: over HTTP with the daemon, killed in the middle and gone on with; on the command
line; and what Python's own csv module writes, in many flavours, read back cell by cell."""

import base64
import concurrent.futures
import csv
import io
import json

import room
import settings

SHEETS = settings.ROOT / "fixtures/stock-lists"
NOW = "2026-03-02T09:00:00Z"


class StockList(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.shop.set_clock(NOW)
        self.kiosk = self.shop.open()
        self.maren, _ = self.shop.furnish()
        for act, content in (
                ("place-entry", {"code": "A02", "kind": "shelf"}),
                ("item-entry", {"code": "OAK", "letter": "C", "name": "Oak cartridge", "resin": "Oak",
                                "gtin": "09506000135014", "content_ml": 1000}),
                ("item-entry", {"code": "CHALK", "letter": "C", "name": "Chalk cartridge", "resin": "Chalk",
                                "gtin": "09506000135038", "content_ml": 1000})):
            self.assertEqual(self.kiosk.act(act, content, self.maren).status, 200)

    def plan(self, sheet, **answers):
        data = sheet if isinstance(sheet, bytes) else (SHEETS / sheet).read_bytes()
        answer = self.kiosk.post("/api/stock-lists", {"file": base64.b64encode(data).decode(), "answers": answers})
        self.assertEqual(answer.status, 200, answer)
        return answer.body

    def refused(self, body, status, *words, kind="application/json"):
        answer = self.kiosk.request("POST", "/api/stock-lists", body, kind)
        self.assertEqual(answer.status, status, answer)
        self.assert_sentence(answer["detail"], *words)

    def assert_says(self, text, *words):
        for word in words:
            self.assertIn(word, text)

    def head(self):
        return self.kiosk.get("/health")["seq"]

    def take_on(self, planned):
        return self.kiosk.act("take-on", planned["content"], self.maren, number=planned["id"])

    # ---- over HTTP ----

    def test_a_whole_room_is_taken_on_once_through_a_kill(self):
        before = self.head()
        self.assertEqual(self.plan("kestrel-320.csv")["open"], 2)
        plan = self.plan("kestrel-320.csv", dates="dmy")
        self.assertTrue(plan["ready"])
        self.assertEqual(self.head(), before, "looking books nothing")
        acts = plan["acts"]
        self.assertEqual(len(acts), 320)
        with concurrent.futures.ThreadPoolExecutor(8) as people:
            answers = list(people.map(self.take_on, acts[:150]))
        self.assertEqual({answer.status for answer in answers}, {200})
        self.kiosk.kill()  # in the middle
        self.kiosk = self.shop.open()
        self.assertEqual(self.plan("kestrel-320.csv", dates="dmy")["booked"], 150)
        with concurrent.futures.ThreadPoolExecutor(8) as people:
            answers = list(people.map(self.take_on, acts))
        self.assertEqual({answer.status for answer in answers}, {200})
        self.assertEqual(sum(bool(answer.body.get("repeated")) for answer in answers), 150)
        units = self.kiosk.units()
        self.assertEqual(len(units), 320)
        ordered = [row[0] for row in self.shop.ledger.rows("SELECT unit FROM print WHERE state = 'waiting'")
                   if row[0] and row[0][0] != "H"]  # the page lists some of so many
        self.assertEqual(sorted(ordered), sorted(unit["serial"] for unit in units), "a label is ordered for each, once")
        self.compare_with_the_sheet(units)
        self.assertIn("Everything of this list is taken on", self.plan("kestrel-320.csv", dates="dmy")["sentence"])
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)

    def compare_with_the_sheet(self, units):
        """Item, lot, use-by date, content and hours of all units, as Python's csv module reads them off the sheet."""
        wanted = []
        with open(SHEETS / "kestrel-320.csv", encoding="utf-8", newline="") as file:
            for row in csv.DictReader(file, delimiter=";"):
                day, month, year = row["Use by"].split(".")
                hours, _, minutes = row["Hours"].partition(":")
                wanted += [(row["Item"], row["Lot"], f"{year}-{month}-{day}",
                            float(row["Content"].removesuffix(" ml").replace(",", ".")),
                            round(int(hours) + int(minutes) / 60, 3) if hours else None,
                            row["Shelf"])] * int(row["Qty"])
        got = [(unit["item"], unit["lot"], unit["expires"], float(unit["amount_ml"]),
                None if unit["hours"] is None else round(unit["hours"], 3), unit["place"]) for unit in units]
        self.assertEqual(sorted(map(str, got)), sorted(map(str, wanted)))

    def test_labels_of_many_units_wait_in_the_printers_queue(self):
        self.kiosk.end()
        self.shop.printer = room.LabelPrinter(self.shop.folder / "printer")
        self.printer_of(self.shop)
        self.kiosk = self.shop.open()
        plan = self.plan("espanol-sep.csv", dates="dmy")
        for planned in plan["acts"]:
            self.assertEqual(self.take_on(planned).status, 200)
        self.kiosk.wait_all_printed()
        for unit in self.kiosk.units():
            self.shop.printer.page_of(f"{unit['serial']}-1")

    def test_what_is_no_stock_list_is_refused_with_a_sentence(self):
        self.refused(None, 400, "base64")
        self.refused(b"{}", 400, "base64")
        self.refused(b'{"file": 3}', 400, "base64")
        self.refused(b'{"file": "*"}', 400, "no base64")
        self.refused(b'{"file": "YQ==", "name": "x"}', 400, "see /api")
        for data, word in ((b"PK\x03\x04", "Save as, CSV"), (b"", "empty"), (b"a;b\0\n", "zero bytes"),
                           (b'a;b\nc;"d\n', "never closed"), (b"a" * (1024 * 1024 + 1), "1024 KiB")):
            self.refused(json.dumps({"file": base64.b64encode(data).decode()}).encode(), 400, word)
        self.refused(b'{"file": "' + b"A" * (3 * 1024 * 1024) + b'"}', 413, "KiB")
        self.refused(json.dumps({"file": base64.b64encode(b"Item;Lot\nFLINT;A\n").decode(),
                                 "answers": {"dates": "dym"}}).encode(), 400, "dym")
        self.assertEqual(self.kiosk.get("/api/stock-lists").status, 405)

    def test_what_pythons_csv_module_writes_reads_back(self):
        chance = settings.chance("stock list")
        letters = ["a", "Z", "7", " ", ",", ";", "\t", '"', "\n", "'", "ü", "é", "ß", "ö", "€", "."]
        flavours = [(separator, end, quoting, encoding, mark)
                    for separator in ";,\t" for end in ("\n", "\r\n", "\r")
                    for quoting in (csv.QUOTE_MINIMAL, csv.QUOTE_ALL, csv.QUOTE_NONNUMERIC)
                    for encoding, mark in (("utf-8", b""), ("utf-8", b"\xef\xbb\xbf"), ("utf-16-le", b"\xff\xfe"),
                                           ("utf-16-be", b"\xfe\xff"), ("cp1252", b""))]
        for separator, end, quoting, encoding, mark in flavours:
            usual = [c for c in letters if c != "\n" or end != "\r"]  # beside CR that module leaves LF without quotes
            notes = ["n" + "".join(chance.choice(usual) for _ in range(chance.randrange(40))) + "ü"
                     for _ in range(12)]
            out = io.StringIO(newline="")
            sheet = csv.writer(out, delimiter=separator, lineterminator=end, quoting=quoting)
            sheet.writerow(["Item", "Lot", "Shelf", "Note"])
            sheet.writerows(["FLINT", f"L-{number}", "A01", note] for number, note in enumerate(notes))
            answers = {"encoding": "windows-1252"} if encoding == "cp1252" else {}
            plan = self.plan(mark + out.getvalue().encode(encoding), **answers)
            got = [line["content"].get("note", line) for line in plan["lines"]]
            want = [note.replace("\n", " ").replace("\t", " ") for note in notes]
            self.assertEqual(got, want, (separator, end, quoting, encoding))
            self.assertTrue(plan["ready"], plan["sentence"])

    # ---- on the command line ----

    def command(self, *arguments, code=0):
        done = self.shop.command("import", "--stock", *arguments)
        self.assertEqual(done.returncode, code, (arguments, done.stdout[-500:], done.stderr))
        self.assertNotIn(b"Sanitizer", done.stderr)
        return done.stdout.decode(), done.stderr.decode()

    def test_the_command_asks_shows_and_books(self):
        self.assertEqual(self.kiosk.end(), 0)
        sheet, ledger = SHEETS / "deutsch-semikolon.csv", self.shop.ledger.address
        clock = self.shop.folder / "import.ini"
        clock.write_text(f"[kiosk]\nclock-file = {self.shop.clock}\n[ledger]\naddress = {ledger}\n")
        before = self.shop.ledger.rows("SELECT seq FROM ledger_head")
        out, err = self.command(sheet, "--config", clock, code=1)
        self.assert_says(out, "QUESTION (encoding)", "windows-1252", "Stück")
        out, err = self.command(sheet, "--encoding", "windows-1252", "--config", clock, code=1)
        self.assert_says(out, "QUESTION (dates expires)", "column 4 'MHD': expires", "Only one order reads them all")
        self.assert_sentence(err, "nothing is booked until all that is settled")
        right = [sheet, "--encoding", "windows-1252", "--dates", "dmy"]
        out, _ = self.command(*right, "--column", "note=", "--config", clock)
        self.assert_says(out, "column 12 'Bemerkung': not used", "6 units of 4 lines can be taken on",
                             "line 4: take-on 1 x VAT-S, lot FL-2207, expires 2027-08-31")
        self.assertEqual(self.shop.ledger.rows("SELECT seq FROM ledger_head"), before, "a dry run books nothing")
        out, _ = self.command(*right, "--person", self.maren, "--book", "--config", clock)
        self.assertIn("6 units are taken on, 0 were before", out)
        out, _ = self.command(*right, "--person", self.maren, "--book", "--config", clock)
        self.assertIn("0 units are taken on, 6 were before", out)
        self.assert_clean(self.shop)
        self.kiosk = self.shop.open()
        self.assertEqual(len(self.kiosk.units()), 6)
        vat = next(unit for unit in self.kiosk.units() if unit["amount_ml"] == 412.5)
        history = self.kiosk.unit(vat["serial"])["history"]
        self.assertEqual(history[0]["note"], "Wanne mit grünem Griff")
        self.assertEqual(history[0]["person"], self.maren)

    def test_faulty_lines_stay_out_only_when_told_and_other_values_are_a_conflict(self):
        self.assertEqual(self.kiosk.end(), 0)
        clock = self.shop.folder / "import.ini"
        clock.write_text(f"[kiosk]\nclock-file = {self.shop.clock}\n[ledger]\naddress = {self.shop.ledger.address}\n")
        sheet = self.shop.folder / "sheet.csv"
        sheet.write_text("Item;Use by;Shelf\nFLINT;03.04.2027;A01\nFLINT;31.02.2027;A01\n")
        out, _ = self.command(sheet, "--dates", "dmy", "--book", "--config", clock, code=1)
        self.assert_says(out, "line 3: FAULT in column 'Use by'", "has day 31", "QUESTION (leave-out)")
        out, _ = self.command(sheet, "--dates", "dmy", "--leave-out", "1", "--book", "--config", clock)
        self.assertIn("1 units are taken on", out)
        _, err = self.command(sheet, "--dates", "mdy", "--leave-out", "1", "--book", "--config", clock, code=1)
        self.assertIn("line 2: it was taken on before with other values", err)
        answers = self.shop.folder / "answers.json"
        answers.write_text('{"dates": {"expires": "dmy"}, "leave_out": 1}')
        out, _ = self.command(sheet, "--answers", answers, "--json", "--config", clock)
        self.assertEqual(json.loads(out)["booked"], 1)
        for arguments, word in ((["--dates", "dym"], "dym"), (["--column", "lot=Charge"], "Charge"),
                                (["--answers", sheet], "no JSON object"), (["--encoding", "ebcdic"], None)):
            _, err = self.command(sheet, *arguments, "--config", clock, code=1)
            self.assert_sentence(err, *([word] if word else []))
        _, err = self.command(self.shop.folder / "none.csv", "--config", clock, code=1)
        self.assert_sentence(err, "none.csv", "cannot be read")
        for arguments in ([sheet], [sheet, "--fast", "x", "l"], [sheet, "--leave-out", "some", "l"], [sheet, "--column", "x", "l"],
                          [sheet, "one", "two"], [sheet, "--dates"]):
            self.command(*arguments, code=2)

    def test_while_the_kiosk_runs_the_command_looks_but_does_not_book(self):
        if settings.ENGINE != "sqlite":
            self.skipTest("several kiosks may write on PostgreSQL")
        arguments = [SHEETS / "espanol-sep.csv", "--dates", "dmy", self.shop.ledger.address]
        out, _ = self.command(*arguments)
        self.assertIn("5 units of 2 lines can be taken on", out)
        _, err = self.command(*arguments, "--book", code=1)
        self.assert_sentence(err, "another kiosk program already works", "use its page")
        self.assertEqual(self.kiosk.units(), [])
