#ifndef KIOSK_RULES_PRINT_TREND_H
#define KIOSK_RULES_PRINT_TREND_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Does a label printer print worse than when it was set up? What was measured of its labels (labels/quality), against
 * the medians of its first labels. All numbers are thousandths; PRINT_NOT_MEASURED: not measured. Numbers of different
 * cameras or lights do not compare: the caller hands in those of one.
 *
 * Limits are our own (common practice, no source): a median over PRINT_TREND_LOOKS labels that moved further from the
 * baseline's than one careless picture would make it. Contrast and axial non-uniformity depend on the light and on how
 * square the camera is held, and are told but never judged. All of it is a process-control estimate, ISO/IEC
 * 15415-style, uncalibrated. Pure. */

#define PRINT_NOT_MEASURED INT64_MIN

enum print_number {
    PRINT_MODULATION,
    PRINT_MARGIN,
    PRINT_UNUSED,
    PRINT_FIXED, /* level 0 to 4, in thousandths too */
    PRINT_GRID,
    PRINT_AXIAL,
    PRINT_GROWTH_X,
    PRINT_GROWTH_Y,
    PRINT_CONTRAST,
    PRINT_NUMBERS
};

struct print_numbers {
    int64_t at[PRINT_NUMBERS];
};

enum { PRINT_TREND_LOOKS = 5 /* of the baseline, and of now; fewer say nothing */, PRINT_TREND_TEXT_SIZE = 240 };

struct print_trend {
    bool known; /* enough labels for both medians; else `missing` more are needed */
    size_t missing;
    struct print_numbers baseline, now; /* medians; PRINT_NOT_MEASURED where not known */
    enum print_number drifted;          /* the number furthest past its limit; PRINT_NUMBERS: none */
    char text[PRINT_TREND_TEXT_SIZE];   /* the sentence for the storekeeper, never "" */
};

/* `first`: the baseline's labels. `newest`: those since, newest first; both may be longer than PRINT_TREND_LOOKS. */
void print_trend_make(const struct print_numbers *first, size_t first_count, const struct print_numbers *newest,
                      size_t newest_count, struct print_trend *trend);

/* The first number of one label that is past the limit for printing it again (unused error correction under 0.75,
 * modulation under 0.40, fixed pattern under level 3; our own limits), PRINT_NUMBERS when none is. */
enum print_number print_trend_below(const struct print_numbers *look);

/* "modulation", "print growth across", … */
const char *print_trend_name(enum print_number number);

#endif
