#ifndef LABELS_CONTENT_CHECK_CHARACTER_H
#define LABELS_CONTENT_CHECK_CHARACTER_H

#include <stdbool.h>

#include "labels/basics/text.h"

/* Check characters of labels. Pure: no clock, no allocation; any thread may call.
 * Sources: ISO/IEC 7064 (hybrid system MOD 37,36); GS1 General Specifications, "check digit calculations" (modulo 10)
 * and "check character calculation for alphanumeric keys" (the pair that ends a GMN). */

/* The MOD 37,36 check character of `body` (digits and capital letters, 1 or more). NUL when a byte is neither. */
char check_character_mod37_36(struct span body);

/* The GS1 check digit of `body` (digits, 1 or more): weights 3, 1, 3, 1 … from the right. NUL when a byte is none. */
char check_character_mod10(struct span body);

/* Is the last of the digits the check digit of those before it? False for fewer than 2 bytes or other bytes. */
bool check_character_mod10_ok(struct span digits);

/* The pair that ends an alphanumeric GS1 key: `key` with its pair, 3 to 25 bytes. False when a byte before the pair is
 * not in GS1's set of 82 characters or the pair is wrong. */
bool check_character_pair_ok(struct span key);

/* The place of `c` in GS1's set of 82 characters (0 to 81), -1 when it is not in it. ISO/IEC 646 subset, the General
 * Specifications' "GS1 AI encodable character set 82". */
int check_character_cset82(char c);

#endif
