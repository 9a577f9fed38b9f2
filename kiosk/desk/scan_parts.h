#ifndef KIOSK_DESK_SCAN_PARTS_H
#define KIOSK_DESK_SCAN_PARTS_H

#include "kiosk/desk/receive.h"
#include "kiosk/desk/turn.h"
#include "labels/content/scan.h"
#include "labels/content/symbology.h"

/* What scan_act.c and scan_carton.c share. */

struct scan_bytes { /* of one code */
    uint8_t room[SCAN_BYTES];
    struct span bytes; /* in `room`, or in the act */
    char symbology[8];
};
/* From 'bytes' or 'text' and 'symbology' of a scan. */
bool scan_bytes_read(const json_t *content, struct scan_bytes *code, struct fault *fault);

struct supplier_code {
    struct receive_code code;
    char warning[SCAN_WARNING_SIZE], lacks[SCAN_SENTENCE_SIZE]; /* scan.h */
};
/* A scan of kind SCAN_SUPPLIER; `identifier` as scan_text gives it. */
void scan_supplier_begin(const struct scan *scan, const char *identifier, struct supplier_code *code);
/* Codes of one carton, 1 to CARTON_CODES: receive_scan, and what is doubtful about each. */
bool scan_supplier(struct turn *turn, const struct supplier_code *codes, size_t count, struct fault *fault);

/* TRAY-MOVED, TRAY-STAYS (pair.h), and what is in hand then goes on. */
bool scan_tray_card(struct turn *turn, const char *card, bool *mine, struct fault *fault);

/* A scan with 'more': all makers' codes of the carton in a photograph, the first of them read already. */
bool scan_carton(struct turn *turn, const json_t *content, const struct scan_bytes *first, struct fault *fault);

#endif
