"""A daemon killed outright (SIGKILL) at random moments while clients send acts: no answered act is lost, none is half
there, and sending an act again is always right. Moments come from the run's seed; with --long 500 of them (100 on
PostgreSQL)."""

import http.client
import threading
import time

import room
import settings
import web

KILLS = 10 if not settings.LONG else 500 if settings.ENGINE == "sqlite" else 100
LONGEST_S = 0.25  # a kill comes at any moment up to this long after the clients begin


class Client(threading.Thread):
    """Sends one act after another, noting each before it goes and its answer when it comes. An act without an answer is
    sent again first of all, as docs/api.yaml asks."""

    def __init__(self, plan):
        super().__init__()
        self._plan = plan  # () -> (kind, content, person, movements it books)
        self.acts = []  # [id, kind, content, person, movements, answer or None]
        self.open = None
        self.trouble = None
        self.kiosk = None
        self.since = 0  # the first act of this life of the daemon

    def fresh(self, kiosk):
        """The same client, on the daemon's next life."""
        again = Client(self._plan)
        again.acts, again.open, again.kiosk = self.acts, self.open, kiosk
        again.since = len(self.acts) - (1 if self.open else 0)
        return again

    def run(self):
        while True:
            if not self.open:
                self.open = [web.new_id(), *self._plan(), None]
                self.acts.append(self.open)
            number, kind, content, person, _, _ = self.open
            try:
                answer = web.Web.act(self.kiosk, kind, content, person, number=number)
            except (OSError, http.client.HTTPException):
                return  # killed
            if answer.status == 503:
                continue
            if answer.status != 200:
                self.trouble = f"{kind} {content}: {answer}"
                return
            self.open[5] = answer.body
            self.open = None


def turns(unit, printer, person):
    """Out and in, again and again: two movements each (the job's start or end besides)."""
    state = {"out": False}

    def plan():
        state["out"] = not state["out"]
        if state["out"]:
            return "check-out", {"units": [unit], "printer": printer, "confirm": True}, person, 2
        return "check-in", {"units": [{"unit": unit, "amount_ml": 500}], "place": "A01"}, person, 2
    return plan


def receipts(delivery, person):
    def plan():
        return "receive", {"delivery": delivery, "item": "KELP", "lot": "KP-9", "expires": "2029-01-31",
                           "quantity": 3}, person, 6  # three receipts, three labels ordered
    return plan


