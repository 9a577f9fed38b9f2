"""Perishable stock: beside closed forms by R's distributions, and scipy's solver for whole numbers."""

import datetime

from question import Check, Question

TODAY = datetime.date(2026, 1, 1)


def one_lot(draw):
    data = {"q": draw.randint(2, 15), "E": draw.randint(2, 12), "m": draw.uniform(0.3, 2)}
    data["v"] = data["m"] * draw.uniform(1.2, 3)
    case = {"lots": [{"id": "a", "quantity": data["q"], "expires_period": data["E"]}],
            "model": {"kind": "negative-binomial", "mean": data["m"], "variance": data["v"]}}
    size = "size = m^2 / (v - m) * E, mu = m * E"
    return Question("fefo-waste-random", case, data, [
        Check("total_expected_waste", "R", f"sum(pnbinom(0:(q - 1), {size}))"),
        Check("lots.*.p_waste", "R", f"pnbinom(q - 1, {size})"),
        Check("total_expected_waste", "scipy", "stats.nbinom(m * m / (v - m) * E, m / v).expect(lambda d: np.maximum(q - d, 0), "
              "lb=0, ub=q)"),
    ])


def two_lots(draw):
    """The second lot is left with what the first one's waste did not spare: a double sum, no recursion."""
    data = {"q1": draw.randint(2, 6), "q2": draw.randint(2, 6), "E1": draw.randint(1, 4), "m": draw.uniform(0.3, 2)}
    data["E2"] = data["E1"] + draw.randint(1, 5)
    case = {"lots": [{"id": "a", "quantity": data["q1"], "expires_period": data["E1"]},
                     {"id": "b", "quantity": data["q2"], "expires_period": data["E2"]}],
            "model": {"kind": "poisson", "mean": data["m"]}}
    return Question("fefo-waste-random", case, data, [
        Check("lots.*.expected_waste", "R", "i <- 0:200; j <- 0:200; "
              "c(sum(dpois(i, m * E1) * pmax(0, q1 - i)), "
              "sum(outer(dpois(i, m * E1), dpois(j, m * (E2 - E1))) * "
              "outer(i, j, function(i, j) pmax(0, q1 + q2 - pmax(i, q1) - j))))")])


def latest_start(draw):
    p = [0.6, 0.2, 0.1, 0, 0.1]
    data = {"p": p, "q": draw.randint(5, 20), "risk": draw.choice([0.05, 0.1, 0.5])}
    case = {"today": "2026-01-01", "pmf": p, "grid_ml": 100, "risk": data["risk"],
            "lots": [{"id": "a", "quantity_ml": data["q"] * 100, "expires": "2026-12-01"}]}
    return Question("latest-start", case, data, [
        Check("lots.0.days_needed", "scipy", "next(n for n in itertools.count(1) if "
              "np.fft.ifft(np.fft.fft(p, 4096) ** n).real[:q].sum() <= risk + 1e-12)"),
        Check("lots.0.days_needed", "R", "d <- 1; n <- 0; while (sum(head(d, q)) > risk + 1e-12) "
              '{ d <- convolve(d, rev(p), type = "open"); n <- n + 1 }; n'),
    ])


def newsvendor(draw):
    data = {"m": draw.uniform(3, 30), "cu": draw.randint(20, 400), "co": draw.randint(20, 400)}
    case = {"method": "newsvendor", "cost_under": data["cu"], "cost_over": data["co"],
            "model": {"kind": "poisson", "mean": data["m"]}}
    return Question("order-quantity", case, data, [
        Check("quantity", "R", "qpois(cu / (cu + co), m)"),
        Check("p_enough", "scipy", "stats.poisson.cdf(stats.poisson.ppf(cu / (cu + co), m), m)"),
        Check("quantity", "scipy", "min(range(200), key=lambda q: cu * stats.poisson(m).expect(lambda d: np.maximum(d - q, 0))"
              " + co * stats.poisson(m).expect(lambda d: np.maximum(q - d, 0)))"),
    ])


def newsvendor_normal(draw):
    data = {"mu": draw.uniform(20, 60), "sd": draw.uniform(2, 9), "cu": draw.randint(20, 400), "co": draw.randint(20, 400)}
    case = {"method": "newsvendor", "cost_under": data["cu"], "cost_over": data["co"],
            "model": {"kind": "normal", "mean": data["mu"], "sd": data["sd"]}}
    return Question("order-quantity", case, data, [Check("quantity_exact", "R", "qnorm(cu / (cu + co), mu, sd)")])


def economic_order(draw):
    data = {"K": draw.randint(10, 90), "D": draw.randint(10, 4000), "h": draw.uniform(0.1, 30)}
    case = {"method": "eoq", "order_cost": data["K"], "demand_per_year": data["D"], "holding_cost_per_unit_year": data["h"]}
    return Question("order-quantity", case, data, [
        Check("eoq", "R", "uniroot(function(q) h / 2 - K * D / q^2, c(1e-3, 1e6), tol = 1e-12)$root")])


def waste_limited(draw):
    data = {"E": draw.randint(6, 24), "m": draw.uniform(0.3, 1), "share": draw.choice([0.02, 0.05, 0.1])}
    case = {"on_hand": [], "new_expires_period": data["E"], "max_waste_share": data["share"],
            "model": {"kind": "poisson", "mean": data["m"]}}
    waste = "w <- cumsum(ppois(0:99, m * E))"
    return Question("order-quantity", case, data, [
        Check("quantity", "R", f"{waste}; max(0, which(w / 1:100 <= share + 1e-9))"),
        Check("expected_waste", "R", f"{waste}; w[max(which(w / 1:100 <= share + 1e-9))]"),
    ])


def load_plan(draw):
    """With a slot for each and no rest too small to keep, best-fit opens the fewest sealed ones, then leaves the least."""
    cartridges = [{"id": f"c{i:02}", "usable_ml": draw.randint(30, 1000), "opened": draw.random() < 0.6,
                   "expires": str(TODAY + datetime.timedelta(days=draw.randint(5, 400)))} for i in range(20)]
    data = {"u": [item["usable_ml"] for item in cartridges], "sealed": [int(not item["opened"]) for item in cartridges]}
    data["need"] = draw.randint(sum(data["u"]) // 3, sum(data["u"]) * 9 // 10)
    case = {"need_ml": data["need"], "slots": 20, "job_end": str(TODAY), "objective": "best-fit", "dreg_ml": 0,
            "cartridges": cartridges}
    solve = ("optimize.milp({0}, integrality=np.ones(len(u)), bounds=optimize.Bounds(0, 1), "
             "constraints=optimize.LinearConstraint(u, need, np.inf), options={{'mip_rel_gap': 0}}).fun")
    return Question("load-plan", case, data, [
        Check("sealed_opened", "scipy", solve.format("sealed")),
        Check("slack_ml", "scipy", "(" + solve.format("sealed * 10**5 + u") + ") % 10**5 - need"),
    ])


MAKERS = [one_lot, two_lots, latest_start, newsvendor, newsvendor_normal, economic_order, waste_limited, load_plan]
