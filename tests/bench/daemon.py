"""A running kiosk on a given ledger: what start-up and each page's reads cost it in CPU."""

import http.client
import json
import pathlib
import re
import signal
import subprocess
import tempfile
import time


def cpu_clock(pid):
    """CPU time of another process, to the nanosecond: clock_getcpuclockid's number on Linux."""
    return (~pid << 3) | 2


class Kiosk:
    def __init__(self, build, ledger):
        self._folder = tempfile.TemporaryDirectory()
        config = pathlib.Path(self._folder.name) / "kiosk.ini"
        config.write_text(f"[kiosk]\nname = bench\n[ledger]\naddress = {ledger}\n[web]\nport = 0\n")
        self._log = open(pathlib.Path(self._folder.name) / "log", "wb")
        self.process = subprocess.Popen([build / "ambershelf", "serve", "--config", config], stdout=subprocess.PIPE,
                                        stderr=self._log)
        line = self.process.stdout.readline().decode()
        if line.startswith("Code "):  # nobody has a PIN in here
            line = self.process.stdout.readline().decode()
        address = re.search(r"http://127\.0\.0\.1:(\d+)/", line)
        if not address:
            raise SystemExit(f"the kiosk does not start: {open(self._log.name, encoding='utf-8').read()}")
        self.start_s = self.cpu()
        self._connection = http.client.HTTPConnection("127.0.0.1", int(address[1]), timeout=60)

    def cpu(self):
        return time.clock_gettime(cpu_clock(self.process.pid))

    def serving(self):
        """CPU of the threads that answer, which the check of the file in the background is not: proc(5), schedstat."""
        spent = 0
        for task in pathlib.Path(f"/proc/{self.process.pid}/task").iterdir():
            if (task / "comm").read_text().startswith("MHD"):
                spent += int((task / "schedstat").read_text().split()[0])
        return spent / 1e9

    def get(self, path):
        """(CPU seconds of the daemon, body)."""
        before = self.serving()
        self._connection.request("GET", path)
        response = self._connection.getresponse()
        body = response.read()
        spent = self.serving() - before
        if response.status != 200:
            raise SystemExit(f"GET {path}: {response.status} {body[:300]}")
        return spent, json.loads(body)

    def end(self):
        self._connection.close()
        self.process.send_signal(signal.SIGTERM)
        self.process.wait(60)
        self.process.stdout.close()
        self._log.close()
        self._folder.cleanup()


def paths_of(kiosk, unit):
    """Every read of every page, with a way to vary it."""
    stands = kiosk.get(f"/api/units/{unit}")[1]
    item, lot, delivery = stands["item"], stands["lot"], stands["delivery"]
    return {
        "/api/counters/desk": lambda n: "/api/counters/desk",
        "/api/stock": lambda n: "/api/stock",
        "/api/stock?by=item": lambda n: "/api/stock?by=item",
        "/api/stock?words=": lambda n: f"/api/stock?words=resin%20{n}",
        "/api/stock?item=": lambda n: f"/api/stock?item=R{n % 300}",
        "/api/units?item=&lot=&present=1": lambda n: f"/api/units?item={item}&lot={lot}&present=1",
        "/api/units?place=": lambda n: f"/api/units?place=S{n * 7 % 2000}",
        "/api/units?delivery=": lambda n: f"/api/units?delivery={delivery}",
        "/api/units/SERIAL": lambda n: f"/api/units/{unit}",
        "/api/items": lambda n: "/api/items",
        "/api/places": lambda n: "/api/places",
        "/api/people": lambda n: "/api/people",
        "/api/printers": lambda n: "/api/printers",
        "/api/deliveries": lambda n: "/api/deliveries",
        "/api/questions": lambda n: "/api/questions",
        "/api/prints": lambda n: "/api/prints",
        "/health": lambda n: "/health",
    }


def measure(build, ledger, unit, requests):
    kiosk = Kiosk(build, ledger)
    try:
        routes = {}
        for name, path in paths_of(kiosk, unit).items():
            kiosk.get(path(0))  # the first one prepares its statements
            spent = sorted(kiosk.get(path(n))[0] * 1000 for n in range(requests))
            routes[name] = {"median": spent[len(spent) // 2], "p99": spent[min(len(spent) - 1, int(len(spent) * 0.99))]}
        return {"start_s": kiosk.start_s, "routes": routes}
    finally:
        kiosk.end()
