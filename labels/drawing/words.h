#ifndef LABELS_DRAWING_WORDS_H
#define LABELS_DRAWING_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* The words of one line of a template: bare words, and values in double quotes. A # outside quotes ends the line.
 * Faults carry the template's name and the line's number. Everything is borrowed. */

struct words {
    const char *name; /* of the template, for faults */
    int line;         /* from 1, for faults */
    struct span rest; /* what is still to be read */
};

/* False, with `fault` set to the template, the line (0: the file as a whole) and the sentence. */
bool words_fault(const struct words *words, struct fault *fault, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

/* Words of the file as they stand there, cut with "…" when they do not fit: what a fault quotes. Returns `buffer`. */
const char *words_show(struct span words, char *buffer, size_t size);
/* The same of the next bare word, or, where a quote stands, of the rest of the line. */
const char *words_show_next(struct words *words, char *buffer, size_t size);

bool words_ended(struct words *words);
/* The line must end here; otherwise the fault quotes what stands there instead. */
bool words_end(struct words *words, struct fault *fault);

/* Takes the next word when it is `word`; otherwise leaves it. */
bool words_take(struct words *words, const char *word);
/* The same, but it must be there. */
bool words_need(struct words *words, const char *word, struct fault *fault);

/* Any bare word, to choose from; empty at the end or before a quote. Does not move. */
struct span words_peek(struct words *words);
struct span words_next(struct words *words);

/* Millimetres, "12", "0.38", to micrometres from `least` to `most`; `what` names it in the fault. */
bool words_length(struct words *words, const char *what, int least, int most, int *um, struct fault *fault);

/* A value in double quotes into `buffer`. */
bool words_quoted(struct words *words, char *buffer, size_t size, struct fault *fault);
bool words_quote_follows(struct words *words);

#endif
