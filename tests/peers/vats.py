"""Vat life: beside R's package survival, and R's and scipy's distributions."""

from question import Check, Question

FIT = 'f <- survreg(Surv(t, d) ~ 1, dist = "weibull", control = survreg.control(rel.tolerance = 1e-13, maxiter = 200))'
WEIBULL = f"{FIT}; k <- 1 / f$scale; eta <- exp(coef(f))"


def lives(draw, units=29):
    """Hours with ties, and whether it was worn out (1) or still ran (0)."""
    hours = [10 * round(draw.weibullvariate(60, 3)) + 10 for _ in range(units)]
    return {"t": hours, "d": [int(draw.random() < 0.65) for _ in hours]}


def survival(draw):
    data = lives(draw)
    at = sorted(draw.sample(range(200, 600), 3))
    case = {"hours": data["t"], "events": data["d"], "at_hours": [hour for hour in at if hour <= max(data["t"])],
            "restrict_hours": 500}
    fit = 'f <- survfit(Surv(t, d) ~ 1, conf.type = "log-log")'
    data["at"] = case["at_hours"]
    return Question("survival", case, data, [
        Check("steps.*.hours", "survival", f"{fit}; summary(f)$time"),
        Check("steps.*.at_risk", "survival", f"{fit}; summary(f)$n.risk"),
        Check("steps.*.survival", "survival", f"{fit}; summary(f)$surv"),
        Check("steps.*.se", "survival", f"{fit}; s <- summary(f); ifelse(s$surv > 0, s$std.err, NA)"),
        Check("steps.*.lower", "survival", f"{fit}; summary(f)$lower"),
        Check("steps.*.upper", "survival", f"{fit}; summary(f)$upper"),
        Check("quantiles.*.hours", "survival", f"{fit}; quantile(f, c(0.1, 0.25, 0.5), conf.int = FALSE)"),
        Check("restricted_mean_hours", "survival", f'{fit}; summary(f, rmean = 500)$table["rmean"]'),
        Check("at", "survival", f"{fit}; summary(f, times = at)$surv"),
    ])


