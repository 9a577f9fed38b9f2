#ifndef KIOSK_DESK_COUNTER_H
#define KIOSK_DESK_COUNTER_H

#include "kiosk/desk/desk.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/rules/carton.h"
#include "kiosk/rules/verdict.h"

/* What a counter is in the middle of: who stands there, which delivery is open, the things scanned so far, what the
 * kiosk proposes. Kept as a row, so that a restart or another scan in between forgets nothing. */

enum counter_step {
    STEP_IDLE,
    STEP_CHECK_OUT,
    STEP_CHECK_IN,
    STEP_RECEIPT,
    STEP_PROOF,
    STEP_PUT_AWAY,
    STEP_POUR,
    STEP_CLEAN,
    STEP_RETIRE,
    STEP_INSPECT,
    STEP_LEND,
    STEP_LABEL_LOST,
    STEP_TAKE_ON,
    STEP_KEEP,
    STEP_LIFE,
    STEPS
};

enum { COUNTER_UNITS = 32, COUNTER_TITLE_SIZE = 240, RECEIPT_QUANTITY_MAX = 10000 };

struct counter_unit {
    char serial[SERIAL_SIZE];
    char film[WORD_SIZE];                 /* said by a film card, "" = not said */
    int64_t minutes, amount_ul;           /* said by a card or key, MOVEMENT_NULL = not said */
    bool unknown;                         /* the person said that nobody knows: film, hours, content */
    bool all;                             /* of a pour: all that is in it */
    bool minutes_unknown, amount_unknown; /* a script said so of one of them */
    bool mixer_missing, float_stuck;      /* of an inspection; `film` is then a platform's surface, too */
    char instead[SERIAL_SIZE];            /* of a check-out: the older one that was proposed for it, "" none */
    bool lent;                            /* of what comes back: from another room, not from a printer */
};

/* What a maker's code proposes to receive. */
struct counter_receipt {
    char item[ITEM_CODE_SIZE]; /* "" = not in the catalogue yet */
    char lot[LOT_SIZE];
    char gtin[15];
    char maker_code[SUPPLIER_CODE_SIZE];
    int64_t expires; /* day, MOVEMENT_NULL = the code has none */
    int64_t made;    /* day, MOVEMENT_NULL */
    bool day_was_00; /* the code said month only */
    int64_t quantity;
    int64_t content_ul;   /* of one, MOVEMENT_NULL */
    int64_t asked;        /* "so many labels?" was asked of this quantity; 0: not asked */
    char hold[WORD_SIZE]; /* said with a typed receipt; "" = as the rule finds */
};

/* What is asked about a code that was scanned while a receipt is proposed. */
enum carton_question {
    CARTON_ASKS_NOTHING,
    CARTON_ASKS_OTHER,    /* it contradicts: is it another pack? */
    CARTON_ASKS_INNER,    /* one of those that the outer carton counts, or beside it? */
    CARTON_ASKS_TOO_MANY, /* one more than the outer carton counts? */
    CARTON_ASKS_LOOK,     /* nothing that a key could answer: YES leads back to the proposal */
    CARTON_ASKS_DELIVERY, /* none is open, and nothing of it is in stock: is it a new one? */
    CARTON_QUESTIONS
};

/* The codes that the proposal was made of; and the outer carton that was received last, whose packs get labels now. */
struct counter_carton {
    struct carton codes;
    enum carton_question asks;
    enum carton_question later; /* put off until a delivery is open: CARTON_ASKS_INNER, or nothing */
    struct carton_code about;   /* the code that is asked about, now or later */
    int64_t booked;             /* packs the outer carton counted, 0 = it was none */
    char booked_item[ITEM_CODE_SIZE], booked_lot[LOT_SIZE];
};

/* A thing without our label, as far as it was said. `units` of the counter are then those whose labels were seen, or
 * those taken on. At an idle counter only `place` is kept: the shelf that was scanned last. */
