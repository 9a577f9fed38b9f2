"""Label templates over HTTP: what there is, how a text would look, the shop's own saved, printed and given back. Whether a
picture is right is said by three readers, two of them not ours."""

import concurrent.futures
import json
import struct
import zlib

import labels
import room

# the serial is of the range that the demo keeps for itself
VAT = {"serial": "V900101Y", "item": "VAT-S", "lot": "FL-2207", "filled": "2026-02-14", "expires": "2027-08-31"}
SAID = labels.envelope("SV900101Y", "PVAT-S", "1TFL-2207", "16D20260214", "14D20270831")


def png_chunks(data):
    """Chunks of a PNG (ISO/IEC 15948 section 5.3), each with its check value looked at."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n", data[:8]
    at, found = 8, {}
    while at < len(data):
        length, kind = struct.unpack_from(">I4s", data, at)
        body = data[at + 8:at + 8 + length]
        assert struct.unpack_from(">I", data, at + 8 + length)[0] == zlib.crc32(kind + body), kind
        found.setdefault(kind, body)
        at += 12 + length
    return found


class Templates(room.RoomTest):
    def opened(self, demo=True, with_printer=False, own="templates", **extra):
        self.shop = self.room(with_scanner=False, with_printer=with_printer)
        if with_printer:
            self.printer_of(self.shop)
        self.own = self.shop.folder / own
        self.kiosk = self.shop.open(demo=demo, labels=[f"own-templates = {self.own}"] if own else [], **extra)
        return self.kiosk

    def get(self, name):
        answer = self.kiosk.get(f"/api/templates/{name}")
        self.assertEqual(answer.status, 200, answer)
        return answer.body

    def preview(self, text, fields, dpi=300):
        """The picture of a text, as a file; or the answer that is none."""
        body = json.dumps({"text": text, "fields": fields, "dpi": dpi, "name": "vat-case"})
        answer = self.kiosk.request("POST", "/api/templates/preview", body, "application/json")
        if answer.status != 200:
            return answer
        self.assertEqual(answer.headers["Content-Type"], "image/png")
        path = self.shop.folder / "preview.png"
        path.write_bytes(answer.bytes)
        return path

    def put(self, name, text, seen):
        return self.kiosk.request("PUT", f"/api/templates/{name}", json.dumps({"text": text, "seen": seen}),
                                  "application/json")

    def refused(self, answer, status, *words):
        self.assertEqual(answer.status, status, answer)
        self.assert_sentence(answer["detail"], *words)
        return answer.body

    # ---- looking ----

    def test_the_list_says_what_each_label_is_and_asks_for(self):
        self.opened()
        self.own.mkdir()
        (self.own / "vat.label").write_text("label 50 x 25\nmargn 1\n")
        (self.own / "ours-only.label").write_bytes("label 50 x 25\n# Größe\n".encode("latin-1"))
        answer = self.kiosk.get("/api/templates").body
        rows = {row["name"]: row for row in answer["templates"]}
        self.assertEqual(list(rows), sorted(rows))
        case = rows["vat-case"]
        self.assertEqual((case["width_mm"], case["height_mm"], case["own"], case["shipped"]), (50, 25, False, True))
        self.assertEqual(case["needs"], ["serial"])
        self.assertTrue({"item", "lot", "expires", "sample"} <= set(case["takes"]))
        self.assertIn("Never on the film", case["where"])
        self.assertNotIn("trouble", case)
        self.assertTrue(answer["may_save"] and answer["demo"])
        self.assertEqual((rows["vat"]["own"], rows["vat"]["line"]), (True, 2))
        self.assert_sentence(rows["vat"]["trouble"], "template 'vat' line 2", "'margn' is not known")
        self.assert_sentence(self.get("ours-only")["trouble"], "not UTF-8")
        self.assertIsNone(self.get("ours-only")["text"], "bytes that are no text are not shown as one")

    def test_the_picture_of_where_to_stick_it_lies_beside_the_template(self):
        self.shop = self.room(with_scanner=False)
        folder = self.shop.folder / "shipped"
        folder.mkdir()
        (folder / "card.label").write_text("label 50 x 25\ntext at 1 1 room 48 x 5 letters 2 \"x\"\n")
        (folder / "vat.label").write_text("label 50 x 25\ntext at 1 1 room 48 x 5 letters 2 \"x\"\n")
        (folder / "card-100x50.label").write_text("label 100 x 50\ntext at 1 1 room 48 x 5 letters 2 \"x\"\n")
        (folder / "card.svg").write_text("<svg xmlns='http://www.w3.org/2000/svg'/>")
        self.kiosk = self.shop.open(labels=[f"templates = {folder}"])
        self.assertEqual([(row["name"], row["picture"]) for row in self.kiosk.get("/api/templates")["templates"]],
                         [("card", "card"), ("card-100x50", "card"), ("vat", None)])
        answer = self.kiosk.get("/api/templates/pictures/card.svg")
        self.assertEqual((answer.status, answer.headers["Content-Type"]), (200, "image/svg+xml"))
        self.refused(self.kiosk.get("/api/templates/pictures/vat.svg"), 404, "vat.svg")

    def test_a_preview_is_the_label_in_its_dots_and_three_readers_read_it(self):
        self.opened()
        text = self.get("vat-case")["text"]
        for dpi, width, height in ((203, 400, 200), (300, 591, 295), (600, 1181, 591)):  # 50 x 25 mm, to the nearest dot
            picture = self.preview(text, VAT, dpi)
            chunks = png_chunks(picture.read_bytes())
            self.assertEqual(struct.unpack(">IIBB", chunks[b"IHDR"][:10]), (width, height, 1, 0), "1-bit grey")
            across, down, unit = struct.unpack(">IIB", chunks[b"pHYs"])
            self.assertEqual((across, down, unit), (round(dpi / 0.0254), round(dpi / 0.0254), 1), "dots a metre")
            large = labels.picture(picture, self.shop.folder / "large.png", scale=200, border=40)
            [[(code, _)]] = labels.ambershelf_read(large)
            self.assertEqual(code, SAID)
            others = {name: read(large) for name, read in labels.OUTSIDE_READERS.items()}
            self.assertTrue(any(SAID in said for said in others.values()), f"{dpi} dpi: {others}")
        self.assertEqual(labels.dmtx_read(large), SAID)

    def test_a_demo_marks_every_picture_as_a_sample_and_refuses_a_text_without_room_for_it(self):
        self.opened()
        text = self.get("vat-case")["text"]
        marked = self.preview(text, VAT).read_bytes()
        self.assertEqual(self.preview(text, {**VAT, "sample": ""}).read_bytes(), marked)
        self.assertEqual(self.preview(text, {**VAT, "sample": "SAMPLE"}).read_bytes(), marked)
        self.assertNotEqual(self.preview(text, {**VAT, "sample": "TRIAL"}).read_bytes(), marked)
        self.refused(self.preview("label 50 x 25\ntext at 1 1 room 48 x 5 letters 2 \"x\"\n", {}), 422, "'sample'")

    def test_a_real_room_marks_only_what_is_asked_to_be_a_sample(self):
        self.opened(demo=False)
        self.assertFalse(self.kiosk.get("/api/templates")["demo"])
        text = self.get("vat-case")["text"]
        self.assertNotEqual(self.preview(text, VAT).read_bytes(), self.preview(text, {**VAT, "sample": "SAMPLE"}).read_bytes())

    def test_what_cannot_be_drawn_gets_its_sentence_with_the_line(self):
        self.opened()
        text = self.get("vat-case")["text"]
        told = self.refused(self.preview(text.replace("margin 1", "margn 1"), VAT), 422, "line 3", "'margn' is not known")
        self.assertEqual((told["line"], told["code"]), (3, "input"))
        told = self.refused(self.preview(text.replace("margin 1", "margin\x07 1"), VAT), 422, "0x07")
        self.assertEqual((told["line"], told["column"]), (3, 7))
        told = self.refused(self.preview(text, {**VAT, "resin": "W" * 60}), 422, "field 'resin'", "shorten it")
        self.assertNotIn("line", told)
        self.refused(self.preview(text, {"serial": "V9001010"}), 422, "serial")
        self.refused(self.preview(text, {**VAT, "colour": "grey"}), 422, "'colour' is not known")
        self.refused(self.preview("", {}), 422, "without a single element")
        self.refused(self.preview("#" * 32769, {}), 422, "32768")
        for body, words in (
                ({"fields": {}}, "'text'"), ({"text": 7}, "'text'"), ({"text": "", "dpi": 5000}, "'dpi'"),
                ({"text": "", "dpi": "203"}, "'dpi'"), ({"text": "", "fields": []}, "'fields'"),
                ({"text": "", "fields": {"lot": 7}}, "'lot'"), ({"text": "", "colour": 1}, "'colour'"), ([], "JSON object")):
            self.refused(self.kiosk.post("/api/templates/preview", body), 400, words)
        self.refused(self.kiosk.request("POST", "/api/templates/preview", b"x" * 300000), 413, "larger")

    def test_a_sheet_of_cards_comes_as_a_pdf_of_its_paper(self):
        self.opened()
        # US Letter: 215.9 x 279.4 mm (ANSI/ASME Y14.1, size A) is 792 x 612 points of 1/72 inch
        for name, box in (("card-sheet", "0 0 841.889764 595.275591"), ("card-sheet-279x216", "0 0 792 612")):
            body = json.dumps({"text": self.get(name)["text"], "dpi": 600, "format": "pdf"})
            answer = self.kiosk.request("POST", "/api/templates/preview", body, "application/json")
            self.assertEqual((answer.status, answer.headers["Content-Type"]), (200, "application/pdf"))
            self.assertTrue(answer.bytes.startswith(b"%PDF-"), answer.bytes[:20])
            self.assertIn(f"/MediaBox [ {box} ]".encode(), answer.bytes)
        self.refused(self.kiosk.post("/api/templates/preview", {"text": "label 50 x 25", "format": "gif"}), 400, "'format'")

    def test_many_previews_at_once_are_all_answered_or_told_to_come_back(self):
        self.opened()
        text = self.get("card-sheet")["text"]
        body = json.dumps({"text": text, "dpi": 600})
        with concurrent.futures.ThreadPoolExecutor(40) as pool:
            answers = list(pool.map(lambda _: self.kiosk.request("POST", "/api/templates/preview", body), range(40)))
        statuses = {answer.status for answer in answers}
        self.assertTrue(statuses <= {200, 503}, statuses)
        drawn = [answer for answer in answers if answer.status == 200]
        self.assertGreaterEqual(len(drawn), 16, "what waits is drawn")
        self.assertEqual(len({answer.bytes for answer in drawn}), 1)
        self.assertEqual(self.kiosk.get("/health").status, 200)

    # ---- changing ----

    def test_the_shops_own_is_saved_whole_and_given_back(self):
        self.opened()
        before = self.get("vat-case")
        saved = self.put("vat-case", before["text"] + "# ours\n", before["digest"])
        self.assertEqual(saved.status, 200, saved)
        now = self.get("vat-case")
        self.assertEqual((now["own"], now["shipped"], now["digest"]), (True, True, saved["digest"]))
        self.assertEqual((self.own / "vat-case.label").read_text(), before["text"] + "# ours\n")
        self.refused(self.put("vat-case", before["text"] + "# theirs\n", before["digest"]), 409, "changed by somebody else")
        self.assertEqual(self.put("vat-case", before["text"] + "# theirs\n", now["digest"]).status, 200)
        self.assertEqual((self.own / "vat-case.label~").read_text(), before["text"] + "# ours\n")
        told = self.refused(self.put("vat-case", "label 50\n", now["digest"]), 422, "line 1")
        self.assertEqual(told["line"], 1)
        self.refused(self.kiosk.request("DELETE", "/api/templates/vat-case"), 400, "?seen=")
        self.refused(self.kiosk.request("DELETE", f"/api/templates/vat-case?seen={now['digest']}"), 409)
        digest = self.get("vat-case")["digest"]
        self.assertEqual(self.kiosk.request("DELETE", f"/api/templates/vat-case?seen={digest}").status, 200)
        self.assertEqual(self.get("vat-case"), before)
        self.assertEqual(sorted(file.name for file in self.own.iterdir()), ["vat-case.label~"])
        self.refused(self.kiosk.request("DELETE", f"/api/templates/vat-case?seen={digest}"), 404)

    def test_a_shops_own_label_is_what_comes_out_of_the_printer(self):
        kiosk = self.opened(with_printer=True)
        kiosk.wait_all_printed()
        people = {row["name"]: row["serial"] for row in kiosk.get("/api/people").body["people"]}
        text = "label 50 x 25\nsymbol person at 1 1 room 18 x 18\ntext at 20 1 room 29 x 5 letters 2 \"{sample}\"\n"
        self.assertEqual(self.put("person", text, self.get("person")["digest"]).status, 200)
        self.assertEqual(kiosk.act("reprint", {"unit": people["Ines"]}, people["Ines"]).status, 200)
        kiosk.wait_all_printed()
        page = labels.pwg_page(self.shop.printer.page_of(f"{people['Ines']}-2"))
        width, height, rows, dpi = page
        wanted = self.preview(text, {"serial": people["Ines"]}, dpi)
        drawn = self.shop.folder / "drawn.pgm"
        self.assertEqual(labels.picture(wanted, drawn, border=0), drawn)
        self.assertEqual(struct.unpack(">II", png_chunks(wanted.read_bytes())[b"IHDR"][:8]), (width, height))
        self.assertEqual(drawn.read_bytes()[-width * height:], b"".join(rows), "the preview is what is printed, dot by dot")

    def test_nothing_is_saved_without_a_folder_to_write_or_from_a_strangers_page(self):
        self.opened(own="")
        self.assertFalse(self.kiosk.get("/api/templates")["may_save"])
        case = self.get("vat-case")
        self.refused(self.put("vat-case", case["text"], case["digest"]), 422, "own-templates", "configuration")
        self.kiosk.end()
        self.kiosk = self.shop.open(demo=True, labels=[f"own-templates = {self.shop.folder}/nowhere/own"])
        self.assertEqual(self.get("vat-case")["digest"], case["digest"])
        self.refused(self.put("vat-case", case["text"], case["digest"]), 500, "nowhere/own", "make it")
        for method in ("PUT", "DELETE"):
            answer = self.kiosk.request(method, "/api/templates/vat-case", origin="http://elsewhere.example")
            self.refused(answer, 403, "elsewhere.example")

    def test_no_name_leads_out_of_the_folder(self):
        self.opened()
        for name in ("..%2fvat-case", "%2e%2e", "Vat", "vat_case", "a" * 33, "vat-case.label", "vat-case~", "%00"):
            for answer in (self.kiosk.get(f"/api/templates/{name}"), self.put(name, "label 50 x 25\n", None)):
                self.assertIn(answer.status, (400, 404, 405, 422), f"{name}: {answer}")
        self.assertFalse(self.own.exists())
        self.assertEqual(self.kiosk.get("/api/templates/pictures/vat-case.label").status, 404)
        self.refused(self.kiosk.request("POST", "/api/templates/vat-case", "{}"), 405, "GET, HEAD, PUT, DELETE")
