#ifndef LABELS_QUALITY_STREAK_H
#define LABELS_QUALITY_STREAK_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/quality/streak_columns.h"

/* Does a print head leave a streak? One pale column is an accident; the same place across the head on label after
 * label is not. A place is where some label has a mark; it is shown by each label that has one within
 * STREAK_REACH_MM of it, of those whose symbol passed that place of the head.
 *
 * How many labels are enough is a question of chance. Were marks accidents, each would lie anywhere on its symbol; a
 * label with m marks on a symbol w mm wide would then hit a place with q = 1 - (1 - 2 reach / w)^m. Of n labels
 * beside the one that named the place, k or more hits have at most the binomial tail P(B(n, mean q) >= k): the labels
 * differ in q, and for k >= n q + 1 that tail is an upper bound (W. Hoeffding, Annals of Mathematical Statistics 27,
 * 1956, theorem 4). Each mark of each label names a place, so the bound is multiplied by their number (Bonferroni).
 * Only what stays below STREAK_CHANCE is called a streak: with 22 modules of 0.5 mm and nothing but the streak, six
 * labels in a row.
 *
 * And it must still be there: of the newest STREAK_NEWEST labels over the place one shows it, so that a cleaned head
 * ends the alarm. Pure. */

enum { STREAK_LABELS = 40 /* most, the newest */, STREAK_NEWEST = 2 };
#define STREAK_REACH_MM 0.5
#define STREAK_CHANCE   1e-4

/* One label's symbol as it passed under the head. Millimetres across the head, from the label's left edge as it is
 * read, its top coming out first. */
struct streak_label {
    double from_mm, to_mm;
    size_t count;
    double at_mm[STREAK_MARKS];
};

struct streak {
    bool found;
    double at_mm;  /* mean of its marks; the fields from here on mean nothing unless found */
    size_t shown;  /* labels that show it */
    size_t passed; /* labels whose symbol passed the place */
    double chance; /* upper bound, as above */
};

/* Newest first; those past STREAK_LABELS are not looked at. The least likely place wins. */
struct streak streak_find(const struct streak_label *labels, size_t count);

/* P(B(n, q) >= k). */
double streak_binomial_tail(size_t n, double q, size_t k);

#endif