struct counter_bare {
    char place[PLACE_SIZE]; /* where it stands: a place or, `in_printer`, a printer; "" not said */
    bool in_printer;
    char item[ITEM_CODE_SIZE]; /* "" not said */
    char letter;               /* of its serials */
    char lot[LOT_SIZE];        /* as the maker's code says it; "" not said */
    char proposed[SERIAL_SIZE];
    /* of a take-on; MOVEMENT_NULL, "": not said */
    int64_t expires, minutes, amount_ul;
    char resin[ITEM_CODE_SIZE]; /* in a vat */
    char film[WORD_SIZE];
    bool unknown; /* somebody said that nobody knows its hours */
};
void counter_bare_clear(struct counter_bare *bare);

struct counter {
    char name[COUNTER_SIZE];
    char person[SERIAL_SIZE]; /* signed in, "" = nobody */
    int64_t person_mono_ms;   /* last scan while signed in */
    char run[33];             /* run of the daemon that time belongs to */
    char delivery[DELIVERY_SIZE];
    enum counter_step step;
    struct counter_unit units[COUNTER_UNITS];
    size_t unit_count;
    char place[PLACE_SIZE];         /* scanned to close the group, while something is still asked */
    bool need_said;                 /* of a check-out: somebody has said what the job needs … */
    int64_t need_ul;                /* … so much; MOVEMENT_NULL: that nobody knows */
    bool due_said;                  /* of what is lent: somebody has said when it is to be back … */
    int64_t due;                    /* … by this day; MOVEMENT_NULL: that nobody knows */
    struct job_label ticket;        /* of a check-out: the job's ticket as it was read; its code "" none */
    char kept_for[JOB_CODE_SIZE];   /* of what is to be kept: a job's code; "" for whoever is signed in */
    struct counter_receipt receipt; /* STEP_RECEIPT; in STEP_PROOF what YES would receive more of */
    struct counter_carton carton;   /* with `receipt` */
    struct counter_bare bare;       /* STEP_LABEL_LOST, STEP_TAKE_ON */
    char proof_item[ITEM_CODE_SIZE], proof_lot[LOT_SIZE]; /* STEP_PROOF: what the maker's code just said */
    bool proof_set;
    char tray[SERIAL_SIZE]; /* scanned with another vat in hand: nothing goes on before it is said which (pair.h) */
    char undo_asked[ACT_ID_SIZE]; /* UNDO of another person's act waits for YES */
    bool spoken;                  /* is there a verdict to show? */
    struct verdict_list verdict;
    char title[COUNTER_TITLE_SIZE];
};

/* A fresh counter when there is no row, and one that says so when the row can't be read: a counter that nobody can use
 * any more helps nobody. Signs the person out when the badge is older than the desk allows. */
bool counter_load(struct ledger *ledger, const struct desk *desk, const char *name, const struct moment *moment,
                  struct counter *counter, struct fault *fault);
bool counter_store(struct ledger *ledger, const struct counter *counter, struct fault *fault);

/* Forgets the group and the proposal; the person, the delivery and the carton received last stay. */
void counter_clear_group(struct counter *counter);
/* A sentence without a verdict: heard, nothing booked, nothing to decide. */
void counter_note(struct counter *counter, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* Go with a sentence, no reasons; and the same as a question. */
void counter_say(struct counter *counter, const char *format, ...) __attribute__((format(printf, 2, 3)));
void counter_ask(struct counter *counter, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* A verdict of one reason, whose sentence is the title. */
void counter_object(struct counter *counter, enum reason_code code, const char *subject, const char *format, ...)
    __attribute__((format(printf, 4, 5)));

/* The whole verdict, its worst reason the title; `list` has one. */
void counter_show(struct counter *counter, const struct verdict_list *list);

struct counter_unit *counter_find(struct counter *counter, const char *serial);
/* NULL when the group is full. */
struct counter_unit *counter_add(struct counter *counter, const char *serial);

const char *counter_step_word(enum counter_step step);

#endif