def survival_otherwise(draw):
    data = lives(draw)
    data["e"] = [draw.choice([0, 0, hour // 2]) for hour in data["t"]]
    kind = draw.choice(["log", "plain"])
    case = {"hours": data["t"], "events": data["d"], "entry_hours": data["e"], "interval": kind, "confidence": 0.9}
    fit = f'f <- survfit(Surv(e, t, d) ~ 1, conf.type = "{kind}", conf.int = 0.9)'
    return Question("survival", case, data, [
        Check("steps.*.at_risk", "survival", f"{fit}; summary(f)$n.risk"),
        Check("steps.*.survival", "survival", f"{fit}; summary(f)$surv"),
        Check("steps.*.lower", "survival", f"{fit}; s <- summary(f); ifelse(s$surv > 0, pmax(0, s$lower), NA)"),
        Check("steps.*.upper", "survival", f"{fit}; s <- summary(f); ifelse(s$surv > 0, s$upper, NA)"),
    ])


def survival_of_groups(draw):
    data = lives(draw, 40)
    data["g"] = [draw.choice(["Capstan", "Sextant", "Halyard"]) for _ in data["t"]]
    case = {"hours": data["t"], "events": data["d"], "groups": data["g"]}
    return Question("survival", case, data, [
        Check("log_rank.chi2", "survival", "survdiff(Surv(t, d) ~ g)$chisq"),
        Check("log_rank.p", "survival", "pchisq(survdiff(Surv(t, d) ~ g)$chisq, length(unique(g)) - 1, lower.tail = FALSE)"),
    ])


def survival_of_causes(draw):
    data = lives(draw, 40)
    data["cause"] = [draw.choice(["wear", "wear", "accident"]) if worn else "none" for worn in data.pop("d")]
    data["at"] = [300, 450, 550]
    case = {"hours": data["t"] + [2000], "causes": [None if c == "none" else c for c in data["cause"]] + [None],
            "at_hours": data["at"]}
    data["t"], data["cause"] = case["hours"], data["cause"] + ["none"]
    fit = 's <- summary(survfit(Surv(t, factor(cause, c("none", "accident", "wear"))) ~ 1), times = at)'
    return Question("survival", case, data, [
        Check("incidence.accident", "survival", f"{fit}; s$pstate[, 2]"),
        Check("incidence.wear", "survival", f"{fit}; s$pstate[, 3]"),
    ])


def weibull_fit(draw):
    data = lives(draw)
    case = {"hours": data["t"], "events": data["d"], "survive": [{"from_hours": 300, "more_hours": 100}],
            "mean_remaining_at": [0, 400]}
    lives_of = f'{WEIBULL}; q <- predict(f, data.frame(one = 1), type = "uquantile", p = c(0.01, 0.1, 0.5), se.fit = TRUE)'
    return Question("weibull-fit", case, data, [
        Check("eta_hours", "survival", f"{WEIBULL}; eta"),
        Check("beta", "survival", f"{WEIBULL}; k"),
        Check("log_likelihood", "survival", f"{FIT}; f$loglik[1]"),
        Check("se_eta_hours", "survival", f"{WEIBULL}; eta * sqrt(vcov(f)[1, 1])"),
        Check("se_beta", "survival", f"{WEIBULL}; k * sqrt(vcov(f)[2, 2])"),
        Check("mean_hours", "survival", f"{WEIBULL}; eta * gamma(1 + 1 / k)"),
        Check("b_lives.*.hours", "survival", f"{lives_of}; exp(q$fit)"),
        Check("b_lives.*.lower_hours", "survival", f"{lives_of}; exp(q$fit - qnorm(0.975) * q$se.fit)"),
        Check("b_lives.*.upper_hours", "survival", f"{lives_of}; exp(q$fit + qnorm(0.975) * q$se.fit)"),
        Check("survive", "survival", f"{WEIBULL}; pweibull(400, k, eta, lower.tail = FALSE) / pweibull(300, k, eta, lower.tail = FALSE)"),
        Check("mean_remaining_hours", "survival", f"{WEIBULL}; s <- function(x) pweibull(x, k, eta, lower.tail = FALSE); "
              "sapply(c(0, 400), function(from) integrate(s, from, Inf, rel.tol = 1e-11)$value / s(from))"),
        Check("log_likelihood", "scipy", "-optimize.minimize(lambda x: -(stats.weibull_min.logpdf(t[d == 1], np.exp(x[1]), "
              "scale=np.exp(x[0])).sum() + stats.weibull_min.logsf(t[d == 0], np.exp(x[1]), scale=np.exp(x[0])).sum()), "
              "[6, 1], method='Nelder-Mead', options={'xatol': 1e-9, 'fatol': 1e-11, 'maxiter': 5000}).fun"),
    ])


def life_update(draw):
    data = lives(draw, 12)
    data.update({"B": draw.choice([2.5, 3, 4]), "H": draw.randint(300, 600), "a0": draw.choice([1, 2, 5])})
    case = {"beta": data["B"], "rated_hours": data["H"], "prior_events": data["a0"], "hours": data["t"], "events": data["d"],
            "predict": [{"from_hours": 300, "more_hours": 100}], "keep_from_hours": 200}
    given = "a <- a0 + sum(d); b <- a0 * H^B / -log(0.9) + sum(t^B)"
    life = "life <- function(theta) (-log(0.9) / theta)^(1 / B)"
    stay = "stay <- function(h) integrate(function(u) dgamma(u, a) * exp(-u * h^B / b), 0, Inf, rel.tol = 1e-11)$value"
    return Question("life-update", case, data, [
        Check("b_life_hours", "R", f"{given}; {life}; life(a / b)"),
        Check("b_life_median_hours", "R", f"{given}; {life}; life(qgamma(0.5, a, rate = b))"),
        Check("b_life_lower_hours", "R", f"{given}; {life}; life(qgamma(0.95, a, rate = b))"),
        Check("b_life_upper_hours", "R", f"{given}; {life}; life(qgamma(0.05, a, rate = b))"),
        Check("b_life_upper_hours", "scipy", "(lambda a, b: (-np.log(0.9) / stats.gamma.ppf(0.05, a, scale=1 / b)) ** (1 / B))"
              "(a0 + d.sum(), a0 * H ** B / -np.log(0.9) + (t ** float(B)).sum())"),
        Check("predict", "R", f"{given}; {stay}; stay(400) / stay(300)"),
        Check("keep_hours", "R", f"{given}; {stay}; uniroot(function(x) stay(200 + x) / stay(200) - 0.9, c(0, 2000), tol = 1e-10)$root"),
        Check("classical.eta_lower_hours", "R", "(2 * sum(t^B) / qchisq(0.9, 2 * sum(d) + 2))^(1 / B)"),
    ])


def spares(draw):
    data = {"h": [draw.randint(0, 600) for _ in range(9)], "x": draw.randint(50, 200), "eta": 600, "k": draw.uniform(2, 4)}
    case = {"hours": data["h"], "horizon_hours": data["x"], "eta_hours": data["eta"], "beta": data["k"]}
    given = ("p <- 1 - exp(pweibull(h + x, k, eta, lower.tail = FALSE, log.p = TRUE) - "
             "pweibull(h, k, eta, lower.tail = FALSE, log.p = TRUE)); "
             'm <- Reduce(function(m, q) convolve(m, c(q, 1 - q), type = "open"), p, 1)')
    return Question("spares", case, data, [
        Check("probabilities", "R", f"{given}; p"),
        Check("pmf", "R", f"{given}; m"),
        Check("spares", "R", f"{given}; which(cumsum(m) >= 0.95)[1] - 1"),
        Check("mean", "scipy", "(1 - stats.weibull_min.sf(h + x, k, scale=eta) / stats.weibull_min.sf(h, k, scale=eta)).sum()"),
    ])


MAKERS = [survival, survival_otherwise, survival_of_groups, survival_of_causes, weibull_fit, life_update, spares]
