"""What drawing a label costs once the fonts are loaded, beside the shortest program that zint, Pango and cairo allow."""

import json
import pathlib
import subprocess

TEMPLATES = pathlib.Path(__file__).resolve().parents[2] / "labels/drawing/templates"
FINER = [("vat-case", 300), ("vat-case-100x150", 300), ("waste-hazard-105x148", 300), ("vat-case", 600),
         ("bottle-hazard-74x105", 600)]
QUICK = [("vat-case", 203), ("bottle-hazard", 203)]


def measure(build, quick):
    print("CPU of one label, median of the rounds; ratio: ours to the peer, which neither fits text nor checks anything")
    print(f"{'template':<22}{'dpi':>5}{'first ms':>10}{'µs':>8}{'peer µs':>9}{'ratio':>7}")
    rows = []
    for name, dpi in QUICK if quick else [(path.stem, 203) for path in sorted(TEMPLATES.glob("*.label"))] + FINER:
        out = subprocess.run([build / "tests/bench/bench_draw_labels", TEMPLATES, name, str(dpi), "3" if quick else "15"],
                             capture_output=True, check=True, text=True).stdout
        row = json.loads(out)
        rows.append(row)
        print(f"{name:<22}{dpi:>5}{row['first_us'] / 1000:10.1f}{row['us']:8.0f}{row['peer_us']:9.0f}{row['ratio']:7.2f}",
              flush=True)
    coarse = [row for row in rows if row["dpi"] == 203]
    dearest = max(coarse, key=lambda row: row["us"])
    slowest = max(coarse, key=lambda row: row["ratio"])
    print(f"at 203 dpi, {len(coarse)} templates: the dearest is {dearest['template']}, {dearest['us'] / 1000:.2f} ms; "
          f"the one nearest to its peer {slowest['template']}, ratio {slowest['ratio']:.2f}")
