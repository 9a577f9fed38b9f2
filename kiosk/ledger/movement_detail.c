#include "kiosk/ledger/movement_detail.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/json_memory.h"
#include "labels/basics/text.h"

static bool check_values(const json_t *object, struct fault *fault)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)object, key,
                        value) if (!json_is_string(value) &&
                                   !json_is_integer(value)) return fault_set(fault, FAULT_INPUT,
                                                                             "detail '%s' is neither text nor a whole "
                                                                             "number: only these can be booked",
                                                                             key);
    return true;
}

bool movement_detail_write(const json_t *object, char detail[DETAIL_SIZE], struct fault *fault)
{
    if (!json_is_object(object))
        return fault_set(fault, FAULT_INPUT, "a movement's detail is not a JSON object");
    if (!check_values(object, fault))
        return false;
    if (json_object_size(object) == 0) {
        detail[0] = '\0';
        return true;
    }
    char *text = json_memory_dumps(object, JSON_SORT_KEYS | JSON_COMPACT);
    if (!text)
        return fault_set(fault, FAULT_STORAGE, "no memory for a movement's detail: end other programs and try again");
    const size_t length = strlen(text);
    const bool fits = length < DETAIL_SIZE;
    if (fits)
        memcpy(detail, text, length + 1);
    free(text);
    return fits || fault_set(fault, FAULT_INPUT, "a movement's detail has %zu bytes, %d are allowed: say it shorter",
                             length, DETAIL_SIZE - 1);
}

bool movement_detail_read(const char *detail, json_t **object, struct fault *fault)
{
    json_error_t error;
    json_t *read = detail[0] ? json_loads(detail, JSON_REJECT_DUPLICATES, &error) : json_object();
    if (!read)
        return fault_set(fault, FAULT_INPUT, "a movement's detail is not JSON (%s): this entry was not written by us",
                         detail[0] ? error.text : "no memory");
    char again[DETAIL_SIZE];
    if (!movement_detail_write(read, again, fault)) {
        json_decref(read);
        return false;
    }
    if (strcmp(again, detail) != 0) {
        json_decref(read);
        return fault_set(fault, FAULT_INPUT, "a movement's detail is not canonical (sorted keys, no spaces)");
    }
    *object = read;
    return true;
}

bool movement_detail_text(const json_t *object, const char *key, char *buffer, size_t size, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    if (value && !json_is_string(value))
        return fault_set(fault, FAULT_INPUT, "detail '%s' is not text", key);
    const struct span text = {value ? json_string_value(value) : "", value ? json_string_length(value) : 0};
    if (text.length >= size)
        return fault_set(fault, FAULT_INPUT, "detail '%s' has %zu bytes, %zu are allowed: say it shorter", key,
                         text.length, size - 1);
    return span_copy(text, buffer, size) || fault_set(fault, FAULT_INPUT, "detail '%s' holds a NUL", key);
}

bool movement_detail_number(const json_t *object, const char *key, int64_t *number, struct fault *fault)
{
    const json_t *value = json_object_get(object, key);
    if (value && !json_is_integer(value))
        return fault_set(fault, FAULT_INPUT, "detail '%s' is not a whole number", key);
    *number = value ? (int64_t)json_integer_value(value) : MOVEMENT_NULL;
    return true;
}

bool movement_detail_flag(const char *detail, const char *key)
{
    json_t *object = NULL;
    if (!movement_detail_read(detail, &object, NULL))
        return false;
    int64_t number = 0;
    const bool set = movement_detail_number(object, key, &number, NULL) && number != MOVEMENT_NULL && number != 0;
    json_decref(object);
    return set;
}

bool movement_detail_set_flag(char detail[DETAIL_SIZE], const char *key, struct fault *fault)
{
    json_t *object = NULL;
    if (!movement_detail_read(detail, &object, fault))
        return false;
    (void)json_object_set_new(object, key, json_integer(1));
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}
