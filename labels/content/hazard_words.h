#ifndef LABELS_CONTENT_HAZARD_WORDS_H
#define LABELS_CONTENT_HAZARD_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* What somebody copies from section 2 of an SDS: lists of statements, "H315 Causes skin irritation.|H317 …", and of
 * pictograms, "GHS07 GHS09". "none" says that the SDS says none, which is not the same as not having looked. The codes
 * (H, EUH, P, three digits, letters, "+") are those of the UN GHS and CLP, annexes III and IV. We hold no words for
 * them: the SDS's own count. Pure. */

extern const char hazard_words_none[]; /* "none" */

enum { HAZARD_WORDS_SEPARATOR = '|', HAZARD_WORDS_PICTOGRAMS = 6 /* of one label */, HAZARD_WORDS_KINDS = 9 };

/* The next entry without spaces at its ends; false at the end. `*list` starts as the whole and is then ours. */
bool hazard_words_next(struct span *list, struct span *entry);
/* Bytes of the code that an entry begins with: "H315", "EUH066", "H360FD", "P302+P352"; 0: no code. */
size_t hazard_words_code(struct span entry);

/* Every entry of `list` has words? FAULT_INPUT names `what` and the code that has none. */
bool hazard_words_check(const char *what, const char *list, struct fault *fault);

/* The numbers, 1 for GHS01 to 9. FAULT_INPUT: an unknown one, one twice, or too many; results untouched. */
bool hazard_words_pictograms(const char *codes, int numbers[HAZARD_WORDS_PICTOGRAMS], size_t *count,
                             struct fault *fault);

#endif
