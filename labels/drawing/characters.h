#ifndef LABELS_DRAWING_CHARACTERS_H
#define LABELS_DRAWING_CHARACTERS_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/text.h"

/* Characters that a label must not hold, because a person would not see what is there, and the direction that letters
 * run in. Code points are Unicode's. Pure. */

/* The code point at `at`, which is UTF-8 and not at its end; returns where the next one starts. */
const char *character_next(const char *at, uint32_t *code);

/* NULL when a label may hold it, else what it is, for "field 'note' has …":
 *   "an invisible character"            controls (tab among them), separators of lines, direction marks, joiners,
 *                                       variation selectors: general categories Cc, Zl, Zp, Cf but for signs that show,
 *                                       and Default_Ignorable_Code_Point (Unicode 14)
 *   "a character of private use"        it looks different in every font; noncharacters too
 *   "the mark of a lost character"      U+FFFD: some program has already failed to read it */
const char *character_trouble(uint32_t code);

/* Is it in a block that Unicode sets aside for letters from right to left (Hebrew, Arabic, Syriac, Thaana, N'Ko, …)?
 * The ranges are those whose unassigned code points are R or AL by default (DerivedBidiClass.txt). */
bool character_is_right_to_left(uint32_t code);

/* Is there one of these in the text (UTF-8)? */
bool characters_run_right_to_left(struct span text);

#endif
