#ifndef KIOSK_RULES_LOT_SPELLING_H
#define KIOSK_RULES_LOT_SPELLING_H

/* Are two lots, one of them typed by hand, perhaps one lot spelt in two ways? The person decides; this only says when
 * to ask. Common practice of typing and copying errors, no source:
 *
 *   LOT_SAME      the same bytes
 *   LOT_SIGNS     the same but for blanks, signs and capitals: L24117, L 24117, l-24117
 *   LOT_LOOKS     the same once letters that look like digits are taken for them: O Q D 0, I L 1, S 5, B 8, Z 2, G 6
 *   LOT_MISSING   one letter too few or too many
 *   LOT_SWAPPED   two neighbours changed places
 *   LOT_OTHER     anything else
 *
 * The last two look at what is left after the first two, and only at lots of five letters and more: of "A1" and "A12"
 * nobody can say which is a slip. One letter that is another (L24117, L24118) is LOT_OTHER on purpose: that is how a
 * maker's next lot is numbered, and to ask each time would teach people to say yes.
 *
 * Bytes beyond ASCII count as letters of their own. Pure. */

enum lot_spelling { LOT_SAME, LOT_SIGNS, LOT_LOOKS, LOT_MISSING, LOT_SWAPPED, LOT_OTHER };

enum lot_spelling lot_spelling_compare(const char *one, const char *other);

/* What makes them alike, for a sentence: "but for blanks and signs", … ; "" for LOT_SAME and LOT_OTHER. */
const char *lot_spelling_words(enum lot_spelling spelling);

#endif
