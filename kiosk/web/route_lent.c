#include <string.h>

#include "kiosk/web/json_rows.h"

/* GET /api/lent: what is promised back, the earliest day first, so that what is overdue stands on top; then what is
 * lent to other rooms and nobody said until when. */

enum { ROOMS_MOST = 100 };

struct rooms {
    char codes[ROOMS_MOST][PLACE_SIZE];
    size_t count;
};

static bool gather_room(const struct place *place, void *context)
{
    struct rooms *rooms = context;
    if (strcmp(place->kind, "room") == 0)
        memcpy(rooms->codes[rooms->count++], place->code, sizeof place->code);
    return rooms->count < ROOMS_MOST;
}

static bool gather_undated(const struct unit *unit, void *context)
{
    return unit->due != MOVEMENT_NULL || unit->status != UNIT_OUT || json_rows_gather(unit, context);
}

static bool gather_lent(struct ledger *ledger, struct serial_list *list, struct fault *fault)
{
    struct rooms rooms = {.count = 0};
    if (!unit_each_due(ledger, JSON_ROWS_SERIALS, json_rows_gather, list, fault) ||
        !place_each(ledger, gather_room, &rooms, fault))
        return false;
    for (size_t i = 0; i < rooms.count && list->count < JSON_ROWS_SERIALS; i++)
        if (!unit_each(ledger, UNIT_BY_PLACE, rooms.codes[i], "", INT64_MAX, gather_undated, list, fault))
            return false;
    return true;
}

static bool read_lent(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct serial_list list = {.count = 0};
    json_t *units = NULL;
    if (!gather_lent(ledger, &list, fault) || !json_rows_units(ledger, &list, json_rows_today(request), &units, fault))
        return false;
    *body = json_pack("{s:o, s:b}", "lent", units, "cut", list.count == JSON_ROWS_SERIALS);
    return true;
}

enum MHD_Result route_lent_get(struct request *request)
{
    return json_rows_reply(request, read_lent);
}
