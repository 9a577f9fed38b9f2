#include "kiosk/ledger/movement_json.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/movement_field.h"
#include "labels/basics/text.h"

/* ---- writing ---- */

static bool is_calendar_day(int64_t number)
{
    return number >= calendar_day(CALENDAR_FIRST_YEAR, 1, 1).number &&
           number <= calendar_day(CALENDAR_LAST_YEAR, 12, 31).number;
}

static json_t *write_day(int64_t number)
{
    char text[CALENDAR_DATE_SIZE];
    if (!is_calendar_day(number))
        return json_integer(number);
    return json_string(calendar_write_date((struct day){(int32_t)number}, text));
}

static json_t *write_instant(int64_t ms)
{
    enum { DAY_MS = 24 * 60 * 60 * 1000 };
    char text[CALENDAR_INSTANT_SIZE];
    if (ms < 0 || !is_calendar_day(ms / DAY_MS))
        return json_integer(ms);
    return json_string(calendar_write_instant((struct instant){ms}, text));
}

/* An object where reading it gives the same bytes again, else the text itself. */
static json_t *write_detail(const char *detail)
{
    json_t *object = NULL;
    return movement_detail_read(detail, &object, NULL) ? object : json_string(detail);
}

static json_t *write_value(const struct movement *movement, const struct movement_field *field)
{
    switch (field->type) {
    case MOVEMENT_FIELD_NUMBER:
        return json_integer(movement_field_number(movement, field));
    case MOVEMENT_FIELD_DAY:
    case MOVEMENT_FIELD_TODAY:
        return write_day(movement_field_number(movement, field));
    case MOVEMENT_FIELD_INSTANT:
        return write_instant(movement_field_number(movement, field));
    case MOVEMENT_FIELD_FLAG:
        return json_boolean(movement_field_number(movement, field));
    case MOVEMENT_FIELD_DETAIL:
        return write_detail(movement_field_text(movement, field));
    default:
        return json_string(movement_field_text(movement, field));
    }
}

static bool is_text(const struct movement_field *field)
{
    return field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL ||
           field->type == MOVEMENT_FIELD_KIND;
}

static bool is_said(const struct movement *movement, const struct movement_field *field)
{
    return is_text(field) ? movement_field_text(movement, field)[0] != '\0'
                          : movement_field_number(movement, field) != MOVEMENT_NULL;
}

json_t *movement_json_write(const struct movement *movement)
{
    char hash[2 * HASH_BYTES + 1];
    json_t *object = json_object();
    bool ok = object != NULL;
    for (int i = 0; ok && i < MOVEMENT_FIELD_COUNT; i++)
        if (is_said(movement, &movement_fields[i]))
            ok = json_object_set_new(object, movement_fields[i].name, write_value(movement, &movement_fields[i])) == 0;
    text_write_hex(movement->hash, HASH_BYTES, hash, sizeof hash);
    ok = ok && json_object_set_new(object, "hash", json_string(hash)) == 0;
    if (ok)
        return object;
    json_decref(object);
    return NULL;
}

/* ---- reading ---- */

static bool wrong(const struct movement_field *field, const char *expected, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT, "movement field '%s' is not %s", field->name, expected);
}

static bool read_text(const json_t *value, const struct movement_field *field, char *at, struct fault *fault)
{
    if (!json_is_string(value) || json_string_length(value) == 0)
        return wrong(field, "a text with something in it", fault);
    const struct span text = {json_string_value(value), json_string_length(value)};
    if (!span_copy(text, at, field->size))
        return fault_set(fault, FAULT_INPUT, "movement field '%s' has %zu bytes, %zu are allowed", field->name,
                         text.length, field->size - 1);
    return true;
}

static bool read_number(const json_t *value, const struct movement_field *field, int64_t *number, struct fault *fault)
{
    if (!json_is_integer(value) || json_integer_value(value) == MOVEMENT_NULL)
        return wrong(field, "a whole number", fault);
    *number = json_integer_value(value);
    return true;
}

