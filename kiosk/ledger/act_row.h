#ifndef KIOSK_LEDGER_ACT_ROW_H
#define KIOSK_LEDGER_ACT_ROW_H

#include "kiosk/ledger/ledger.h"

/* Stored answers: an act that was done is remembered with the digest of its content and its answer, so that a repeat
 * does nothing twice. Written inside the act's savepoint. */

enum { ACT_ANSWER_SIZE = 262144 };

/* Answers are kept for whoever lost one and sends the act again: for ACT_ANSWER_DAYS, and the newest ACT_ANSWERS_KEPT
 * whatever their age. The row of the act stays for ever, so that it is never done twice. */
enum { ACT_ANSWER_DAYS = 30, ACT_ANSWERS_KEPT = 10000, ACT_ANSWERS_AT_ONCE = 500 };

struct act_row {
    char id[ACT_ID_SIZE];
    char kind[25];
    char counter[17];
    char person[SERIAL_SIZE];
    uint8_t digest[HASH_BYTES];  /* SHA-256 over kind, version and canonical content */
    int64_t at_ms;               /* wall instant */
    int64_t first_seq, last_seq; /* movements it booked; MOVEMENT_NULL when it booked none */
    bool undone;                 /* a later correction took it back, or there was never anything to take back */
};

/* `*answer` (JSON text; "" when it is no longer kept) is malloc'd for the caller when found and answer is not NULL. */
bool act_row_find(struct ledger *ledger, const char *id, struct act_row *row, char **answer, bool *found,
                  struct fault *fault);
/* `answer` "": not kept (import). */
bool act_row_store(struct ledger *ledger, const struct act_row *row, const char *answer, struct fault *fault);
/* Forgets answers older than ACT_ANSWER_DAYS at this wall instant, and those from the future, which a wrong clock gave
 * and which would stand in the way for years; but for the newest `kept`. ACT_ANSWERS_AT_ONCE at most. In a
 * transaction. */
bool act_row_forget_answers(struct ledger *ledger, int64_t now_ms, int64_t kept, int64_t *forgotten,
                            struct fault *fault);
bool act_row_mark_undone(struct ledger *ledger, const char *id, struct fault *fault);
/* The last act of a counter that booked movements and is not undone, whose kind is not "undo"; id "" when none. */
bool act_row_last(struct ledger *ledger, const char *counter, struct act_row *row, bool *found, struct fault *fault);

#endif
