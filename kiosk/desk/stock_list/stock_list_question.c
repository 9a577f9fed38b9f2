#include <string.h>

#include "kiosk/desk/stock_list/stock_list_parts.h"
#include "kiosk/desk/stock_list/stock_list_word.h"

/* What a stock list leaves open, as questions with their choices. A question that was answered stays in the list with
 * its answer, so that it can be answered anew. */

enum { LINES_SHOWN = 6, SENTENCE = 400, SUGGEST = 20 };

struct asking {
    const struct stock_list *list;
    json_t *questions;
    int64_t open;
};

static json_t *choice(const char *value, const char *words, const char *sample)
{
    return json_pack("{s:s, s:s, s:s*}", "value", value, "words", words, "sample", sample);
}

/* `field` UNUSED: none. `answer` is a new value or NULL for "open"; `more` (may be NULL) is merged in. */
static void ask(struct asking *asking, const char *id, enum stock_list_field field, const char *sentence,
                json_t *choices, json_t *answer, json_t *more)
{
    const bool answered = answer && !json_is_null(answer);
    json_t *question = json_pack("{s:s, s:s, s:o}", "id", id, "sentence", sentence, "choices", choices);
    if (field != STOCK_LIST_UNUSED)
        json_object_set_new(question, "field", json_string(stock_list_field_word(field)));
    json_object_set_new(question, "answer", answer ? answer : json_null());
    if (more)
        json_object_update(question, more);
    json_decref(more);
    asking->open += !answered && !json_is_true(json_object_get(question, "answered"));
    json_array_append_new(asking->questions, question);
}

static json_t *heading_of(const struct stock_list *list, enum stock_list_field field)
{
    return json_pack("{s:s}", "heading", list->columns[list->column_of[field]].heading);
}

static void ask_encoding(struct asking *asking, const struct stock_list_text *text, const char *answer)
{
    json_t *choices = json_array();
    for (size_t i = 0; i < text->reading_count; i++)
        json_array_append_new(choices,
                              choice(text->readings[i].encoding, text->readings[i].words, text->readings[i].sample));
    ask(asking, "encoding", STOCK_LIST_UNUSED,
        "The file does not say how its letters are written. In which line are the words right?", choices,
        answer[0] ? json_string(answer) : NULL, NULL);
}

/* ---- columns ---- */

static json_t *column_choices(const struct stock_list *list, enum stock_list_field field)
{
    json_t *choices = json_array();
    for (int i = 0; i < list->column_count; i++) {
        if (list->several[field] && list->columns[i].field != field)
            continue;
        const size_t row = list->heading_row + 1;
        json_array_append_new(choices,
                              json_pack("{s:i, s:s, s:s}", "value", i + 1, "words", list->columns[i].heading, "sample",
                                        row < list->rows.count ? stock_list_cell(&list->rows, row, i) : ""));
    }
    return choices;
}

static void ask_columns(struct asking *asking)
{
    const struct stock_list *list = asking->list;
    char sentence[SENTENCE];
    struct builder text;
    bool named = false;
    for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++) {
        if (!list->several[field])
            continue;
        builder_init(&text, sentence, sizeof sentence);
        builder_addf(&text, "More than one column may be %s. Which one is it?", stock_list_field_says(field));
        ask(asking, "column", field, sentence, column_choices(list, field), NULL, NULL);
    }
    static const enum stock_list_field naming[] = {STOCK_LIST_ITEM, STOCK_LIST_GTIN, STOCK_LIST_MAKER_CODE,
                                                   STOCK_LIST_NAME};
    for (size_t i = 0; i < sizeof naming / sizeof *naming; i++)
        named = named || list->column_of[naming[i]] >= 0 || list->several[naming[i]];
    if (!named)
        ask(asking, "column", STOCK_LIST_ITEM, "Which column says what each thing is?",
            column_choices(list, STOCK_LIST_ITEM), NULL, NULL);
}

/* ---- dates, numbers ---- */

static json_t *order_choice(const struct stock_list *list, const struct stock_list_tally *tally,
                            enum stock_list_order order)
{
    static const char *const words[STOCK_LIST_ORDERS] = {"", "year, month, day", "day, month, year",
                                                         "month, day, year"};
    char sample[SENTENCE], date[CALENDAR_DATE_SIZE];
    struct stock_list_date read;
    struct builder text;
    builder_init(&text, sample, sizeof sample);
    if (stock_list_date_read(tally->date_sample, order, list->this_year, &read, NULL))
        builder_addf(&text, "%s would be %s", STOCK_LIST_SHOW(tally->date_sample), calendar_write_date(read.day, date));
    else
        builder_addf(&text, "%s would be no date", STOCK_LIST_SHOW(tally->date_sample));
    if (tally->fits[order] == tally->dates)
        builder_add(&text, "; every date can be read so");
    else
        builder_addf(&text, "; %zu of %zu dates cannot be read so", tally->dates - tally->fits[order], tally->dates);
    json_t *made = choice(stock_list_order_word(order), words[order], sample);
    json_object_set_new(made, "fits", json_integer((json_int_t)tally->fits[order]));
    return made;
}

