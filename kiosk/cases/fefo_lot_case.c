#include "kiosk/cases/fefo_lot_case.h"

struct fefo_lot *fefo_lots_read(struct case_in *in, const char *const *keys, const char *expires_key, bool whole,
                                size_t *count)
{
    const json_t *list = case_list(in, "lots", count);
    struct fefo_lot *lots = case_room(in, *count, sizeof *lots);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "lots", list, i, keys);
        lots[i].id = case_text(&item, "id");
        lots[i].quantity = case_number(&item, "quantity", CASE_NOT_NEGATIVE);
        lots[i].expires = whole ? (double)case_count(&item, expires_key, INT64_MIN, INT64_MAX)
                                : case_number(&item, expires_key, CASE_ANY);
        lots[i].opened = case_flag_or(&item, "opened", false);
        lots[i].received = case_day_or(&item, "received", RULE_NO_DAY);
    }
    case_unique_in(in, "lots", "id", lots, *count, sizeof *lots, offsetof(struct fefo_lot, id));
    return lots;
}
