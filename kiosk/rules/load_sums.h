#ifndef KIOSK_RULES_LOAD_SUMS_H
#define KIOSK_RULES_LOAD_SUMS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/arena.h"
#include "kiosk/rules/load_bits.h"

/* Subset sums of containers: which amounts can be taken together, by how many are taken, sealed and in all. Containers
 * stand in a fixed order, those of one expiry together. Two views that meet at any place of the order:
 *   reach  forwards: which sums the containers before the place give, by how many of the present expiry and how many
 *          sealed ones were taken;
 *   table  backwards, kept for every place: from which sums the containers behind it lead into the wanted range. */

struct load_item {
    int64_t ml;      /* > 0 */
    uint32_t expiry; /* 0, 1, …: the place of its date among the different ones, earliest first */
    uint32_t id;     /* the place of its id among all, in order of bytes */
    bool sealed;
};

/* A question: take so many of these, into such a sum. */
struct load_window {
    const struct load_item *items; /* sorted by expiry */
    int32_t count;
    int32_t opens, sealed;    /* how many of the opened, of the sealed ones; sealed exactly */
    bool at_most;             /* of the opened: at most, not exactly */
    const int32_t *of_expiry; /* NULL, or how many of each expiry, of both kinds together; not with at_most */
    int64_t low, high;        /* the sum, ends included */
};

enum load_mark { LOAD_FREE, LOAD_IN, LOAD_OUT };

/* --- forwards --- */

struct load_reach {
    const struct load_window *window;
    int32_t at;             /* items before this one are counted in */
    int32_t before;         /* items taken of expiries before the present one */
    int32_t lines;          /* of one expiry at most so many less one are taken */
    struct load_bits *sums; /* [taken of this expiry][sealed taken in all] */
    uint64_t *words;        /* the memory of all of them */
    int64_t width;          /* words a set */
};

/* Nothing taken yet. `of_one`: the most that will be taken of one expiry. False: the arena is full. */
bool load_reach_init(struct load_reach *reach, const struct load_window *window, int32_t of_one, struct arena *arena);
void load_reach_restart(struct load_reach *reach);
/* Goes on by one item. Sums above the window's high end are lost. */
void load_reach_next(struct load_reach *reach, enum load_mark mark);
/* The expiry is done, and `taken` of it were taken. */
void load_reach_end_expiry(struct load_reach *reach, int32_t taken);
const struct load_bits *load_reach_sums(const struct load_reach *reach, int32_t taken, int32_t sealed);

/* --- backwards --- */

struct load_place {
    int32_t opens_from, opens_count, sealed_from, sealed_count; /* still to take */
    struct load_bits *sums;
};

struct load_table {
    const struct load_window *window;
    const enum load_mark *marks; /* of each item; NULL: all are free */
    struct load_place *places;   /* before item 0, 1, … and behind the last */
};

/* Reckons all places, from the last to the first. False: the arena is full. The window must live as long. */
bool load_table_init(struct load_table *table, const struct load_window *window, struct arena *arena);
/* Reckons the places from `from` - 1 down to `to` anew, after marks have changed. */
void load_table_redo(struct load_table *table, int32_t from, int32_t to);
/* The sums before `place` that lead there with so many opened (at most) and sealed ones still to take. NULL: none. */
const struct load_bits *load_table_sums(const struct load_table *table, int32_t place, int32_t opens, int32_t sealed);

/* Does what was reached meet what leads on at the reach's place? `taken` of the present expiry. */
bool load_meets(const struct load_reach *reach, const struct load_table *table, int32_t taken);
/* Would it, were the item at the reach's place taken? */
bool load_meets_with_next(const struct load_reach *reach, const struct load_table *table);

#endif
