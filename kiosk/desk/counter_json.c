#include "kiosk/desk/counter_json.h"

void counter_json_text(const json_t *row, const char *key, char *value, size_t size)
{
    const json_t *found = json_object_get(row, key);
    if (json_is_string(found))
        (void)span_copy((struct span){json_string_value(found), json_string_length(found)}, value, size);
}

int64_t counter_json_number(const json_t *row, const char *key)
{
    const json_t *found = json_object_get(row, key);
    return json_is_integer(found) ? json_integer_value(found) : MOVEMENT_NULL;
}

void counter_json_put_number(json_t *row, const char *key, int64_t value)
{
    if (value != MOVEMENT_NULL)
        json_object_set_new(row, key, json_integer(value));
}

void counter_json_put_text(json_t *row, const char *key, const char *value)
{
    if (value[0] != '\0')
        json_object_set_new(row, key, json_string(value));
}
