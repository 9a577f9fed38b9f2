#ifndef LABELS_BASICS_FAULT_H
#define LABELS_BASICS_FAULT_H

#include <stdbool.h>

/* What went wrong: `code` for programs, `text` for the person at the counter. The text is one sentence that
 * names the thing, the trouble and the next step. The caller owns the struct; nothing to free.
 * A function that can fail takes `struct fault *` last, returns bool, and leaves its results untouched when it
 * fails. */
enum fault_code {
    FAULT_NONE,
    FAULT_INPUT,    /* bytes or a request that make no sense: say it again, differently */
    FAULT_MISSING,  /* the thing named is not here */
    FAULT_CONFLICT, /* the world moved on: the same id with other content, a row changed since it was seen */
    FAULT_BUSY,     /* try again later; nothing was done */
    FAULT_DEVICE,   /* a printer, scanner, camera or the picture worker */
    FAULT_STORAGE,  /* the database or the disk */
    FAULT_REFUSED,  /* understood, and not allowed */
    FAULT_APPROVAL, /* understood, and waits for a storekeeper's PIN: ask for it, or it was not the right one */
    FAULT_DAMAGED,  /* what is stored is not what was written: nothing can be booked until it is restored */
    FAULT_CODES     /* how many there are */
};

enum { FAULT_TEXT_SIZE = 400 };

struct fault {
    enum fault_code code;
    char text[FAULT_TEXT_SIZE];
};

/* Fills `fault` (NULL: the caller does not care; overlong text is cut at a character's end) and returns false, so
 * that a failing line can end in one return. */
bool fault_set(struct fault *fault, enum fault_code code, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* The word of a code in logs and JSON: "input", "missing", "conflict", … Never NULL. */
const char *fault_code_word(enum fault_code code);

#endif
