"""What drawing a label costs once the fonts are loaded, beside the shortest program that zint, Pango and cairo allow."""

import json
import pathlib
import subprocess

TEMPLATES = pathlib.Path(__file__).resolve().parents[2] / "labels/drawing/templates"
CASES = [("vat-case-25x13", 203), ("vat-case", 203), ("vat-case-100x50", 203), ("vat-case-100x150", 203),
         ("vat-case", 300), ("vat-case-100x150", 300), ("vat-case", 600)]


def measure(build, quick):
    print("CPU of one label, median of the rounds; ratio: ours to the peer, which neither fits text nor checks anything")
    print(f"{'template':<18}{'dpi':>5}{'first ms':>10}{'µs':>8}{'peer µs':>9}{'ratio':>7}")
    for name, dpi in CASES[:2] if quick else CASES:
        out = subprocess.run([build / "tests/bench/bench_draw_labels", TEMPLATES, name, str(dpi), "3" if quick else "31"],
                             capture_output=True, check=True, text=True).stdout
        row = json.loads(out)
        print(f"{name:<18}{dpi:>5}{row['first_us'] / 1000:10.1f}{row['us']:8.0f}{row['peer_us']:9.0f}{row['ratio']:7.2f}",
              flush=True)
