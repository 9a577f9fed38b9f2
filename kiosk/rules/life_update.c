#include "kiosk/rules/life_update.h"

#include "kiosk/rules/gamma_quantile.h"

/* Hours are counted in units of the largest there is, and their powers as logarithms, so that they stay within a
 * double: ln b in hours^beta is log_b + beta log_largest. */
struct posterior {
    double beta, log_largest;
    double events;   /* of the own vats */
    double log_own;  /* ln of their sum of (hours / largest)^beta; -INFINITY: there are none */
    double a;        /* of the gamma distribution of theta, in those units … */
    double log_b;    /* … with b as logarithm: a short rating among long lives may be next to nothing */
    double log_drop; /* ln(-ln(1 - rated_p)): theta t^beta is so much when rated_p have worn out */
};

static double log_add(double one, double two)
{
    const double more = fmax(one, two), less = fmin(one, two);
    return isinf(more) ? more : more + log1p(exp(less - more));
}

static struct posterior learn(const struct life_update_case *asked)
{
    double oldest = 0, sum = 0; /* the sum in units of the oldest, of which one at least is 1 */
    for (size_t i = 0; i < asked->unit_count; i++)
        oldest = fmax(oldest, asked->hours[i]);
    struct posterior posterior = {.beta = asked->beta,
                                  .log_largest = log(fmax(oldest, asked->rated_hours)),
                                  .log_drop = log(-log1p(-asked->rated_p))};
    for (size_t i = 0; i < asked->unit_count; i++) {
        posterior.events += asked->events[i];
        sum += exp(asked->beta * (log(asked->hours[i]) - log(oldest)));
    }
    posterior.log_own = oldest > 0 ? log(sum) + asked->beta * (log(oldest) - posterior.log_largest) : -INFINITY;
    /* b0 = a0 / theta0, theta0 = drop / rated_hours^beta */
    const double log_prior =
        log(asked->prior_events) - posterior.log_drop + asked->beta * (log(asked->rated_hours) - posterior.log_largest);
    posterior.a = asked->prior_events + posterior.events;
    posterior.log_b = log_add(log_prior, posterior.log_own);
    return posterior;
}

/* eta for theta of the scaled units, as logarithms: eta = theta^(-1 / beta). */
static double hours_of(const struct posterior *posterior, double log_theta)
{
    return exp(posterior->log_largest - log_theta / posterior->beta);
}

/* Hours by which rated_p have worn out. */
static double life_of(const struct posterior *posterior, double log_theta)
{
    return hours_of(posterior, log_theta - posterior->log_drop);
}

/* ln((t / largest)^beta) */
static double log_power(const struct posterior *posterior, double hours)
{
    return posterior->beta * (log(hours) - posterior->log_largest);
}

static double held(double value, const char *key, struct rule_said *said)
{
    return rule_held(value, key, "this is more than can be counted: check beta and the units of the hours", said);
}

/* Life where theta is below or above its own with chance p: the larger theta, the shorter the life. */
static double life_at(const struct posterior *posterior, double p, enum gamma_tail tail)
{
    return life_of(posterior, gamma_log_quantile(posterior->a, p, tail) - posterior->log_b);
}

static void set_lives(const struct life_update_case *asked, const struct posterior *posterior,
                      struct life_update_answer *answer)
{
    const double log_mean = log(posterior->a) - posterior->log_b, tail = (1 - asked->credible) / 2;
    struct rule_said *said = &answer->said;
    answer->a = posterior->a;
    answer->b = held(exp(posterior->log_b + posterior->beta * posterior->log_largest), "b", said);
    answer->eta_hours = held(hours_of(posterior, log_mean), "eta_hours", said);
    answer->b_life_hours = held(life_of(posterior, log_mean), "b_life_hours", said);
    answer->b_life_median_hours = held(life_at(posterior, 0.5, GAMMA_BELOW), "b_life_median_hours", said);
    answer->b_life_lower_hours = held(life_at(posterior, tail, GAMMA_ABOVE), "b_life_lower_hours", said);
    answer->b_life_upper_hours = held(life_at(posterior, tail, GAMMA_BELOW), "b_life_upper_hours", said);
}

/* Lasting from t to t + x, over all that theta may be: ((b + t^beta) / (b + (t + x)^beta))^a. */
static double predict(const struct posterior *posterior, const struct weibull_span *span)
{
    const double hazard =
        weibull_hazard((struct weibull){posterior->log_largest, posterior->beta}, span->from_hours, span->more_hours);
    return exp(-posterior->a *
               log1p(exp(log(hazard) - log_add(posterior->log_b, log_power(posterior, span->from_hours)))));
}

