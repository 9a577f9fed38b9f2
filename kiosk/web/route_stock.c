#include <string.h>

#include "kiosk/web/json_rows.h"

/* GET /api/stock, /api/items, /api/places, /api/people: whole tables of the catalogue and the shelf. */

enum { LIST_MOST = 10000 }; /* rows in one answer; a print room has hundreds */

struct list {
    json_t *rows;
    bool cut;
};

static bool list_add(struct list *list, json_t *row)
{
    if (json_array_size(list->rows) == LIST_MOST) {
        list->cut = true;
        json_decref(row);
        return false;
    }
    return json_array_append_new(list->rows, row) == 0;
}

static void list_finish(struct list *list, const char *key, json_t **body)
{
    *body = json_pack("{s:o, s:b}", key, list->rows, "cut", (int)list->cut);
}

static bool add_item(const struct item *item, void *context)
{
    return list_add(context, json_rows_item(item));
}

static bool add_place(const struct place *place, void *context)
{
    return list_add(context, json_rows_place(place));
}

static bool add_person(const struct person *person, void *context)
{
    return list_add(context, json_rows_person(person));
}

static bool add_stock(const struct stock_line *line, void *context)
{
    return list_add(context, json_rows_stock(line));
}

static bool read_items(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = {.rows = json_array()};
    (void)request;
    if (!item_each(ledger, add_item, &list, fault)) {
        json_decref(list.rows);
        return false;
    }
    list_finish(&list, "items", body);
    return true;
}

static bool read_places(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = {.rows = json_array()};
    (void)request;
    if (!place_each(ledger, add_place, &list, fault)) {
        json_decref(list.rows);
        return false;
    }
    list_finish(&list, "places", body);
    return true;
}

static bool read_people(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = {.rows = json_array()};
    (void)request;
    if (!person_each(ledger, add_person, &list, fault)) {
        json_decref(list.rows);
        return false;
    }
    list_finish(&list, "people", body);
    return true;
}

/* Lines come in order of item, so each item is looked up once. */
static bool name_lines(struct ledger *ledger, json_t *lines, struct fault *fault)
{
    struct item item = {.code = ""};
    json_t *line;
    size_t i;
    json_array_foreach(lines, i, line)
    {
        const char *code = json_string_value(json_object_get(line, "item"));
        bool found = true;
        if (code && strcmp(code, item.code) != 0 && !item_load(ledger, code, &item, &found, fault))
            return false;
        const bool named = code && found;
        json_object_set_new(line, "name", named ? json_rows_text(item.name) : json_null());
        json_object_set_new(line, "resin", named ? json_rows_text(item.resin) : json_null());
        json_object_set_new(line, "letter", named ? json_stringn(&item.letter, 1) : json_null());
        if (!found)
            item.code[0] = '\0';
    }
    return true;
}

static bool read_stock(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = {.rows = json_array()};
    uint8_t hash[HASH_BYTES];
    int64_t head = 0;
    const char *item = request_query(request, "item");
    const bool read =
        item ? stock_each_of_item(ledger, item, add_stock, &list, fault) : stock_each(ledger, add_stock, &list, fault);
    if (!read || !name_lines(ledger, list.rows, fault) || !ledger_head(ledger, &head, hash, fault)) {
        json_decref(list.rows);
        return false;
    }
    list_finish(&list, "stock", body);
    json_object_set_new(*body, "seq", json_integer(head));
    return true;
}

enum MHD_Result route_items_get(struct request *request)
{
    return json_rows_reply(request, read_items);
}

enum MHD_Result route_places_get(struct request *request)
{
    return json_rows_reply(request, read_places);
}

enum MHD_Result route_people_get(struct request *request)
{
    return json_rows_reply(request, read_people);
}

enum MHD_Result route_stock_get(struct request *request)
{
    return json_rows_reply(request, read_stock);
}
