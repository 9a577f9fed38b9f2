"""Measures what the rules cost, JSON told apart, beside R and scipy where they do the same."""

import json
import pathlib
import shutil
import subprocess
import tempfile

HERE = pathlib.Path(__file__).resolve().parent
SCIPY = {"waste-200-lots": "numpy's convolve", "load-plan-60-best-fit": "scipy milp (HiGHS)"}
R = {"weibull-10000": "R survreg", "forecast-5000": "base R, the same formula", "reorder-5000": "R qnbinom, pnbinom"}


def run(arguments, text=None):
    """Standard output, or None and the last words of why not."""
    done = subprocess.run([str(word) for word in arguments], input=text, capture_output=True, text=True)
    if done.returncode == 0:
        return done.stdout
    print(f"  {' '.join(map(str, arguments[:3]))}: {(done.stderr.strip().splitlines() or ['it failed'])[-1]}")
    return None


def numbers_of(name, case):
    """What R reads: the numbers of a case, in lines."""
    if name == "weibull-10000":
        return [case["hours"], case["events"]]
    return [case["demand"]] if "demand" in case else [[case["model"]["mean"], case["model"]["variance"]]]


def ask_peer(build, name, rounds):
    """(what it is, its answer or None); (None, None) where nobody does the same."""
    if name not in SCIPY and name not in R:
        return None, None
    cases = run([build / "tests/bench/bench_decisions", name, "--cases"])
    if name in SCIPY:
        out = run([HERE / "decisions_scipy.py", name, rounds], cases)
        return SCIPY[name], out and json.loads(out)
    if not shutil.which("Rscript"):
        return R[name], None
    lines = [" ".join(map(repr, line)) for case in cases.splitlines() for line in numbers_of(name, json.loads(case))]
    out = run(["Rscript", "--vanilla", HERE / "decisions.R", name, rounds], "\n".join(lines) + "\n")
    return R[name], out and json.loads(out)


def is_same(ours, peer):
    return abs(peer["answer"] - ours["answer"]) <= 1e-6 * max(1, abs(ours["answer"]))


def told(ours, who, peer):
    if who is None:
        return ""
    if peer is None:
        return f"{who}: skipped, it is not on this machine"
    return (f"{who}: {peer['cpu_ms']:.2f} ms, {peer['cpu_ms'] / ours['cpu_ms']:.1f} times ours"
            + ("" if is_same(ours, peer) else f"; BUT its answer is {peer['answer']:.9g}, ours {ours['answer']:.9g}"))


def measure(build, quick):
    """True when every rule there is answered, and as its peer did."""
    program, rounds, good = build / "tests/bench/bench_decisions", 1 if quick else 11, True
    print(f"CPU of this process, median of {rounds} rounds: case_compute and the writing of its answer; JSON: the reading of "
          "the text and the writing alone")
    print(f"{'':<24}{'calls':>6}{'case':>11}{'memory':>11}{'CPU ms':>11}{'JSON of it':>12}")
    for name in run([program]).split():
        out = run([program, name, rounds])
        if not out:
            good = False
            continue
        ours = json.loads(out)
        if "missing" in ours:
            print(f"{name:<24}not measured: this build has no rule {ours['missing']}")
            continue
        who, peer = ask_peer(build, name, 1 if quick else 3)
        good = good and (peer is None or is_same(ours, peer))
        print(f"{name:<24}{ours['calls']:>6}{ours['bytes'] / 1024:>8.0f} KB{ours['arena_bytes'] / 1024:>8.0f} KB"
              f"{ours['cpu_ms']:>11.2f}{ours['json_ms']:>12.2f}   {told(ours, who, peer)}".rstrip(), flush=True)
    recall_walk(build, 100_000 if quick else 10_000_000)
    trace_ledger(build, 100_000 if quick else 10_000_000)
    return good


def recall_walk(build, movements):
    """The walk alone, over movements that lie in memory as an index of a database has them."""
    out = run([build / "tests/bench/bench_recall_walk", movements, 50])
    if out:
        ours = json.loads(out)
        print(f"recall of a lot of 24 in {ours['movements']} movements: {ours['cpu_ms']:.1f} ms CPU, {ours['most_cpu_ms']:.1f} the "
              f"farthest; {ours['reached']} containers and jobs reached (medians of {ours['lots']} lots)")


def trace_ledger(build, movements):
    """The same walk, and the account, over a ledger's file, which lies in memory; 1.7 GB for ten million movements."""
    with tempfile.TemporaryDirectory(dir="/dev/shm") as folder:
        out = run([build / "tests/bench/bench_trace_ledger", f"{folder}/ledger.sqlite", movements, 40])
    if out:
        ours = json.loads(out)
        print(f"the same in a SQLite ledger of {ours['movements']} movements: {ours['cpu_ms']:.1f} ms CPU, {ours['most_cpu_ms']:.1f} the "
              f"farthest; {ours['reached']} containers and jobs reached by {ours['edges']} movements (medians of {ours['lots']} lots); with how much is where "
              f"{ours['account_ms']:.1f} ms, {ours['most_account_ms']:.1f} the farthest")
