#ifndef LABELS_CONTENT_STICKER_PATTERN_H
#define LABELS_CONTENT_STICKER_PATTERN_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* What the stickers of one supplier look like whose code is plain text of the supplier's own, in no standard syntax:
 * fixed texts, and between them the parts that change. docs/stickers.md describes the text a pattern is kept in; it is
 * ours. sticker_teach.h makes a pattern of one example, sticker_match.h reads stickers by it.
 *
 * Every pattern that was read or taught keeps: some fixed text; something worth keeping among its parts, each at most
 * once (STICKER_OTHER as often as need be); no two parts side by side that are both of open length.
 * Plain structs without pointers, copied at will; pure. */

enum {
    STICKER_BYTES = 256,        /* longest sticker, and all fixed texts and date layouts of a pattern together */
    STICKER_PIECES = 24,        /* most of one pattern */
    STICKER_PATTERN_SIZE = 8192 /* room for any pattern as text, with its NUL */
};

enum sticker_part {
    STICKER_TEXT, /* fixed: the same on every sticker */
    STICKER_ITEM,
    STICKER_LOT,
    STICKER_EXPIRES,
    STICKER_MADE,
    STICKER_QUANTITY,
    STICKER_OTHER, /* changes from sticker to sticker and is not kept: a running number, a checker's initials */
    STICKER_PARTS
};

struct sticker_piece {
    enum sticker_part part;
    size_t start, length;      /* STICKER_TEXT: the text; dates: their layout, "dd.mm.yyyy". Of the pattern's `bytes` */
    size_t least, most;        /* the others: how many characters */
    unsigned char allowed[16]; /* and which: one bit for each character of ASCII */
};

struct sticker_pattern {
    size_t count;
    struct sticker_piece pieces[STICKER_PIECES];
    size_t byte_count;
    char bytes[STICKER_BYTES];
};

/* "text", "item", "lot", "expires", "made", "quantity", "other". */
const char *sticker_part_word(enum sticker_part part);

/* Reads a pattern's text. False: FAULT_INPUT, line and place named, `*out` untouched. */
bool sticker_pattern_read(struct span text, struct sticker_pattern *out, struct fault *fault);

/* Writes it as sticker_pattern_read takes it. */
void sticker_pattern_write(const struct sticker_pattern *pattern, char text[STICKER_PATTERN_SIZE]);

#endif
