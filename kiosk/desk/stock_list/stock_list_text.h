#ifndef KIOSK_DESK_STOCK_LIST_STOCK_LIST_TEXT_H
#define KIOSK_DESK_STOCK_LIST_STOCK_LIST_TEXT_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* A stock list's bytes as UTF-8. A byte order mark says what they are (Unicode 15, section 2.13: UTF-8, UTF-16LE,
 * UTF-16BE); without one they are UTF-8 or it has to be asked: bytes that are not UTF-8 are never guessed. What is
 * asked comes with a few of the file's own words in each reading, so that a person sees which is right.
 *
 * Conversion is the C library's iconv. Pure but for memory: `stock_list_text_clear` frees it. Any thread. */

enum {
    STOCK_LIST_BYTES = 1024 * 1024, /* of a file; some 300 units take 30 KiB */
    STOCK_LIST_READINGS = 8,
    STOCK_LIST_SAMPLE = 160
};

struct stock_list_reading {
    const char *encoding; /* as the answer names it; static */
    const char *words;    /* for a person; static */
    char sample[STOCK_LIST_SAMPLE];
};

struct stock_list_text {
    char *at; /* UTF-8, ended with NUL, holds none; NULL while `asked` */
    size_t length;
    const char *encoding; /* static: "utf-8", "utf-16le", … */
    bool asked;           /* the encoding must be said: one of `readings` */
    struct stock_list_reading readings[STOCK_LIST_READINGS];
    size_t reading_count;
};

/* `encoding` "" or one of the names that a reading or `text->encoding` has had, in any case. FAULT_INPUT: no text at
 * all (a spreadsheet's own file, zero bytes), a character that was cut or does not exist, too many bytes. `*text` is
 * filled only on true. */
bool stock_list_text_read(struct span file, const char *encoding, struct stock_list_text *text, struct fault *fault);
void stock_list_text_clear(struct stock_list_text *text);

#endif
