#ifndef KIOSK_RULES_CARTON_H
#define KIOSK_RULES_CARTON_H

#include "labels/content/scan.h"

/* Several codes of one carton make one receipt. What a code says adds to what others said; what contradicts is shown
 * with both values and where each came from, and nothing is changed until the person has answered. GS1 judges a lot or
 * date without its item "over all codes on a thing" (GS1 General Specifications); the rest is common practice, no
 * source.
 *
 * How many: a code scanned again is one more pack like the first, so it is the code scanned most often that counts, and
 * packs with two codes each may be scanned in any order. A serial (AI 21, SSCC) is of one pack: scanned again it is the
 * same pack. A code that counts what is inside (AI 30, 37, Q) is an outer carton: its count is the quantity, and packs
 * of it that are scanned afterwards are counted down, never added, unless the person says that they lie beside it.
 *
 * GTINs that differ in their first digit alone (and the check digit it changes) are one article in several packings
 * (indicator digit, GS1 General Specifications): no contradiction, and the pack's number, 0, is the one received.
 * Plain structs, no pointers; pure. */

enum {
    CARTON_CODES = 8,     /* different codes on one carton */
    CARTON_SERIALS = 200, /* as many as one receipt has units */
    CARTON_SOURCE_SIZE = 40,
    CARTON_SHOWN_SIZE = 48,
    CARTON_DIFFERENCES = 6
};

struct carton_code {
    struct supplier_label label;
    char item[ITEM_CODE_SIZE];       /* of the catalogue, "" = not in it */
    char source[CARTON_SOURCE_SIZE]; /* "code 2, EAN/UPC code": for sentences */
    int64_t times;                   /* scanned; carton_add counts it */
};

struct carton {
    struct carton_code codes[CARTON_CODES];
    size_t code_count;
    char serials[CARTON_SERIALS][SUPPLIER_CODE_SIZE]; /* packs that were seen */
    size_t serial_count;
    int64_t inner;   /* packs scanned of those that the outer code counts */
    int64_t besides; /* packs that the person said lie beside it */
};

enum carton_step {
    CARTON_ADDS,        /* says something new, contradicts nothing */
    CARTON_COUNTS,      /* the same again: one more pack */
    CARTON_SAME_PACK,   /* its serial was seen: the same pack once more */
    CARTON_MAYBE_INNER, /* perhaps one of those the outer code counts: ask */
    CARTON_INNER,       /* one more of them; the person has said so of the first */
    CARTON_TOO_MANY,    /* all that the outer code counts were scanned: ask */
    CARTON_DIFFERS,     /* contradicts: carton_differences */
    CARTON_FULL         /* more different codes than are kept */
};
enum carton_step carton_judge(const struct carton *carton, const struct carton_code *code);

/* ADDS, COUNTS. */
void carton_add(struct carton *carton, const struct carton_code *code);
/* INNER, and the two answers to MAYBE_INNER and TOO_MANY: one of those inside, or one beside them. */
void carton_add_inner(struct carton *carton, const struct carton_code *code);
void carton_add_besides(struct carton *carton, const struct carton_code *code);

struct carton_difference {
    const char *what; /* "item", "lot", "use-by day", … static */
    char one[CARTON_SHOWN_SIZE], other[CARTON_SHOWN_SIZE];
    const char *one_source; /* borrowed from the carton; the other is the new code */
};
/* How many of `differences` were filled. */
size_t carton_differences(const struct carton *carton, const struct carton_code *code,
                          struct carton_difference differences[CARTON_DIFFERENCES]);

/* All codes in one. */
struct carton_total {
    struct supplier_label label; /* item, count and serial not used */
    char item[ITEM_CODE_SIZE];   /* of the catalogue, "" = not in it */
    char gtin[SUPPLIER_CODE_SIZE], maker_code[SUPPLIER_CODE_SIZE];
    int64_t outer;    /* packs that outer codes count, 0 = there is none */
    int64_t quantity; /* to receive, 1 or more */
};
struct carton_total carton_total(const struct carton *carton);

#endif