static void ask_dates(struct asking *asking, enum stock_list_field field)
{
    const struct stock_list *list = asking->list;
    const struct stock_list_tally *tally = &list->tallies[field];
    char sentence[SENTENCE];
    struct builder text;
    json_t *choices = json_array();
    int fitting = 0;
    for (int order = STOCK_LIST_YMD; order < STOCK_LIST_ORDERS; order++) {
        json_array_append_new(choices, order_choice(list, tally, order));
        fitting += tally->fits[order] == tally->dates;
    }
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "In which order are the dates of column '%s' written?%s",
                 STOCK_LIST_SHOW(list->columns[list->column_of[field]].heading),
                 fitting == 1 ? " Only one order reads them all; say whether it is the one." : "");
    const enum stock_list_order answer = list->answers.orders[field];
    ask(asking, "dates", field, sentence, choices, answer ? json_string(stock_list_order_word(answer)) : NULL,
        heading_of(list, field));
}

/* "1.234" -> "1234" and "1.234" with the other sign: what each choice would read. */
static json_t *sign_choice(const char *cell, enum stock_list_sign sign)
{
    char text[SENTENCE];
    struct builder out;
    const char mark = sign == STOCK_LIST_COMMA ? ',' : '.';
    const char *sample = STOCK_LIST_SHOW(cell);
    builder_init(&out, text, sizeof text);
    builder_addf(&out, "%s would be ", sample);
    for (; *sample; sample++) {
        if (*sample == mark)
            builder_add(&out, " and decimals ");
        else if (*sample != ',' && *sample != '.')
            builder_add_char(&out, *sample);
    }
    return choice(stock_list_sign_word(sign), sign == STOCK_LIST_COMMA ? "the comma" : "the point", text);
}

static void ask_sign(struct asking *asking, enum stock_list_field field)
{
    const struct stock_list *list = asking->list;
    const struct stock_list_tally *tally = &list->tallies[field];
    char sentence[SENTENCE];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "Which is the decimal sign in column '%s'? '%s' may be one and some or a thousand and more.",
                 STOCK_LIST_SHOW(list->columns[list->column_of[field]].heading), STOCK_LIST_SHOW(tally->sign_sample));
    if (tally->evidence)
        builder_addf(&text, " The column also has '%s'.", STOCK_LIST_SHOW(tally->evidence));
    const enum stock_list_sign answer = list->answers.signs[field];
    ask(asking, "decimal", field, sentence,
        json_pack("[o, o]", sign_choice(tally->sign_sample, STOCK_LIST_COMMA),
                  sign_choice(tally->sign_sample, STOCK_LIST_POINT)),
        answer ? json_string(stock_list_sign_word(answer)) : NULL, heading_of(list, field));
}

static void ask_unit(struct asking *asking)
{
    const struct stock_list *list = asking->list;
    char sentence[SENTENCE];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "In what are the contents of column '%s' counted? '%s' does not say.",
                 STOCK_LIST_SHOW(list->columns[list->column_of[STOCK_LIST_AMOUNT]].heading),
                 STOCK_LIST_SHOW(list->unit_sample));
    ask(asking, "unit", STOCK_LIST_AMOUNT, sentence,
        json_pack("[o, o, o, o]", choice("ml", "millilitres", NULL), choice("cl", "centilitres", NULL),
                  choice("dl", "decilitres", NULL), choice("l", "litres", NULL)),
        list->answers.unit_word[0] ? json_string(list->answers.unit_word) : NULL, heading_of(list, STOCK_LIST_AMOUNT));
}

/* ---- words ---- */

static void add_lines(struct builder *text, const json_t *lines)
{
    const size_t count = json_array_size(lines);
    builder_addf(text, "line%s ", count == 1 ? "" : "s");
    for (size_t i = 0; i < count && i < LINES_SHOWN; i++)
        builder_addf(text, "%s%lld", i ? ", " : "", (long long)json_integer_value(json_array_get(lines, i)));
    if (count > LINES_SHOWN)
        builder_addf(text, " and %zu more", count - LINES_SHOWN);
}

static json_t *word_choices(enum stock_list_field field)
{
    json_t *choices = json_array();
    if (field == STOCK_LIST_FILM)
        for (size_t i = 0; stock_list_films[i]; i++)
            json_array_append_new(choices, choice(stock_list_films[i], stock_list_films[i], NULL));
    if (field == STOCK_LIST_KIND)
        for (size_t i = 0; i < sizeof stock_list_kinds / sizeof *stock_list_kinds; i++)
            json_array_append_new(choices, choice(stock_list_kinds[i][0], stock_list_kinds[i][1], NULL));
    return choices; /* of items, resins and places: the plan's lists of them */
}

