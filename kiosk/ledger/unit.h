#ifndef KIOSK_LEDGER_UNIT_H
#define KIOSK_LEDGER_UNIT_H

#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/ledger.h"

/* A unit: one labelled thing. The row is the sum of its movements (apply.h); this file only reads and stores it. */

enum unit_status {
    UNIT_IN,         /* in storage, at `place` ("" = not put away yet) */
    UNIT_OUT,        /* with `holder`, perhaps in `printer`; lent to another room: at `place` */
    UNIT_RETIRED,    /* end of service */
    UNIT_GONE,       /* disposed of */
    UNIT_VOID,       /* its receipt was taken back: it never was */
    UNIT_RELABELLED, /* its label was lost: the thing is `heir` now, and nothing is left here but what it was */
    UNIT_TRAY,       /* no thing of its own: the label on the tray of the vat `pair`, "" of none just now */
    UNIT_STATUSES
};

struct unit {
    char serial[SERIAL_SIZE];
    char item[ITEM_CODE_SIZE];  /* what it is: a vat's, cartridge's … catalogue entry */
    char resin[ITEM_CODE_SIZE]; /* catalogue entry of the resin in it; a cartridge's is its own item; "" = empty */
    char lot[LOT_SIZE];         /* of the resin; "" = none, unknown, or a mix (contents.h) */
    enum unit_status status;
    char place[PLACE_SIZE];
    char holder[SERIAL_SIZE];
    char printer[PRINTER_SIZE];
    char job[JOB_SIZE];
    char delivery[DELIVERY_SIZE];
    char hold[WORD_SIZE];    /* reason, "" = not on hold */
    char film[WORD_SIZE];    /* clear, fogged, dented, bits, leaking; "" = not known */
    int64_t filled, expires; /* days or MOVEMENT_NULL; expires = last usable day */
    int64_t amount_ul;       /* content, MOVEMENT_NULL = unknown */
    int64_t minutes;         /* light hours so far in minutes, MOVEMENT_NULL = unknown */
    bool labelled;           /* its label was scanned back */
    int64_t prints;          /* how many labels were ordered for it */
    int64_t out_since_ms;    /* wall instant of the check-out, MOVEMENT_NULL when in */
    bool estimated;          /* amount_ul was reckoned, neither weighed nor told */
    bool recovered;          /* a bottle's content has been in a vat */
    int64_t first_filled;    /* day of a vat's first pour, for life; MOVEMENT_NULL: what `filled` says */
    int64_t opened;          /* day a cartridge or bottle was opened, MOVEMENT_NULL = not, or nobody said */
    char heir[SERIAL_SIZE];  /* of what is retired: what took its resin over; of what is relabelled: its new serial */
    int64_t tare_dg;         /* weight when empty, 0.1 g; MOVEMENT_NULL = not known */
    char reserved[JOB_CODE_SIZE]; /* kept for: a job's code or a badge; "" = for nobody */
    int64_t reserved_until;       /* last day it is kept, MOVEMENT_NULL = until somebody says */
    int64_t due;                  /* day by which it is promised back, MOVEMENT_NULL = nobody promised */
    char pair[SERIAL_SIZE];       /* a vat's: the other label of it, on the tray or on the case; "" none */
    int64_t stood_ms;             /* wall instant since when the resin in it stands unstirred, MOVEMENT_NULL unknown */
    int64_t inspected_minutes;    /* what `minutes` was when film or surface was last looked at, MOVEMENT_NULL never */
    int64_t surface_minutes;      /* what it was when the removable surface was last renewed, MOVEMENT_NULL never */
    int64_t version;              /* number of the last movement that touched it */
};

const char *unit_status_word(enum unit_status status); /* in, out, retired, gone, void, tray, relabelled */
bool unit_status_read(const char *word, enum unit_status *status);

/* `*found` false and true returned: there is none. */
bool unit_load(struct ledger *ledger, const char *serial, struct unit *unit, bool *found, struct fault *fault);

enum unit_by {
    UNIT_BY_PLACE,
    UNIT_BY_PRINTER,
    UNIT_BY_HOLDER,
    UNIT_BY_DELIVERY,
    UNIT_BY_RESERVED, /* kept for that job's code or badge */
    UNIT_BY_ITEM,     /* reads every unit of the item that ever was: for the rare question only */
    UNIT_BY_ALL
};
typedef bool unit_visitor(const struct unit *unit, void *context); /* false stops */
/* In order of serial, void ones and trays left out; `after` "" from the start; at most `limit`. UNIT_BY_PRINTER: those
 * out in that printer. UNIT_BY_ALL: key ignored. */
bool unit_each(struct ledger *ledger, enum unit_by by, const char *key, const char *after, int64_t limit,
               unit_visitor *visit, void *context, struct fault *fault);
/* What is promised back, the earliest day first, at most `limit`. */
bool unit_each_due(struct ledger *ledger, int64_t limit, unit_visitor *visit, void *context, struct fault *fault);
/* How many came in with a delivery (void ones left out), and how many of these have a proved label. */
bool unit_count_of_delivery(struct ledger *ledger, const char *delivery, int64_t *units, int64_t *proved,
                            struct fault *fault);
/* How many stand in a place; UNIT_IN_PLACE_MOST: so many or more, for a crowded one must not make a scan of it slow. */
enum { UNIT_IN_PLACE_MOST = 100 };
bool unit_count_in_place(struct ledger *ledger, const char *place, int64_t *units, struct fault *fault);
/* Units of one lot of an item ("": of none), as unit_each. */
bool unit_each_of_lot(struct ledger *ledger, const char *item, const char *lot, const char *after, int64_t limit,
                      unit_visitor *visit, void *context, struct fault *fault);
/* The same of those in and out only: what is there now of a lot that may be the lot of years ("" is one). */
bool unit_each_present_of_lot(struct ledger *ledger, const char *item, const char *lot, const char *after,
                              int64_t limit, unit_visitor *visit, void *context, struct fault *fault);

#endif
