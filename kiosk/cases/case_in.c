#include "kiosk/cases/case_in.h"

#include <math.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "labels/basics/text.h"

#define MOST_WHOLE 9007199254740992.0 /* 2^53: up to there a double holds every whole number */

const struct case_range CASE_ANY = {-INFINITY, INFINITY, false, false}, CASE_NOT_NEGATIVE = {0, INFINITY, false, false},
                        CASE_POSITIVE = {0, INFINITY, true, false}, CASE_SHARE = {0, 1, false, false},
                        CASE_INSIDE = {0, 1, true, true};

bool case_good(const struct case_in *in)
{
    return in->fault->code == RULE_GOOD;
}

bool case_fail(struct case_in *in, enum rule_fault_code code, const char *key, const char *format, ...)
{
    char text[sizeof in->fault->text], path[sizeof in->fault->key];
    struct builder builder;
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    builder_init(&builder, path, sizeof path);
    builder_addf(&builder, "%s%s", in->path, key);
    in->object = NULL;
    return rule_fault_set(in->fault, code, path, "%s", text);
}

static bool is_among(const char *const *words, const char *word)
{
    for (; *words; words++)
        if (strcmp(*words, word) == 0)
            return true;
    return false;
}

static const char *list_of(const char *const *words, char *buffer, size_t size)
{
    struct builder builder;
    builder_init(&builder, buffer, size);
    for (const char *const *word = words; *word; word++)
        builder_addf(&builder, "%s%s", word == words ? "" : ", ", *word);
    return buffer;
}

void case_open(struct case_in *in, const json_t *object, const char *path, const char *const *keys, struct arena *arena,
               struct rule_fault *fault)
{
    const char *key = NULL;
    json_t *value = NULL;
    *in = (struct case_in){.object = object, .arena = arena, .fault = fault};
    (void)snprintf(in->path, sizeof in->path, "%s", path);
    if (!case_good(in))
        in->object = NULL;
    if (!in->object)
        return;
    if (!json_is_object(object)) {
        const size_t length = strlen(in->path);
        if (length > 0)
            in->path[length - 1] = '\0'; /* the object itself is named, not a key of it */
        case_fail(in, RULE_TYPE, "", "%s must be an object with keys in { }", length > 0 ? in->path : "the case");
        return;
    }
    json_object_foreach((json_t *)object, key, value)
    {
        char list[300], shown[60];
        if (is_among(keys, key))
            continue;
        case_fail(in, RULE_UNKNOWN_KEY, key, "there is no key '%s' here: the keys are %s",
                  text_show(span_of(key), shown, sizeof shown), list_of(keys, list, sizeof list));
        return;
    }
}

static const json_t *value_of(const struct case_in *in, const char *key)
{
    const json_t *value = in->object ? json_object_get(in->object, key) : NULL;
    return json_is_null(value) ? NULL : value;
}

bool case_has(const struct case_in *in, const char *key)
{
    return value_of(in, key) != NULL;
}

/* The value of a required key, or NULL with the fault set. */
static const json_t *wanted(struct case_in *in, const char *key)
{
    const json_t *value = value_of(in, key);
    if (!value && in->object)
        case_fail(in, RULE_MISSING, key, "'%s%s' is missing: give it", in->path, key);
    return value;
}

/* --- numbers --- */

static bool in_range(double value, const struct case_range *range)
{
    return value >= range->least && value <= range->most && !(range->without_least && value == range->least) &&
           !(range->without_most && value == range->most);
}

static const char *words_of(const struct case_range *range, char *buffer, size_t size)
{
    struct builder builder;
    builder_init(&builder, buffer, size);
    if (isfinite(range->least))
        builder_addf(&builder, "%s %.15g", range->without_least ? "above" : "at least", range->least);
    if (isfinite(range->least) && isfinite(range->most))
        builder_add(&builder, " and ");
    if (isfinite(range->most))
        builder_addf(&builder, "%s %.15g", range->without_most ? "below" : "at most", range->most);
    return buffer;
}

static double check_number(struct case_in *in, const char *key, const json_t *value, const struct case_range *range)
{
    char words[80];
    if (!json_is_number(value)) {
        case_fail(in, RULE_TYPE, key, "'%s%s' must be a number", in->path, key);
        return 0;
    }
    const double number = json_number_value(value);
    if (!isfinite(number) || !in_range(number, range)) {
        case_fail(in, RULE_RANGE, key, "'%s%s' is %.15g, but must be %s", in->path, key, number,
                  words_of(range, words, sizeof words));
        return 0;
    }
    return number;
}

static int64_t check_count(struct case_in *in, const char *key, const json_t *value, int64_t least, int64_t most)
{
    const struct case_range range = {(double)least, (double)most, false, false};
    const double number = check_number(in, key, value, &CASE_ANY);
    char words[80];
    if (!in->object)
        return 0;
    if (number != floor(number)) {
        case_fail(in, RULE_TYPE, key, "'%s%s' is %.15g, but must be a whole number", in->path, key, number);
        return 0;
    }
    if (fabs(number) > MOST_WHOLE || !in_range(number, &range)) {
        case_fail(in, RULE_RANGE, key, "'%s%s' is %.15g, but must be %s", in->path, key, number,
                  words_of(&range, words, sizeof words));
        return 0;
    }
    return (int64_t)number;
}

