#include "kiosk/desk/counter_json.h"

/* What was said of a thing without our label, as part of the counter's row. */

json_t *counter_bare_write(const struct counter_bare *bare)
{
    json_t *row = json_object();
    counter_json_put_text(row, "place", bare->place);
    if (bare->in_printer)
        json_object_set_new(row, "in_printer", json_true());
    counter_json_put_text(row, "item", bare->item);
    counter_json_put_text(row, "lot", bare->lot);
    counter_json_put_text(row, "proposed", bare->proposed);
    return row;
}

void counter_bare_read(const json_t *row, struct counter_bare *bare)
{
    *bare = (struct counter_bare){.in_printer = json_is_true(json_object_get(row, "in_printer"))};
    counter_json_text(row, "place", bare->place, sizeof bare->place);
    counter_json_text(row, "item", bare->item, sizeof bare->item);
    counter_json_text(row, "lot", bare->lot, sizeof bare->lot);
    counter_json_text(row, "proposed", bare->proposed, sizeof bare->proposed);
}