/* Where that chance is the one asked for: (t + x)^beta = t^beta + (b + t^beta) (keep^(-1 / a) - 1). */
static double keep(const struct posterior *posterior, double from, double probability)
{
    const double exponent = -log(probability) / posterior->a, log_from = log_power(posterior, from);
    const double log_more = log_add(posterior->log_b, log_from) + (exponent < 30 ? log(expm1(exponent)) : exponent);
    const double growth = from > 0 ? log_add(0, log_more - log_from) / posterior->beta : INFINITY; /* of ln t */
    if (growth < 1) /* x is small beside t: their sum would lose it */
        return from * expm1(growth);
    return exp(posterior->log_largest + log_add(log_from, log_more) / posterior->beta) - from;
}

static bool set_chances(const struct life_update_case *asked, const struct posterior *posterior, struct arena *arena,
                        struct life_update_answer *answer)
{
    double *chances = arena_take(arena, asked->predict_count, sizeof *chances);
    answer->predict = chances;
    for (size_t i = 0; chances && i < asked->predict_count; i++)
        chances[i] = held(predict(posterior, &asked->predict[i]), "predict", &answer->said);
    answer->keep_hours =
        held(keep(posterior, asked->keep_from_hours, asked->keep_probability), "keep_hours", &answer->said);
    return chances != NULL;
}

/* From the own vats alone: eta = (sum of t^beta / events)^(1 / beta), and its lower limit from 2 sum / eta^beta being
 * about chi-square distributed, with 2 events + 2 degrees of freedom, which holds without events too. */
static void set_classical(const struct life_update_case *asked, const struct posterior *posterior,
                          struct life_update_answer *answer)
{
    struct life_update_classical *classical = &answer->classical;
    struct rule_said *said = &answer->said;
    *classical = (struct life_update_classical){RULE_NULL, RULE_NULL, RULE_NULL, RULE_NULL};
    if (asked->unit_count == 0) {
        rule_set_unknown(said, "classical", "there are no vats of your own yet: only the rating speaks");
        return;
    }
    const double lower =
        gamma_log_quantile(posterior->events + 1, asked->lower_confidence, GAMMA_BELOW) - posterior->log_own;
    classical->eta_lower_hours = held(hours_of(posterior, lower), "classical", said);
    classical->b_life_lower_hours = held(life_of(posterior, lower), "classical", said);
    if (posterior->events == 0) {
        rule_set_unknown(
            said, "classical",
            "none of your vats has worn out: the lower limits are all that can be said without the rating");
        return;
    }
    classical->eta_hours = held(hours_of(posterior, log(posterior->events) - posterior->log_own), "classical", said);
    classical->b_life_hours = held(life_of(posterior, log(posterior->events) - posterior->log_own), "classical", said);
}

static const char *sentence_of(const struct life_update_case *asked, struct arena *arena,
                               const struct life_update_answer *answer)
{
    const char *share = rule_text(arena, "%.3g %%", 100 * asked->rated_p),
               *rated = rule_number(arena, asked->rated_hours);
    if (asked->unit_count == 0)
        return rule_text(arena,
                         "The rating says that %s have worn out by %s hours; there are no vats of your own yet to "
                         "question it.",
                         share, rated);
    return rule_text(arena,
                     "The rating says that %s have worn out by %s hours; with your %zu vats it is %s (%s to %s at "
                     "%.3g %%). Whether to go by it is yours to say.",
                     share, rated, asked->unit_count, rule_number(arena, answer->b_life_hours),
                     rule_number(arena, answer->b_life_lower_hours), rule_number(arena, answer->b_life_upper_hours),
                     100 * asked->credible);
}

bool life_update(const struct life_update_case *asked, struct arena *arena, struct life_update_answer *answer,
                 struct rule_fault *fault)
{
    const struct posterior posterior = learn(asked);
    *answer = (struct life_update_answer){.said = {.method = "Weibull of known shape, gamma prior from the rating"}};
    set_lives(asked, &posterior, answer);
    if (!set_chances(asked, &posterior, arena, answer))
        return rule_fault_memory(fault);
    set_classical(asked, &posterior, answer);
    answer->said.sentence = sentence_of(asked, arena, answer);
    return true;
}
