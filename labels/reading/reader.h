#ifndef LABELS_READING_READER_H
#define LABELS_READING_READER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/reading/mask.h"

/* Grey picture -> every Data Matrix ECC 200 symbol in it (ISO/IEC 16022), and other codes when asked. A wrong read is
 * worse than none: a symbol is reported only when its corrected codewords have all-zero syndromes and its decodation is
 * legal to the end. One reader per thread; a reader reuses its memory from picture to picture. */

/* The chance that random modules, wherever they were looked for in one picture, are reported as a symbol stays below
 * this: every try that could accept them takes its share of it (reed_solomon.h). */
#define READER_RISK 1e-6

enum {
    READER_SYMBOLS = 256,     /* most symbols reported of one picture */
    READER_CODEWORDS = 1558,  /* data codewords of 144x144, the largest */
    READER_BYTES = 3116 + 16, /* most bytes one symbol decodes to (digits at 144x144), macro header and trailer too */
    READER_SEGMENTS = 8,      /* most switches of character set that are kept of one symbol */
    READER_TEXT = 3 * READER_BYTES, /* most bytes of a symbol's text: no set needs more than 3 of UTF-8 for one */
};

/* From byte `start` on, up to the next segment, the bytes are in the character set of this ECI (Extended Channel
 * Interpretation) assignment number; -1: in the symbology's own. */
struct reader_segment {
    size_t start;
    int eci;
};

struct reader_symbol {
    uint8_t bytes[READER_BYTES]; /* FNC1 as separator comes as GS (29); the leading FNC1 is not among the bytes */
    size_t length;
    char symbology[4];    /* ISO/IEC 15424: "]d1" plain, "]d2" GS1 (FNC1 first), "]d3" FNC1 second, "]d4".."]d6" the
                             same with ECI; others in carton.h; ended with NUL */
    int rows, columns;    /* modules, finder included; 0: not a Data Matrix symbol */
    double corners[4][2]; /* x, y in pixels; starts at the L's corner, then clockwise as seen in the picture. The
                             outer edge of the dark L and clock track, not the module centres */
    int corrected;        /* codewords that error correction changed; -1: not a Data Matrix symbol */
    uint8_t codewords[READER_CODEWORDS]; /* corrected data codewords */
    size_t codeword_count;
    bool mirrored, inverted;                         /* seen from behind; light on dark */
    int eci;                                         /* first ECI assignment number, -1 when none */
    struct reader_segment segments[READER_SEGMENTS]; /* in order; before the first one it is the symbology's own set */
    size_t segment_count;                            /* may be more than are kept: then the text is not known */
    int structured_index, structured_total, structured_file; /* structured append; total 0: not part of a series */
    bool reader_programming;                                 /* reported, never obeyed */
};

struct reader_result {
    struct reader_symbol *symbols; /* borrowed from the reader until its next read or its end */
    size_t count;
    bool cut_short; /* the bound on work or on the count was reached: there may be more symbols */
    int64_t cpu_ns; /* CPU time of this thread in locating and decoding */
};

struct reader;
struct explain; /* labels/reading/explain.h */

/* NULL when there is no memory. */
struct reader *reader_create(void);
void reader_destroy(struct reader *reader); /* accepts NULL */
/* Looks for the codes of a supplier's carton too, linear ones and QR (carton.h), from the next read on; not at first.
 * What is said here of work, risk and corners holds for Data Matrix alone. False: FAULT_STORAGE, and nothing is
 * changed. */
bool reader_set_cartons(struct reader *reader, bool wanted, struct fault *fault);
/* Tells `explain` from now on what each stage comes to: borrowed until the next call of this; NULL, as at first:
 * nobody. */
void reader_set_explain(struct reader *reader, const struct explain *explain);

/* Which instructions the reader works with, MASK_BEST unless told; for tests and the bench, all give the same answer.
 * `way` must run here (mask_way_runs). */
void reader_set_way(struct reader *reader, enum mask_way way);

/* True with count 0 when there is no symbol. Symbols come top to bottom, then left to right, by their centre; the
 * same symbol is reported once. False: FAULT_INPUT (sizes that make no sense, stride below width) or FAULT_STORAGE
 * (no memory). Work is bounded in steps proportional to the pixels. */
bool reader_read(struct reader *reader, const struct grey *picture, struct reader_result *result, struct fault *fault);

/* The grey of each module of a symbol that was read from this picture, a mean of a few points: rows * columns values,
 * row by row from the top (the clock track), the L on the left and at the bottom, mirrored or not. For judging how well
 * it is printed. False when the corners make no figure. */
bool reader_reflectances(const struct grey *picture, const struct reader_symbol *symbol, float *values);

/* The bytes as text: UTF-8 by the symbol's ECIs (eci.h), ended with NUL; text may hold NUL and control characters.
 * Bytes under no ECI are taken as UTF-8 where they are that, which many writers leave unsaid, else as ISO/IEC 8859-1,
 * the symbology's own set (ISO/IEC 16022:2006, 5.2.1), unless they hold a byte that is a control there (0x80 to 0x9F):
 * it means that they are something else. False: `*length` untouched, for a set is not known or a byte not valid in it;
 * then only the bytes can be shown. Reads files of the C library when a set is used for the first time. */
bool reader_symbol_text(const struct reader_symbol *symbol, char text[READER_TEXT + 1], size_t *length);

#endif
