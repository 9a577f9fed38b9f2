#include "kiosk/desk/lives.h"
#include "kiosk/web/json_rows.h"

/* GET /api/lives/ITEM: how long this room's own things of an item last. */

static bool read_lives(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    return lives_of_item(ledger, request->parameter, body, fault);
}

enum MHD_Result route_item_lives_get(struct request *request)
{
    return json_rows_reply(request, read_lives);
}
