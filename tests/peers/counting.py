"""Counting: beside R's exact tests and distributions."""

import math

from question import Check, Question


def record_accuracy(draw):
    n, population = draw.randint(20, 200), draw.randint(200, 900)
    data = {"n": n, "w": draw.randint(0, n // 8), "N": population, "level": draw.choice([0.9, 0.95, 0.99])}
    case = {"counted": n, "wrong": data["w"], "population": population, "confidence": data["level"]}
    return Question("record-accuracy", case, data, [
        Check("lower", "R", "binom.test(n - w, n, conf.level = level)$conf.int[1]"),
        Check("upper", "R", "binom.test(n - w, n, conf.level = level)$conf.int[2]"),
        Check("lower_one_sided", "R", 'binom.test(n - w, n, alternative = "greater", conf.level = level)$conf.int[1]'),
        Check("lower", "scipy", "stats.beta.ppf((1 - level) / 2, n - w, w + 1)"),
        Check("most_wrong", "R", "max(Filter(function(D) phyper(w, D, N - D, n) > 1 - level + 1e-12, w:(N - n + w)))"),
        Check("most_wrong", "scipy", "max(D for D in range(w, N - n + w + 1) if stats.hypergeom.cdf(w, N, D, n) > 1 - level + 1e-12)"),
    ])


def record_accuracy_of_many(draw):
    n = draw.randint(10**7, 10**8)
    data = {"n": n, "w": draw.randint(0, n // 3)}
    return Question("record-accuracy", {"counted": n, "wrong": data["w"]}, data, [
        Check("lower", "R", "qbeta(0.025, n - w, w + 1)"),
        Check("upper", "scipy", "stats.beta.ppf(0.975, n - w + 1, w)"),
    ])


def sample_size(draw):
    population, accuracy = draw.randint(30, 2000), draw.choice([0.9, 0.95, 0.98])
    data = {"N": population, "D": math.floor(population * (1 - accuracy) + 1e-9) + 1, "x": draw.randint(0, 2)}
    case = {"population": population, "accuracy": accuracy, "wrong_allowed": data["x"]}
    return Question("sample-size", case, data, [
        Check("sample", "R", "which(phyper(x, D, N - D, 0:N) <= 0.05 + 1e-12)[1] - 1"),
        Check("risk", "R", "Find(function(p) p <= 0.05 + 1e-12, phyper(x, D, N - D, 0:N))"),
        Check("sample", "scipy", "next((n for n in range(N + 1) if stats.hypergeom.cdf(x, N, D, n) <= 0.05 + 1e-12), np.nan)"),
    ])


def sample_size_of_an_endless_list(draw):
    data = {"p": draw.choice([0.93, 0.97, 0.995]), "x": draw.randint(0, 3)}
    return Question("sample-size", {"accuracy": data["p"], "wrong_allowed": data["x"]}, data, [
        Check("sample", "R", "which(pbinom(x, 1:9999, 1 - p) <= 0.05 + 1e-12)[1]"),
        Check("sample", "scipy", "next(n for n in itertools.count(1) if stats.binom.cdf(x, n, 1 - p) <= 0.05 + 1e-12)"),
    ])


def abc_class(draw):
    values = [round(draw.lognormvariate(4, 2), 2) for _ in range(25)]
    items = [{"id": f"i{i:02}", "annual_use": value, "unit_cost": 1} for i, value in enumerate(values)]
    return Question("abc-class", {"items": items}, {"v": values}, [
        Check("items.*.cumulative", "R", "cumsum(sort(v, decreasing = TRUE)) / sum(v)"),
        Check("counts_per_year", "R", "{ s <- sort(v, decreasing = TRUE) / sum(v); "
              "sum(c(12, 4, 2)[findInterval(cumsum(s) - s, c(0, 0.8, 0.95))]) }"),
    ])


MAKERS = [record_accuracy, record_accuracy_of_many, sample_size, sample_size_of_an_endless_list, abc_class]
