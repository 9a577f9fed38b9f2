#include "kiosk/desk/counter_json.h"

/* What was said of a thing without our label, as part of the counter's row. */

void counter_bare_clear(struct counter_bare *bare)
{
    *bare = (struct counter_bare){.expires = MOVEMENT_NULL, .minutes = MOVEMENT_NULL, .amount_ul = MOVEMENT_NULL};
}

json_t *counter_bare_write(const struct counter_bare *bare)
{
    json_t *row = json_object();
    counter_json_put_text(row, "place", bare->place);
    if (bare->in_printer)
        json_object_set_new(row, "in_printer", json_true());
    counter_json_put_text(row, "item", bare->item);
    counter_json_put_text(row, "lot", bare->lot);
    counter_json_put_text(row, "proposed", bare->proposed);
    counter_json_put_number(row, "letter", bare->letter ? bare->letter : MOVEMENT_NULL);
    counter_json_put_number(row, "expires", bare->expires);
    counter_json_put_number(row, "minutes", bare->minutes);
    counter_json_put_number(row, "amount_ul", bare->amount_ul);
    counter_json_put_text(row, "resin", bare->resin);
    counter_json_put_text(row, "film", bare->film);
    if (bare->unknown)
        json_object_set_new(row, "unknown", json_true());
    return row;
}

void counter_bare_read(const json_t *row, struct counter_bare *bare)
{
    *bare = (struct counter_bare){.in_printer = json_is_true(json_object_get(row, "in_printer"))};
    counter_json_text(row, "place", bare->place, sizeof bare->place);
    counter_json_text(row, "item", bare->item, sizeof bare->item);
    counter_json_text(row, "lot", bare->lot, sizeof bare->lot);
    counter_json_text(row, "proposed", bare->proposed, sizeof bare->proposed);
    const int64_t letter = counter_json_number(row, "letter");
    bare->letter = letter >= 'A' && letter <= 'Z' ? (char)letter : '\0';
    bare->expires = counter_json_number(row, "expires");
    bare->minutes = counter_json_number(row, "minutes");
    bare->amount_ul = counter_json_number(row, "amount_ul");
    counter_json_text(row, "resin", bare->resin, sizeof bare->resin);
    counter_json_text(row, "film", bare->film, sizeof bare->film);
    bare->unknown = json_is_true(json_object_get(row, "unknown"));
}
