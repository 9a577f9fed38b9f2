"""The kiosk's HTTP side as a script or browser sees it: requests and the event stream."""

import http.client
import json
import socket
import threading
import uuid


class Answer:
    """Status, headers, and the body as JSON (or text when it is none); `bytes` as they came."""

    def __init__(self, status, headers, body):
        self.status, self.headers, self.bytes = status, headers, body
        try:
            self.body = json.loads(body)
        except ValueError:
            self.body = body.decode(errors="replace")

    def __getitem__(self, key):
        return self.body[key]

    def __repr__(self):
        return f"{self.status} {self.body}"


class Web:
    def __init__(self, port):
        self.port = port

    def request(self, method, path, body=None, kind=None, timeout=60, origin=None):
        connection = http.client.HTTPConnection("127.0.0.1", self.port, timeout=timeout)
        try:
            headers = {"Content-Type": kind, "Origin": origin}
            connection.request(method, path, body=body, headers={key: value for key, value in headers.items() if value})
            reply = connection.getresponse()
            return Answer(reply.status, dict(reply.getheaders()), reply.read())
        finally:
            connection.close()

    def get(self, path):
        return self.request("GET", path)

    def post(self, path, value, **options):
        return self.request("POST", path, json.dumps(value), "application/json", **options)

    def act(self, act, content, person=None, counter=None, number=None, **more):
        """POST /api/acts; `number` is the act's id, made here when left out."""
        body = {"id": number or new_id(), "kind": act, "content": content, **more}
        if person:
            body["person"] = person
        if counter:
            body["counter"] = counter
        return self.post("/api/acts", body)

    def picture(self, path, kind="image/png", query="", timeout=60):
        with open(path, "rb") as file:
            return self.request("POST", "/api/pictures" + query, file.read(), kind, timeout)


def new_id():
    return uuid.uuid4().hex


class Stream:
    """GET /api/events: (id, event, data) as they come, kept in a list by a thread."""

    def __init__(self, port, last=None):
        self.events = []
        self._changed = threading.Condition()
        self._socket = socket.create_connection(("127.0.0.1", port), 10)
        self._socket.settimeout(None)
        resume = f"Last-Event-ID: {last}\r\n" if last is not None else ""
        self._socket.sendall(f"GET /api/events HTTP/1.1\r\nHost: 127.0.0.1:{port}\r\n{resume}\r\n".encode())
        self._thread = threading.Thread(target=self._read, daemon=True)
        self._thread.start()
        self.wait(lambda: any(event == "hello" for _, event, _ in self.events), 10, "the stream's hello")

    def _read(self):
        event = {}
        try:
            for line in self._lines():
                if line:
                    key, _, value = line.partition(":")
                    event[key] = value.strip()
                elif event.get("event"):
                    with self._changed:
                        number = event.get("id")
                        self.events.append((int(number) if number else None, event["event"],
                                            json.loads(event.get("data", "null"))))
                        self._changed.notify_all()
                    event = {}
        except (OSError, ValueError):
            pass  # closed, by us or by the daemon's end
        with self._changed:
            self._changed.notify_all()

    def _lines(self):
        """Lines of the body, its chunks (RFC 9112 section 7.1) put together."""
        file = self._socket.makefile("rb")
        while file.readline().strip():
            pass
        rest = b""
        while True:
            size = file.readline().strip()
            if not size or int(size, 16) == 0:
                return
            rest += file.read(int(size, 16))
            file.readline()
            *whole, rest = rest.split(b"\n")
            for line in whole:
                yield line.decode()

    def wait(self, condition, seconds, what):
        with self._changed:
            if not self._changed.wait_for(condition, seconds):
                raise AssertionError(f"waited {seconds} s in vain for {what}")

    def count(self, event, **data):
        """How many events of this name came whose data hold these values."""
        return sum(1 for _, name, value in list(self.events)
                   if name == event and all(value.get(k) == v for k, v in data.items()))

    def sentences(self, device):
        return [data["sentence"] for _, name, data in list(self.events)
                if name == "device" and data["device"] == device]

    def movements(self):
        return [(number, data) for number, name, data in list(self.events) if name == "movement"]

    def close(self):
        try:
            self._socket.shutdown(socket.SHUT_RDWR)
        except OSError:
            pass
        self._socket.close()
        self._thread.join(5)
