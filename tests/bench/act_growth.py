"""What each act costs in rooms that had a thousand, a hundred thousand and a million units; see act_growth.c. The one
bench that fails: what people wait for must not hang on how much there was."""

import json
import pathlib
import shutil
import subprocess
import tempfile

UNITS = [1000, 100000, 1000000]
ROUNDS = 200
LIMIT = 2  # the dearest room's median to the least one's


def measure(build, memory, quick):
    """Prints the table; the acts that cost LIMIT times as much, or more."""
    units, rounds = ([1000, 20000], 20) if quick else (UNITS, ROUNDS)
    folder = pathlib.Path(tempfile.mkdtemp(dir=memory))
    try:
        out = subprocess.run([build / "tests/bench/bench_act_growth", folder, str(rounds), *map(str, units)], check=True,
                             stdout=subprocess.PIPE, text=True).stdout
    finally:
        shutil.rmtree(folder)
    acts = json.loads(out)["acts"]
    print(f"{'CPU µs of an act, median of ' + str(rounds):<34}" + "".join(f"{count:>12,}" for count in units) + " units   ratio")
    dear = []
    for act, medians in acts.items():
        ratio = max(medians) / medians[0]
        print(f"{act:<34}" + "".join(f"{median:12.0f}" for median in medians) + f"{ratio:14.2f}")
        if ratio >= LIMIT:
            dear.append(act)
    print(flush=True)
    return dear
