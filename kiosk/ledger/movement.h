#ifndef KIOSK_LEDGER_MOVEMENT_H
#define KIOSK_LEDGER_MOVEMENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/content/scan.h"
#include "labels/content/unit_label.h"

/* A movement: one entry of the ledger, never changed once booked. Everything that is so in the room is the sum of its
 * movements (apply.h). Amounts are whole microlitres at reference temperature, minutes and pieces; days are
 * calendar days; nothing is floating point. A text field that is "" and a number that is MOVEMENT_NULL mean "not
 * said" and are NULL in the database and marked null in the hash. */

/* kind, its word in the database, what it does to the present state */
#define MOVEMENT_KINDS(X)                                                                                              \
    X(ITEM_ENTRY, "item-entry")         /* item: detail; creates or replaces its catalogue entry */                    \
    X(PLACE_ENTRY, "place-entry")       /* place: word shelf|slot|counter|room, printer for a slot, detail.name */     \
    X(PRINTER_ENTRY, "printer-entry")   /* printer: pieces = cartridge slots, detail.name */                           \
    X(PERSON_ENTRY, "person-entry")     /* unit = badge serial: word = role, detail.training, text = name */           \
    X(DELIVERY_OPEN, "delivery-open")   /* delivery: detail.supplier, text = note */                                   \
    X(DELIVERY_CLOSE, "delivery-close") /* delivery */                                                                 \
    X(RECEIPT, "receipt")               /* unit comes in: item, lot, expires, amount_ul, delivery, word = hold */      \
    X(TAKE_ON, "take-on")               /* unit already stood there: as receipt, minutes, place, word = film */        \
    X(PRINT, "print")                   /* label of unit (or place): word = state, pieces = print number */            \
    X(PUT_AWAY, "put-away")             /* unit to place */                                                            \
    X(FILL, "fill")                     /* resin item, lot into unit: filled, expires, amount_ul */                    \
    X(CHECK_OUT, "check-out")           /* unit to person, printer, job; expires = day it is promised back */          \
    X(CHECK_IN, "check-in")             /* unit back to place: minutes more, amount_ul now, word = film condition */   \
    X(JOB_START, "job-start")           /* job, planned or new, on printer: amount_ul = need, expires = end day */     \
    X(JOB_END, "job-end")               /* job: minutes; word = done|failed|aborted, amount_ul = used, when said; */   \
                                        /* detail.late: of one that ended unsaid, how it had ended */                  \
    X(HOLD, "hold")                     /* unit: word = reason */                                                      \
    X(RELEASE, "release")               /* unit */                                                                     \
    X(QUESTION, "question")             /* opened: question = its own seq; word = code, unit, text */                  \
    X(SETTLEMENT, "settlement")         /* question settled: refers = its seq; word = how */                           \
    X(CORRECTION, "correction")         /* refers = what is taken back; unit's present fields given in full */         \
    X(CLOCK_CONFIRMED, "clock-confirmed")                                                                              \
    X(SUPPLY, "supply") /* vat unit may give resin to job; other = cartridge that may run into it from now on */       \
    X(STICKER_ENTRY, "sticker-entry")           /* word = its id: detail.supplier, .pattern, .example */               \
    X(STICKER_FORGET, "sticker-forget")         /* word = its id */                                                    \
    X(SUBSTITUTION_ENTRY, "substitution-entry") /* unit = approver's badge, expires = last day; detail */              \
    X(SUBSTITUTION_END, "substitution-end")     /* detail: resin, wanted, given */                                     \
    X(PRINT_MOVE, "print-move") /* waiting label of unit (or place) to the front: pieces, detail.was */                \
    X(PRINT_TELL,                                                                                                      \
      "print-tell") /* to the label printer: word = go|calibration|cancel; cancel: unit (or place), pieces */          \
    X(CALIBRATION, "calibration")       /* word = label printer; detail: dpi, shifts, module, sizes */                 \
    X(PRINT_LOOK, "print-look")         /* word = label printer; detail: unit, number, what was measured */            \
    X(PRINT_BASELINE, "print-baseline") /* word = label printer; refers = the first look of it, else from now on */    \
    X(NAME_ERASE, "name-erase")         /* unit = badge serial: the person has left, and the name is forgotten */      \
    X(POUR, "pour")         /* unit into other: amount_ul, word = how, filled = day; detail.lots, .before_ul */        \
    X(USE, "use")           /* of unit into the parts of job: amount_ul, word = estimate|told|weighed; detail */       \
    X(WASTE, "waste")       /* of unit into other (a waste container) or nowhere: amount_ul, word = reason; detail */  \
    X(CLEAN, "clean")       /* unit holds nothing any more: word = how; detail */                                      \
    X(WEIGHING, "weighing") /* unit holds amount_ul: detail, .gross_dg, .tare_dg */                                    \
    X(RETIRE, "retire")     /* unit's service ends: word = reason, other = what took its resin over */                 \
    X(DISPOSE, "dispose")   /* unit, retired before, has left the room */                                              \
    X(RELABEL, "relabel")   /* unit, a new serial, is what other was, whose label is lost: its fields in full */       \
    X(PIN_ISSUE, "pin-issue")   /* unit = badge serial that has a new PIN, which stands nowhere in here */             \
    X(APPROVAL, "approval")     /* unit = badge serial whose PIN approved the act; word = the act's kind */            \
    X(JOB_TICKET, "job-ticket") /* of a job that runs: amount_ul = need, expires = end day, text = names; detail */    \
    X(INSPECTION,                                                                                                      \
      "inspection") /* unit was looked at: word = film or surface, minutes on it; detail.mixer, .float … */          \
    X(STIR, "stir") /* the resin in unit was stirred */                                                                \
    X(SURFACE_RENEWAL, "surface-renewal") /* platform unit has a new removable surface */                              \
    X(LIFE_SHOWN, "life-shown")     /* a printer shows minutes left of unit; detail.life, .left by our books then */   \
    X(PAIR, "pair")                 /* case unit and tray other are labels of one vat of item; word apart: no more */  \
    X(DEVICE_ENTRY, "device-entry") /* word = device that may speak for itself from now on; printer when for one */    \
    X(DEVICE_REVOKE, "device-revoke") /* word = device that may no more */                                             \
    X(LEND, "lend")                   /* unit to person and place, another room: expires = day it is promised back */  \
    X(JOB_PLAN, "job-plan")   /* job that is to run on printer: amount_ul, expires, text, detail as job-ticket */      \
    X(JOB_DROP, "job-drop")   /* job that was planned will not run: word = dropped|replaced */                         \
    X(RESERVE, "reserve")     /* unit is kept for detail.for (job's code or badge): expires = last day */              \
    X(UNRESERVE, "unreserve") /* unit is kept no more */

