"""Scans that make no sense, through the serial line: each is stopped with a sentence that says what to do, nothing is
booked, and the next scan is as if nothing had been."""

import labels
import processes
import room

OURS = b"[)>\x1e06\x1d"
END = b"\x1e\x04"

# code as the scanner sends it, words that the sentence must have
BAD = {
    "cut inside the serial": (OURS + b"SC0042", ["cut", "scan again"]),
    "cut inside the date": (OURS + b"SC004217T\x1d1TL24117\x1d14D202", ["14D", "scan again"]),
    "cut GTIN": (b"]d201095060001", ["01", "scan"]),
    # GS1 Syntax Dictionary, csum: the check digit of 0950600013435 is 2
    "GTIN with a wrong check digit": (b"]d20109506000134353\x1d10LOT1", ["check digit", "scan again"]),
    # ISO/IEC 7064 MOD 37,36: C004217 has T
    "serial with a wrong check character": (OURS + b"SC004217X" + END, ["C004217X", "check character"]),
    # GS1 Syntax Dictionary, yymmd0: February 2027 has 28 days
    "illegal day of a supplier": (b"]d2010950600013435217270230", ["30", "2027-02"]),
    "illegal day of ours": (OURS + b"SC004217T\x1d14D20260230" + END, ["14D", "2026-02"]),
    "illegal month": (b"]d2010950600013435217271300", ["17", "13"]),
    "two of ours run together": (OURS + b"SC004217T" + END + OURS + b"SC004271F" + END, ["two codes", "one at a time"]),
    "two of a supplier run together": (b"]d20109506000134352\x1d10L1]d20109506000134352\x1d10L1", ["two codes"]),
    # ISO/IEC 15434 through a keyboard that has no key for RS, GS and EOT
    "separators lost by a keyboard wedge": (b"[)>06SC004217T1TL2411716D2026013114D202701317Q1000ML",
                                            ["separators", "set it to serial", "HID POS"]),
    "separators changed by a keyboard wedge": (b"[)>^06]SC004217T]1TL24117^D", ["separators", "set it to serial"]),
    "bytes that are no text": (b"\xff\xfe\x01\x02", ["no text"]),
    "a label of nobody": (b"PALLET 7", ["PALLET 7", "not a label of this room"]),
    "a real room's label in the demo": (OURS + b"SC004217T" + END, ["C004217T", "demo"]),
}


class BadScans(room.RoomTest):
    def setUp(self):
        self.shop = self.room()
        self.kiosk = self.shop.open(demo=True)
        self.kiosk.listen()
        self.unit = next(row for row in self.kiosk.units() if row["lot"] == "KP-4410" and row["kind"] == "cartridge")

    def head(self):
        return self.kiosk.get("/health").body["seq"]

    def assert_still_well(self):
        view = self.kiosk.scan(labels.unit(self.unit))
        self.assertEqual((view["step"], view["verdict"]), ("check-out", "go"), view["title"])
        self.kiosk.scan(labels.card("NO"))

    def test_each_bad_scan_has_a_sentence_and_the_next_scan_is_fine(self):
        before = self.head()
        for name, (code, words) in BAD.items():
            with self.subTest(name):
                view = self.kiosk.scan(code)
                self.assertEqual(view["verdict"], "stop", view["title"])
                self.assert_sentence(view["title"], *words)
                self.assertEqual(len(view["reasons"]), 1)
                self.assertTrue(view["reasons"][0]["next"])
        self.assert_still_well()
        self.assertEqual(self.head(), before, "nothing was booked")
        self.assertTrue(self.kiosk.running())

    def test_a_bad_scan_leaves_what_was_begun_as_it_was(self):
        self.kiosk.scan(labels.unit(self.unit))
        view = self.kiosk.scan(OURS + b"SC0042")
        self.assertEqual((view["step"], [row["serial"] for row in view["units"]]),
                         ("check-out", [self.unit["serial"]]))

    def test_the_same_texts_typed_have_the_same_sentences(self):
        for name, (code, words) in BAD.items():
            if code.isascii():
                answer = self.kiosk.post("/api/scans", {"counter": "page", "text": code.decode(), "source": "typed"})
                self.assertEqual((answer.status, answer["verdict"]), (200, "stop"), name)
                self.assert_sentence(answer["title"], *words)

    def test_a_supplier_code_without_separators_or_identifier_is_asked_about(self):
        """GS1 element strings without FNC1: the date runs into the lot, and nobody can tell (GS1 General
        Specifications, element strings of variable length)."""
        ines = next(row["serial"] for row in self.kiosk.get("/api/people").body["people"] if row["name"] == "Ines")
        self.kiosk.scan(labels.badge(ines))
        self.assertEqual(self.kiosk.act("delivery-open", {"supplier": "Oakum"}, counter=room.DESK).status, 200)
        view = self.kiosk.scan(b"010950600013500710LOT117270228")
        self.assertEqual((view["step"], view["proposal"]["lot"]), ("receipt", "LOT117270228"))
        self.assertEqual(view["verdict"], "ask")
        said = [reason["sentence"] for reason in view["reasons"] if "separators" in reason["sentence"]]
        self.assertEqual(len(said), 1, view["reasons"])
        self.assert_sentence(said[0], "serial", "lot and date")

    def test_five_thousand_bytes_without_an_end_are_thrown_away_with_a_word(self):
        stream, before = self.kiosk.stream, self.head()
        self.shop.scanner.send(b"A" * 5000)
        stream.wait(lambda: any("bytes" in said for said in stream.sentences("hand")), 10, "a sentence of the scanner")
        self.assert_still_well()
        self.assertEqual(self.head(), before)

    def test_a_scan_in_two_halves_within_the_gap_is_one_and_half_a_scan_is_refused(self):
        code = labels.unit(self.unit)
        self.shop.scanner.send(code[:9], b"")
        view = self.kiosk.scan(code[9:])
        self.assertEqual((view["step"], view["units"][0]["serial"]), ("check-out", self.unit["serial"]))
        view = self.kiosk.scan(code[:9], end=b"")  # the gap ends it
        self.assertEqual(view["verdict"], "stop")
        self.assert_sentence(view["title"], "scan again")

    def test_a_scanner_that_is_pulled_out_is_said_and_found_again(self):
        stream = self.kiosk.stream
        self.shop.scanner.send(b"[)>\x1e06", b"")
        self.shop.scanner.pull_out()
        stream.wait(lambda: any("gone" in said for said in stream.sentences("hand")), 10, "a sentence of the scanner")
        self.assert_sentence(next(said for said in stream.sentences("hand") if "gone" in said), "plug it in again")
        self.shop.scanner.plug_in()
        self.shop.scanner.wait_opened(self.kiosk.process.pid)
        stream.wait(lambda: stream.sentences("hand")[-1] == "", 10, "word that the scanner is back")
        self.assert_still_well()

    def test_a_page_that_opens_later_hears_of_a_scanner_that_is_not_there(self):
        self.shop.scanner.pull_out()
        stream = self.kiosk.stream
        stream.wait(lambda: any("gone" in said for said in stream.sentences("hand")), 10, "a sentence of the scanner")
        late = room.web.Stream(self.kiosk.port)
        self.addCleanup(late.close)
        late.wait(lambda: any("not there" in said for said in late.sentences("hand")), 20, "the sentence once more")