double case_number(struct case_in *in, const char *key, struct case_range range)
{
    const json_t *value = wanted(in, key);
    return value ? check_number(in, key, value, &range) : 0;
}

double case_number_or(struct case_in *in, const char *key, struct case_range range, double otherwise)
{
    const json_t *value = value_of(in, key);
    return value ? check_number(in, key, value, &range) : otherwise;
}

int64_t case_count(struct case_in *in, const char *key, int64_t least, int64_t most)
{
    const json_t *value = wanted(in, key);
    return value ? check_count(in, key, value, least, most) : 0;
}

int64_t case_count_or(struct case_in *in, const char *key, int64_t least, int64_t most, int64_t otherwise)
{
    const json_t *value = value_of(in, key);
    return value ? check_count(in, key, value, least, most) : otherwise;
}

/* --- other plain values --- */

bool case_flag_or(struct case_in *in, const char *key, bool otherwise)
{
    const json_t *value = value_of(in, key);
    if (!value)
        return otherwise;
    if (!json_is_boolean(value))
        return case_fail(in, RULE_TYPE, key, "'%s%s' must be true or false", in->path, key);
    return json_is_true(value);
}

static const char *check_text(struct case_in *in, const char *key, const json_t *value)
{
    if (json_is_string(value))
        return json_string_value(value);
    case_fail(in, RULE_TYPE, key, "'%s%s' must be a text in quotes", in->path, key);
    return "";
}

const char *case_text(struct case_in *in, const char *key)
{
    const json_t *value = wanted(in, key);
    return value ? check_text(in, key, value) : "";
}

const char *case_text_or(struct case_in *in, const char *key, const char *otherwise)
{
    const json_t *value = value_of(in, key);
    return value ? check_text(in, key, value) : otherwise;
}

static struct day check_day(struct case_in *in, const char *key, const json_t *value)
{
    struct day day = RULE_NO_DAY;
    struct fault fault = {0};
    const char *text = check_text(in, key, value);
    if (in->object && !calendar_read_date(text, strlen(text), &day, &fault))
        case_fail(in, RULE_DATE, key, "'%s%s': %s", in->path, key, fault.text);
    return day;
}

struct day case_day(struct case_in *in, const char *key)
{
    const json_t *value = wanted(in, key);
    return value ? check_day(in, key, value) : RULE_NO_DAY;
}

struct day case_day_or(struct case_in *in, const char *key, struct day otherwise)
{
    const json_t *value = value_of(in, key);
    return value ? check_day(in, key, value) : otherwise;
}

static int check_word(struct case_in *in, const char *key, const json_t *value, const char *const *words)
{
    char list[300], shown[60];
    const char *text = check_text(in, key, value);
    for (int i = 0; in->object && words[i]; i++)
        if (strcmp(words[i], text) == 0)
            return i;
    if (in->object)
        case_fail(in, RULE_RANGE, key, "'%s%s' is '%s', but must be one of: %s", in->path, key,
                  text_show(span_of(text), shown, sizeof shown), list_of(words, list, sizeof list));
    return 0;
}

int case_word(struct case_in *in, const char *key, const char *const *words)
{
    const json_t *value = wanted(in, key);
    return value ? check_word(in, key, value, words) : 0;
}

int case_word_or(struct case_in *in, const char *key, const char *const *words, int otherwise)
{
    const json_t *value = value_of(in, key);
    return value ? check_word(in, key, value, words) : otherwise;
}

/* --- lists and objects --- */

static const json_t *check_list(struct case_in *in, const char *key, const json_t *value, size_t *count)
{
    if (!json_is_array(value)) {
        case_fail(in, RULE_TYPE, key, "'%s%s' must be a list in [ ]", in->path, key);
        return NULL;
    }
    *count = json_array_size(value);
    return value;
}

const json_t *case_list(struct case_in *in, const char *key, size_t *count)
{
    const json_t *value = wanted(in, key);
    *count = 0;
    return value ? check_list(in, key, value, count) : NULL;
}

const json_t *case_list_or(struct case_in *in, const char *key, size_t *count)
{
    const json_t *value = value_of(in, key);
    *count = 0;
    return value ? check_list(in, key, value, count) : NULL;
}

/* PATH KEY . or PATH KEY . INDEX . */
static const char *path_of(const struct case_in *in, const char *key, const size_t *index, char path[64])
{
    struct builder builder;
    builder_init(&builder, path, sizeof in->path);
    builder_addf(&builder, "%s%s.", in->path, key);
    if (index)
        builder_addf(&builder, "%zu.", *index);
    return path;
}

