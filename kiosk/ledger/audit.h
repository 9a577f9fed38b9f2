#ifndef KIOSK_LEDGER_AUDIT_H
#define KIOSK_LEDGER_AUDIT_H

#include <stdio.h>

#include "kiosk/ledger/ledger.h"

/* Proof and transport of a whole ledger. */

struct verify_report {
    int64_t movements;     /* read */
    int64_t first_bad_seq; /* 0: none. Chain broken, number missing, or apply refused at this movement */
    int64_t rows_compared, rows_different;
    char sentence[FAULT_TEXT_SIZE]; /* what a person reads: what was checked, or what is wrong and where */
    uint8_t head[HASH_BYTES];
};
/* Recomputes all present state by apply in memory, compares it row by row with the tables, walks the hash chain and
 * the head row. Opens read-only. True with *clean false when something is wrong; false only when it could not look. */
bool ledger_verify(const char *address, struct verify_report *report, bool *clean, struct fault *fault);

/* Everything as JSON lines: one header (form version, demo, movement count, head hash), then movements, texts, acts,
 * and an end line that counts them, so that a cut file is seen.
 * Sessions are left out: they are what a counter is in the middle of. */
bool ledger_export(const char *address, FILE *out, struct fault *fault);
/* Into an empty ledger only, in one transaction: by apply, each hash recomputed and compared; the head must equal the
 * header's. A fault names the line. */
bool ledger_import(const char *address, FILE *in, int64_t *movements, struct fault *fault);

#endif
