"""Programs that a test starts: each is ended and reaped, and whatever it left behind is found.

The test run makes itself the reaper of its descendants (Linux, PR_SET_CHILD_SUBREAPER), so that a child of a killed
daemon comes to us and is seen. A child dies with us (PR_SET_PDEATHSIG), however the run ends."""

import ctypes
import os
import pathlib
import signal
import subprocess
import time

PR_SET_PDEATHSIG, PR_SET_CHILD_SUBREAPER = 1, 36
_libc = ctypes.CDLL(None, use_errno=True)
_started = []


def become_reaper():
    if _libc.prctl(PR_SET_CHILD_SUBREAPER, 1, 0, 0, 0) != 0:
        raise OSError(ctypes.get_errno(), "the kernel has no child subreaper")


def start(arguments, environment=None, **options):
    """A Popen that ends with us. `environment` is added to ours."""
    process = subprocess.Popen(
        [str(a) for a in arguments], env={**os.environ, **(environment or {})},
        preexec_fn=lambda: _libc.prctl(PR_SET_PDEATHSIG, signal.SIGKILL, 0, 0, 0), **options)
    _started.append(process)
    return process


def run(arguments, environment=None, **options):
    """A program that ends by itself, within a minute: the finished process, output as bytes."""
    options.setdefault("timeout", 60)
    return subprocess.run([str(a) for a in arguments], env={**os.environ, **(environment or {})},
                          capture_output=True, **options)


def end(process, number=signal.SIGTERM, seconds=20):
    """Signals, waits, and gives the exit code; kills what does not end in time (then the code is -9)."""
    if process.poll() is None:
        process.send_signal(number)
    try:
        return process.wait(seconds)
    except subprocess.TimeoutExpired:
        process.kill()
        return process.wait()


def alive(pid):
    """Is it there and not merely waiting to be reaped?"""
    try:
        stat = pathlib.Path(f"/proc/{pid}/stat").read_text()
    except (FileNotFoundError, ProcessLookupError):
        return False
    return stat.rpartition(")")[2].split()[0] not in "ZX"


def children(parent):
    """Process numbers of those whose parent is `parent`, ended ones included."""
    found = []
    for entry in os.listdir("/proc"):
        if not entry.isdigit():
            continue
        try:
            stat = pathlib.Path(f"/proc/{entry}/stat").read_text()
        except (FileNotFoundError, ProcessLookupError):
            continue
        if int(stat.rpartition(")")[2].split()[1]) == parent:
            found.append(int(entry))
    return found


def command_of(pid):
    try:
        return pathlib.Path(f"/proc/{pid}/cmdline").read_bytes().replace(b"\0", b" ").decode(errors="replace").strip()
    except (FileNotFoundError, ProcessLookupError):
        return ""


def wait_gone(pid, seconds=5):
    """True once process `pid` has ended; an orphan that came to us is reaped."""
    until = time.monotonic() + seconds
    while alive(pid):
        if time.monotonic() > until:
            return False
        time.sleep(0.02)
    reap_orphans()
    return True


def reap_orphans():
    """Reaps ended children that no Popen of ours stands for."""
    ours = {process.pid for process in _started}
    for pid in children(os.getpid()):
        if pid not in ours and not alive(pid):
            try:
                os.waitpid(pid, os.WNOHANG)
            except ChildProcessError:
                pass


def leftovers(patience=3):
    """What is still alive under us, as command lines; given a moment to end. Kills and reaps it."""
    until = time.monotonic() + patience
    while True:
        for process in _started:
            process.poll()
        reap_orphans()
        left = [pid for pid in children(os.getpid()) if alive(pid)]
        if not left or time.monotonic() > until:
            break
        time.sleep(0.05)
    names = [command_of(pid) or str(pid) for pid in left]
    for pid in left:
        os.kill(pid, signal.SIGKILL)
    for process in _started:
        if process.pid in left:
            process.wait()
    for pid in left:
        wait_gone(pid)
    return names


def wait_until(condition, seconds, what):
    """The first true answer of `condition`; an AssertionError that says `what` did not come."""
    until = time.monotonic() + seconds
    while True:
        answer = condition()
        if answer:
            return answer
        if time.monotonic() > until:
            raise AssertionError(f"waited {seconds} s in vain for {what}")
        time.sleep(0.02)
