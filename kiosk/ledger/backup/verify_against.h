#ifndef KIOSK_LEDGER_BACKUP_VERIFY_AGAINST_H
#define KIOSK_LEDGER_BACKUP_VERIFY_AGAINST_H

#include "kiosk/ledger/chain.h"

/* The third part of verify. A ledger by itself cannot show that its tail was cut off, or that somebody recomputed the
 * chain from some movement on and every row with it: it agrees with itself. What it cannot do is hold a head that was
 * written down elsewhere before that: on paper, or in a backup. Both calls expect that ledger_verify has found the
 * ledger clean, and say so in a sentence either way; false only when they could not look. */

struct against_report {
    int64_t first_bad_seq; /* 0: none. The first movement that is known to differ or to be missing */
    char sentence[FAULT_TEXT_SIZE];
};

/* The chain must have come through this head. */
bool verify_head(const char *address, const struct chain_mark *mark, struct against_report *report, bool *clean,
                 struct fault *fault);
/* The chain must hold every movement of the backup, which is an address like any ledger's and is checked first: one
 * that is not whole proves nothing, and is a fault. Names the first movement that differs. */
bool verify_against(const char *address, const char *backup, struct against_report *report, bool *clean,
                    struct fault *fault);

#endif
