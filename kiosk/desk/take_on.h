#ifndef KIOSK_DESK_TAKE_ON_H
#define KIOSK_DESK_TAKE_ON_H

#include "kiosk/desk/turn.h"
#include "kiosk/ledger/catalogue.h"

/* Take-on: books what already stands in the room, unknowns allowed. */

enum { TAKE_ON_NOTE = 480 }; /* bytes; kept as an erasable text */

bool take_on_act(struct act_context *context, json_t **answer, struct fault *fault); /* act "take-on" */

/* An amount of such an item that is off by a thousand is a reason to ask. MOVEMENT_NULL: none was said. */
void take_on_judge(const struct item *item, int64_t amount_ul, struct verdict_list *list);

/* Books what the act's content says, inside another act (take_on_scan.h): its serial, and its item's name. */
bool take_on_book(struct turn *turn, const json_t *content, char serial[SERIAL_SIZE], char name[NAME_SIZE],
                  struct fault *fault);

/* Whether the act would take this content now: the same reading and the same checks, and nothing booked. A reader's
 * ledger will do. */
bool take_on_check(struct ledger *ledger, const json_t *content, struct fault *fault);

#endif
