"""A print room for one test: a folder in memory, a ledger, a daemon with its scanner and its label printer."""

import pathlib
import re
import shutil
import signal
import socket
import subprocess
import tempfile
import unittest

import database
import labels
import processes
import scanner
import settings
import web

DESK = "desk"
_clearing = []  # what is to be cleared away should the run be interrupted, the newest first


def clear():
    while _clearing:
        try:
            _clearing.pop()()
        except Exception as trouble:  # the rest is cleared all the same
            print(f"not cleared away: {trouble}")


def cleared(test, function):
    """Runs `function` after the test, or when the run is interrupted."""
    def once():
        if function in _clearing:
            _clearing.remove(function)
            function()
    _clearing.append(function)
    test.addCleanup(once)


def free_port():
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        return probe.getsockname()[1]


class LabelPrinter:
    """kiosk/demo-printer in a folder of its own. Counts what came out; `hold` and `fail` make trouble."""

    def __init__(self, folder):
        self.folder = folder
        self.roll = "50x25"
        self.port = free_port()
        self.uri = f"ipp://localhost:{self.port}/ipp/print"
        self._process = None
        folder.mkdir()

    def start(self):
        self._process = processes.start([settings.ROOT / "kiosk/demo-printer", self.folder, self.port, self.roll],
                                        {"TMPDIR": str(self.folder.parent)}, stdout=subprocess.PIPE,
                                        stderr=subprocess.PIPE)
        line = self._process.stdout.readline().decode()
        if not line.startswith("printer ready"):
            raise AssertionError(f"the demo printer does not start: {self._process.stderr.read().decode()}")
        return self

    def stop(self):
        if self._process:
            processes.end(self._process)
            self._process.stdout.close()
            self._process.stderr.close()
            self._process = None

    def hold(self, reason):
        (self.folder / "reason").write_text(reason + "\n")

    def release(self):
        (self.folder / "reason").unlink(missing_ok=True)

    def fail(self, failing):
        (self.folder / "fail").touch() if failing else (self.folder / "fail").unlink(missing_ok=True)

    def log_text(self):
        """What it wrote of each request."""
        return (self.folder / "printer.log").read_text(errors="replace")

    def pages(self):
        """Files of the documents that came, in order of their job numbers."""
        files = (self.folder / "spool").glob("*.pwg")
        return sorted(files, key=lambda file: int(file.name.partition("-")[0]))

    def page_of(self, name):
        """The one page of label `name` ("C000001X-1")."""
        found = [file for file in self.pages() if name.lower() in file.name.lower()]
        if len(found) != 1:
            raise AssertionError(f"{len(found)} pages of {name} among {[file.name for file in self.pages()]}")
        return found[0]


