#ifndef KIOSK_PROGRAM_PRINT_LABEL_H
#define KIOSK_PROGRAM_PRINT_LABEL_H

#include "kiosk/devices/printer.h"
#include "kiosk/ledger/desk_rows.h"
#include "kiosk/web/template_files.h"
#include "labels/drawing/label.h"

/* A print row -> PWG raster for the media in the printer, from the template made for that roll, moved by the dots and
 * with the modules that the printer was calibrated to (docs/calibration.md), when that was at its present resolution.
 */

#define PRINT_LABEL_PRINTER "label-printer" /* the word by which acts and movements know it */

enum { PRINT_LABEL_NAME_SIZE = 80 };

struct print_raster {
    int file;               /* memfd, owned; -1 none */
    struct printer_job job; /* ready to send; borrows from this struct */
    char name[PRINT_LABEL_NAME_SIZE];
    char media_name[PRINTER_TEXT_SIZE];
    char template_name[TEMPLATE_NAME_SIZE]; /* of the size that was drawn */
};

/* FAULT_MISSING when the unit is gone, FAULT_INPUT when the label can't be drawn, or would lose ink by being moved (the
 * sentence says why), FAULT_DEVICE when no template is for the printer's roll. The caller clears. */
bool print_label_make(struct ledger *ledger, struct drawer *drawer, const struct template_files *templates,
                      const struct print *print, const struct printer_facts *facts, struct print_raster *raster,
                      struct fault *fault);
/* What its job is called at the printer: the label and when it was ordered, so that one of the same serial and number
 * out of another ledger (a copy that was restored, a demo begun anew) is not taken for it. */
void print_label_name(const struct print *print, char name[PRINT_LABEL_NAME_SIZE]);
void print_label_clear(struct print_raster *raster);

#endif