static bool read_day(const json_t *value, const struct movement_field *field, int64_t *number, struct fault *fault)
{
    struct day day;
    if (json_is_integer(value))
        return (read_number(value, field, number, fault) && !is_calendar_day(*number)) ||
               wrong(field, "a date YYYY-MM-DD", fault);
    if (!json_is_string(value) || !calendar_read_date(json_string_value(value), json_string_length(value), &day, NULL))
        return wrong(field, "a date YYYY-MM-DD", fault);
    *number = day.number;
    return true;
}

static bool read_instant(const json_t *value, const struct movement_field *field, struct instant *at,
                         struct fault *fault)
{
    if (json_is_integer(value))
        return read_number(value, field, &at->ms, fault);
    if (!json_is_string(value) || !calendar_read_instant(json_string_value(value), json_string_length(value), at, NULL))
        return wrong(field, "an instant YYYY-MM-DDTHH:MM:SS.mmmZ", fault);
    return true;
}

static bool read_today(const json_t *value, const struct movement_field *field, struct day *day, struct fault *fault)
{
    int64_t number = 0;
    if (!read_day(value, field, &number, fault))
        return false;
    if (number < INT32_MIN || number > INT32_MAX)
        return wrong(field, "a date YYYY-MM-DD", fault);
    day->number = (int32_t)number;
    return true;
}

static bool read_detail(const json_t *value, const struct movement_field *field, char *at, struct fault *fault)
{
    if (json_is_string(value))
        return read_text(value, field, at, fault);
    if (!json_is_object(value) || json_object_size(value) == 0)
        return wrong(field, "an object with something in it", fault);
    return movement_detail_write(value, at, fault);
}

static bool read_value(const json_t *value, const struct movement_field *field, struct movement *movement,
                       struct fault *fault)
{
    void *at = (char *)movement + field->offset;
    switch (field->type) {
    case MOVEMENT_FIELD_NUMBER:
        return read_number(value, field, at, fault);
    case MOVEMENT_FIELD_DAY:
        return read_day(value, field, at, fault);
    case MOVEMENT_FIELD_INSTANT:
        return read_instant(value, field, at, fault);
    case MOVEMENT_FIELD_TODAY:
        return read_today(value, field, at, fault);
    case MOVEMENT_FIELD_DETAIL:
        return read_detail(value, field, at, fault);
    case MOVEMENT_FIELD_KIND:
        return (json_is_string(value) && movement_kind_read(json_string_value(value), &movement->kind)) ||
               wrong(field, "a kind of movement that this version knows", fault);
    case MOVEMENT_FIELD_FLAG:
        movement->trusted = json_is_true(value);
        return json_is_boolean(value) || wrong(field, "true or false", fault);
    default:
        return read_text(value, field, at, fault);
    }
}

static bool must_be_said(const struct movement_field *field)
{
    return field->offset <= offsetof(struct movement, kiosk);
}

static bool read_hash(const json_t *value, struct movement *movement, struct fault *fault)
{
    size_t length = 0;
    if (!json_is_string(value) ||
        !text_read_hex((struct span){json_string_value(value), json_string_length(value)}, movement->hash, HASH_BYTES,
                       &length) ||
        length != HASH_BYTES)
        return fault_set(fault, FAULT_INPUT, "movement field 'hash' is not %d hex digits", 2 * HASH_BYTES);
    return true;
}

bool movement_json_read(const json_t *object, struct movement *movement, struct fault *fault)
{
    if (!json_is_object(object))
        return fault_set(fault, FAULT_INPUT, "a movement is not a JSON object");
    struct movement read;
    movement_init(&read, MOVEMENT_KIND_COUNT);
    size_t known = 1;
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        const json_t *value = json_object_get(object, movement_fields[i].name);
        if (value && !read_value(value, &movement_fields[i], &read, fault))
            return false;
        if (!value && must_be_said(&movement_fields[i]))
            return fault_set(fault, FAULT_INPUT, "movement field '%s' is missing", movement_fields[i].name);
        known += value != NULL;
    }
    if (!read_hash(json_object_get(object, "hash"), &read, fault))
        return false;
    if (json_object_size(object) != known)
        return fault_set(fault, FAULT_INPUT, "a movement has a field that this version does not know");
    *movement = read;
    return true;
}
