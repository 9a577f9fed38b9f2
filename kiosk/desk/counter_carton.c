#include <string.h>

#include "kiosk/desk/counter_json.h"

/* The codes of the carton in hand, as part of the counter's row. */

static json_t *write_code(const struct carton_code *code)
{
    const struct supplier_label *const label = &code->label;
    json_t *row = json_object();
    counter_json_put_text(row, "number", label->item);
    counter_json_put_text(row, "lot", label->lot);
    counter_json_put_text(row, "serial", label->serial);
    counter_json_put_text(row, "item", code->item);
    counter_json_put_text(row, "source", code->source);
    counter_json_put_number(row, "expires", label->has_expires ? label->expires.number : MOVEMENT_NULL);
    counter_json_put_number(row, "made", label->has_made ? label->made.number : MOVEMENT_NULL);
    counter_json_put_number(row, "count", label->count);
    counter_json_put_number(row, "content_ul", label->content_ul);
    counter_json_put_number(row, "times", code->times);
    if (label->item_is_gtin)
        json_object_set_new(row, "gtin", json_true());
    if (label->expires_day_was_00)
        json_object_set_new(row, "day_was_00", json_true());
    return row;
}

static int64_t read_count(const json_t *row, const char *key)
{
    const int64_t count = counter_json_number(row, key);
    return count > 0 ? count : 0;
}

static void read_day(const json_t *row, const char *key, bool *has, struct day *day)
{
    const int64_t number = counter_json_number(row, key);
    *has = number != MOVEMENT_NULL;
    day->number = *has ? (int32_t)number : 0;
}

static void read_code(const json_t *row, struct carton_code *code)
{
    struct supplier_label *const label = &code->label;
    counter_json_text(row, "number", label->item, sizeof label->item);
    counter_json_text(row, "lot", label->lot, sizeof label->lot);
    counter_json_text(row, "serial", label->serial, sizeof label->serial);
    counter_json_text(row, "item", code->item, sizeof code->item);
    counter_json_text(row, "source", code->source, sizeof code->source);
    read_day(row, "expires", &label->has_expires, &label->expires);
    read_day(row, "made", &label->has_made, &label->made);
    label->count = read_count(row, "count");
    label->content_ul = read_count(row, "content_ul");
    code->times = read_count(row, "times");
    label->item_is_gtin = json_is_true(json_object_get(row, "gtin"));
    label->expires_day_was_00 = json_is_true(json_object_get(row, "day_was_00"));
}

static enum carton_question read_question(const json_t *row, const char *key)
{
    const int64_t asks = counter_json_number(row, key);
    return asks > 0 && asks < CARTON_QUESTIONS ? (enum carton_question)asks : CARTON_ASKS_NOTHING;
}

json_t *counter_carton_write(const struct counter_carton *carton)
{
    json_t *row = json_object(), *codes = json_array(), *serials = json_array();
    for (size_t i = 0; i < carton->codes.code_count; i++)
        json_array_append_new(codes, write_code(&carton->codes.codes[i]));
    for (size_t i = 0; i < carton->codes.serial_count; i++)
        json_array_append_new(serials, json_string(carton->codes.serials[i]));
    json_object_set_new(row, "codes", codes);
    json_object_set_new(row, "serials", serials);
    counter_json_put_number(row, "inner", carton->codes.inner);
    counter_json_put_number(row, "besides", carton->codes.besides);
    counter_json_put_number(row, "asks", carton->asks);
    counter_json_put_number(row, "later", carton->later);
    if (carton->asks != CARTON_ASKS_NOTHING || carton->later != CARTON_ASKS_NOTHING)
        json_object_set_new(row, "about", write_code(&carton->about));
    counter_json_put_number(row, "booked", carton->booked);
    counter_json_put_text(row, "booked_item", carton->booked_item);
    counter_json_put_text(row, "booked_lot", carton->booked_lot);
    return row;
}

void counter_carton_read(const json_t *row, struct counter_carton *carton)
{
    size_t i;
    json_t *one;
    memset(carton, 0, sizeof *carton);
    json_array_foreach(json_object_get(row, "codes"), i, one) if (carton->codes.code_count < CARTON_CODES)
        read_code(one, &carton->codes.codes[carton->codes.code_count++]);
    json_array_foreach(json_object_get(row, "serials"), i, one)
    {
        if (carton->codes.serial_count == CARTON_SERIALS)
            break;
        if (json_is_string(one) && span_copy((struct span){json_string_value(one), json_string_length(one)},
                                             carton->codes.serials[carton->codes.serial_count], SUPPLIER_CODE_SIZE))
            carton->codes.serial_count++;
    }
    carton->codes.inner = read_count(row, "inner");
    carton->codes.besides = read_count(row, "besides");
    carton->asks = read_question(row, "asks");
    carton->later = read_question(row, "later");
    read_code(json_object_get(row, "about"), &carton->about);
    carton->booked = read_count(row, "booked");
    counter_json_text(row, "booked_item", carton->booked_item, sizeof carton->booked_item);
    counter_json_text(row, "booked_lot", carton->booked_lot, sizeof carton->booked_lot);
}
