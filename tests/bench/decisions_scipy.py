#!/usr/bin/python3
"""decisions_scipy.py NAME ROUNDS < cases   what numpy and scipy need for the same, of the cases of bench_decisions. Prints the
median CPU milliseconds and the sum of the answers. (Debian's own python3, for python3-scipy is Debian's.)"""

import json
import statistics
import sys
import time

import numpy as np
from scipy import optimize, stats


def waste(case):
    """The recursion over lots in FEFO order with numpy's convolution; every lot on hand now."""
    mean, total, before, supply = case["model"]["mean"], 0.0, 0, 0
    served = np.array([1.0])  # what is used up or wasted so far
    for lot in case["lots"]:
        supply += int(lot["quantity"])
        periods, before = lot["expires_period"] - before, lot["expires_period"]
        if periods:
            cells = np.arange(int(stats.poisson.isf(1e-12, mean * periods)) + 1)
            served = np.convolve(served, stats.poisson.pmf(cells, mean * periods))
        wasted = served[:supply]
        total += (wasted * (supply - np.arange(len(wasted)))).sum()
        mass, served = wasted.sum(), np.concatenate([np.zeros(len(wasted)), served[supply:]])
        served = np.append(served, np.zeros(max(0, supply + 1 - len(served))))
        served[supply] += mass
        while served[-1] < 1e-13:
            served = served[:-1]
    return total


def load(case):
    """The fewest sealed ones, then the least slack: HiGHS, by one weighted sum."""
    size = np.array([one["usable_ml"] for one in case["cartridges"]])
    sealed = np.array([not one["opened"] for one in case["cartridges"]])
    best = optimize.milp(sealed * 100000 + size, integrality=np.ones(len(size)), bounds=optimize.Bounds(0, 1),
                         constraints=optimize.LinearConstraint(size, case["need_ml"], np.inf), options={"mip_rel_gap": 0})
    return round(best.fun) % 100000 - case["need_ml"]


ANSWERS = {"waste-200-lots": waste, "load-plan-60-best-fit": load}


def main():
    answer, cases = ANSWERS[sys.argv[1]], [json.loads(line) for line in sys.stdin]
    times = []
    for _ in range(int(sys.argv[2])):
        before = time.process_time()
        value = sum(map(answer, cases))
        times.append(1000 * (time.process_time() - before))
    print(json.dumps({"cpu_ms": statistics.median(times), "answer": float(value)}))


if __name__ == "__main__":
    main()
