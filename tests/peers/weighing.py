"""Weighing: beside R, which differentiates the model itself, and scipy."""

from question import Check, Question


def weigh(draw):
    data = {"G": draw.uniform(400, 900), "T": draw.uniform(90, 150), "rho": draw.uniform(1, 1.2), "al": 7.5e-4,
            "tc": draw.uniform(17, 24), "tr": 25, "rep": 0.6, "cal": 0.5, "uT": draw.uniform(0.5, 3), "res": 1,
            "lr": 0.01, "lt": 2, "la": 1.5e-4}
    case = {"gross_g": data["G"], "tare_g": data["T"], "density_g_per_ml": data["rho"], "temperature_c": data["tc"],
            "expansion_per_k": data["al"], "repeatability_g": 0.6, "calibration_g": 0.5, "tare_u_g": data["uT"],
            "resolution_g": 1, "density_limit": 0.01, "temperature_limit_k": 2, "expansion_limit_per_k": 1.5e-4}
    u = "u <- c(sqrt(rep^2 + cal^2 + res^2 / 12), uT, lr / sqrt(3), lt / sqrt(3), la / sqrt(3))"
    model = 'g <- eval(deriv(~ (G - T) * (1 + al * (tc - tr)) / rho, c("G", "T", "rho", "tc", "al")))'
    return Question("weigh", case, data, [
        Check("volume_ml", "R", f"{model}; g"),
        Check("u_ml", "R", f'{u}; {model}; sqrt(sum((attr(g, "gradient") * u)^2))'),
        Check("u_ref_ml", "R", f'{u}; g <- eval(deriv(~ (G - T) / rho, c("G", "T", "rho"))); '
              'sqrt(sum((attr(g, "gradient") * u[1:3])^2))'),
    ])


def enough(draw):
    data = {"v": draw.uniform(400, 700), "u": draw.uniform(2, 6), "need": draw.uniform(380, 700), "share": 0.03}
    case = {"volume_ml": data["v"], "u_ml": data["u"], "need_ml": data["need"], "heel_ml": 8, "need_share": 0.03}
    return Question("enough", case, data, [
        Check("p_enough", "R", "pnorm(v - 8 - need, sd = sqrt(u^2 + (share * need)^2))"),
        Check("largest_need_ml", "R", "uniroot(function(n) pnorm(v - 8 - n, sd = sqrt(u^2 + (share * n)^2)) - 0.95, "
              "c(1, 1000), tol = 1e-11)$root"),
        Check("p_enough", "scipy", "stats.norm.cdf(v - 8 - need, scale=np.hypot(u, share * need))"),
    ])


def reconcile(draw):
    data = {"l": draw.uniform(500, 600), "ul": draw.uniform(3, 18), "jobs": [draw.randint(20, 200) for _ in range(3)],
            "u": draw.uniform(2, 6)}
    data["w"] = data["l"] + draw.uniform(-10, 10)
    case = {"ledger_ml": data["l"], "ledger_u_ml": data["ul"], "jobs_ml": data["jobs"], "correlated": False,
            "weighed_ml": data["w"], "weighed_u_ml": data["u"]}
    now = "now <- sqrt(ul^2 + sum((0.05 * jobs)^2))"
    return Question("reconcile", case, data, [
        Check("ledger_u_now_ml", "R", f"{now}; now"),
        Check("z", "R", f"{now}; (w - l) / sqrt(now^2 + u^2)"),
        Check("fused_ml", "R", f"{now}; weighted.mean(c(l, w), 1 / c(now, u)^2)"),
        Check("fused_u_ml", "R", f"{now}; coef(summary(lm(c(l, w) ~ 1, weights = 1 / c(now, u)^2)))[2] / "
              "summary(lm(c(l, w) ~ 1, weights = 1 / c(now, u)^2))$sigma"),
    ])


MAKERS = [weigh, enough, reconcile]
