#ifndef KIOSK_LEDGER_CONTENTS_H
#define KIOSK_LEDGER_CONTENTS_H

#include <jansson.h>

#include "kiosk/ledger/unit.h"

/* What is in a container, lot by lot. Mixing is taken to be perfect (kiosk/rules/mix.h): what leaves has the
 * composition of what is there, so a lot once in stays in, if with nothing of it, until the container is cleaned.
 * Amounts are whole microlitres; a pour is shared out by largest remainder, so that each lot's amounts add up to the
 * drop.
 *
 * A unit of one lot says all of it in its row (resin, lot, amount_ul). Of several, the row has lot "" and the total,
 * and a row of the table "mix" says the lots as a text: "AMOUNT:ITEM:LOT", parted by single spaces, in order of item
 * and lot; "?" for an amount nobody knows. */

enum {
    CONTENTS_LOTS = 24, /* more of them in one vat, and nobody cleaned it: a fault */
    CONTENTS_TEXT_SIZE = CONTENTS_LOTS * (16 + 1 + ITEM_CODE_SIZE + LOT_SIZE) + 1
};

struct contents_lot {
    char item[ITEM_CODE_SIZE]; /* the resin's */
    char lot[LOT_SIZE];        /* "" = nobody knows which */
    int64_t amount_ul;         /* MOVEMENT_NULL: the composition is not known; then it is of all */
};

struct contents {
    int64_t total_ul; /* MOVEMENT_NULL unknown; when the composition is known, the sum */
    size_t count;     /* 0: clean */
    struct contents_lot lots[CONTENTS_LOTS];
};

/* More than any room holds; so that sums of what strangers wrote fit. */
#define CONTENTS_AMOUNT_MOST INT64_C(1000000000000000)

/* A row of the table. */
struct unit_mix {
    char unit[SERIAL_SIZE];
    char lots[CONTENTS_TEXT_SIZE]; /* "": no mix (any more) */
    int64_t version;
};
bool unit_mix_load(struct ledger *ledger, const char *unit, struct unit_mix *row, bool *found, struct fault *fault);
typedef bool unit_mix_visitor(const struct unit_mix *row, void *context);
bool unit_mix_each(struct ledger *ledger, unit_mix_visitor *visit, void *context, struct fault *fault);

/* Of a unit's row and its mix ("" = none). FAULT_DAMAGED when the text is none of ours. */
bool contents_of(const struct unit *unit, const char *mix, struct contents *contents, struct fault *fault);
/* The same from the ledger. */
bool contents_load(struct ledger *ledger, const struct unit *unit, struct contents *contents, struct fault *fault);
/* Fills in what a movement "pour", "use", "waste", "clean" or "weighing" of this unit says of it as it is now: unit,
 * item, expires and the detail. `more` (may be NULL; taken over) are other keys of the detail. FAULT_MISSING: no such
 * unit. */
bool contents_say(struct ledger *ledger, const char *serial, json_t *more, struct movement *movement,
                  struct fault *fault);
/* Into the row (resin, lot, amount_ul) and the mix text ("" for up to one lot). */
void contents_put(const struct contents *contents, struct unit *unit, char mix[CONTENTS_TEXT_SIZE]);
/* All lots as a text, a single one too; "" when clean. */
void contents_write(const struct contents *contents, char text[CONTENTS_TEXT_SIZE]);
bool contents_read(const char *text, struct contents *contents, struct fault *fault); /* total: the sum */

/* Takes `amount_ul` (MOVEMENT_NULL: nobody knows how much) out into `taken`. FAULT_REFUSED when less is there. */
bool contents_take(struct contents *from, int64_t amount_ul, struct contents *taken, struct fault *fault);
/* FAULT_REFUSED: more lots than CONTENTS_LOTS. */
bool contents_add(struct contents *to, const struct contents *taken, struct fault *fault);
/* So much is there now, by weight or by what was told: every lot in proportion. */
void contents_set_total(struct contents *contents, int64_t total_ul);

#endif
