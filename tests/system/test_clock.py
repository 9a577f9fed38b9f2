"""Time goes wrong: clocks that are set back, days of 23 and 25 hours, and midnights that come twice or never.

Zones and their changes: the tz database (Debian's tzdata), read here by Python's zoneinfo and in the kiosk by the C
library. Europe/Berlin: 2026-03-29 01:00 UTC on, 2026-10-25 01:00 UTC off. Africa/Cairo changes at midnight: 2026-04-23
22:00 UTC on (no 00:30 on the 24th), 2026-10-29 21:00 UTC off (23:30 comes twice on the 29th)."""

import datetime
import zoneinfo

import labels
import room

BERLIN, CAIRO, ASUNCION = "Europe/Berlin", "Africa/Cairo", "America/Asuncion"
EPOCH = datetime.date(1970, 1, 1)


def day_in(zone, instant):
    """The calendar day there, as the tz database has it."""
    return datetime.datetime.fromisoformat(instant.replace("Z", "+00:00")).astimezone(zoneinfo.ZoneInfo(zone)).date()


class ClockTest(room.RoomTest):
    def opened(self, instant, zone="UTC"):
        self.shop = self.room(with_scanner=False)
        self.shop.zone = zone
        self.shop.set_clock(instant)
        self.kiosk = self.shop.open()
        self.maren, self.tobias = self.shop.furnish()
        return self.kiosk

    def done(self, act, content, person=None, **more):
        if act == "release":
            more["approval"] = {"person": self.shop.approver, "pin": self.shop.pin}
        answer = self.kiosk.act(act, content, person or self.maren, **more)
        self.assertEqual(answer.status, 200, answer)
        return answer.body

    def take_on(self, item, place, **content):
        self.done("take-on", {"item": item, "place": place, "labelled": True, **content})
        return max(row["serial"] for row in self.kiosk.units() if row["item"] == item)

    def cartridge(self, expires):
        return self.take_on("FLINT", "A01", lot="L1", expires=expires, amount_ml=1000)

    def verdict(self, serial):
        """What the counter says when the thing is to go to the printer: a check-out that is not confirmed."""
        answer = self.kiosk.act("check-out", {"units": [serial], "printer": "CAPSTAN"}, self.tobias)
        self.assertEqual(answer.status, 200, answer)
        if answer.body["booked"]:
            self.done("check-in", {"units": [{"unit": serial, "amount_ml": 1000}], "place": "A01"})
        return answer.body

    def last(self, columns, where="1 = 1"):
        return self.shop.ledger.rows(f"SELECT {columns} FROM movement WHERE {where} ORDER BY seq DESC LIMIT 1")[0]


