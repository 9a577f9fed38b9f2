"""The main job, end to end: a delivery becomes labelled units, a vat and a cartridge go out and come back, the stock
follows, and the ledger proves itself. Every scan goes through the serial line; every label is read off the page that
the printer got."""

import json
import re
import shutil

import database
import labels
import processes
import room
import settings
from room import DESK

FLINT_A = "(01)09506000135007(17)270131(10)L24117"           # lot A: seven cartridges, one scan each
CARTON_B = "(02)09506000135007(17)270200(37)5(10)L24-118/B"  # lot B: the code of a carton of five; day 00
FLINT_B = "(01)09506000135007(17)270200(10)L24-118/B"
VAT = "(01)09506000135045(21)W7731"


class MainJob(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_printer=True)
        self.shop.set_clock("2026-02-14T10:00:00Z")
        self.printer = self.printer_of(self.shop)
        self.kiosk = self.shop.open()
        self.turns = settings.chance("turns")
        self.scans = 0

    def scan(self, code, *words):
        """A scan and what the counter must say to it."""
        view = self.kiosk.scan(code)
        self.scans += 1
        for word in words:
            self.assertIn(word, view["title"])
        return view

    def read_pages(self, expected):
        """`expected`: label name -> bytes it must say. Each page is turned and blurred and read by ambershelf, and read
        unturned by the two outside readers. Gives name -> bytes as read off the picture."""
        pictures = {}
        missed = []
        for number, name in enumerate(expected):
            page = labels.pwg_page(self.printer.page_of(name))
            self.assertEqual(page[3], 203)
            self.assertEqual(page[:2], (400, 200))  # 50 x 25 mm at 203 dots an inch, whole dots: 399.6 x 199.8
            plain = labels.pgm(page, self.shop.folder / f"{name}.pgm")
            turn = [7, 90, 181, 268][number] if number < 4 else self.turns.randrange(360)
            pictures[name] = labels.picture(plain, self.shop.folder / f"{name}.png", turn=turn, blur=1.2, scale=200)
            large = labels.picture(plain, self.shop.folder / f"{name}-large.png", scale=300, border=40)
            for reader, read in labels.OUTSIDE_READERS.items():
                got = read(large)
                if got != expected[name]:
                    missed.append(f"{reader} reads {got!r} off {name}, not {expected[name]!r}")
        self.assertEqual(missed, [])
        read = {}
        for name, symbols in zip(pictures, labels.ambershelf_read(*pictures.values())):
            self.assertEqual([code for code, _ in symbols], [expected[name]], f"{name} turned")
            read[name] = symbols[0][0]
        return read

    def enter_room(self):
        """People and rooms; the badges come out of the printer and are read off it."""
        self.maren, self.tobias = self.shop.furnish()
        self.kiosk.wait_all_printed()
        badges = self.read_pages({f"{who}-1": labels.badge(who) for who in (self.maren, self.tobias)})
        self.badge_maren, self.badge_tobias = (badges[f"{who}-1"] for who in (self.maren, self.tobias))

    def receive(self):
        """Badge, delivery, the supplier's codes, YES: thirteen units. Their labels, read off the pages."""
        self.scan(self.badge_maren, "Maren")
        self.scan(labels.supplier(FLINT_A), "new delivery")
        opened = self.kiosk.act("delivery-open", {"supplier": "Kelp & Sons"}, counter=DESK)
        self.assertEqual(opened.status, 200, opened)
        for count in range(1, 8):
            view = self.scan(labels.supplier(FLINT_A), f"Receive {count} ×", "lot L24117")
        self.assertEqual((view["step"], view["proposal"]["expires"]), ("receipt", "2027-01-31"))
        view = self.scan(labels.card("YES"), "Received 7 ×")
        view = self.scan(labels.supplier(CARTON_B), "Receive 5 ×")
        # GS1 General Specifications: day 00 is the last of the month, the flag says that the day was not printed
        self.assertEqual((view["proposal"]["expires"], view["proposal"]["day_was_00"]), ("2027-02-28", True))
        self.scan(labels.card("YES"), "Received 5 ×")
        self.scan(labels.supplier(VAT), "Receive 1 × Small vat")
        self.scan(labels.card("YES"), "Received 1 ×")
        self.kiosk.wait_all_printed()
        units = self.kiosk.units()
        self.assertEqual(len(units), 13)
        self.assertEqual(sorted((unit["item"], unit["lot"]) for unit in units),
                         [("FLINT", "L24-118/B")] * 5 + [("FLINT", "L24117")] * 7 + [("VAT-S", None)])
        self.assertFalse(any(unit["labelled"] for unit in units))
        self.codes = self.read_pages({f"{unit['serial']}-1": labels.unit(unit) for unit in units})
        self.codes = {name[:-2]: code for name, code in self.codes.items()}
        self.vat = next(unit["serial"] for unit in units if unit["kind"] == "vat")
        self.lot_a = [unit["serial"] for unit in units if unit["lot"] == "L24117"]
        self.lot_b = [unit["serial"] for unit in units if unit["lot"] == "L24-118/B"]

    def prove(self):
        """Supplier's code, then our label; a label of the other lot is stopped. Then to the shelves."""
        view = self.scan(self.codes[self.lot_a[0]], "several lots")
        self.assertEqual(view["verdict"], "ask")
        self.scan(labels.supplier(FLINT_A), "7 labels to prove")
        view = self.scan(self.codes[self.lot_b[0]], "is for lot L24-118/B", "L24117")
        self.assertEqual(view["verdict"], "stop")
        self.scan(labels.supplier(VAT), "Scan the label")
        self.scan(self.codes[self.vat], f"{self.vat} is proved")
        self.scan(labels.place("B01"), f"{self.vat} stands at B01")
        for code, lot in ((FLINT_A, self.lot_a), (FLINT_B, self.lot_b)):
            for left, serial in reversed(list(enumerate(lot))):
                self.scan(labels.supplier(code), "Scan the label")
                view = self.scan(self.codes[serial], f"{serial} is proved")
                self.assertEqual(view["verdict"], "go")
        self.scan(labels.place("A01"), "12 things stand at A01")
        prints = self.kiosk.get("/api/prints").body
        waiting = [row["unit"] for rows in prints.values() for row in rows]
        self.assertEqual(waiting, [self.tobias], "only the badge that nobody scanned yet is not proved")
        self.assertTrue(all(unit["labelled"] for unit in self.kiosk.units()))

    def out_and_in(self):
        """A vat in its case to a printer and back with a film card; a cartridge out and back with what is left. A badge
        counts until its group is closed."""
        capstan, first, second = labels.place("CAPSTAN-1"), *self.lot_a[:2]
        self.scan(self.badge_tobias, "Tobias")
        self.scan(self.codes[self.vat], self.vat)
        view = self.scan(capstan, "How much resin will the job on Capstan need?")
        self.assertEqual([reason["code"] for reason in view["reasons"]], ["need-unknown"])
        view = self.scan(labels.card("UNKNOWN"), "Booked", "Capstan")
        self.assertEqual((view["verdict"], view["person"]), ("go", None))
        self.assert_unit(self.vat, status="out", printer="CAPSTAN", holder=self.tobias, place=None)
        self.scan(self.codes[first], first)
        self.scan(capstan, "Scan your badge")
        self.scan(self.badge_tobias, "Booked")
        self.assert_unit(first, status="out", printer="CAPSTAN")
        self.scan(self.badge_tobias, "Tobias")
        self.scan(self.codes[second], second)
        view = self.scan(capstan)  # one slot, one cartridge
        self.assertEqual((view["verdict"], view["reasons"][0]["code"]), ("stop", "no-free-slot"))
        self.scan(labels.card("YES"))  # answers no stop
        self.assert_unit(second, status="in", place="A01")
        self.scan(labels.card("NO"))
        self.shop.set_clock("2026-02-14T13:30:00Z")
        self.scan(self.badge_tobias, "Tobias")
        self.scan(self.codes[self.vat], "how is its film")
        self.scan(labels.card("FILM-CLEAR"), "shelf")
        self.scan(labels.place("B01"), f"{self.vat} is back")
        self.assert_unit(self.vat, status="in", place="B01", printer=None, film="clear", hours=3.5)
        self.scan(self.badge_tobias, "Tobias")
        self.scan(self.codes[first], "coming back")
        self.scan(labels.card("640ML"))
        self.scan(labels.place("A01"), f"{first} is back")
        self.assert_unit(first, status="in", place="A01", amount_ml=640)

    def assert_unit(self, serial, **wanted):
        unit = self.kiosk.unit(serial)
        self.assertEqual({key: unit[key] for key in wanted}, wanted)

    def check_stock(self):
        lines = [(row["item"], row["lot"], row["status"], row["held"], row["labelled"], row["units"], row["amount_ml"],
                  row["amount_unknown"])
                 for row in self.kiosk.get("/api/stock").body["stock"]]
        self.assertEqual(sorted(lines, key=str), sorted([
            ("FLINT", "L24117", "in", False, True, 7, 6640, 0),
            ("FLINT", "L24-118/B", "in", False, True, 5, 5000, 0),
            ("VAT-S", None, "in", False, True, 1, None, 1)], key=str))
        totals = {row["item"]: (row["units"], row["ready"], row["out"], row["held"], row["unproved"], row["expired"])
                  for row in self.kiosk.get("/api/stock?by=item").body["totals"]}
        self.assertEqual(totals, {"FLINT": (12, 12, 0, 0, 0, 0), "VAT-S": (1, 1, 0, 0, 0, 0)})
        for place, serials in (("A01", self.lot_a + self.lot_b), ("B01", [self.vat]), ("NOWHERE", [])):
            units = self.kiosk.get(f"/api/units?place={place}&limit=500").body["units"]
            self.assertEqual(sorted(unit["serial"] for unit in units), sorted(serials), place)
        stored = self.shop.ledger.rows(
            "SELECT item, lot, place, status, COUNT(*), SUM(amount_ul) FROM unit GROUP BY item, lot, place, status "
            "ORDER BY item, COUNT(*)")
        self.assertEqual(stored, [["FLINT", "L24-118/B", "A01", "in", "5", "5000000"],
                                  ["FLINT", "L24117", "A01", "in", "7", "6640000"],
                                  ["VAT-S", "", "B01", "in", "1", ""]])
        questions = self.kiosk.get("/api/questions").body["questions"]
        self.assertEqual(questions, [])

    def check_transport(self):
        """Export, import into empty ledgers of both engines: the same head hash, and the same export again."""
        self.assert_clean(self.shop)
        exported = self.shop.command("export", self.shop.ledger.address)
        self.assertEqual(exported.returncode, 0, exported.stderr)
        header = json.loads(exported.stdout.splitlines()[0])
        seq, head = self.shop.ledger.rows(self.head_query())[0]
        self.assertIn(head.lower(), json.dumps(header).lower())
        engines = ["sqlite"]
        if settings.ENGINE == "postgresql" or shutil.which("psql"):
            engines.append("postgresql")
        for engine in engines:
            target = database.create(self.shop.folder, engine)
            room.cleared(self, target.drop)
            imported = self.shop.command("import", target.address, input=exported.stdout)
            self.assertEqual(imported.returncode, 0, imported.stderr)
            self.assertIn(f"{seq} movements", imported.stdout.decode())
            self.assertEqual(target.rows(self.head_query(engine)), [[seq, head]], engine)
            checked = self.shop.command("verify", target.address)
            self.assertEqual(checked.returncode, 0, checked.stderr)
            again = self.shop.command("export", target.address)
            self.assertEqual(again.stdout, exported.stdout, f"the export of the import into {engine}")
            refused = self.shop.command("import", target.address, input=exported.stdout)
            self.assertEqual(refused.returncode, 1)
            self.assert_sentence(refused.stderr.decode(), "empty")

    @staticmethod
    def head_query(engine=None):
        if (engine or settings.ENGINE) == "postgresql":
            return "SELECT seq, upper(encode(hash, 'hex')) FROM ledger_head"
        return "SELECT seq, hex(hash) FROM ledger_head"

    def test_a_delivery_becomes_labelled_units_and_a_vat_and_a_cartridge_go_out_and_come_back(self):
        self.enter_room()
        self.receive()
        self.prove()
        self.assertLess(self.scans, 80 * 13 / 20)  # 20 cartridges in under 80 scans and taps: this room's own aim
        self.out_and_in()
        self.check_stock()
        self.check_transport()
        self.assertEqual(len(self.printer.pages()), 15, "two badges and thirteen units, each once")
        self.assertEqual(self.kiosk.end(), 0)
        self.assert_clean(self.shop)
