#ifndef TESTS_DESK_PLAIN_ROOM_H
#define TESTS_DESK_PLAIN_ROOM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* A room as somebody with pencil and paper would keep it: what each thing is, where it is and what is in it. It shares
 * no code with the desk or the ledger, so that the two can be compared. Amounts in microlitres, PLAIN_UNKNOWN where
 * nobody knows. */

enum { PLAIN_LOTS = 24, PLAIN_UNITS = 64, PLAIN_TEXT = 36, PLAIN_JOB = 44 };
#define PLAIN_UNKNOWN INT64_MIN

struct plain_lot {
    char item[PLAIN_TEXT], lot[PLAIN_TEXT];
    int64_t ul;
};

struct plain_unit {
    char serial[PLAIN_TEXT];
    bool out;
    char place[PLAIN_TEXT], printer[PLAIN_TEXT], holder[PLAIN_TEXT], hold[PLAIN_TEXT];
    int64_t due;           /* day; 0: nobody promised one */
    char kept[PLAIN_TEXT]; /* for whom */
    int64_t last_day;      /* its use-by day */
    int64_t total;         /* of what is in it; 0 when it never held anything */
    struct plain_lot lots[PLAIN_LOTS];
    size_t lot_count;
};

/* What came in and went away of each lot besides what is in the units and went into parts. */
struct plain_account {
    char item[PLAIN_TEXT], lot[PLAIN_TEXT];
    int64_t in, wasted; /* `in` also holds what the books were put right by */
    bool vague;         /* once not known: no sum can be asked for */
};

/* What went into the parts of a job, use by use. */
struct plain_use {
    char job[PLAIN_JOB], item[PLAIN_TEXT], lot[PLAIN_TEXT];
    int64_t ul;  /* of this lot */
    bool undone; /* the act was taken back */
};
struct plain_uses {
    struct plain_use *list; /* the caller frees it */
    size_t count, room;
};

struct plain_room {
    struct plain_unit units[PLAIN_UNITS];
    size_t unit_count;
    struct plain_account accounts[PLAIN_UNITS];
    size_t account_count;
};

struct plain_unit *plain_find(struct plain_room *room, const char *serial);
/* A thing that stands at `place`; item "" when nothing is in it. */
void plain_add(struct plain_room *room, const char *serial, const char *place, const char *item, const char *lot,
               int64_t ul);

/* The empty thing has left the room, and a new one stands in its place in the list. */
void plain_renew(struct plain_room *room, struct plain_unit *unit, const char *serial, const char *place,
                 const char *item, const char *lot, int64_t ul);
bool plain_holds_the_same(const struct plain_unit *one, const struct plain_unit *two);

void plain_take_out(struct plain_unit *unit, const char *printer, const char *holder);
/* Out at another room; lent again it only has another day. */
void plain_lend(struct plain_unit *unit, const char *room, const char *holder, int64_t due);
void plain_bring_back(struct plain_unit *unit, const char *place);
/* So much is in it: what is there in proportion. */
void plain_set_total(struct plain_room *room, struct plain_unit *unit, int64_t ul);
/* `all`: nothing is left behind, known or not. */
void plain_pour(struct plain_room *room, struct plain_unit *from, struct plain_unit *to, int64_t ul, bool all);
void plain_clean(struct plain_room *room, struct plain_unit *unit);
/* A job in this printer ends, and its parts took so much (PLAIN_UNKNOWN: nobody says): first it ran out of the
 * cartridges that stand there, the one that expires first before the others, into the vat; then out of the vat into the
 * parts. No vat: out of the cartridges into the parts. No more than is there. At most `cartridges` of them count. */
void plain_end_job(struct plain_room *room, const char *printer, const char *job, int64_t ul, size_t cartridges,
                   struct plain_uses *uses);

/* Of each lot that was always known: what came in is what is in the units, what went into parts and what was wasted. A
 * sentence on the first that does not add up, NULL when all do. `in_units` says what the caller found in the units. */
typedef int64_t plain_sum(void *context, const char *item, const char *lot);
const char *plain_balance(const struct plain_room *room, const struct plain_uses *uses, plain_sum *in_units,
                          void *context);
/* Known uses of a lot, of one job or (NULL) of all. `*unknown` (may be NULL) counts the others. */
int64_t plain_used(const struct plain_uses *uses, const char *item, const char *lot, const char *job, size_t *unknown);

#endif
