#ifndef KIOSK_DESK_REPRINT_H
#define KIOSK_DESK_REPRINT_H

#include "kiosk/ledger/writer.h"

/* Another label of a thing, a badge or a place while the old one is in hand: same serial, next number. One, or a range
 * of a batch ("labels 5 to 12 of 20"), which makes a batch of its own. The question whether the old one came out is
 * answered by it. */

bool reprint_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "reprint" */

#endif
