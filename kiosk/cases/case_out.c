#include "kiosk/cases/case_out.h"

#include <math.h>

static json_t *number(double value)
{
    return isfinite(value) ? json_real(value) : json_null();
}

void case_put(json_t *object, const char *key, json_t *value)
{
    (void)json_object_set_new(object, key, value);
}

void case_put_number(json_t *object, const char *key, double value)
{
    case_put(object, key, number(value));
}

void case_put_count(json_t *object, const char *key, int64_t value)
{
    case_put(object, key, value == RULE_NO_COUNT ? json_null() : json_integer(value));
}

void case_put_truth(json_t *object, const char *key, enum rule_truth value)
{
    case_put(object, key, value == TRUTH_NULL ? json_null() : json_boolean(value == TRUTH_YES));
}

void case_put_flag(json_t *object, const char *key, bool value)
{
    case_put(object, key, json_boolean(value));
}

void case_put_text(json_t *object, const char *key, const char *value)
{
    case_put(object, key, value ? json_string(value) : json_null());
}

void case_put_day(json_t *object, const char *key, struct day value)
{
    char text[CALENDAR_DATE_SIZE];
    case_put(object, key, rule_has_day(value) ? json_string(calendar_write_date(value, text)) : json_null());
}

void case_put_null(json_t *object, const char *key)
{
    case_put(object, key, json_null());
}

json_t *case_put_list(json_t *object, const char *key)
{
    json_t *list = json_array();
    case_put(object, key, list);
    return list;
}

json_t *case_put_item(json_t *list)
{
    json_t *item = json_object();
    (void)json_array_append_new(list, item);
    return item;
}

void case_add_numbers(json_t *list, const double *values, size_t count)
{
    for (size_t i = 0; i < count; i++)
        (void)json_array_append_new(list, number(values[i]));
}

json_t *case_put_row(json_t *list)
{
    json_t *row = json_array();
    (void)json_array_append_new(list, row);
    return row;
}

void case_put_numbers(json_t *object, const char *key, const double *values, size_t count)
{
    case_add_numbers(case_put_list(object, key), values, count);
}

void case_put_pmf(json_t *object, const char *key, const struct pmf *pmf)
{
    if (pmf && pmf->p)
        case_put_numbers(object, key, pmf->p, pmf->count);
    else
        case_put_null(object, key);
}

void case_put_said(json_t *object, const struct rule_said *said)
{
    case_put_text(object, "method", said->method);
    case_put_text(object, "sentence", said->sentence);
    if (said->unknown_count == 0)
        return;
    json_t *unknown = json_object();
    for (int i = 0; i < said->unknown_count; i++)
        case_put_text(unknown, said->unknown[i].key, said->unknown[i].why);
    case_put(object, "unknown", unknown);
}
