#ifndef LABELS_CONTENT_UFI_H
#define LABELS_CONTENT_UFI_H

#include <stdbool.h>

#include "labels/basics/fault.h"

/* The unique formula identifier of a mixture, as its supplier gives it: "N1QV-R02N-J00M-WQD5". Sixteen characters of
 * thirty-one (no B, I, L, O, Z), in fours; the first is a check character over the others. Source: CLP (EC) 1272/2008
 * Annex VIII part A 5; ECHA, UFI Developers Manual (alphabet, check character). Pure. */

enum { UFI_SIZE = 20 }; /* with its hyphens and a NUL */

/* FAULT_INPUT names `what` and says which character is wrong, or that the check character does not agree. */
bool ufi_check(const char *what, const char *ufi, struct fault *fault);

#endif
