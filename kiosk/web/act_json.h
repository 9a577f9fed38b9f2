#ifndef KIOSK_WEB_ACT_JSON_H
#define KIOSK_WEB_ACT_JSON_H

#include <stdbool.h>

#include <jansson.h>

#include "kiosk/ledger/writer.h"
#include "kiosk/web/pin_worker.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* JSON of a request body -> an act for the writer. Every key is checked here for type, length and alphabet; what the
 * content of an act may hold is the desk's business. Unknown keys are a fault, so that a misspelt one is not lost in
 * silence. Limits: the body's (256 KiB) and the fields' in writer.h. */

enum { ACT_JSON_BODY = 256 * 1024 };

/* What approves an act: a storekeeper's badge and PIN, or the code from the kiosk's terminal; "" when not said. It
 * stands beside the content, which is digested. */
struct act_approval {
    char person[SERIAL_SIZE];
    char pin[PIN_DIGITS + 1];
    char code[PIN_CODE_SIZE];
};

/* {"id","kind","version"?,"counter"?,"person"?,"happened_at"?,"content","approval"?: {"person","pin"} or {"code"}}.
 * True: `*act` is filled and owns `act->content`: hand it to the writer or json_decref it. False: FAULT_INPUT, `*act`
 * and
 * `*approval` untouched. */
bool act_json_read(struct span body, struct act *act, struct act_approval *approval, struct fault *fault);

/* {"counter", "text" or "bytes" (hex), "symbology"?, "source"?: "scanner"|"typed", "person"?, "id"?}: the act "scan".
 * Without an id one is made up. Same ownership. */
bool act_json_read_scan(struct span body, struct act *act, struct fault *fault);

struct picture_code { /* borrowed */
    struct span bytes;
    const char *symbology;
};
/* The act "scan" of symbols that were found in a picture, all of one carton when there are several: source "picture",
 * fresh id. False: FAULT_STORAGE or
 * FAULT_INPUT (the counter's name). Same ownership. */
bool act_json_make_picture_scan(const char *counter, const struct picture_code *codes, size_t count, struct act *act,
                                struct fault *fault);

/* [0-9A-Za-z_-]{1,16} */
bool act_json_is_counter(const char *counter);

#endif
