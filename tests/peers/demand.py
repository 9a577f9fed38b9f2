"""Demand and ordering: beside R's distributions, its HoltWinters, the package forecast, and scipy."""

from question import Check, Question

SMOOTH = "f <- function(v, a) Reduce(function(s, x) s + a * (x - s), v)"  # exponential smoothing in one line of R
STATE = f"{SMOOTH}; q <- f(y[y > 0], alpha); g <- f(diff(c(0, which(y > 0))), beta)"


def series(draw, periods=36):
    """Slow demand: some periods with a little, most with none. Never all zeros."""
    return [2] + [draw.choice([1, 1, 2, 3, 5]) if draw.random() < 0.35 else 0 for _ in range(periods - 2)] + [1]


def demand_class(draw):
    y = series(draw)
    return Question("demand-class", {"demand": y}, {"y": y}, [
        Check("adi", "R", "length(y) / sum(y > 0)"),
        Check("cv2", "R", "var(y[y > 0]) / mean(y[y > 0])^2"),
    ])


def demand_class_otherwise(draw):
    y = series(draw)
    return Question("demand-class", {"demand": y, "adi": "mean-interval", "cv2": "n"}, {"y": y}, [
        Check("adi", "R", "mean(diff(c(0, which(y > 0))))"),
        Check("cv2", "scipy", "stats.variation(y[y > 0]) ** 2"),
    ])


def forecast(draw, method, checks):
    data = {"y": series(draw), "alpha": draw.choice([0.05, 0.1, 0.2]), "beta": draw.choice([0.05, 0.1, 0.3])}
    case = {"demand": data["y"], "method": method, "alpha": data["alpha"], "beta": data["beta"]}
    return Question("demand-forecast", case, data, checks)


def croston(draw):
    return forecast(draw, "croston", [
        Check("forecast_per_period", "R", f"{STATE}; q / g"),
        Check("size", "R", f"{STATE}; q"),
        Check("interval", "R", f"{STATE}; g"),
    ])


def croston_alike(draw):
    """The package has one alpha for both."""
    y, alpha = series(draw), draw.choice([0.05, 0.1, 0.2])
    return Question("demand-forecast", {"demand": y, "method": "croston", "alpha": alpha}, {"y": y, "alpha": alpha}, [
        Check("forecast_per_period", "forecast", "croston(ts(y), h = 1, alpha = alpha)$mean[1]"),
        Check("forecast_per_period", "R", f"{STATE.replace('beta', 'alpha')}; q / g"),
    ])


def sba(draw):
    return forecast(draw, "sba", [Check("forecast_per_period", "R", f"{STATE}; (1 - beta / 2) * q / g")])


def sbj(draw):
    return forecast(draw, "sbj", [Check("forecast_per_period", "R", f"{STATE}; (1 - beta / (2 - beta)) * q / g")])


def ses(draw):
    return forecast(draw, "ses", [
        Check("level", "R", "HoltWinters(ts(y), alpha = alpha, beta = FALSE, gamma = FALSE, l.start = y[1])$coefficients"),
        Check("forecast_per_period", "forecast", 'ses(ts(y), alpha = alpha, initial = "simple", h = 1)$mean[1]'),
    ])


def tsb(draw):
    return forecast(draw, "tsb", [
        Check("probability", "R", f"{SMOOTH}; t1 <- which(y > 0)[1]; f(c(1 / t1, y[-(1:t1)] > 0), beta)"),
        Check("forecast_per_period", "R", f"{SMOOTH}; t1 <- which(y > 0)[1]; "
              "f(y[y > 0], alpha) * f(c(1 / t1, y[-(1:t1)] > 0), beta)"),
    ])


def gamma_poisson(draw):
    y = series(draw, 12)
    case = {"demand": y, "method": "gamma-poisson", "prior_a": 2, "prior_b": 4}
    return Question("demand-forecast", case, {"y": y}, [
        Check("forecast_per_period", "scipy", "stats.gamma(2 + y.sum(), scale=1 / (4 + len(y))).mean()")])


def lead_negative_binomial(draw):
    y = series(draw)
    data = {"y": y, "L": draw.choice([1, 2, 3.5]), "V": draw.choice([0.5, 1.5])}
    case = {"demand": y, "lead_periods": data["L"], "lead_variance": data["V"]}
    given = "m <- L * mean(y); v <- L * var(y) + mean(y)^2 * V"
    return Question("lead-time-demand", case, data, [
        Check("pmf.0:8", "R", f"{given}; dnbinom(0:7, size = m^2 / (v - m), mu = m)"),
        Check("quantiles", "R", f"{given}; qnbinom(c(0.9, 0.95, 0.99), size = m^2 / (v - m), mu = m)"),
        Check("variance", "R", f"{given}; v"),
        Check("pmf.0:8", "scipy", "(lambda m, v: stats.nbinom.pmf(np.arange(8), m * m / (v - m), m / v))"
              "(L * y.mean(), L * y.var(ddof=1) + y.mean() ** 2 * V)"),
    ])


def lead_gamma_poisson(draw):
    y = series(draw, 9)
    return Question("lead-time-demand", {"demand": y, "lead_periods": 3, "method": "gamma-poisson"}, {"y": y}, [
        Check("pmf.0:8", "R", "dnbinom(0:7, size = 1 + sum(y), prob = (1 + length(y)) / (1 + length(y) + 3))"),
        Check("quantiles", "scipy", "stats.nbinom.ppf([0.9, 0.95, 0.99], 1 + y.sum(), (1 + len(y)) / (4 + len(y)))"),
        Check("pmf.0:3", "scipy", "[integrate.quad(lambda r: stats.gamma.pdf(r, 1 + y.sum(), scale=1 / (1 + len(y)))"
              " * stats.poisson.pmf(k, 3 * r), 0, np.inf, epsabs=1e-12)[0] for k in range(3)]"),
    ])