void case_open_item(struct case_in *item, struct case_in *in, const char *key, const json_t *list, size_t index,
                    const char *const *keys)
{
    char path[sizeof in->path];
    case_open(item, in->object ? json_array_get(list, index) : NULL, path_of(in, key, &index, path), keys, in->arena,
              in->fault);
}

void case_open_under(struct case_in *under, struct case_in *in, const char *key, const char *const *keys)
{
    char path[sizeof in->path];
    case_open(under, wanted(in, key), path_of(in, key, NULL, path), keys, in->arena, in->fault);
}

void *case_room(struct case_in *in, size_t count, size_t size)
{
    if (!case_good(in)) /* perhaps of an element, whose fault leaves `object` as it is: what follows it was not read */
        in->object = NULL;
    void *room = in->object ? arena_take(in->arena, count, size) : NULL;
    if (in->object && !room) {
        in->object = NULL;
        rule_fault_memory(in->fault);
    }
    return room;
}

/* The list under a key with room in the arena for each element. NULL: absent or a fault. */
static const json_t *list_with_room(struct case_in *in, const char *key, bool required, size_t size, size_t *count,
                                    void **room)
{
    const json_t *list = required ? case_list(in, key, count) : case_list_or(in, key, count);
    *room = NULL;
    if (!list)
        return NULL;
    *room = case_room(in, *count, size);
    if (*room)
        return list;
    *count = 0;
    return NULL;
}

static const char *element(const char *key, size_t index, char name[64])
{
    (void)snprintf(name, 64, "%.40s.%zu", key, index);
    return name;
}

double case_number_at(struct case_in *in, const char *key, const json_t *list, size_t index, struct case_range range)
{
    char name[64];
    return in->object ? check_number(in, element(key, index, name), json_array_get(list, index), &range) : 0;
}

double *case_numbers(struct case_in *in, const char *key, struct case_range range, bool required, size_t *count)
{
    void *room = NULL;
    const json_t *list = list_with_room(in, key, required, sizeof(double), count, &room);
    double *numbers = room;
    for (size_t i = 0; list && i < *count; i++)
        numbers[i] = case_number_at(in, key, list, i, range);
    return numbers;
}

int64_t *case_counts(struct case_in *in, const char *key, int64_t least, int64_t most, bool required, size_t *count)
{
    void *room = NULL;
    char name[64];
    const json_t *list = list_with_room(in, key, required, sizeof(int64_t), count, &room);
    int64_t *counts = room;
    for (size_t i = 0; list && i < *count; i++)
        counts[i] = in->object ? check_count(in, element(key, i, name), json_array_get(list, i), least, most) : 0;
    return counts;
}

static const char **read_texts(struct case_in *in, const char *key, bool required, bool nulls_too, size_t *count)
{
    void *room = NULL;
    char name[64];
    const json_t *list = list_with_room(in, key, required, sizeof(const char *), count, &room);
    const char **texts = room;
    for (size_t i = 0; list && i < *count; i++) {
        const json_t *value = json_array_get(list, i);
        if (!nulls_too || !json_is_null(value)) /* the room is NULL already */
            texts[i] = in->object ? check_text(in, element(key, i, name), value) : "";
    }
    return texts;
}

const char **case_texts(struct case_in *in, const char *key, bool required, size_t *count)
{
    return read_texts(in, key, required, false, count);
}

const char **case_texts_or_null(struct case_in *in, const char *key, bool required, size_t *count)
{
    return read_texts(in, key, required, true, count);
}

/* --- ids --- */

struct id {
    const char *text;
    size_t index;
};

static int compare_ids(const void *a, const void *b)
{
    const struct id *one = a, *two = b;
    const int way = strcmp(one->text, two->text);
    return way ? way : (one->index > two->index) - (one->index < two->index);
}

bool case_unique_in(struct case_in *in, const char *key, const char *name, const void *structs, size_t count,
                    size_t size, size_t offset)
{
    const size_t mark = arena_mark(in->arena);
    struct id *sorted = case_room(in, count, sizeof *sorted);
    if (!sorted)
        return false;
    for (size_t i = 0; i < count; i++) {
        const char *const *text = (const void *)((const char *)structs + i * size + offset);
        sorted[i] = (struct id){*text, i};
    }
    qsort(sorted, count, sizeof *sorted, compare_ids);
    for (size_t i = 1; i < count && in->object; i++) {
        char path[96], shown[60];
        if (strcmp(sorted[i - 1].text, sorted[i].text) != 0)
            continue;
        (void)snprintf(path, sizeof path, "%.40s.%zu%s%.20s", key, sorted[i].index, name[0] ? "." : "", name);
        case_fail(in, RULE_DUPLICATE, path, "'%s' stands twice in '%s%s': each may be there once",
                  text_show(span_of(sorted[i].text), shown, sizeof shown), in->path, key);
    }
    arena_release(in->arena, mark);
    return case_good(in);
}

bool case_unique(struct case_in *in, const char *key, const char *name, const char *const *ids, size_t count)
{
    return case_unique_in(in, key, name, ids, count, sizeof *ids, 0);
}