class SetBack(ClockTest):
    def test_a_clock_set_back_under_a_running_kiosk_asks_until_a_storekeeper_confirms_it(self):
        for back in ("2026-02-14T09:00:00Z", "2026-02-13T10:00:00Z"):  # an hour, a day
            kiosk = self.opened("2026-02-14T10:00:00Z")
            unit = self.cartridge("2026-12-31")
            self.assertEqual(self.verdict(unit)["verdict"], "go")
            self.shop.set_clock(back)  # it still calls itself synchronised
            self.done("hold", {"unit": unit, "reason": "dropped"})
            self.done("release", {"unit": unit})
            self.assertFalse(kiosk.get("/health").body["clock_trusted"])
            self.assert_sentence([line for line in self.shop.log_text().splitlines() if "went back" in line][-1],
                                 "2026-02-14T10:00:00", back[:19], "storekeeper confirm")
            view = self.verdict(unit)
            self.assertEqual((view["verdict"], [reason["code"] for reason in view["reasons"]]), ("ask", ["clock"]))
            self.assert_sentence(view["reasons"][0]["sentence"], "2026-12-31")
            self.assertEqual(self.last("kind, trusted"), ["release", "0"])
            self.done("clock-confirm", {})
            self.assertTrue(kiosk.get("/health").body["clock_trusted"])
            self.assertEqual(self.verdict(unit)["verdict"], "go")
            walls = [int(row[0]) for row in self.shop.ledger.rows("SELECT at_ms FROM movement ORDER BY seq")]
            self.assertNotEqual(walls, sorted(walls), "order is the number, and the wall went back")
            numbers = [movement["seq"] for movement in kiosk.unit(unit)["history"]]
            self.assertEqual(numbers, sorted(numbers))
            self.assertEqual(kiosk.end(), 0)
            self.assert_clean(self.shop)

    def test_a_clock_that_is_corrected_by_seconds_is_trusted(self):
        kiosk = self.opened("2026-02-14T10:00:00Z")
        self.shop.set_clock("2026-02-14T09:59:30Z")
        self.cartridge("2026-12-31")
        self.assertTrue(kiosk.get("/health").body["clock_trusted"])

    def test_a_clock_set_back_over_night_asks(self):
        for back in ("2026-02-14T09:00:00Z", "2026-02-13T10:00:00Z"):
            kiosk = self.opened("2026-02-14T10:00:00Z")
            unit = self.cartridge("2026-12-31")
            self.assertEqual(kiosk.end(), 0)
            self.shop.set_clock(back)
            self.kiosk = self.shop.open()
            self.assertFalse(self.kiosk.get("/health").body["clock_trusted"])
            self.assertEqual(self.verdict(unit)["verdict"], "ask")
            self.assertEqual(self.kiosk.end(), 0)
            self.assert_clean(self.shop)


