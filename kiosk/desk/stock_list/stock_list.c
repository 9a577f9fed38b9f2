#include "kiosk/desk/stock_list/stock_list.h"

#include <inttypes.h>
#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/stock_list/stock_list_parts.h"
#include "kiosk/desk/view.h"

enum { DIGEST_BYTES = 8, SENTENCE = 400 };

void stock_list_act_id(const struct stock_list *list, int line, int64_t piece, char id[ACT_ID_SIZE])
{
    struct builder text;
    builder_init(&text, id, ACT_ID_SIZE);
    builder_addf(&text, "sl-%s-%d-%" PRId64, list->digest, line, piece);
}

static void write_digest(struct span file, char digest[17])
{
    uint8_t hash[crypto_hash_sha256_BYTES];
    crypto_hash_sha256(hash, (const unsigned char *)file.at, file.length);
    sodium_bin2hex(digest, 2 * DIGEST_BYTES + 1, hash, DIGEST_BYTES);
}

/* ---- writing it ---- */

json_t *stock_list_columns_json(const struct stock_list *list)
{
    json_t *columns = json_array();
    for (int i = 0; i < list->column_count; i++) {
        const struct stock_list_column *column = &list->columns[i];
        const char *sample = "";
        for (size_t row = list->heading_row + 1; row < list->rows.count && !sample[0]; row++)
            sample = stock_list_cell(&list->rows, row, i);
        const bool used = column->field != STOCK_LIST_UNUSED && list->column_of[column->field] == i;
        json_array_append_new(columns,
                              json_pack("{s:i, s:s, s:s?, s:s, s:s*}", "column", i + 1, "heading", column->heading,
                                        "field", used ? stock_list_field_word(column->field) : NULL, "sample", sample,
                                        "why", column->why));
    }
    return columns;
}

static json_t *fault_json(const struct stock_list *list, const struct stock_list_line *line)
{
    const int column = line->fault_column;
    if (line->state != STOCK_LIST_FAULT)
        return json_null();
    return json_pack("{s:s?, s:s?, s:s}", "heading", column >= 0 ? list->columns[column].heading : NULL, "cell",
                     column >= 0 ? stock_list_cell(&list->rows, line->row, column) : NULL, "sentence",
                     line->fault.text);
}

json_t *stock_list_lines_json(const struct stock_list *list)
{
    static const char *const states[] = {"take-on", "fault", "open", "nothing", "left-out"};
    json_t *lines = json_array();
    for (size_t i = 0; list->lines && i < list->line_count; i++) {
        const struct stock_list_line *line = &list->lines[i];
        json_array_append_new(
            lines, json_pack("{s:i, s:s, s:I, s:I, s:I, s:s?, s:s?, s:O, s:b, s:O, s:o}", "line", line->line, "state",
                             states[line->state], "units", (json_int_t)line->pieces, "booked", (json_int_t)line->booked,
                             "here", (json_int_t)line->here, "item", line->item ? line->item->code : NULL, "name",
                             line->item ? line->item->name : NULL, "content", line->content, "month_only",
                             (int)line->month_only, "notices", line->notices, "fault", fault_json(list, line)));
    }
    return lines;
}

static void add_to_total(json_t *total, const struct stock_list_line *line)
{
    const json_t *amount = json_object_get(line->content, "amount_ml");
    const char *expires = json_string_value(json_object_get(line->content, "expires"));
    const char *first = json_string_value(json_object_get(total, "first_expires"));
    const char *last = json_string_value(json_object_get(total, "last_expires"));
    const json_int_t units = json_integer_value(json_object_get(total, "units"));
    const json_int_t lines = json_integer_value(json_object_get(total, "lines"));
    json_object_set_new(total, "units", json_integer(units + line->pieces - line->here));
    json_object_set_new(total, "lines", json_integer(lines + 1));
    if (amount) { /* microlitres, until the end */
        const json_int_t sum = json_integer_value(json_object_get(total, "amount_ml"));
        int64_t ul = 0;
        (void)content_amount(line->content, "amount_ml", 1e9, 1000, &ul, NULL);
        json_object_set_new(total, "amount_ml", json_integer(sum + ul * (line->pieces - line->here)));
    } else {
        const json_int_t unknown = json_integer_value(json_object_get(total, "amount_unknown"));
        json_object_set_new(total, "amount_unknown", json_integer(unknown + line->pieces - line->here));
    }
    if (expires && (!first || strcmp(expires, first) < 0))
        json_object_set_new(total, "first_expires", json_string(expires));
    if (expires && (!last || strcmp(expires, last) > 0))
        json_object_set_new(total, "last_expires", json_string(expires));
}