/* A code that a new place may have: REGAL-3. "" when nothing is left of the words. */
static void suggest_place(const char *text, char code[SUGGEST + 1])
{
    char folded[STOCK_LIST_FOLDED];
    struct builder out;
    builder_init(&out, code, SUGGEST + 1);
    stock_list_fold_value(text, folded);
    for (const char *at = folded; *at; at++) {
        if (*at >= 'a' && *at <= 'z')
            builder_add_char(&out, (char)(*at - 'a' + 'A'));
        else if (*at >= '0' && *at <= '9')
            builder_add_char(&out, *at);
        else if (*at == ' ')
            builder_add_char(&out, '-');
    }
    if (out.cut)
        code[0] = '\0';
}

static void ask_word(struct asking *asking, enum stock_list_field field, const char *word, const json_t *lines)
{
    static const char *const what[STOCK_LIST_FIELD_COUNT] = {
        [STOCK_LIST_ITEM] = "is no item of this room: choose it, enter it first (page Room), or leave its lines out.",
        [STOCK_LIST_RESIN] = "is no resin of this room: choose the one it is, or leave it unsaid.",
        [STOCK_LIST_PLACE] = "is no place of this room: choose the one it is, or make it.",
        [STOCK_LIST_KIND] = "is no kind of thing that is known here: choose the one it is, or leave it unsaid.",
        [STOCK_LIST_FILM] = "says nothing known of a film: choose what it means, or leave it unsaid."};
    char sentence[SENTENCE], code[SUGGEST + 1];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "'%s' (", STOCK_LIST_SHOW(word));
    add_lines(&text, lines);
    builder_addf(&text, ") %s", what[field]);
    json_t *more = json_pack("{s:s, s:I}", "text", word, "lines", (json_int_t)json_array_size(lines));
    json_t *answer = json_object_get(asking->list->answers.words[field], word);
    if (field == STOCK_LIST_PLACE) {
        suggest_place(word, code);
        json_object_set_new(more, "suggest", json_string(code));
    }
    const bool null_counts = json_is_null(answer) && field != STOCK_LIST_PLACE;
    json_object_set_new(more, "answered", json_boolean(null_counts || json_is_string(answer)));
    ask(asking, "word", field, sentence, word_choices(field), answer ? json_incref(answer) : NULL, more);
}

static void ask_words(struct asking *asking)
{
    const char *name, *word;
    json_t *texts, *lines;
    json_object_foreach(asking->list->words, name, texts)
    {
        enum stock_list_field field = STOCK_LIST_UNUSED;
        (void)stock_list_field_read(name, &field);
        json_object_foreach(texts, word, lines)
        {
            ask_word(asking, field, word, lines);
        }
    }
}

/* ---- the list as a whole ---- */

static void ask_place(struct asking *asking)
{
    const struct stock_list *list = asking->list;
    char sentence[SENTENCE];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "%zu line%s not say where the things stand. Where?", list->placeless,
                 list->placeless == 1 ? " does" : "s do");
    ask(asking, "place", STOCK_LIST_PLACE, sentence, json_array(),
        list->answers.place[0] ? json_string(list->answers.place) : NULL, NULL);
}

static void ask_again(struct asking *asking)
{
    const struct stock_list *list = asking->list;
    char sentence[SENTENCE];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text,
                 "%lld unit%s of this list look%s like ones that are here already (same item, lot and use-by date, and "
                 "not from this file). Are they others, to be taken on besides?",
                 (long long)list->doubles, list->doubles == 1 ? "" : "s", list->doubles == 1 ? "s" : "");
    ask(asking, "again", STOCK_LIST_UNUSED, sentence,
        json_pack("[o, o]", choice("others", "yes, others", NULL),
                  choice("same", "no, the same: leave them out", NULL)),
        list->answers.again[0] ? json_string(list->answers.again) : NULL, NULL);
}

static void ask_leave_out(struct asking *asking)
{
    const struct stock_list *list = asking->list;
    char sentence[SENTENCE];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "%lld line%s a fault. Leave %s out?", (long long)list->faults,
                 list->faults == 1 ? " has" : "s have", list->faults == 1 ? "it" : "them");
    ask(asking, "leave-out", STOCK_LIST_UNUSED, sentence, json_array(),
        list->answers.leave_out == list->faults ? json_integer(list->faults) : NULL,
        json_pack("{s:I}", "count", (json_int_t)list->faults));
}

json_t *stock_list_questions(const struct stock_list *list, const struct stock_list_text *encodings, int64_t *open)
{
    struct asking asking = {.list = list, .questions = json_array()};
    if (encodings->asked)
        ask_encoding(&asking, encodings, list->answers.encoding);
    if (list->lines) {
        ask_columns(&asking);
        for (int field = 0; field < STOCK_LIST_FIELD_COUNT; field++) {
            if (list->tallies[field].dates > 0)
                ask_dates(&asking, field);
            if (list->tallies[field].signs > 0)
                ask_sign(&asking, field);
        }
        if (list->unitless > 0)
            ask_unit(&asking);
        ask_words(&asking);
        if (list->placeless > 0)
            ask_place(&asking);
        if (list->doubles > 0)
            ask_again(&asking);
        if (list->faults > 0)
            ask_leave_out(&asking);
    }
    *open = asking.open;
    return asking.questions;
}
