#include "kiosk/rules/fefo_excess.h"

#include <math.h>
#include <string.h>

#include "kiosk/rules/fourier.h"

/* Below it a probability adds nothing to any sum here, and its products would slow the machine down as subnormals. */
static const double NOTHING = 1e-60;
#define MOST_STEPS 4294967296.0 /* 2^32 multiplications, or what takes as long, in one case: some seconds */
/* From so many pairs of cells on transforms are faster; one cell of them takes as long as so many multiplications. */
static const double MANY = 1 << 22, FOURIER_STEPS = 500;

bool fefo_excess_start(double most, struct arena *arena, struct fefo_excess *excess, struct rule_fault *fault)
{
    *excess = (struct fefo_excess){.count = 1, .room = (size_t)fmin(most, PMF_CELLS) + 1};
    excess->p = arena_take(arena, excess->room, sizeof *excess->p);
    if (!excess->p)
        return rule_fault_memory(fault);
    excess->p[0] = 1;
    return true;
}

/* Demand of some periods, ready to be added: tail[k] is the probability of k or more. */
struct added {
    struct pmf demand;
    double *tail;
    size_t first; /* cells before it count as 0 */
};

static bool prepare(const struct demand_model *model, double periods, const char *key, struct arena *arena,
                    struct added *added, struct rule_fault *fault)
{
    if (!demand_over(model, periods, 0, key, arena, &added->demand, fault))
        return false;
    added->tail = arena_take(arena, added->demand.count + 1, sizeof *added->tail);
    if (!added->tail)
        return rule_fault_memory(fault);
    for (size_t k = added->demand.count; k-- > 0;)
        added->tail[k] = added->tail[k + 1] + added->demand.p[k];
    for (added->first = 0; added->first + 1 < added->demand.count && added->demand.p[added->first] < NOTHING;)
        added->first++;
    return true;
}

/* In place, from the largest excess down: each only moves up. What would go beyond the cell `top` stays in it. */
static void convolve(struct fefo_excess *excess, const struct added *added, size_t top)
{
    double *restrict sum = excess->p;
    const double *restrict demand = added->demand.p;
    for (size_t i = excess->count; i-- > 0;) {
        const double p = sum[i];
        const size_t below_top = top - i < added->demand.count ? top - i : added->demand.count;
        sum[i] = 0;
        if (p < NOTHING)
            continue;
        for (size_t k = added->first; k < below_top; k++)
            sum[i + k] += p * demand[k];
        sum[top] += p * added->tail[below_top];
    }
}

/* The same for many cells. */
static bool convolve_many(struct fefo_excess *excess, const struct added *added, size_t top, struct arena *arena)
{
    const size_t count = excess->count + added->demand.count - 1;
    const double *sum = fourier_convolve(excess->p, excess->count, added->demand.p, added->demand.count, arena);
    if (!sum)
        return false;
    memcpy(excess->p, sum, (top + 1) * sizeof *sum);
    for (size_t k = count; k-- > top + 1;)
        excess->p[top] += sum[k];
    return true;
}

static void cut_tail(struct fefo_excess *excess)
{
    struct pmf pmf = {excess->p, excess->count};
    pmf_cut_tail(&pmf);
    memset(excess->p + pmf.count, 0, (excess->count - pmf.count) * sizeof *excess->p);
    excess->count = pmf.count;
}

bool fefo_excess_demand(const struct demand_model *model, double period, double most, const char *key,
                        struct arena *arena, struct fefo_excess *excess, struct rule_fault *fault)
{
    const size_t mark = arena_mark(arena);
    struct added added;
    if (period <= excess->period)
        return true;
    if (model->kind == DEMAND_PMF && period != floor(period))
        return rule_fault_set(fault, RULE_CONFLICT, key,
                              "'%s' is %.17g, but a demand given as a pmf is of whole periods: give a whole number or "
                              "another model",
                              key, period);
    if (!prepare(model, period - excess->period, key, arena, &added, fault))
        return false;
    const double all = (double)excess->count + (double)added.demand.count - 2, top = fmin(all, most);
    const double pairs = (double)excess->count * (double)added.demand.count,
                 steps = pairs < MANY ? pairs : FOURIER_STEPS * all;
    excess->steps += steps;
    if (top >= (double)excess->room || excess->steps > MOST_STEPS)
        return rule_fault_memory(fault);
    /* the excess may reach further than all lots to come: then only that it does so counts */
    for (; (double)excess->count > top + 1; excess->count--) {
        excess->p[excess->count - 2] += excess->p[excess->count - 1];
        excess->p[excess->count - 1] = 0;
    }
    if (pairs < MANY)
        convolve(excess, &added, (size_t)top);
    else if (!convolve_many(excess, &added, (size_t)top, arena))
        return rule_fault_memory(fault);
    excess->count = (size_t)top + 1;
    excess->period = period;
    cut_tail(excess);
    arena_release(arena, mark);
    return true;
}

double fefo_excess_waste(const struct fefo_excess *excess, double cells, double *p_waste)
{
    double waste = 0, p = 0;
    for (size_t k = 0; k < excess->count && (double)k < cells; k++) {
        waste += excess->p[k] * (cells - (double)k);
        p += excess->p[k];
    }
    if (p_waste)
        *p_waste = fmin(p, 1);
    return waste;
}

void fefo_excess_pass(struct fefo_excess *excess, double cells)
{
    const size_t last = excess->count - 1, gone = cells < (double)last ? (size_t)cells : last;
    double none = 0;
    for (size_t k = 0; k <= gone; k++)
        none += excess->p[k];
    memmove(excess->p, excess->p + gone, (excess->count - gone) * sizeof *excess->p);
    memset(excess->p + excess->count - gone, 0, gone * sizeof *excess->p);
    excess->p[0] = none;
    excess->count -= gone;
}

struct fefo_expected *fefo_expect(const struct fefo_lot *lots, size_t count, const struct demand_model *model,
                                  const char *list, struct arena *arena, struct rule_fault *fault)
{
    struct fefo_expected *expected = arena_take(arena, count, sizeof *expected);
    struct fefo_excess excess;
    double most = fefo_total(lots, count);
    if (!expected) {
        rule_fault_memory(fault);
        return NULL;
    }
    if (!fefo_excess_start(most, arena, &excess, fault))
        return NULL;
    for (size_t i = 0; i < count; i++) {
        const size_t mark = arena_mark(arena);
        const char *key = rule_text(arena, "%s.%zu.expires_period", list, lots[i].place);
        if (!fefo_excess_demand(model, lots[i].expires, most, key, arena, &excess, fault))
            return NULL;
        expected[i].waste = fefo_excess_waste(&excess, lots[i].quantity, &expected[i].p_waste);
        fefo_excess_pass(&excess, lots[i].quantity);
        most -= lots[i].quantity;
        arena_release(arena, mark);
    }
    return expected;
}
