#ifndef LABELS_CONTENT_UNIT_LABEL_H
#define LABELS_CONTENT_UNIT_LABEL_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* What our own labels say: one ISO/IEC 15434 envelope of format 06 (ANSI MH10.8.2 data identifiers) that carries
 *   S serial, then optionally P item, 1T lot (T for a batch decanted here), 16D fill date, 14D expiry, 7Q content
 * in this order when written and in any order when read. The serial is the key; the rest serves eyes and readers that
 * are away from the kiosk. Why format 06: GS1's 10, 17 and 21 are only legal beside a licensed company number. */

enum {
    SERIAL_SIZE = 12,   /* letter, 6 to 9 digits, check character, NUL */
    ITEM_CODE_SIZE = 9, /* [0-9A-Z-]{1,8} */
    LOT_SIZE = 21,      /* [0-9A-Z./-]{1,20}; a supplier's GS1 lot may hold any CSET 82 character */
    UNIT_LABEL_TEXT_SIZE = 160,
    SERIAL_NUMBER_MAX = 999999999,
    DEMO_NUMBER_FIRST = 900000, /* of each letter: the demo's, refused by a real kiosk */
    DEMO_NUMBER_LAST = 999999
};

/* V vat case, T vat, C cartridge, R bottle, P platform, W waste container, H person; no I, no O. */
extern const char serial_letters[]; /* "VTCRPWH" */

struct unit_label {
    char serial[SERIAL_SIZE];  /* always there */
    char item[ITEM_CODE_SIZE]; /* "" when absent, as for the others */
    char lot[LOT_SIZE];
    bool own_batch; /* the lot is our own decanted batch: identifier T instead of 1T */
    bool has_filled, has_expires;
    struct day filled, expires; /* expires = last usable day, inclusive */
    long content;               /* 0: absent */
    char content_unit[3];       /* "ML", "GR", "KG", "LT", "EA" */
};

/* The serial of number `number` (1 to SERIAL_NUMBER_MAX; six digits or as many as it needs) with its ISO/IEC 7064
 * MOD 37,36 check character. False when that character is I or O, which eyes take for 1 and 0: skip the number. */
bool serial_write(char letter, long number, char serial[SERIAL_SIZE]);
/* Splits and checks a serial: letter known, 6 to 9 digits, check character right and not I or O. */
bool serial_read(struct span text, char *letter, long *number, struct fault *fault);
bool serial_is_demo(const char *serial);

/* Writes the envelope (bytes, no NUL needed; one is added). FAULT_INPUT names the field that does not fit. */
bool unit_label_write(const struct unit_label *label, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                      struct fault *fault);

#endif
