#ifndef KIOSK_WEB_ACT_CALL_H
#define KIOSK_WEB_ACT_CALL_H

#include "kiosk/ledger/writer.h"
#include "kiosk/web/request.h"

/* An act on its way to the writer and back, while its request sleeps. */

/* What a waiter's result is, once the act was done. */
struct act_result {
    char *text; /* the answer as JSON; a repeated act's has "repeated": true */
    int64_t last_seq;
    bool repeated;
};

/* Suspends the request and queues `act`, whose content is taken in any case. `step` runs when the act was done or
 * refused, or the queue had no room: request->waiter has the act_result or the fault. False: not suspended, fault. */
bool act_call_start(struct request *request, struct act *act, request_step *step, struct fault *fault);

/* In `step`: the result (borrowed from the waiter), or NULL and the fault. Notes for /health whether acts can be
 * stored, and for the reply the act's last number. */
const struct act_result *act_call_result(struct request *request, const struct fault **fault);

#endif
