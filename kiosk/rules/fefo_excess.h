#ifndef KIOSK_RULES_FEFO_EXCESS_H
#define KIOSK_RULES_FEFO_EXCESS_H

#include "kiosk/rules/demand_model.h"
#include "kiosk/rules/fefo.h"

/* Waste under random demand, exactly, lot by lot in FEFO order. With all lots on hand, what counts at the end of a lot
 * is one number: by how much demand and waste so far exceed the stock of the lots that are past, the excess. What a lot
 * of q leaves is max(0, q - excess), and max(0, excess - q) goes on to the next: Lindley's recursion (Proc. Cambridge
 * Phil. Soc. 48, 1952) of queues, here own derivation, tested path by path. So the distribution of the excess is all
 * that is kept. Quantities are whole numbers of cells, of which the demand model counts too. */

struct fefo_excess {
    double *p; /* cell k: probability of k; the last one has all that is as far as `most` too */
    size_t count, room;
    double period; /* reached */
    double steps;  /* of work so far; there is a limit */
};

/* Excess 0 in period 0. `most`: what all lots hold that will be asked about; a larger excess wastes nothing of any of
 * them, so nobody needs to know how large it is. */
bool fefo_excess_start(double most, struct arena *arena, struct fefo_excess *excess, struct rule_fault *fault);

/* Demand of the periods up to `period` (one that is past or <= 0 changes nothing). `most`: what the lots hold that are
 * still to come. `key` is blamed when a DEMAND_PMF meets part of a period. RULE_RANGE: more than can be computed. */
bool fefo_excess_demand(const struct demand_model *model, double period, double most, const char *key,
                        struct arena *arena, struct fefo_excess *excess, struct rule_fault *fault);

/* What a lot of `cells` that ends now is expected to leave, and, when `p_waste` is not NULL, with what chance it leaves
 * something. */
double fefo_excess_waste(const struct fefo_excess *excess, double cells, double *p_waste);
/* The lot is past. */
void fefo_excess_pass(struct fefo_excess *excess, double cells);

struct fefo_expected {
    double waste, p_waste;
};

/* All of it: of each of `lots`, in FEFO order and in cells, expires in periods. `list` is their key in the case. NULL:
 * fault. Not for DEMAND_NORMAL and DEMAND_NONE. */
struct fefo_expected *fefo_expect(const struct fefo_lot *lots, size_t count, const struct demand_model *model,
                                  const char *list, struct arena *arena, struct rule_fault *fault);

#endif