def lead_bootstrap(draw):
    data = {"y": series(draw, 24), "L": draw.randint(2, 5)}
    case = {"demand": data["y"], "lead_periods": data["L"], "method": "iid-bootstrap"}
    return Question("lead-time-demand", case, data, [
        Check("pmf.0:8", "R", 'Reduce(function(p, q) convolve(p, rev(q), type = "open"), '
              "rep(list(tabulate(y + 1) / length(y)), L))[1:8]"),
        Check("mean", "R", "L * mean(y)"),
    ])


def lead_markov(draw):
    """By the generating function on the unit circle, another way than a convolution over states."""
    data = {"y": series(draw, 30), "L": draw.randint(2, 5)}
    case = {"demand": data["y"], "lead_periods": data["L"], "method": "markov-bootstrap", "smoothing": "half"}
    to_one = "(((y[1:] > 0) & ((y[:-1] > 0) == s)).sum() + 0.5) / (((y[:-1] > 0) == s).sum() + 1)"
    chain = f"np.array([[1 - p, p] for s in (False, True) for p in [{to_one}]])"
    return Question("lead-time-demand", case, data, [
        Check("pmf.0:8", "scipy", f"(lambda T: np.fft.ifft([np.linalg.matrix_power(T * [1, (x ** y[y > 0]).mean()], L)"
              f"[int(y[-1] > 0)].sum() for x in np.exp(-2j * np.pi * np.arange(64) / 64)]).real[:8])({chain})")])


def reorder_point(draw):
    data = {"m": draw.uniform(0.3, 3), "L": draw.choice([1, 2, 4]), "target": draw.choice([0.9, 0.95, 0.99])}
    data["v"] = data["m"] * draw.uniform(1.3, 4)
    case = {"model": {"kind": "negative-binomial", "mean": data["m"], "variance": data["v"]}, "lead_periods": data["L"],
            "target": data["target"], "order_quantity": 3}
    size = "size = m^2 / (v - m) * L, mu = m * L"
    loss = f"loss <- function(s) sum(pnbinom(s:5000, {size}, lower.tail = FALSE))"
    return Question("reorder-point", case, data, [
        Check("level", "R", f"qnbinom(target, {size})"),
        Check("cycle_service", "R", f"pnbinom(qnbinom(target, {size}), {size})"),
        Check("expected_short", "R", f"{loss}; s <- qnbinom(target, {size}); loss(s) - loss(s + 3)"),
        Check("level", "scipy", "stats.nbinom.ppf(target, m * m / (v - m) * L, m / v)"),
    ])


def reorder_point_by_fill(draw):
    data = {"m": draw.uniform(0.5, 3), "L": draw.choice([1, 2, 4]), "target": draw.choice([0.9, 0.95, 0.99]), "Q": draw.randint(2, 9)}
    case = {"model": {"kind": "poisson", "mean": data["m"]}, "lead_periods": data["L"], "target": data["target"],
            "measure": "fill", "order_quantity": data["Q"]}
    fill = ("loss <- function(s) sum(ppois(s:2000, m * L, lower.tail = FALSE)); "
            "fill <- sapply(0:100, function(s) 1 - (loss(s) - loss(s + Q)) / Q)")
    return Question("reorder-point", case, data, [
        Check("level", "R", f"{fill}; which(fill >= target)[1] - 1"),
        Check("fill_rate", "R", f"{fill}; fill[fill >= target][1]"),
    ])


def order_up_to(draw):
    data = {"m": draw.uniform(0.5, 3), "L": draw.choice([1, 2, 4]), "R": draw.choice([1, 2]), "target": draw.choice([0.9, 0.98])}
    case = {"model": {"kind": "poisson", "mean": data["m"]}, "lead_periods": data["L"], "review_periods": data["R"],
            "target": data["target"], "measure": "fill"}
    fill = ("loss <- function(s, t) sum(ppois(s:2000, m * t, lower.tail = FALSE)); "
            "fill <- sapply(0:100, function(s) 1 - (loss(s, R + L) - loss(s, L)) / (m * R))")
    return Question("reorder-point", case, data, [
        Check("level", "R", f"{fill}; which(fill >= target)[1] - 1"),
        Check("fill_rate", "R", f"{fill}; fill[fill >= target][1]"),
    ])


def reorder_point_normal(draw):
    data = {"mu": draw.uniform(20, 80), "sd": draw.uniform(5, 20), "Q": draw.uniform(50, 250), "target": draw.choice([0.95, 0.99])}
    case = {"model": {"kind": "normal", "mean": data["mu"], "sd": data["sd"]}, "lead_periods": 2, "target": data["target"],
            "measure": "fill", "order_quantity": data["Q"]}
    root = ("uniroot(function(k) dnorm(k) - k * pnorm(k, lower.tail = FALSE) - Q / (sd * sqrt(2)) * (1 - target), "
            "c(-30, 30), tol = 1e-13)$root")
    return Question("reorder-point", case, data, [
        Check("k", "R", root), Check("level", "R", f"2 * mu + {root} * sd * sqrt(2)")])


MAKERS = [demand_class, demand_class_otherwise, croston, croston_alike, sba, sbj, ses, tsb, gamma_poisson,
          lead_negative_binomial, lead_gamma_poisson, lead_bootstrap, lead_markov, reorder_point, reorder_point_by_fill,
          order_up_to, reorder_point_normal]
