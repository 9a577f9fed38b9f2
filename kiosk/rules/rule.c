#include "kiosk/rules/rule.h"

#include <assert.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "labels/basics/text.h"

void rule_set_unknown(struct rule_said *said, const char *key, const char *why)
{
    assert(said->unknown_count < RULE_UNKNOWNS);
    said->unknown[said->unknown_count++] = (struct rule_unknown){key, why};
}

double rule_held(double value, const char *key, const char *why, struct rule_said *said)
{
    if (isfinite(value))
        return value;
    for (int i = 0; i < said->unknown_count; i++)
        if (strcmp(said->unknown[i].key, key) == 0)
            return RULE_NULL;
    rule_set_unknown(said, key, why);
    return RULE_NULL;
}

const char *rule_text(struct arena *arena, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(NULL, 0, format, arguments);
    va_end(arguments);
    char *text = length >= 0 ? arena_take(arena, (size_t)length + 1, 1) : NULL;
    if (!text)
        return "There was no memory for the sentence.";
    va_start(arguments, format);
    (void)vsnprintf(text, (size_t)length + 1, format, arguments);
    va_end(arguments);
    return text;
}

const char *rule_number(struct arena *arena, double value)
{
    const double size = fabs(value);
    char text[400]; /* the largest double has 309 digits */
    if (size > 0 && size < 0.0005)
        return value > 0 ? "less than 0.001" : "not quite 0";
    (void)snprintf(text, sizeof text, "%.*f", size >= 99.95 ? 0 : size >= 9.995 ? 1 : size >= 0.9995 ? 2 : 3, value);
    if (strchr(text, '.')) {
        size_t length = strlen(text);
        while (text[length - 1] == '0')
            length--;
        text[text[length - 1] == '.' ? length - 1 : length] = '\0';
    }
    return rule_text(arena, "%s", text);
}

bool rule_sort(struct arena *arena, void *items, size_t count, size_t size, steady_compare *compare)
{
    const size_t mark = arena_mark(arena);
    uint32_t *order = count <= UINT32_MAX ? arena_take(arena, count, sizeof *order) : NULL;
    void *spare = arena_take(arena, 1, size);
    if (order && spare)
        steady_sort(items, count, size, compare, order, spare);
    arena_release(arena, mark);
    return order && spare;
}

bool rule_fault_set(struct rule_fault *fault, enum rule_fault_code code, const char *key, const char *format, ...)
{
    if (fault->code != RULE_GOOD)
        return false;
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(fault->text, sizeof fault->text, format, arguments);
    va_end(arguments);
    text_end_whole(fault->text);
    (void)snprintf(fault->key, sizeof fault->key, "%s", key);
    text_end_whole(fault->key);
    fault->code = code;
    return false;
}

bool rule_fault_memory(struct rule_fault *fault)
{
    return rule_fault_set(fault, RULE_RANGE, "", "the case is too large to be computed here: ask for less at once");
}

const char *rule_fault_word(enum rule_fault_code code)
{
    static const char *const words[] = {"good", "json",      "missing",  "type",        "range",
                                        "date", "duplicate", "conflict", "unknown_key", "mixed_resin"};
    _Static_assert(sizeof words / sizeof *words == RULE_FAULTS, "a word for each code");
    return (unsigned)code < RULE_FAULTS ? words[code] : "good";
}