json_t *stock_list_totals_json(const struct stock_list *list)
{
    json_t *totals = json_array();
    for (size_t i = 0; list->lines && i < list->line_count; i++) {
        const struct stock_list_line *line = &list->lines[i];
        json_t *total = NULL, *row;
        size_t k;
        if (line->state != STOCK_LIST_TAKE_ON || !line->item)
            continue;
        json_array_foreach(totals, k, row)
        {
            const char *item = json_string_value(json_object_get(row, "item"));
            if (item && strcmp(item, line->item->code) == 0)
                total = row;
        }
        if (!total) {
            total = json_pack("{s:s, s:s, s:i, s:i, s:i, s:i, s:n, s:n}", "item", line->item->code, "name",
                              line->item->name, "units", 0, "lines", 0, "amount_ml", 0, "amount_unknown", 0,
                              "first_expires", "last_expires");
            json_array_append_new(totals, total);
        }
        add_to_total(total, line);
    }
    json_t *row;
    size_t k;
    json_array_foreach(totals, k, row)
    {
        const bool none = json_integer_value(json_object_get(row, "units")) ==
                          json_integer_value(json_object_get(row, "amount_unknown"));
        const json_int_t ul = json_integer_value(json_object_get(row, "amount_ml"));
        json_object_set_new(row, "amount_ml", none ? json_null() : view_ml(ul));
    }
    return totals;
}

static json_t *acts_json(const struct stock_list *list)
{
    json_t *acts = json_array();
    for (size_t i = 0; list->lines && i < list->line_count; i++) {
        const struct stock_list_line *line = &list->lines[i];
        for (int64_t piece = line->here + 1; piece <= line->pieces && line->state == STOCK_LIST_TAKE_ON; piece++) {
            char id[ACT_ID_SIZE];
            stock_list_act_id(list, line->line, piece, id);
            json_array_append_new(acts,
                                  json_pack("{s:s, s:i, s:O}", "id", id, "line", line->line, "content", line->content));
        }
    }
    return acts;
}

static void set_catalogue(const struct stock_list *list, json_t *plan)
{
    json_t *items = json_array(), *places = json_array();
    for (size_t i = 0; i < list->catalogue.item_count; i++) {
        const struct item *item = &list->catalogue.items[i].item;
        json_array_append_new(items, json_pack("{s:s, s:s, s:s%}", "code", item->code, "name", item->name, "letter",
                                               &item->letter, (size_t)1));
    }
    for (size_t i = 0; i < list->catalogue.place_count; i++) {
        const struct place *place = &list->catalogue.places[i].place;
        if (place_keeps(place))
            json_array_append_new(places, json_pack("{s:s, s:s}", "code", place->code, "name", place->name));
    }
    json_object_set_new(plan, "items", items);
    json_object_set_new(plan, "places", places);
}

static void write_sentence(const struct stock_list *list, int64_t open, bool ready, char sentence[SENTENCE])
{
    const int64_t left = list->units - list->booked;
    struct builder text;
    builder_init(&text, sentence, SENTENCE);
    if (ready && left == 0) {
        builder_addf(&text, "Everything of this list is taken on: %" PRId64 " unit%s.", list->units,
                     list->units == 1 ? "" : "s");
        return;
    }
    builder_addf(&text, "%" PRId64 " unit%s of %zu line%s can be taken on", left, left == 1 ? "" : "s",
                 list->line_count, list->line_count == 1 ? "" : "s");
    if (list->booked > 0)
        builder_addf(&text, ", %" PRId64 " were before", list->booked);
    if (list->faults > 0)
        builder_addf(&text, "; %" PRId64 " line%s a fault%s", list->faults, list->faults == 1 ? " has" : "s have",
                     list->answers.leave_out != list->faults ? ""
                     : list->faults == 1                     ? " and stays out"
                                                             : " and stay out");
    if (open > 0)
        builder_addf(&text, "; %" PRId64 " question%s open", open, open == 1 ? " is" : "s are");
    builder_add(&text, ready      ? ". Nothing of it is booked yet."
                       : open > 0 ? ": nothing is booked until all that is settled."
                                  : ": there is nothing to book.");
}

