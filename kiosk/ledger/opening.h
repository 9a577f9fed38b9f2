#ifndef KIOSK_LEDGER_OPENING_H
#define KIOSK_LEDGER_OPENING_H

#include "kiosk/ledger/ledger.h"

/* What a start looks at before the first act, in bounded work whatever the size of the ledger: how the last stop was,
 * and the last OPENING_MOVEMENTS movements, where a power cut or a disk that failed in the night has had its hands.
 * The whole file is another matter (file_check.h).
 *
 * The last stop was orderly when the lock file names nobody and the write-ahead log is empty: whoever closes a ledger
 * leaves both so. A kill of the program and one of the whole machine look alike here, and mean the same. */

enum { OPENING_MOVEMENTS = 1000 };

struct opening {
    bool orderly;
    char sentence[FAULT_TEXT_SIZE]; /* "the last stop was not orderly: …"; "" when it was */
    bool log_torn;                  /* the last change in the log was cut off in the middle of being stored */
    bool has_file;                  /* a file of ours: not on PostgreSQL */
    int64_t bytes;                  /* file and write-ahead log */
    int64_t movements;              /* checked by opening_check */
};

/* Of the writer that opened it last. On PostgreSQL every stop is orderly: the server keeps its own house. */
void opening_look(struct ledger *ledger, struct opening *opening);

/* The chain of the last movements up to the head row, without a gap and without one behind it; and for each thing that
 * they name, that its row's version is that of the last of them, and that it is in or out as that one says.
 * FAULT_DAMAGED names the movement or thing. Outside transactions. */
bool opening_check(struct ledger *ledger, struct opening *opening, struct fault *fault);

#endif
