#include <string.h>
#include <strings.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/stock_list/stock_list_parts.h"

/* Reads "word" or {field: word} into one place a field. */
typedef bool take_word(const char *word, enum stock_list_field field, struct stock_list_answers *read);

static bool take_order(const char *word, enum stock_list_field field, struct stock_list_answers *read)
{
    return stock_list_order_read(word, &read->orders[field]);
}

static bool take_sign(const char *word, enum stock_list_field field, struct stock_list_answers *read)
{
    return stock_list_sign_read(word, &read->signs[field]);
}

static bool find_field(const char *key, const char *word, enum stock_list_field *field, struct fault *fault)
{
    return stock_list_field_read(word, field) ||
           fault_set(fault, FAULT_INPUT,
                     "'%s' names the field '%s', which is not known: fields are item, name, maker-code, gtin, kind, "
                     "resin, lot, expires, filled, received, opened, amount, hours, quantity, place, printer, film, "
                     "reference, note",
                     key, STOCK_LIST_SHOW(word));
}

static bool read_by_field(const json_t *answers, const char *key, const char *known, take_word *take,
                          struct stock_list_answers *read, struct fault *fault)
{
    json_t *said = json_object_get(answers, key), *value;
    const char *name;
    if (!said || json_is_null(said))
        return true;
    if (json_is_string(said)) {
        for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++)
            if (!take(json_string_value(said), field, read))
                return fault_set(fault, FAULT_INPUT, "'%s' is '%s', not one of %s", key,
                                 STOCK_LIST_SHOW(json_string_value(said)), known);
        return true;
    }
    if (!json_is_object(said))
        return fault_set(fault, FAULT_INPUT, "'%s' is neither a word nor an object of fields", key);
    json_object_foreach(said, name, value)
    {
        enum stock_list_field field;
        if (!find_field(key, name, &field, fault))
            return false;
        if (!json_is_string(value) || !take(json_string_value(value), field, read))
            return fault_set(fault, FAULT_INPUT, "'%s' of %s is not one of %s", key, name, known);
    }
    return true;
}

static bool read_words(const json_t *answers, struct stock_list_answers *read, struct fault *fault)
{
    static const enum stock_list_field mapped[] = {STOCK_LIST_ITEM, STOCK_LIST_RESIN, STOCK_LIST_PLACE, STOCK_LIST_KIND,
                                                   STOCK_LIST_FILM};
    json_t *words = json_object_get(answers, "words"), *value, *to;
    const char *name, *text;
    if (!words || json_is_null(words))
        return true;
    if (!json_is_object(words))
        return fault_set(fault, FAULT_INPUT, "'words' is not an object of fields");
    json_object_foreach(words, name, value)
    {
        enum stock_list_field field;
        bool known = false;
        if (!find_field("words", name, &field, fault))
            return false;
        for (size_t i = 0; i < sizeof mapped / sizeof *mapped; i++)
            known = known || mapped[i] == field;
        if (!known || !json_is_object(value))
            return fault_set(fault, FAULT_INPUT,
                             "'words' of %s: only item, resin, place, kind and film are mapped, each by an object",
                             name);
        json_object_foreach(value, text, to)
        {
            if (!json_is_string(to) && !json_is_null(to))
                return fault_set(fault, FAULT_INPUT, "'words' of %s: '%s' is mapped to neither a code nor null", name,
                                 STOCK_LIST_SHOW(text));
        }
        read->words[field] = value;
    }
    return true;
}

static bool read_columns(const json_t *answers, struct stock_list_answers *read, struct fault *fault)
{
    json_t *columns = json_object_get(answers, "columns"), *value;
    const char *name;
    if (!columns || json_is_null(columns))
        return true;
    if (!json_is_object(columns))
        return fault_set(fault, FAULT_INPUT, "'columns' is not an object of fields");
    json_object_foreach(columns, name, value)
    {
        enum stock_list_field field;
        if (!find_field("columns", name, &field, fault))
            return false;
        if (!json_is_string(value) && !json_is_integer(value) && !json_is_null(value))
            return fault_set(fault, FAULT_INPUT, "'columns' of %s is neither a heading, a number nor null", name);
    }
    read->columns = columns;
    return true;
}

bool stock_list_answers_read(const json_t *answers, struct stock_list_answers *read, struct fault *fault)
{
    static const char *const keys[] = {"encoding", "separator", "headings", "columns", "dates",     "decimal",
                                       "unit",     "words",     "place",    "again",   "leave_out", NULL};
    static const char *const separators[] = {"comma", "semicolon", "tab", NULL};
    static const char *const agains[] = {"others", "same", NULL};
    static const char *const units[] = {"ml", "cl", "dl", "l", NULL};
    static const char *const no_words = "";
    char separator[12], unit[4], again[8], encoding[32];
    memset(read, 0, sizeof *read);
    if (!content_only(answers, keys, fault) ||
        !content_text(answers, "encoding", CONTENT_OPTIONAL, encoding, sizeof encoding, fault) ||
        !content_one_of(answers, "separator", CONTENT_OPTIONAL, separators, separator, sizeof separator, fault) ||
        !content_count(answers, "headings", CONTENT_OPTIONAL, 1, 1000000, &read->heading_line, fault) ||
        !content_one_of(answers, "unit", CONTENT_OPTIONAL, units, unit, sizeof unit, fault) ||
        !content_code(answers, "place", CONTENT_OPTIONAL, read->place, sizeof read->place, fault) ||
        !content_one_of(answers, "again", CONTENT_OPTIONAL, agains, again, sizeof again, fault) ||
        !content_count(answers, "leave_out", CONTENT_OPTIONAL, 0, STOCK_LIST_ROWS, &read->leave_out, fault) ||
        !read_by_field(answers, "dates", "ymd, dmy, mdy", take_order, read, fault) ||
        !read_by_field(answers, "decimal", "comma, point", take_sign, read, fault) ||
        !read_words(answers, read, fault) || !read_columns(answers, read, fault))
        return false;
    read->encoding = encoding[0] ? json_string_value(json_object_get(answers, "encoding")) : no_words;
    read->separator = separator[0] ? stock_list_separator_read(separator) : '\0';
    read->again = again[0] ? json_string_value(json_object_get(answers, "again")) : no_words;
    read->unit_word = unit[0] ? json_string_value(json_object_get(answers, "unit")) : no_words;
    if (unit[0])
        (void)stock_list_volume_read(unit, &read->unit);
    if (read->heading_line == MOVEMENT_NULL)
        read->heading_line = 0;
    if (read->leave_out == MOVEMENT_NULL)
        read->leave_out = -1;
    return true;
}
