"""Ledgers for tests: a file in memory, or a database of a PostgreSQL server that is started once a run."""

import atexit
import itertools
import os
import pathlib
import shutil
import tempfile
import unittest

import processes
import settings

_numbers = itertools.count(1)
_server = {}


def _stop_server():
    folder = _server.pop("folder", None)
    _server.clear()
    if folder:
        processes.run([settings.ROOT / "tests/postgresql", "stop", folder])
        shutil.rmtree(folder.parent, ignore_errors=True)


def server():
    """The conninfo of the server; starts one when tests/all has not. Skips the test where PostgreSQL is missing."""
    if "conninfo" in _server:
        return _server["conninfo"]
    conninfo = os.environ.get("AMBERSHELF_TEST_POSTGRESQL")
    if not conninfo:
        if not list(pathlib.Path("/usr/lib/postgresql").glob("*/bin/initdb")):
            raise unittest.SkipTest("PostgreSQL's server is not installed")
        parent = pathlib.Path(tempfile.mkdtemp(prefix="as-", dir=settings.MEMORY))
        parent.chmod(0o755)  # the server runs as another user when we are root
        _server["folder"] = parent / "pg"
        atexit.register(_stop_server)
        started = processes.run([settings.ROOT / "tests/postgresql", "start", _server["folder"]])
        if started.returncode != 0:
            raise AssertionError(f"PostgreSQL does not start: {started.stderr.decode()}")
        conninfo = started.stdout.decode().strip()
    _server["conninfo"] = conninfo
    return conninfo


def stop():
    _stop_server()


class SqliteLedger:
    def __init__(self, folder):
        self.path = folder / f"ledger{next(_numbers)}.db"
        self.address = str(self.path)

    def rows(self, query):
        """A query by the sqlite3 program, read-only: rows of texts."""
        done = processes.run(["sqlite3", "-readonly", "-batch", "-separator", "\x1f", self.path, query])
        return _split(done)

    def connections(self, process):
        """Those that a process has open, and the descriptors they take."""
        held = [name for name in map(_target, pathlib.Path(f"/proc/{process}/fd").iterdir()) if name.startswith(self.address)]
        return held.count(self.address), len(held)

    def spoil(self, statement):
        """Changes the file behind the kiosk's back."""
        done = processes.run(["sqlite3", "-batch", self.path, statement])
        if done.returncode != 0:
            raise AssertionError(done.stderr.decode())

    def drop(self):
        pass  # goes with its folder


class PostgresqlLedger:
    def __init__(self):
        self.name = f"system_{os.getpid()}_{next(_numbers)}"
        self._admin = server()
        words = [word for word in self._admin.split() if not word.startswith("dbname=")]
        self.conninfo = " ".join(words + [f"dbname={self.name}"])
        self.address = "postgresql:" + self.conninfo
        _split(self._psql(self._admin, f"CREATE DATABASE {self.name} TEMPLATE template0 LOCALE 'C.UTF-8'"))

    @staticmethod
    def _psql(conninfo, statement):
        return processes.run(["psql", "-X", "-q", "-A", "-t", "-F", "\x1f", "-v", "ON_ERROR_STOP=1", "-d", conninfo,
                              "-c", statement])

    def rows(self, query):
        return _split(self._psql(self.conninfo, query))

    def connections(self, _):
        count = int(self.rows("SELECT count(*) FROM pg_stat_activity WHERE datname = current_database() "
                              "AND pid <> pg_backend_pid()")[0][0])
        return count, count  # a socket each

    def spoil(self, statement):
        self.rows(statement)

    def drop(self):
        self._psql(self._admin, f"DROP DATABASE IF EXISTS {self.name} WITH (FORCE)")


def _target(link):
    try:
        return os.readlink(link)
    except FileNotFoundError:  # closed meanwhile
        return ""


def _split(done):
    if done.returncode != 0:
        raise AssertionError(done.stderr.decode())
    return [line.split("\x1f") for line in done.stdout.decode().splitlines()]


def create(folder, engine=None):
    return PostgresqlLedger() if (engine or settings.ENGINE) == "postgresql" else SqliteLedger(folder)