class Kiosk(web.Web):
    """A running daemon."""

    def __init__(self, room, demo, extra, enrol=False):
        self.room = room
        self._config = room.folder / "kiosk.ini"
        self._config.write_text(room.configuration(extra))
        self._log = open(room.log, "ab")
        arguments = [settings.PROGRAM, "serve", "--config", self._config] + (["--demo"] if demo else []) + (["--enrol"] if enrol else [])
        self.process = processes.start(arguments, {**settings.SANITIZERS, "TZ": room.zone}, stdout=subprocess.PIPE, stderr=self._log)
        line = self.process.stdout.readline().decode()
        code = re.fullmatch(r"Code for the first storekeeper's PIN: (\S+) \(page Room; .*\)\n", line)
        self.code = code[1] if code else None  # of this start, when nobody has a PIN
        if code:
            line = self.process.stdout.readline().decode()
        address = re.fullmatch(r"Ambershelf( \(demo\))? is at http://127\.0\.0\.1:(\d+)/\n", line)
        if not address:
            ended = processes.end(self.process)
            self.process.stdout.close()
            self._log.close()
            raise AssertionError(f"the daemon does not start (exit {ended}, '{line}'): {room.log_text()[-800:]}")
        super().__init__(int(address[2]))
        self.stream = None
        if room.scanner:
            room.scanner.wait_opened(self.process.pid)

    def eye(self):
        """Process number of the picture worker, which becomes one a moment after it was made."""
        def workers():
            return [pid for pid in processes.children(self.process.pid) if processes.command_of(pid).endswith(" eye")]
        processes.wait_until(lambda: len(workers()) == 1, 15, "the one picture worker")
        return workers()[0]

    def listen(self, last=None):
        self.stream = web.Stream(self.port, last)
        return self.stream

    def view(self):
        return self.get(f"/api/counters/{DESK}").body

    def scan(self, code, end=b"\r"):
        """Through the serial line; the counter's view once the daemon has dealt with it."""
        stream = self.stream or self.listen()
        before = stream.count("counter", counter=DESK)
        self.room.scanner.send(code, end)
        stream.wait(lambda: stream.count("counter", counter=DESK) > before, 15, f"the scan of {code!r}")
        return self.view()

    def act(self, act, content, person=None, counter=None, number=None, **more):
        """As Web.act; at the desk it waits until the act has been announced, so that the next scan can count on it."""
        before = self.stream.count("counter", counter=DESK) if self.stream else 0
        answer = super().act(act, content, person, counter, number, **more)
        if self.stream and counter == DESK and answer.status == 200 and not answer.body.get("repeated"):
            self.stream.wait(lambda: self.stream.count("counter", counter=DESK) > before, 15, f"word of {act}")
        return answer

    def approved(self, act, content, person, counter=None):
        """An act with the PIN of the room's storekeeper."""
        return self.act(act, content, person, counter, approval={"person": self.room.approver, "pin": self.room.pin})

    def unit(self, serial):
        return self.get(f"/api/units/{serial}").body

    def units(self):
        found, after = [], ""
        while True:
            page = self.get(f"/api/units?limit=500&after={after}").body
            found += page["units"]
            after = page["next"]
            if not after:
                return found

    def prints(self, state):
        return self.get("/api/prints").body[state]

    def wait_prints(self, condition, what, seconds=30):
        return processes.wait_until(lambda: condition(self.get("/api/prints").body), seconds, what)

    def wait_all_printed(self, seconds=60):
        self.wait_prints(lambda prints: not prints["waiting"] and not prints["sent"], "all labels to come out", seconds)

    def end(self, number=signal.SIGTERM, seconds=20):
        """Ends the daemon; its exit code. Its picture worker must be gone with it."""
        workers = processes.children(self.process.pid)
        if self.stream:
            self.stream.close()
            self.stream = None
        code = processes.end(self.process, number, seconds)
        self.process.stdout.close()
        self._log.close()
        for worker in workers:
            if not processes.wait_gone(worker):
                raise AssertionError(f"worker {worker} outlives its daemon")
        return code

    def kill(self):
        self.end(signal.SIGKILL)

    def running(self):
        return self.process.poll() is None


