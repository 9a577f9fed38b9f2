"""What the run was asked for: set by `run` before the tests are loaded."""

import os
import pathlib
import random

ROOT = pathlib.Path(__file__).resolve().parents[2]
BUILD = pathlib.Path(os.environ.get("AMBERSHELF_BUILD", ROOT / "build")).resolve()
PROGRAM = BUILD / "ambershelf"
ENGINE = os.environ.get("AMBERSHELF_TEST_ENGINE", "sqlite")
LONG = os.environ.get("AMBERSHELF_TEST_LONG") == "1"
SANITIZED = "AMBERSHELF_SANITIZE:BOOL=ON" in (BUILD / "CMakeCache.txt").read_text() if (BUILD / "CMakeCache.txt").exists() else False
EVERY_LANE = LONG or os.environ.get("AMBERSHELF_TEST_EVERY_LANE") == "1"
SEED = int(os.environ.get("AMBERSHELF_TEST_SEED", "20260214"))
MEMORY = "/dev/shm" if os.access("/dev/shm", os.W_OK) else "/tmp"

# Sanitizer builds: what fontconfig keeps for ever is not a leak of ours. Without effect in other builds.
SANITIZERS = {
    "LSAN_OPTIONS": f"suppressions={ROOT}/tests/support/lsan.supp:print_suppressions=0",
    "UBSAN_OPTIONS": "print_stacktrace=1",
    "ASAN_OPTIONS": "detect_leaks=1",
    "TZ": "UTC",
}


def chance(name):
    """A random generator of its own for `name`: the same every run with the same seed."""
    return random.Random(f"{SEED} {name}")