class DaylightSaving(ClockTest):
    def test_local_days_are_right_around_each_change(self):
        for zone, instants in (
                (BERLIN, ("2026-03-28T22:59:59Z", "2026-03-28T23:00:00Z", "2026-03-29T00:59:59Z", "2026-03-29T01:00:00Z",
                          "2026-03-29T21:59:59Z", "2026-03-29T22:00:00Z")),
                (BERLIN, ("2026-10-24T21:59:59Z", "2026-10-24T22:00:00Z", "2026-10-25T00:30:00Z", "2026-10-25T01:30:00Z",
                          "2026-10-25T22:59:59Z", "2026-10-25T23:00:00Z")),
                (CAIRO, ("2026-04-23T21:59:59Z", "2026-04-23T22:00:00Z", "2026-04-24T20:59:59Z", "2026-04-24T21:00:00Z")),
                (CAIRO, ("2026-10-28T20:59:59Z", "2026-10-28T21:00:00Z", "2026-10-29T20:59:59Z", "2026-10-29T21:00:00Z",
                         "2026-10-29T21:59:59Z", "2026-10-29T22:00:00Z")),
                (ASUNCION, ("2024-03-24T02:59:59Z", "2024-03-24T03:00:00Z", "2024-03-24T03:59:59Z",
                            "2024-03-24T04:00:00Z", "2024-10-06T03:59:59Z", "2024-10-06T04:00:00Z"))):
            kiosk = self.opened("2024-01-01T12:00:00Z", zone)
            unit = self.cartridge("2031-12-31")
            for count, instant in enumerate(instants):
                self.shop.set_clock(instant)
                self.done("put-away", {"unit": unit, "place": ("A01", "B01")[count % 2]})
                expected = day_in(zone, instant)
                self.assertEqual(int(self.last("local_day")[0]), (expected - EPOCH).days, (zone, instant))
                view = kiosk.get("/api/counters/desk").body
                self.assertEqual(view["today"], expected.isoformat(), (zone, instant))
            self.assertEqual(kiosk.end(), 0)
            self.assert_clean(self.shop)

    def test_hours_of_a_vat_that_is_out_over_a_change_are_those_that_passed(self):
        for zone, out, back, hours, by_the_wall in (
                (BERLIN, "2026-03-29T00:00:00Z", "2026-03-29T02:00:00Z", 2, 3),  # 01:00 to 04:00 on the wall
                (BERLIN, "2026-10-24T23:00:00Z", "2026-10-25T03:00:00Z", 4, 3),  # 01:00 to 04:00
                (CAIRO, "2026-04-23T21:00:00Z", "2026-04-23T23:00:00Z", 2, 3),   # 23:00 to 02:00 of the next day
                (CAIRO, "2026-10-29T20:00:00Z", "2026-10-29T23:00:00Z", 3, 2)):  # 23:00 to 01:00
            place = zoneinfo.ZoneInfo(zone)
            walls = [datetime.datetime.fromisoformat(at.replace("Z", "+00:00")).astimezone(place).replace(tzinfo=None)
                     for at in (out, back)]
            self.assertEqual((walls[1] - walls[0]).total_seconds(), by_the_wall * 3600, "else the case proves nothing")
            kiosk = self.opened("2026-01-05T10:00:00Z", zone)
            vat = self.take_on("VAT-S", "B01", hours=10, film="clear")
            self.shop.set_clock(out)
            self.done("check-out", {"units": [vat], "printer": "CAPSTAN", "confirm": True}, self.tobias)
            self.assertEqual(kiosk.unit(vat)["status"], "out")
            self.shop.set_clock(back)
            self.done("check-in", {"units": [{"unit": vat, "film": "clear", "amount_unknown": True}], "place": "B01"},
                      self.tobias)
            self.assertEqual(self.last("minutes", "kind = 'check-in'"), [str(hours * 60)], (zone, out))
            self.assertEqual(kiosk.unit(vat)["hours"], 10 + hours)
            self.assertEqual(kiosk.end(), 0)
            self.assert_clean(self.shop)

    def test_a_use_by_date_counts_calendar_days_of_the_shop(self):
        """The last usable day is the day of the change itself: of 25 hours, of 23, and with 23:30 twice."""
        for zone, expires, last_minute, over in (
                (BERLIN, "2026-10-25", "2026-10-25T22:59:00Z", "2026-10-25T23:01:00Z"),
                (BERLIN, "2026-03-29", "2026-03-29T21:59:00Z", "2026-03-29T22:01:00Z"),
                (CAIRO, "2026-10-29", "2026-10-29T21:59:00Z", "2026-10-29T22:01:00Z"),
                (CAIRO, "2026-04-23", "2026-04-23T21:59:00Z", "2026-04-23T22:01:00Z")):
            self.opened("2026-01-05T10:00:00Z", zone)
            unit = self.cartridge(expires)
            self.shop.set_clock(last_minute)
            good = self.verdict(unit)
            self.assertNotEqual(good["verdict"], "stop", (zone, expires, good["title"], good["reasons"]))
            self.shop.set_clock(over)
            spent = self.verdict(unit)
            self.assertEqual(spent["verdict"], "stop", (zone, expires, spent["title"]))
            self.assertIn("expired", [reason["code"] for reason in spent["reasons"]])
            self.assertEqual(self.kiosk.end(), 0)

    def test_days_left_do_not_depend_on_how_long_the_days_between_are(self):
        kiosk = self.opened("2026-03-20T10:00:00Z", BERLIN)
        self.done("item-entry", {"code": "FLINT", "letter": "C", "name": "Flint cartridge", "resin": "Flint",
                                 "revision": "2", "gtin": "09506000135007", "content_ml": 1000, "minimum_days": 30})
        for day, held in (("2026-04-19", None), ("2026-04-18", "short-dated")):  # 30 and 29 calendar days
            self.done("delivery-open", {"supplier": "Gannet Supply"}, counter="desk")
            delivery = kiosk.get("/api/counters/desk").body["delivery"]["id"]
            self.shop.set_clock("2026-03-20T22:59:00Z")  # a minute before midnight there
            self.done("receive", {"delivery": delivery, "item": "FLINT", "lot": "S" + day[-2:], "expires": day,
                                  "quantity": 1})
            unit = next(row for row in kiosk.units() if row["lot"] == "S" + day[-2:])
            self.assertEqual(unit["hold"], held, day)
            self.done("delivery-close", {"delivery": delivery}, counter="desk")