enum movement_kind {
#define X(name, word) MOVEMENT_##name,
    MOVEMENT_KINDS(X)
#undef X
        MOVEMENT_KIND_COUNT
};

#define MOVEMENT_NULL INT64_MIN

enum {
    ACT_ID_SIZE = 41, /* [0-9A-Za-z-]{8,40}, made by the caller */
    KIOSK_SIZE = 17,
    PRINTER_SIZE = 17,  /* printer code, [0-9A-Z-]{1,16} */
    DELIVERY_SIZE = 25, /* delivery id */
    JOB_SIZE = 41,
    WORD_SIZE = 33,     /* keyword, [a-z0-9-]{1,32} */
    DETAIL_SIZE = 3501, /* canonical JSON object: sorted keys, no spaces, whole numbers and strings only */
    TEXT_ID_SIZE = 65,  /* hex SHA-256 of salt and text: key of an erasable text */
    HASH_BYTES = 32
};

struct movement {
    int64_t seq; /* dense from 1; given by the ledger when booked */
    char act[ACT_ID_SIZE];
    enum movement_kind kind;
    struct instant at;
    struct day local_day;
    bool trusted; /* was the clock? */
    char kiosk[KIOSK_SIZE];
    char person[SERIAL_SIZE]; /* who did it; names are elsewhere, erasable */
    char unit[SERIAL_SIZE];
    char other[SERIAL_SIZE]; /* the second unit of an act */
    char item[ITEM_CODE_SIZE];
    char lot[LOT_SIZE];
    char place[PLACE_SIZE];
    char printer[PRINTER_SIZE];
    char delivery[DELIVERY_SIZE];
    char job[JOB_SIZE];
    char word[WORD_SIZE];
    int64_t amount_ul, minutes, pieces, filled, expires, refers; /* MOVEMENT_NULL: not said. filled, expires: days */
    char text[TEXT_ID_SIZE]; /* names and free text live in the erasable table; only this digest is hashed */
    char detail[DETAIL_SIZE];
    uint8_t hash[HASH_BYTES]; /* given by the ledger: SHA-256 over the previous hash and this movement */
};

/* All numbers MOVEMENT_NULL, all texts "". */
void movement_init(struct movement *movement, enum movement_kind kind);
const char *movement_kind_word(enum movement_kind kind);
bool movement_kind_read(const char *word, enum movement_kind *kind);

/* The units whose rows it surely changes, borrowed: their count, 0 to 2. A print is not among them: of its steps only
 * some touch the unit. */
size_t movement_changes(const struct movement *movement, const char *units[2]);

#endif
