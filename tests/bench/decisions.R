# Rscript decisions.R NAME ROUNDS < numbers   what R needs for the same; decisions.py writes the numbers, one case a line.
# Prints the median CPU milliseconds and the sum of the answers.
arguments <- commandArgs(TRUE)
lines <- strsplit(readLines(file("stdin")), " ")
numbers <- lapply(lines, as.numeric)

smooth <- function(v, a) Reduce(function(s, x) s + a * (x - s), v)

answers <- list(
    # survival's fit, and what weibull-fit gives besides: standard errors and three lives with limits
    "weibull-10000" = function() {
        f <- survival::survreg(survival::Surv(numbers[[1]], numbers[[2]]) ~ 1, dist = "weibull",
                               control = survival::survreg.control(rel.tolerance = 1e-9, maxiter = 100))
        predict(f, data.frame(one = 1), type = "uquantile", p = c(0.01, 0.1, 0.5), se.fit = TRUE)
        exp(coef(f))
    },
    # sba in base R
    "forecast-5000" = function() sum(sapply(numbers, function(y) {
        (1 - 0.1 / 2) * smooth(y[y > 0], 0.1) / smooth(diff(c(0, which(y > 0))), 0.1)
    })),
    # level, its service and what falls short, over a lead time of 2
    "reorder-5000" = function() sum(sapply(numbers, function(mv) {
        m <- 2 * mv[1]
        size <- m^2 / (2 * mv[2] - m)
        level <- qnbinom(0.95, size = size, mu = m)
        tail <- pnbinom(level:(level + 400), size = size, mu = m, lower.tail = FALSE)
        service <- 1 - tail[1]
        short <- sum(tail) - sum(tail[-(1:3)])
        level
    }))
)

answer <- answers[[arguments[1]]]
invisible(answer()) # packages are loaded, code is compiled
times <- replicate(as.integer(arguments[2]), sum(system.time(value <<- answer())[1:2]))
cat(sprintf('{"cpu_ms": %.4f, "answer": %.17g}\n', 1000 * median(times), value))
