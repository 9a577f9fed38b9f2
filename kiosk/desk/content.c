#include "kiosk/desk/content.h"

#include <math.h>
#include <string.h>

static bool absent(const json_t *value)
{
    return !value || json_is_null(value);
}

static bool missing(const char *key, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT, "'%s' is missing: say it", key);
}

bool content_text(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (absent(found)) {
        if (need == CONTENT_REQUIRED)
            return missing(key, fault);
        value[0] = '\0';
        return true;
    }
    if (!json_is_string(found))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a text: write it in quotes", key);
    const struct span text = {json_string_value(found), json_string_length(found)};
    if (need == CONTENT_REQUIRED && text.length == 0)
        return missing(key, fault);
    if (!span_copy(text, value, size))
        return fault_set(fault, FAULT_INPUT, "'%s' is longer than %zu bytes or holds a zero byte: shorten it", key,
                         size - 1);
    for (size_t i = 0; i < text.length; i++)
        if ((unsigned char)value[i] < 0x20)
            return fault_set(fault, FAULT_INPUT, "'%s' holds a control character at place %zu: leave it out", key,
                             i + 1);
    return true;
}

bool content_code(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault)
{
    if (!content_text(content, key, need, value, size, fault))
        return false;
    for (char *at = value; *at != '\0'; at++) {
        if (*at >= 'a' && *at <= 'z')
            *at = (char)(*at - 'a' + 'A');
        const bool good = (*at >= '0' && *at <= '9') || (*at >= 'A' && *at <= 'Z') || strchr("./-", *at);
        if (!good)
            return fault_set(fault, FAULT_INPUT, "'%s' may hold only 0-9, A-Z, '.', '/' and '-': see its character %zu",
                             key, (size_t)(at - value) + 1);
    }
    return true;
}

bool content_word(const json_t *content, const char *key, enum content_need need, char *value, size_t size,
                  struct fault *fault)
{
    if (!content_text(content, key, need, value, size, fault))
        return false;
    for (const char *at = value; *at != '\0'; at++)
        if (!((*at >= 'a' && *at <= 'z') || (*at >= '0' && *at <= '9') || *at == '-'))
            return fault_set(fault, FAULT_INPUT,
                             "'%s' is a keyword and may hold only a-z, 0-9 and '-': see its character "
                             "%zu",
                             key, (size_t)(at - value) + 1);
    return true;
}

bool content_one_of(const json_t *content, const char *key, enum content_need need, const char *const *words,
                    char *value, size_t size, struct fault *fault)
{
    char list[160];
    struct builder names;
    if (!content_text(content, key, need, value, size, fault))
        return false;
    if (value[0] == '\0')
        return true;
    builder_init(&names, list, sizeof list);
    for (size_t i = 0; words[i]; i++) {
        if (strcmp(words[i], value) == 0)
            return true;
        builder_addf(&names, "%s%s", i ? ", " : "", words[i]);
    }
    return fault_set(fault, FAULT_INPUT, "'%s' is '%s', not one of %s", key, value, list);
}

bool content_count(const json_t *content, const char *key, enum content_need need, int64_t least, int64_t most,
                   int64_t *value, struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (absent(found)) {
        if (need == CONTENT_REQUIRED)
            return missing(key, fault);
        *value = MOVEMENT_NULL;
        return true;
    }
    if (!json_is_integer(found) || json_integer_value(found) < least || json_integer_value(found) > most)
        return fault_set(fault, FAULT_INPUT, "'%s' is not a whole number from %lld to %lld", key, (long long)least,
                         (long long)most);
    *value = json_integer_value(found);
    return true;
}

bool content_amount(const json_t *content, const char *key, double most, int64_t scale, int64_t *value,
                    struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (absent(found)) {
        *value = MOVEMENT_NULL;
        return true;
    }
    const double number = json_is_number(found) ? json_number_value(found) : -1;
    if (!(number >= 0 && number <= most))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a number from 0 to %g", key, most);
    *value = (int64_t)llround(number * (double)scale);
    return true;
}

bool content_day(const json_t *content, const char *key, int64_t *value, struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (absent(found)) {
        *value = MOVEMENT_NULL;
        return true;
    }
    if (!json_is_string(found))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a date: write it as \"YYYY-MM-DD\"", key);
    struct day day;
    struct fault inner = {0};
    if (!calendar_read_date(json_string_value(found), json_string_length(found), &day, &inner))
        return fault_set(fault, FAULT_INPUT, "'%s': %s", key, inner.text);
    *value = day.number;
    return true;
}

bool content_flag(const json_t *content, const char *key, bool *value, struct fault *fault)
{
    const json_t *found = json_object_get(content, key);
    if (!absent(found) && !json_is_boolean(found))
        return fault_set(fault, FAULT_INPUT, "'%s' is neither true nor false", key);
    *value = json_is_true(found);
    return true;
}

bool content_only(const json_t *content, const char *const *keys, struct fault *fault)
{
    const char *key;
    json_t *value;
    json_object_foreach((json_t *)content, key, value)
    {
        bool known = strcmp(key, "seen") == 0; /* every act may say what its person saw: turn.c */
        for (size_t i = 0; keys[i] && !known; i++)
            known = strcmp(key, keys[i]) == 0;
        if (known)
            continue;
        char list[200];
        struct builder names;
        builder_init(&names, list, sizeof list);
        for (size_t i = 0; keys[i]; i++)
            builder_addf(&names, "%s%s", i ? ", " : "", keys[i]);
        return fault_set(fault, FAULT_INPUT, "'%.40s' is not known here: known are %s", key, list);
    }
    return true;
}