class Killed(room.RoomTest):
    def opened(self):
        shop = self.room(with_scanner=False)
        kiosk = shop.open(demo=True)
        people = {row["name"]: row["serial"] for row in kiosk.get("/api/people").body["people"]}
        return shop, kiosk, people

    def clients(self, kiosk, people):
        self.assertEqual(kiosk.act("delivery-open", {"supplier": "Oakum"}, people["Ines"]).status, 200)
        delivery = kiosk.get("/api/deliveries").body["deliveries"][0]["id"]
        usable = {}
        for unit in kiosk.units():
            if unit["kind"] == "cartridge" and unit["lot"] in ("FL-2207", "OK-0931", "CH-0077"):
                usable[unit["item"]] = unit["serial"]
        plans = [turns(usable["FLINT"], "CAPSTAN", people["Tobias"]), turns(usable["OAK"], "SEXTANT", people["Jarl"]),
                 turns(usable["CHALK"], "HALYARD", people["Maren"]), receipts(delivery, people["Ines"])]
        return [Client(plan) for plan in plans], usable

    def check(self, shop, clients):
        """After a restart, before anything is sent again: each act is whole or not there, each answered one is."""
        stored = {row[0]: int(row[1]) for row in shop.ledger.rows("SELECT act, COUNT(*) FROM movement GROUP BY act")}
        acts = {row[0] for row in shop.ledger.rows("SELECT id FROM act")}
        for client in clients:
            for number, kind, _, _, movements, answer in client.acts[client.since:]:
                there = stored.get(number, 0)
                self.assertIn(there, (0, movements), f"{kind} {number} is half there")
                self.assertEqual(number in acts, there == movements, f"{kind} {number}: answer and movements disagree")
                if answer is not None:
                    self.assertEqual(there, movements, f"{kind} {number} was answered and is lost")

    def send_again(self, kiosk, clients):
        for client in clients:
            for number, kind, content, person, _, answer in client.acts[-3:]:
                if answer is None:
                    continue
                again = kiosk.act(kind, content, person, number=number)
                self.assertEqual((again.status, again.body.pop("repeated", None)), (200, True), again)
                self.assertEqual(again.body, {k: v for k, v in answer.items() if k != "repeated"})

    def test_no_answered_act_is_lost_and_none_is_half_there_however_often_the_daemon_is_killed(self):
        shop, kiosk, people = self.opened()
        clients, usable = self.clients(kiosk, people)
        moments = settings.chance("kills")
        for kill in range(KILLS):
            clients = [client.fresh(kiosk) for client in clients]
            for client in clients:
                client.start()
            time.sleep(moments.uniform(0, LONGEST_S))
            kiosk.kill()
            for client in clients:
                client.join(30)
                self.assertIsNone(client.trouble)
            if settings.LONG and kill % 25 == 0:
                self.assert_clean(shop)
            kiosk = shop.open(demo=True)
            self.check(shop, clients)
            self.send_again(kiosk, clients)
        answered = sum(answer is not None for client in clients for *_, answer in client.acts)
        print(f"{KILLS} kills, {answered} acts answered", end=" ... ")
        self.assertGreater(answered, KILLS, "the clients got hardly anything done: the kills proved little")
        for client, item in zip(clients, ("FLINT", "OAK", "CHALK")):
            if client.open:  # finish what was under way, then look where the thing is
                number, kind, content, person, *_ = client.open
                self.assertEqual(kiosk.act(kind, content, person, number=number).status, 200)
            wanted = "out" if client.acts[-1][1] == "check-out" else "in"
            self.assertEqual(kiosk.unit(usable[item])["status"], wanted)
        self.assertEqual(kiosk.end(), 0)
        self.assert_clean(shop)

    def test_an_act_sent_twice_is_done_once_and_the_same_id_with_other_content_is_refused(self):
        shop, kiosk, people = self.opened()
        unit = next(row for row in kiosk.units() if row["kind"] == "cartridge" and row["status"] == "in")
        content, number = {"unit": unit["serial"], "place": "A03"}, web.new_id()
        first = kiosk.act("put-away", content, people["Ines"], number=number)
        self.assertEqual(first.status, 200, first)
        self.assertNotIn("repeated", first.body)
        head = kiosk.get("/health").body["seq"]
        again = kiosk.act("put-away", content, people["Ines"], number=number)
        self.assertEqual((again.status, again.body.pop("repeated", None)), (200, True))
        self.assertEqual(again.body, first.body)
        for other in ({**content, "place": "A01"}, {**content, "unit": "C900001"}):
            refused = kiosk.act("put-away", other, people["Ines"], number=number)
            self.assertEqual((refused.status, refused["code"]), (409, "conflict"), refused)
            self.assert_sentence(refused["detail"], number)
        other_kind = kiosk.act("hold", {"unit": unit["serial"], "reason": "x"}, people["Ines"], number=number)
        self.assertEqual(other_kind.status, 409, other_kind)
        self.assertEqual(kiosk.get("/health").body["seq"], head, "nothing was booked")
        self.assertEqual(kiosk.unit(unit["serial"])["place"], "A03")

    def test_eight_clients_with_one_act_get_one_answer(self):
        shop, kiosk, people = self.opened()
        unit = next(row for row in kiosk.units() if row["kind"] == "cartridge" and row["status"] == "in")
        number, answers = web.new_id(), []

        def send():
            answers.append(web.Web.act(kiosk, "hold", {"unit": unit["serial"], "reason": "dropped"}, people["Ines"],
                                       number=number))
        threads = [threading.Thread(target=send) for _ in range(8)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join(30)
        self.assertEqual([answer.status for answer in answers], [200] * 8)
        self.assertEqual(sorted(answer.body.pop("repeated", False) for answer in answers), [False] + [True] * 7)
        for answer in answers[1:]:
            self.assertEqual(answer.body, answers[0].body)
        held = shop.ledger.rows(f"SELECT COUNT(*) FROM movement WHERE act = '{number}' AND kind = 'hold'")
        self.assertEqual(held, [["1"]])