static json_t *plan_json(const struct stock_list *list, const struct stock_list_text *encodings)
{
    char sentence[SENTENCE], separator[2];
    int64_t open;
    json_t *questions = stock_list_questions(list, encodings, &open);
    const bool ready = open == 0 && list->lines && list->units > 0;
    const bool read = list->lines != NULL;
    write_sentence(list, open, ready, sentence);
    json_t *plan =
        json_pack("{s:{s:s, s:s?, s:s?, s:i, s:I}, s:o, s:o, s:o, s:o, s:I, s:I, s:I, s:I, s:b, s:o, s:s}", "file",
                  "digest", list->digest, "encoding", read ? list->text.encoding : NULL, "separator",
                  read ? stock_list_separator_word(list->rows.separator, separator) : NULL, "heading_line",
                  read ? list->rows.rows[list->heading_row].line : 0, "lines", (json_int_t)list->line_count,
                  "questions", questions, "columns", stock_list_columns_json(list), "lines",
                  stock_list_lines_json(list), "totals", stock_list_totals_json(list), "units", (json_int_t)list->units,
                  "booked", (json_int_t)list->booked, "faults", (json_int_t)list->faults, "open", (json_int_t)open,
                  "ready", (int)ready, "acts", ready ? acts_json(list) : json_array(), "sentence",
                  read ? sentence : "How the file's letters are written has to be said first.");
    if (plan)
        set_catalogue(list, plan);
    return plan;
}

/* ---- making it ---- */

static bool read_all(struct stock_list *list, struct fault *fault)
{
    return stock_list_rows_read((struct span){list->text.at, list->text.length}, list->answers.separator, &list->rows,
                                fault) &&
           stock_list_columns_choose(list, fault) && stock_list_lines_read(list, fault) &&
           stock_list_stock_compare(list, fault);
}

static void clear(struct stock_list *list)
{
    for (size_t i = 0; list->lines && i < list->line_count; i++) {
        json_decref(list->lines[i].content);
        json_decref(list->lines[i].notices);
    }
    free(list->lines);
    json_decref(list->words);
    stock_list_catalogue_clear(&list->catalogue);
    stock_list_rows_clear(&list->rows);
    stock_list_text_clear(&list->text);
    free(list);
}

static bool make(struct stock_list *list, struct span file, const json_t *answers, json_t **plan, struct fault *fault)
{
    struct stock_list_text encodings; /* what the bytes say by themselves */
    if (!stock_list_answers_read(answers, &list->answers, fault) || !stock_list_text_read(file, "", &encodings, fault))
        return false;
    if (encodings.asked && list->answers.encoding[0]) {
        if (!stock_list_text_read(file, list->answers.encoding, &list->text, fault))
            return false;
    } else if (!encodings.asked) { /* UTF-8 by its own form, or by its mark: no answer changes that */
        list->text = encodings;
        encodings = (struct stock_list_text){.asked = false};
    }
    if (!stock_list_catalogue_load(list->ledger, &list->catalogue, fault) || (list->text.at && !read_all(list, fault)))
        return false;
    *plan = plan_json(list, &encodings);
    return *plan || fault_set(fault, FAULT_STORAGE, "no memory for the plan of %zu lines: try again", list->line_count);
}

bool stock_list_plan(struct ledger *ledger, struct span file, const json_t *answers, struct day today, json_t **plan,
                     struct fault *fault)
{
    struct stock_list *list = calloc(1, sizeof *list);
    int month, day;
    if (!list)
        return fault_set(fault, FAULT_STORAGE, "no memory for a stock list: try again");
    list->ledger = ledger;
    list->today = today;
    calendar_split(today, &list->this_year, &month, &day);
    write_digest(file, list->digest);
    const bool good = make(list, file, answers, plan, fault);
    clear(list);
    return good;
}
