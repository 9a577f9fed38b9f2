"""Names can be erased: not a byte of them stays in the files."""

import labels
import processes
import room
import settings

NAMES = ["Skua", "Fulmar", "Dunlin", "Garganey"]


class Names(room.RoomTest):
    def people(self, kiosk):
        return {row["serial"]: row for row in kiosk.get("/api/people").body["people"]}

    def test_after_an_erasure_and_an_idle_moment_no_file_holds_the_name(self):
        shop = self.room()
        kiosk = shop.open()
        maren, tobias = shop.furnish()
        badges = [kiosk.act("person-entry", {"name": name, "role": "technician"}, maren).body["serial"] for name in NAMES]
        visitors = [f"Visitor{count:03d}" for count in range(120)]  # enough for pages to be split and filled anew
        leaving = {name: kiosk.act("person-entry", {"name": name, "role": "technician"}, maren).body["serial"]
                   for name in visitors}
        took = [kiosk.act("take-on", {"item": "FLINT", "lot": "L1", "expires": "2031-12-31", "place": "A01",
                                      "amount_ml": 1000, "labelled": True}, maren).status for _ in range(len(NAMES))]
        self.assertEqual(set(took), {200})
        units = [row["serial"] for row in kiosk.units()]
        for badge, unit in zip(badges, units):  # answers and the counter's session hold the name now
            kiosk.scan(labels.badge(badge))
            out = kiosk.act("check-out", {"units": [unit], "printer": "CAPSTAN", "confirm": True}, badge, room.DESK)
            self.assertEqual(out.status, 200, out)
            self.assertEqual(kiosk.unit(unit)["holder"], badge)
            refused = kiosk.act("name-erase", {"person": badge}, maren)
            self.assertEqual((refused.status, refused["code"]), (422, "refused"), refused)
            self.assert_sentence(refused["detail"], "still has", unit)
            back = kiosk.act("check-in", {"units": [{"unit": unit, "amount_ml": 900}], "place": "A01"}, maren)
            self.assertEqual(back.status, 200, back)
            kiosk.scan(labels.badge(badge))
        self.assertTrue(self.is_in_files(shop, NAMES[0]), "else the test looks in the wrong place")
        for badge in badges:
            answer = kiosk.act("name-erase", {"person": badge}, maren)
            self.assertEqual(answer.status, 200, answer)
            self.assertEqual(self.people(kiosk)[badge]["name"], None)
            self.assertEqual(self.people(kiosk)[badge]["role"], "left")
        for name in visitors[:100]:
            self.assertEqual(kiosk.act("name-erase", {"person": leaving[name]}, maren).status, 200)
        if settings.ENGINE == "sqlite":
            processes.wait_until(lambda: not any(self.is_in_files(shop, name) for name in NAMES + visitors[:100]), 15,
                                 "the names to leave the file and its log")
        exported = shop.command("export", shop.ledger.address).stdout.decode()
        for name in NAMES + visitors[:100]:
            self.assertNotIn(name, exported)
            self.assertNotIn(name, shop.log_text())
        self.assertIn("Visitor117", exported)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(shop)

    def is_in_files(self, shop, name):
        if settings.ENGINE != "sqlite":
            return any(name in row[0] for row in shop.ledger.rows("SELECT value FROM erasable_text"))
        files = [file for file in shop.folder.iterdir() if file.name.startswith(shop.ledger.path.name)]
        return any(name.encode() in file.read_bytes() for file in files)
