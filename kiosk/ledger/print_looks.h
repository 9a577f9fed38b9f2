#ifndef KIOSK_LEDGER_PRINT_LOOKS_H
#define KIOSK_LEDGER_PRINT_LOOKS_H

#include "kiosk/ledger/ledger.h"

/* Label printers as they were calibrated, and how each looked-at label came out. Kept by apply. A label printer is
 * known by its device word ("label-printer"), from its first calibration or its first look on. Loads: `*found` false
 * and the row untouched when there is none. */

enum {
    PRINT_LOOK_MARKS_SIZE = 121,
    PRINT_LOOK_EDITION_SIZE = 49,
    CALIBRATION_SHIFT_MOST = 2000, /* dots: more is no shift, it is another roll */
    CALIBRATION_SIZE_ONE = 100000,
    CALIBRATION_SIZE_OFF_MOST = 5000 /* either way */
};

struct label_printer {
    char device[WORD_SIZE];
    int64_t dpi;                     /* at which it was calibrated; MOVEMENT_NULL: never */
    int64_t shift_right, shift_down; /* dots that every label is moved by, may be negative */
    int64_t module_dots;             /* no smaller modules; MOVEMENT_NULL: as the template says */
    int64_t stretch_mm, stretch_um;  /* so many mm came out so many micrometres long; of calibrations from the time when
                                        that was told and not set right; MOVEMENT_NULL: not said */
    int64_t size_across, size_down;  /* how long 100 000 come out across the head and along the feed, by which labels
                                        are drawn; MOVEMENT_NULL: as long as they are */
    int64_t calibrated_ms;           /* wall instant, MOVEMENT_NULL never */
    int64_t baseline_seq;            /* looks from this movement on make the baseline */
    int64_t version;
};
bool label_printer_load(struct ledger *ledger, const char *device, struct label_printer *row, bool *found,
                        struct fault *fault);
typedef bool label_printer_visitor(const struct label_printer *row, void *context);
bool label_printer_each(struct ledger *ledger, label_printer_visitor *visit, void *context, struct fault *fault);

/* What labels/quality measured of one label, in thousandths; MOVEMENT_NULL: could not be measured. */
struct print_look {
    int64_t seq; /* of the movement */
    char device[WORD_SIZE];
    char unit[SERIAL_SIZE]; /* whose label, and which of its labels */
    int64_t number;
    int64_t at_ms;              /* wall instant */
    char source[WORD_SIZE];     /* camera or upload that gave the picture: numbers of two are not compared */
    int64_t pixels;             /* a module, thousandths */
    int64_t modulation;         /* poorest codeword's */
    int64_t margin;             /* likewise */
    int64_t axial, grid;        /* non-uniformity; grid in modules */
    int64_t unused;             /* error correction left */
    int64_t fixed;              /* level of the fixed pattern, 0 to 4 (whole) */
    int64_t growth_x, growth_y; /* modules */
    int64_t contrast;
    int64_t from_um, to_um;            /* across the head: where the symbol stood; MOVEMENT_NULL unknown */
    char marks[PRINT_LOOK_MARKS_SIZE]; /* its pale places there, micrometres parted by spaces */
    char edition[PRINT_LOOK_EDITION_SIZE];
    int64_t version;
};
bool print_look_load(struct ledger *ledger, int64_t seq, struct print_look *row, bool *found, struct fault *fault);
typedef bool print_look_visitor(const struct print_look *row, void *context);
/* Of one printer: the newest first, at most `limit`; or the oldest first from movement `seq` on. */
bool print_look_each_newest(struct ledger *ledger, const char *device, int64_t limit, print_look_visitor *visit,
                            void *context, struct fault *fault);
bool print_look_each_from(struct ledger *ledger, const char *device, int64_t seq, int64_t limit,
                          print_look_visitor *visit, void *context, struct fault *fault);

#endif