class Room:
    def __init__(self, with_scanner=True, with_printer=False, engine=None, folder=None):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="as-", dir=folder or settings.MEMORY))
        self.log = self.folder / "kiosk.log"
        self.ledger = database.create(self.folder, engine)
        self.scanner = scanner.Scanner(self.folder) if with_scanner else None
        self.printer = LabelPrinter(self.folder / "printer") if with_printer else None
        self.clock = None
        self.zone = "UTC"
        self.kiosk = None
        self.approver = self.pin = None  # of the first storekeeper, once furnished
        self.reports = []

    def set_clock(self, instant, trusted=True):
        """The daemon's clock stands at `instant` ("2026-02-14T10:00:00Z"): moved in one step, never half written."""
        self.clock = self.folder / "clock"
        fresh = self.folder / "clock.new"
        fresh.write_text(instant + (" trusted" if trusted else "") + "\n")
        fresh.rename(self.clock)

    def configuration(self, extra):
        lines = ["[kiosk]", "name = test", *extra.get("kiosk", [])]
        if self.clock:
            lines.append(f"clock-file = {self.clock}")
        lines += ["[ledger]", f"address = {self.ledger.address}", "[web]", "port = 0", "[labels]",
                  *extra.get("labels", [])]
        if self.printer:
            lines.append(f"printer = {self.printer.uri}")
        if extra.get("backup"):
            lines += ["[backup]", *extra["backup"]]
        if self.scanner:
            lines += ["[scanner hand]", "type = serial", f"path = {self.scanner.path}", f"counter = {DESK}",
                      *extra.get("scanner", [])]
        return "\n".join(lines) + "\n"

    def open(self, demo=False, enrol=False, **extra):
        """Starts the daemon; `enrol`: with a code for a PIN even though somebody has one. `extra`: more lines of a section, as kiosk=["idle-seconds = 5"]."""
        self.kiosk = Kiosk(self, demo, extra, enrol)
        return self.kiosk

    def log_text(self):
        return self.log.read_text(errors="replace") if self.log.exists() else ""

    def sanitizer_reports(self):
        return [line for line in self.log_text().splitlines()
                if "ERROR: AddressSanitizer" in line or "runtime error:" in line or "ERROR: LeakSanitizer" in line]

    def command(self, *arguments, **options):
        return processes.run([settings.PROGRAM, *arguments], settings.SANITIZERS, **options)

    def verify(self):
        """`ambershelf verify` of this ledger: exit code and what it said."""
        done = self.command("verify", self.ledger.address)
        return done.returncode, (done.stdout + done.stderr).decode()

    def furnish(self):
        """A small real room, entered by its first storekeeper. Everything in it is invented; the item numbers use the
        range that GS1 keeps for examples (950...)."""
        kiosk = self.kiosk
        first = kiosk.act("enrol", {"name": "Maren"}, approval={"code": kiosk.code}).body
        maren = self.approver = first["serial"]
        self.pin = first["pin"]
        tobias = kiosk.act("person-entry", {"name": "Tobias", "role": "technician"}, maren).body["serial"]
        entries = [
            ("printer-entry", {"code": "CAPSTAN", "name": "Capstan", "slots": 1}),
            ("place-entry", {"code": "A01", "kind": "shelf", "name": "cartridges"}),
            ("place-entry", {"code": "B01", "kind": "shelf", "name": "vat cases"}),
            ("place-entry", {"code": "CAPSTAN-1", "kind": "slot", "printer": "CAPSTAN"}),
            ("item-entry", {"code": "FLINT", "letter": "C", "name": "Flint cartridge", "resin": "Flint",
                            "revision": "2", "gtin": "09506000135007", "content_ml": 1000, "minimum_days": 90}),
            ("item-entry", {"code": "VAT-S", "letter": "V", "name": "Small vat", "gtin": "09506000135045",
                            "fits": "CAPSTAN", "life_hours": 500}),
        ]
        for act, content in entries:
            answer = kiosk.act(act, content, maren)
            if answer.status != 200:
                raise AssertionError(f"{act} {content}: {answer}")
        return maren, tobias

    def close(self):
        """Ends what still runs and clears away. The daemon's exit code, 0 when it had ended before."""
        code = self.kiosk.end() if self.kiosk and self.kiosk.running() else 0
        self.reports = self.sanitizer_reports()
        if self.printer:
            self.printer.stop()
        if self.scanner:
            self.scanner.close()
        self.ledger.drop()
        shutil.rmtree(self.folder, ignore_errors=True)
        return code


class RoomTest(unittest.TestCase):
    maxDiff = None
    ABOUT_PRINTING = False  # another engine and the sanitizers say little more of it: tests/long runs them all the same

    def setUp(self):
        if self.ABOUT_PRINTING and not settings.EVERY_LANE and (settings.ENGINE != "sqlite" or settings.SANITIZED):
            self.skipTest("about printing: once in tests/all, in every lane of tests/long")

    def room(self, **options):
        """A room that is cleared away after the test, and whose daemon said nothing bad about memory."""
        room = Room(**options)

        def finish():
            code = room.close()
            self.assertEqual(room.reports, [])
            self.assertEqual(code, 0, "the daemon's end")
        cleared(self, finish)
        return room

    def printer_of(self, room):
        if not shutil.which("ippeveprinter", path="/usr/sbin:/usr/bin:/usr/local/bin"):
            self.skipTest("ippeveprinter (cups-ipp-utils) is not installed")
        return room.printer.start()

    def assert_clean(self, room):
        code, said = room.verify()
        self.assertEqual(code, 0, said)

    def assert_sentence(self, text, *words):
        """One sentence for a person, with these words in it."""
        for word in words:
            self.assertIn(word, text)
        self.assertNotIn("\n", text.strip())
        self.assertGreater(len(text), 20)
