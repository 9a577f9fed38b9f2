"""Where a lot went, asked of the running daemon, beside `ambershelf compute recall` of the same events."""

import json
import urllib.parse

import room


class Tracing(room.RoomTest):
    def trace(self, kiosk, item, lot):
        return kiosk.get(f"/api/tracing?item={urllib.parse.quote(item)}&lot={urllib.parse.quote(lot)}")

    def test_a_lot_is_traced_into_vats_and_jobs_as_the_rule_says(self):
        shop = self.room()
        kiosk = shop.open()
        maren, tobias = shop.furnish()

        def take_on(content):
            answer = kiosk.act("take-on", {**content, "place": "A01", "labelled": True}, maren)
            self.assertEqual(answer.status, 200, answer)
            return max(row["serial"] for row in kiosk.units() if row["item"] == content["item"])

        def out(units, printer):
            answer = kiosk.act("check-out", {"units": units, "printer": printer, "taken": True}, tobias)
            self.assertEqual(answer.status, 200, answer)
            return next(row["job"]["id"] for row in kiosk.get("/api/printers").body["printers"] if row["code"] == printer)

        def back(units):
            answer = kiosk.act("check-in", {"units": [{"unit": unit} for unit in units], "place": "A01"}, tobias)
            self.assertEqual(answer.status, 200, answer)

        cartridge = take_on({"item": "FLINT", "lot": "FL-7/8", "expires": "2031-12-31", "amount_ml": 1000})
        other = take_on({"item": "FLINT", "lot": "FL-2", "expires": "2031-12-31", "amount_ml": 1000})
        vats = [take_on({"item": "VAT-S"}), take_on({"item": "VAT-S"})]
        jobs = [out([vats[0], cartridge], "CAPSTAN")]
        back([vats[0], cartridge])
        jobs.append(out([vats[0], other], "CAPSTAN"))
        back([vats[0], other])
        jobs.append(out([vats[1], other], "CAPSTAN"))
        back([vats[1], other])

        found = self.trace(kiosk, "FLINT", "FL-7/8").body
        self.assertEqual([row["serial"] for row in found["units"]], [cartridge, vats[0]])
        self.assertEqual([row["id"] for row in found["jobs"]], jobs[:2])
        self.assertEqual((found["unit_count"], found["job_count"], found["to_hold"]), (2, 2, 2))
        self.assert_sentence(found["sentence"], "FL-7/8", "2 things", "2 jobs")
        self.assertTrue(all(row["since"] for row in found["units"]))
        self.assertEqual(found["jobs"][0]["printer"], "CAPSTAN")

        def use(source, job):
            return {"act": "use", "from": source, "job": job, "quantity_ml": 1}
        case = {"lot": "FL-7/8", "lots": [{"id": "FL-7/8", "expires": "2031-12-31"}, {"id": "FL-2", "expires": "2031-12-31"}],
                "containers": [{"id": cartridge, "contents": [{"lot": "FL-7/8", "quantity_ml": 1000}]},
                               {"id": other, "contents": [{"lot": "FL-2", "quantity_ml": 1000}]},
                               {"id": vats[0], "contents": []}, {"id": vats[1], "contents": []}],
                "events": [{"act": "pour", "from": cartridge, "to": vats[0], "quantity_ml": 100}, use(vats[0], jobs[0]),
                           {"act": "pour", "from": other, "to": vats[0], "quantity_ml": 100}, use(vats[0], jobs[1]),
                           {"act": "pour", "from": other, "to": vats[1], "quantity_ml": 100}, use(vats[1], jobs[2])]}
        rule = json.loads(shop.command("compute", "recall", input=json.dumps(case).encode()).stdout)
        self.assertEqual({row["id"] for row in rule["containers"]}, {row["serial"] for row in found["units"]})
        self.assertEqual({row["id"] for row in rule["jobs"]}, {row["id"] for row in found["jobs"]})

        self.assertEqual(kiosk.act("hold", {"unit": vats[0], "reason": "recall"}, tobias).status, 200)
        self.assertEqual(self.trace(kiosk, "FLINT", "FL-7/8").body["to_hold"], 1)
        nothing = self.trace(kiosk, "FLINT", "L-nobody-knows").body
        self.assertEqual((nothing["unit_count"], nothing["job_count"]), (0, 0))
        self.assert_sentence(nothing["sentence"], "Nothing came in", "L-nobody-knows")
        unknown = self.trace(kiosk, "GRANITE", "FL-2")
        self.assertEqual(unknown.status, 404, unknown)
        self.assert_sentence(unknown["detail"], "GRANITE", "not in the catalogue")
        half = kiosk.get("/api/tracing?item=FLINT")
        self.assertEqual(half.status, 400, half)
        self.assert_sentence(half["detail"], "item= and lot=")
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(shop)

    def test_how_much_of_a_lot_is_where_is_what_the_rule_computes(self):
        shop = self.room()
        kiosk = shop.open()
        maren, tobias = shop.furnish()

        def take_on(content):
            self.assertEqual(kiosk.act("take-on", {**content, "place": "A01", "labelled": True}, maren).status, 200)
            return max(row["serial"] for row in kiosk.units() if row["item"] == content["item"])

        def done(kind, content):
            answer = kiosk.act(kind, content, maren)
            self.assertEqual(answer.status, 200, answer)
            return answer.body

        trained = {"name": "Maren", "role": "storekeeper", "serial": maren, "training": ["pour"]}
        self.assertEqual(kiosk.act("person-entry", trained, maren).status, 200)
        one = take_on({"item": "FLINT", "lot": "FL-1", "expires": "2031-12-31", "amount_ml": 1000})
        two = take_on({"item": "FLINT", "lot": "FL-2", "expires": "2031-12-31", "amount_ml": 1000})
        vat = take_on({"item": "VAT-S"})
        for source, ml in ((one, 300), (two, 100)):
            done("pour", {"from": source, "to": vat, "amount_ml": ml, "confirm": True})
        done("check-out", {"units": [vat], "printer": "CAPSTAN", "taken": True})
        done("job-start", {"printer": "CAPSTAN", "job": "KQ-1042"})
        done("job-end", {"printer": "CAPSTAN", "how": "done", "used_ml": 120})
        found = self.trace(kiosk, "FLINT", "FL-1").body
        rows = {row["serial"]: row for row in found["units"]}
        self.assertEqual((rows[one]["lot_ml"], rows[vat]["lot_ml"], rows[vat]["lot_of_ml"]), (700, 210, 280))
        self.assertAlmostEqual(rows[vat]["lot_share"], 0.75, 12)
        self.assertEqual([(row["job"], row["lot_ml"], row["lot_of_ml"], row["lot_booked"]) for row in found["jobs"]],
                         [("KQ-1042", 90, 120, True)])
        account = found["account"]
        self.assertEqual([account[key] for key in ("received_ml", "corrected_ml", "held_ml", "used_ml", "wasted_ml",
                                                   "unaccounted_ml")], [1000, 0, 910, 90, 0, 0])
        self.assert_sentence(account["sentence"], "all of the 1000 ml", "accounted for")

        case = {"lot": "FL-1", "lots": [{"id": lot, "expires": "2031-12-31"} for lot in ("FL-1", "FL-2")],
                "containers": [{"id": one, "contents": [{"lot": "FL-1", "quantity_ml": 1000}]},
                               {"id": two, "contents": [{"lot": "FL-2", "quantity_ml": 1000}]}, {"id": vat, "contents": []}],
                "events": [{"act": "pour", "from": one, "to": vat, "quantity_ml": 300},
                           {"act": "pour", "from": two, "to": vat, "quantity_ml": 100},
                           {"act": "use", "from": vat, "job": found["jobs"][0]["id"], "quantity_ml": 120}]}
        rule = json.loads(shop.command("compute", "recall", input=json.dumps(case).encode()).stdout)
        for name, ours in (("containers", {row["serial"]: row for row in found["units"]}),
                           ("jobs", {row["id"]: row for row in found["jobs"]})):
            self.assertEqual({row["id"] for row in rule[name]}, set(ours))
            for row in rule[name]:
                self.assertAlmostEqual(row["quantity_ml"], ours[row["id"]]["lot_ml"], 9)
                self.assertAlmostEqual(row["fraction"], ours[row["id"]]["lot_share"], 9)

        done("check-in", {"units": [{"unit": vat, "film": "clear", "amount_unknown": True}], "place": "A01"})
        found = self.trace(kiosk, "FLINT", "FL-1").body
        self.assertIsNone(next(row for row in found["units"] if row["serial"] == vat)["lot_ml"])
        self.assertEqual((found["account"]["held_unknown"], found["account"]["unaccounted_ml"]), (1, 210))
        self.assert_sentence(found["account"]["sentence"], "210 ml of the 1000 ml", "Weigh what is here")
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(shop)
