"""The network between the daemon and a real printer, which breaks at the worst moment: when a label is sent."""

import re
import select
import socket
import threading

PRINT_JOB = b"\x00\x02"  # RFC 8011 5.4.15; it stands in bytes 2 and 3 of the message, RFC 8010 3.1


class Wire:
    """Passes connections on to `port` of this machine. `cut` is used up by the next Print-Job: "before" it reaches the
    printer, or "after" the printer began to answer."""

    def __init__(self, port):
        self.cut = None
        self._to = ("127.0.0.1", port)
        self._listener = socket.create_server(("127.0.0.1", 0))
        self.port = self._listener.getsockname()[1]
        self._thread = threading.Thread(target=self._listen, daemon=True)
        self._thread.start()

    def close(self):
        self._listener.shutdown(socket.SHUT_RDWR)
        self._listener.close()
        self._thread.join(5)

    def _listen(self):
        while True:
            try:
                client, _ = self._listener.accept()
            except OSError:
                return
            threading.Thread(target=self._serve, args=(client,), daemon=True).start()

    def _serve(self, client):
        with client:
            client.settimeout(10)
            try:
                request, operation = read_request(client)
                cut = self.cut if operation == PRINT_JOB else None
                if cut:
                    self.cut = None
                if cut == "before":
                    return
                with socket.create_connection(self._to, 5) as printer:
                    printer.sendall(request)
                    if cut == "after":
                        printer.recv(1)  # it has the label
                    else:
                        pass_on(client, printer)
            except OSError:
                pass  # either side hung up


def read_request(client):
    """One HTTP request, and which IPP operation it asks for."""
    data = b""
    while b"\r\n\r\n" not in data:
        more = client.recv(65536)
        if not more:
            raise ConnectionError("no request")
        data += more
    head, _, body = data.partition(b"\r\n\r\n")
    length = int(re.search(rb"(?i)content-length: *(\d+)", head)[1])
    while len(body) < length:
        more = client.recv(65536)
        if not more:
            raise ConnectionError("half a request")
        body += more
    return head + b"\r\n\r\n" + body, body[2:4]


def pass_on(client, printer):
    """Both ways, until one side hangs up."""
    other = {client: printer, printer: client}
    while True:
        for side in select.select(list(other), [], [])[0]:
            data = side.recv(65536)
            if not data:
                return
            other[side].sendall(data)
