#ifndef KIOSK_RULES_VERDICT_H
#define KIOSK_RULES_VERDICT_H

#include <stdbool.h>
#include <stddef.h>

/* Go, ask or stop, with reasons. A reason is a code, the thing it is about, the sentence a person reads and what to
 * do next; one that goes speaks against nothing, but has to be read. One table holds them all (verdict.c), with who may
 * overrule each; docs/reasons.md says the same to people, and a test compares them. Pure: no clock, no allocation. */

enum verdict { VERDICT_GO, VERDICT_ASK, VERDICT_STOP };

/* Who may let a stop go, this once, with a PIN. */
enum overruler { OVERRULER_NONE, OVERRULER_STOREKEEPER };

enum reason_code {
    REASON_UNKNOWN,     /* our kind of label, but no such unit here */
    REASON_NOT_OURS,    /* not a label of this room */
    REASON_UNREADABLE,  /* the scan makes no sense */
    REASON_GONE,        /* retired, disposed of, or its receipt was taken back */
    REASON_ALREADY_OUT, /* somebody has it */
    REASON_ON_HOLD,
    REASON_ITEM_INCOMPLETE, /* on hold, and nobody has said yet what its item is */
    REASON_EXPIRED,
    REASON_CLOCK,       /* dated, and the clock is not trusted */
    REASON_NO_EXPIRY,   /* resin without a known expiry */
    REASON_OTHER_RESIN, /* than the vat or the printer holds */
    REASON_OTHER_REVISION,
    REASON_SUBSTITUTED,        /* another revision, and the room's table lets it stand in: go, and said */
    REASON_SUBSTITUTION_CLOCK, /* it may until a day, and the clock is not trusted */
    REASON_CARTRIDGES_DIFFER,  /* two resins in one printer */
    REASON_DOES_NOT_FIT,       /* this printer */
    REASON_PRINTER_HAS_VAT,
    REASON_NO_FREE_SLOT,
    REASON_FILM_FOGGED,
    REASON_PROVISIONAL, /* item known only from a scan */
    REASON_SHORT_DATED,
    REASON_LABEL_SWAPPED,   /* label of another lot than the thing it is stuck on */
    REASON_PROVE_FIRST,     /* several lots: maker's code first, then our label */
    REASON_NO_DELIVERY,     /* a maker's code with no delivery open */
    REASON_DOUBTFUL_SCAN,   /* accepted, but the scan may have lost something */
    REASON_CODES_DIFFER,    /* two codes of one carton contradict each other */
    REASON_PART_OF_CARTON,  /* a pack, and an outer carton that counts packs */
    REASON_NO_ITEM,         /* a maker's code that names no item, with a delivery open */
    REASON_TWO_READINGS,    /* two patterns read one sticker in two ways */
    REASON_NOT_POURED,      /* resin does not go that way */
    REASON_EMPTY,           /* by the books */
    REASON_RECOVERED,       /* resin that was in a vat among fresh resin, or the other way */
    REASON_AMOUNT_UNLIKELY, /* a thousand times too much or too little */
    REASON_MORE_THAN_BOOKED,
    REASON_OVERFILLED,
    REASON_NOT_ALLOWED,    /* not with this role */
    REASON_NOT_TRAINED,    /* the act needs a training that is not entered for the badge */
    REASON_STILL_FULL,     /* resin is in what is to be retired */
    REASON_WEIGHT,         /* it cannot be so */
    REASON_WEIGHT_DIFFERS, /* from the books */
    REASON_NOT_INSPECTED,  /* since its job failed */
    REASON_NEED_UNKNOWN,   /* nobody has said how much the job needs */
    REASON_TOO_LITTLE,     /* resin for what the job needs, surely */
    REASON_PERHAPS_TOO_LITTLE,
    REASON_INSPECTION_DUE,    /* so many hours since somebody last looked */
    REASON_STIR_DUE,          /* the resin has settled */
    REASON_SURFACE_WORN,      /* of a platform, the removable one */
    REASON_SURFACE_SCRATCHED, /* and nobody holds it for that */
    REASON_OLDER_FIRST,       /* an older one of the same stands in storage */
    REASON_EXPIRES_IN_JOB,    /* before the job it goes out for ends */
    REASON_LIFE_ENDS,         /* a film's rated hours are over, or will be before the job ends */
    REASON_ALARMED,           /* a label that was given up as lost has turned up: its thing has another serial now */
    REASON_ALSO_OUT,          /* what is looked for may be one that is out by the books */
    REASON_LABEL_IN_HAND,     /* a new serial is for a label that is gone */
    REASON_JOB_OVER,          /* the ticket's job has ended, or was withdrawn */
    REASON_JOB_UNKNOWN,       /* nobody told of the ticket's job, and it says too little itself */
    REASON_JOB_RUNS,          /* another one runs there by the books */
    REASON_OTHER_PRINTER,     /* than the job was prepared for */
    REASON_TICKET_OLD,        /* the job was planned anew after it was printed */
    REASON_OTHER_TRAY,        /* of another case than the one in hand */
    REASON_RESERVED,          /* kept for another job or person */
    REASON_CODES
};

enum { REASON_SUBJECT_SIZE = 33, REASON_SENTENCE_SIZE = 240, VERDICT_REASONS = 24 };

struct reason {
    enum reason_code code;
    enum verdict verdict;
    char subject[REASON_SUBJECT_SIZE]; /* serial, place or printer code it is about */
    char sentence[REASON_SENTENCE_SIZE];
    const char *next; /* what to do; static */
};

struct verdict_list {
    enum verdict verdict; /* the worst of the reasons; go when there is none */
    size_t count;
    bool cut; /* there were more than VERDICT_REASONS; the worse are kept, the verdict counts all */
    struct reason reasons[VERDICT_REASONS];
};

/* Adds a reason with the verdict the table gives its code. `format` is the sentence. The same code about the same
 * subject is added once. */
void verdict_add(struct verdict_list *list, enum reason_code code, const char *subject, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* Adds the reasons of `from` that are go: what is still to be read when all is booked. */
void verdict_add_notes(struct verdict_list *list, const struct verdict_list *from);

/* Is every reason of `list` among those of `shown`, but for what goes anyway? YES answers what was asked, nothing that
 * came up since. */
bool verdict_covers(const struct verdict_list *shown, const struct verdict_list *list);
/* The first of the reasons that make the verdict; `list` has one. */
const struct reason *verdict_worst(const struct verdict_list *list);
/* Is it a stop, and may a storekeeper overrule each of its reasons? Not when some were cut: nobody has read those. */
bool verdict_may_be_overruled(const struct verdict_list *list);
/* The first stop that nobody overrules; NULL when there is none. A cut list has one if ever one was added. */
const struct reason *verdict_hindrance(const struct verdict_list *list);

const char *verdict_word(enum verdict verdict); /* go, ask, stop */
const char *reason_code_word(enum reason_code code);
enum verdict reason_verdict(enum reason_code code);
enum overruler reason_overruler(enum reason_code code);
const char *reason_next(enum reason_code code);
const char *overruler_word(enum overruler overruler); /* nobody, storekeeper */

#endif
