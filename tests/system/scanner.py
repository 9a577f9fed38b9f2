"""A hand scanner on a serial line: a pseudo terminal whose far end the daemon reads."""

import os
import tty

import processes


class Scanner:
    """`path` is a link that stays, as under /dev/serial/by-id; what it leads to changes with each plugging in."""

    def __init__(self, folder):
        self.path = folder / "scanner"
        self.plug_in()

    def plug_in(self):
        self._line, end = os.openpty()
        tty.setraw(end)
        self._name = os.ttyname(end)
        os.close(end)  # the daemon opens it by name; held open it would stay locked after a killed daemon
        self.path.unlink(missing_ok=True)
        self.path.symlink_to(self._name)

    def pull_out(self):
        os.close(self._line)
        self.path.unlink()

    def wait_opened(self, pid):
        """Bytes sent before the daemon has opened the line are lost, as with a real one."""
        def opened():
            folder = f"/proc/{pid}/fd"
            for entry in os.listdir(folder):
                try:
                    if os.readlink(f"{folder}/{entry}") == self._name:
                        return True
                except FileNotFoundError:
                    pass
            return False
        processes.wait_until(opened, 10, f"the daemon to open {self.path}")

    def send(self, code, end=b"\r"):
        os.write(self._line, code + end)

    def close(self):
        if self.path.is_symlink():
            self.pull_out()
