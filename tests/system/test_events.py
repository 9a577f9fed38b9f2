"""The event stream (WHATWG HTML, server-sent events): each movement once and in order, over lost connections and a
restart of the daemon."""

import threading

import room
import web


class Events(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.kiosk = self.shop.open(demo=True)
        self.person = self.kiosk.get("/api/people").body["people"][0]["serial"]
        self.unit = next(row["serial"] for row in self.kiosk.units() if row["kind"] == "cartridge")

    def book(self, count):
        for i in range(count):
            answer = self.kiosk.act("put-away", {"unit": self.unit, "place": f"A0{i % 3 + 1}"}, self.person)
            self.assertEqual(answer.status, 200, answer)

    def head(self):
        return self.kiosk.get("/health").body["seq"]

    def test_each_movement_comes_once_and_in_order_over_a_reconnect(self):
        first = web.Stream(self.kiosk.port)
        start = first.events[0][0]
        self.assertEqual((first.events[0][1], start), ("hello", self.head()))
        self.book(5)
        first.wait(lambda: len(first.movements()) == 5, 10, "five movements")
        first.close()
        last = first.movements()[-1][0]
        self.book(7)  # while nobody listens
        second = web.Stream(self.kiosk.port, last=last)
        threads = [threading.Thread(target=self.book, args=(10,)) for _ in range(4)]
        for thread in threads:
            thread.start()
        for thread in threads:
            thread.join()
        second.wait(lambda: len(second.movements()) >= 47, 15, "all movements")
        second.close()
        numbers = [number for number, _ in first.movements() + second.movements()]
        self.assertEqual(numbers, list(range(start + 1, self.head() + 1)))
        for number, movement in second.movements():
            self.assertEqual((movement["seq"], movement["kind"], movement["unit"]), (number, "put-away", self.unit))
        self.assertEqual(second.count("reload"), 0)

    def test_the_whole_past_comes_in_order_and_a_restart_is_no_gap(self):
        head = self.head()
        stream = web.Stream(self.kiosk.port, last=0)
        stream.wait(lambda: len(stream.movements()) >= head, 15, "the whole past")
        self.assertEqual([number for number, _ in stream.movements()], list(range(1, head + 1)))
        self.kiosk.kill()
        stream.close()
        self.kiosk = self.shop.open(demo=True)
        again = web.Stream(self.kiosk.port, last=head)
        self.book(3)
        again.wait(lambda: len(again.movements()) >= 3, 10, "what came after")
        again.close()
        self.assertEqual([number for number, _ in again.movements()], [head + 1, head + 2, head + 3])
        rows = self.shop.ledger.rows("SELECT seq, kind FROM movement ORDER BY seq")
        told = [[str(number), movement["kind"]] for number, movement in stream.movements() + again.movements()]
        self.assertEqual(told, rows)

    def test_a_number_this_ledger_does_not_have_means_read_all_afresh(self):
        stream = web.Stream(self.kiosk.port, last=self.head() + 1000)
        stream.wait(lambda: stream.count("reload") == 1, 10, "reload")
        stream.close()
        self.assertEqual(stream.movements(), [])
        refused = self.kiosk.get("/api/events?last=soon")
        self.assertEqual(refused.status, 400)
        self.assert_sentence(refused["detail"], "number")

    def test_two_streams_tell_the_same(self):
        streams = [web.Stream(self.kiosk.port) for _ in range(2)]
        self.book(20)
        for stream in streams:
            stream.wait(lambda: len(stream.movements()) == 20, 10, "twenty movements")
            stream.close()
        self.assertEqual(streams[0].movements(), streams[1].movements())
