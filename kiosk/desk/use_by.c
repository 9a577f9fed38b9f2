#include "kiosk/desk/use_by.h"

#include "kiosk/ledger/movement.h"
#include "kiosk/rules/shelf_life.h"

json_t *use_by_json(int64_t expires, struct day today)
{
    if (expires == MOVEMENT_NULL)
        return json_null();
    const struct shelf_life_answer life = shelf_life_of((struct day){(int32_t)expires}, today, USE_BY_SOON_DAYS);
    const char *state = life.expired == TRUTH_YES ? "expired" : life.short_dated == TRUTH_YES ? "soon" : "good";
    return json_pack("{s:s, s:I}", "state", state, "days_left", (json_int_t)life.days_left);
}
