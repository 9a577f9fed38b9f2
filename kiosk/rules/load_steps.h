#ifndef KIOSK_RULES_LOAD_STEPS_H
#define KIOSK_RULES_LOAD_STEPS_H

#include "kiosk/rules/load_cover.h"

/* The steps of load_cover, once it is known which slacks there are. All of them: false means that the arena is full. */

/* The containers that are less than the need, with amounts divided by what all have in common. */
struct load_items {
    const struct load_want *want;
    struct arena *arena;
    struct load_item *items;            /* by expiry, then id */
    struct load_item *falling, *rising; /* by amount, largest first; by expiry, then amount, least first */
    int32_t *of_want;                   /* where each item stands in want->items */
    int32_t count, opens, sealed;       /* of which to take at most, exactly */
    int32_t largest_expiry;             /* most items of one expiry */
    int64_t unit, need, rest;           /* need * unit is `rest` more than what was asked for */
    struct load_bits *slacks;           /* [opened ones taken]: which slacks are possible */
};

/* What is sought: a number of opened containers, and slacks. */
struct load_aim {
    int32_t opens;
    bool at_most;
    struct load_bits slacks;
};

/* Betters `best`, numbers of each expiry, in which nothing may stand yet (first number -1). */
bool load_find_numbers(const struct load_items *all, const struct load_aim *aim, int32_t *best);
/* The best slack with these numbers of each expiry. The aim's number of opened ones is exact. */
bool load_find_slack(const struct load_items *all, const struct load_aim *aim, const int32_t *of_expiry,
                     int64_t *slack);
/* Fills choice->taken, from its numbers of each expiry and the slack. */
bool load_find_ids(const struct load_items *all, const struct load_aim *aim, int64_t slack, struct load_choice *choice);

/* Containers in all. */
int32_t load_sum_of(const struct load_items *all, const int32_t *of_expiry);
/* The largest slack that can be. */
int64_t load_last_slack(const struct load_items *all);
int64_t load_slack_in_ml(const struct load_items *all, int64_t slack);
/* The least slack of `slacks` that is not below `least` ml; -1: none. */
int64_t load_slack_from(const struct load_items *all, const struct load_bits *slacks, int64_t least);

#endif
