"""Pictures from outside: a label in a photograph is read, a badge or card in one does not count, and whatever is wrong
with a picture costs a sentence and nothing else."""

import os
import signal
import threading
import time
import unittest

import labels
import processes
import room
import settings


class Pictures(room.RoomTest):
    def setUp(self):
        self.shop = self.room(with_scanner=False)
        self.kiosk = self.shop.open(demo=True)
        self.unit = next(row for row in self.kiosk.units() if row["kind"] == "cartridge" and row["lot"] == "FL-2207")

    def draw(self, template, turn=0, **fields):
        """A photograph, as it were, of a label drawn by the command line."""
        plain = self.shop.folder / f"{template}.png"
        arguments = [word for name, value in fields.items() for word in ("--field", f"{name}={value}")]
        done = self.shop.command("label", template, *arguments, "--dpi", 203, "-o", plain)
        self.assertEqual(done.returncode, 0, done.stderr)
        return labels.picture(plain, self.shop.folder / f"{template}-{turn}.jpg", turn=turn, blur=1.2, scale=200)

    def head(self):
        return self.kiosk.get("/health").body["seq"]

    def assert_problem(self, answer, status, *words):
        self.assertEqual((answer.status, answer["status"]), (status, status), answer)
        self.assertEqual(answer.headers["Content-Type"], "application/problem+json")
        self.assert_sentence(answer["detail"], *words)

    def assert_still_reads(self):
        picture = self.draw("place", place="A01")
        answer = self.kiosk.picture(picture, "image/jpeg")
        self.assertEqual([bytes.fromhex(symbol["hex"]) for symbol in answer["symbols"]], [labels.place("A01")])

    def test_a_label_in_a_photograph_is_read_and_scanned(self):
        expected = labels.unit(self.unit)
        picture = self.draw("cartridge", 41, serial=self.unit["serial"], item=self.unit["item"], lot=self.unit["lot"],
                            filled=self.unit["filled"], expires=self.unit["expires"], content=1000)
        answer = self.kiosk.picture(picture, "image/jpeg")
        self.assertEqual(answer.status, 200, answer)
        symbol, = answer["symbols"]
        self.assertEqual((bytes.fromhex(symbol["hex"]), symbol["symbology"], symbol["kind"]), (expected, "]d1", "unit"))
        self.assertIn(self.unit["serial"], symbol["sentence"])
        self.assertIsNone(answer["act"])
        scanned = self.kiosk.picture(picture, "image/jpeg", "?act=scan&counter=desk")
        self.assertEqual((scanned["act"]["step"], scanned["act"]["units"][0]["serial"]),
                         ("check-out", self.unit["serial"]))

    def test_a_badge_or_a_card_in_a_photograph_does_not_count(self):
        ines = next(row["serial"] for row in self.kiosk.get("/api/people").body["people"] if row["name"] == "Ines")
        before = self.head()
        for picture, kind, code in ((self.draw("person", 12, serial=ines, person="Ines"), "person", labels.badge(ines)),
                                    (self.draw("card", 200, card="YES"), "card", labels.card("YES"))):
            answer = self.kiosk.picture(picture, "image/jpeg", "?act=scan&counter=desk")
            self.assertEqual(answer.status, 200, answer)
            symbol, = answer["symbols"]
            self.assertEqual((bytes.fromhex(symbol["hex"]), symbol["kind"]), (code, kind))
            self.assertIsNone(answer["act"])
            self.assert_sentence(answer["note"], "never count from a photograph", "hand scanner")
        self.assertIsNone(self.kiosk.view()["person"])
        # nor when a program sends the bytes as coming from a picture
        answer = self.kiosk.act("scan", {"bytes": labels.badge(ines).hex(), "source": "picture"}, counter=room.DESK)
        self.assertEqual((answer["verdict"], answer["person"]), ("stop", None))
        self.assert_sentence(answer["title"], "photograph does not count")
        self.assertEqual(self.head(), before)

    def test_what_is_no_picture_or_too_much_is_refused_with_a_sentence(self):
        text = self.shop.folder / "notes.png"
        text.write_text("This is no picture.\n" * 50)
        self.assert_problem(self.kiosk.picture(text), 400, "JPEG, PNG or PGM")
        cut = self.draw("place", place="A02")
        cut.write_bytes(cut.read_bytes()[:900])
        self.assert_problem(self.kiosk.picture(cut, "image/jpeg"), 400, "cut")
        huge = self.shop.folder / "huge.png"
        with open(huge, "wb") as file:
            file.truncate(40_000_000)
        self.assert_problem(self.kiosk.picture(huge), 413, "larger than 32 MiB", "lower resolution")
        bomb = self.shop.folder / "bomb.pgm"
        bomb.write_bytes(b"P5 60000 60000 255\n" + b"\0" * 100)
        self.assert_problem(self.kiosk.picture(bomb, "image/x-portable-graymap"), 400, "60000")
        self.assert_problem(self.kiosk.request("POST", "/api/pictures", b"", "image/png"), 400, "no picture")
        self.assert_still_reads()
        done = self.shop.command("read", huge)  # the command line says the same
        self.assertEqual(done.returncode, 1)
        self.assert_sentence(done.stderr.decode(), "huge.png")

    def post_over_stopped_worker(self):
        """Posts a picture while the worker stands still: the worker's number, and a call that waits for the answer."""
        picture, answers = self.draw("place", place="A01"), []
        worker = self.kiosk.eye()
        self.kiosk.picture(picture, "image/jpeg")  # all is warm
        worker = self.kiosk.eye()
        os.kill(worker, signal.SIGSTOP)
        post = threading.Thread(target=lambda: answers.append(self.kiosk.picture(picture, "image/jpeg")))
        post.start()
        time.sleep(0.3)  # it has the picture in hand now

        def answer():
            post.join(30)
            return answers[0]
        return worker, answer

    def assert_kiosk_went_on(self, worker):
        self.assertTrue(processes.wait_gone(worker))
        self.assert_still_reads()
        self.assertNotEqual(self.kiosk.eye(), worker)
        self.assertEqual(self.kiosk.get("/health").status, 200)

    def test_a_picture_that_kills_the_decoder_costs_a_sentence(self):
        for number in (signal.SIGABRT, signal.SIGKILL):  # a sanitizer would make a report of SIGSEGV
            worker, answer = self.post_over_stopped_worker()
            self.assertEqual(self.kiosk.get("/health").status, 200)  # nothing else waits for it
            os.kill(worker, number)
            if number != signal.SIGKILL:  # which a stopped process hears at once
                os.kill(worker, signal.SIGCONT)
            self.assert_problem(answer(), 502, "picture")
            self.assert_kiosk_went_on(worker)

    def test_a_worker_that_dies_between_pictures_is_replaced_unnoticed(self):
        worker = self.kiosk.eye()
        os.kill(worker, signal.SIGKILL)
        self.assert_kiosk_went_on(worker)

    @unittest.skipUnless(settings.LONG, "waits ten seconds: --long")
    def test_a_picture_that_hangs_is_put_aside_after_ten_seconds(self):
        worker, answer = self.post_over_stopped_worker()
        began = time.monotonic()
        self.assert_problem(answer(), 502, "took longer than 10 s", "photograph it again")
        self.assertGreater(time.monotonic() - began, 8)
        self.assert_kiosk_went_on(worker)
