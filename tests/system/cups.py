"""A CUPS server of our own in front of a label printer: a real cupsd with one queue, `label`, in a folder of its own.
What CUPS makes of a printer's troubles was measured with 2.4.2 (docs/printing.md)."""

import grp
import os
import pathlib
import pwd
import shutil
import tempfile

import processes
import room

QUEUE = "label"
PROGRAMS = ("cupsd", "lpadmin", "cupsdisable", "cupsenable", "cupsaccept", "cupsreject")
FOLDERS = ("ServerRoot", "RequestRoot", "CacheDir", "StateDir", "TempDir", "ServerKeychain")
LOGS = ("AccessLog", "ErrorLog", "PageLog")

OPEN = """JobPrivateAccess all
JobPrivateValues none
"""
# What sets a queue going is for administrators, as in the cupsd.conf that CUPS comes with.
STRICT = """JobPrivateAccess default
JobPrivateValues default
<Limit Pause-Printer Resume-Printer Enable-Printer Disable-Printer CUPS-Accept-Jobs CUPS-Reject-Jobs>
AuthType Default
Require user @SYSTEM
Order deny,allow
</Limit>
"""


def missing():
    """A program that is not installed, or ""."""
    path = os.environ["PATH"] + ":/usr/sbin:/sbin"
    return next((name for name in PROGRAMS if not shutil.which(name, path=path)), "")


def helper_user():
    """cupsd refuses to run its helpers as root."""
    return "lp" if os.geteuid() == 0 else pwd.getpwuid(os.geteuid()).pw_name


class Cups:
    """`address`: what the daemon must find in CUPS_SERVER for `cups:label` to be this queue."""

    def __init__(self, printer_uri, strict=False):
        self.printer_uri = printer_uri
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="cups-", dir="/tmp"))  # the helpers' user must get to it
        self.folder.chmod(0o755)
        self.socket = self.folder / "socket"
        self.server = f"127.0.0.1:{room.free_port()}"
        # over TCP nobody can vouch for who asks: then what is the administrators' is refused
        self.address = self.server if strict else str(self.socket)
        self._write(OPEN if not strict else STRICT, "None" if not strict else "Basic")
        self._process = None

    def _write(self, limits, authorization):
        (self.folder / "cupsd.conf").write_text(
            f"Listen {self.server}\nListen {self.socket}\nBrowsing No\nWebInterface No\nDefaultAuthType {authorization}\n"
            f"LogLevel debug\nJobRetryInterval 2\nErrorPolicy retry-job\nPreserveJobHistory Yes\n"
            f"<Location />\nOrder allow,deny\nAllow all\n</Location>\n<Policy default>\n{limits}"
            f"<Limit All>\nOrder allow,deny\nAllow all\n</Limit>\n</Policy>\n")
        lines = [f"{name} {self.folder / name}" for name in FOLDERS + LOGS]
        for name in FOLDERS:
            (self.folder / name).mkdir()
        lines += ["DataDir /usr/share/cups", "ServerBin /usr/lib/cups", f"User {helper_user()}", "Group lp",
                  f"SystemGroup {grp.getgrgid(os.getegid()).gr_name}"]
        (self.folder / "cups-files.conf").write_text("\n".join(lines) + "\n")

    def start(self):
        path = {"PATH": os.environ["PATH"] + ":/usr/sbin:/sbin"}
        self._process = processes.start(["cupsd", "-f", "-c", self.folder / "cupsd.conf", "-s", self.folder / "cups-files.conf"],
                                        path)
        processes.wait_until(self.socket.exists, 10, "cupsd to listen")
        self.run("lpadmin", "-p", QUEUE, "-E", "-v", self.printer_uri, "-m", "everywhere", queue=False)
        # cupsd asks the printer after lpadmin has returned, and aborts what comes before it knows the formats
        processes.wait_until((self.folder / "CacheDir" / f"{QUEUE}.data").exists, 10, "the queue to know its printer")
        return self

    def set_roll(self, millimetres):
        """What the queue says of the labels in its printer; made with `-m everywhere` it says nothing."""
        self.run("lpadmin", "-p", QUEUE, "-o", f"media-default=oe_roll_{millimetres}mm", queue=False)

    def run(self, command, *arguments, queue=True):
        """As an administrator at the queue: run("cupsdisable")."""
        done = processes.run([command, "-h", self.socket, *arguments] + ([QUEUE] if queue else []),
                             {"PATH": os.environ["PATH"] + ":/usr/sbin:/sbin"})
        if done.returncode != 0:
            raise AssertionError(f"{command}: {done.stderr.decode()}")
        return done.stdout.decode()

    def alerts(self):
        """The queue's printer-state-reasons."""
        return self.run("lpstat", "-l", "-p", queue=True)

    def state(self):
        """What lpstat says of the queue."""
        return self.run("lpstat", "-p", queue=True)

    def stop(self):
        if self._process:
            processes.end(self._process)
            self._process = None
        shutil.rmtree(self.folder, ignore_errors=True)
