#include <string.h>

#include "kiosk/web/json_rows.h"

/* GET /api/items, /api/places, /api/people, /api/stickers, /api/substitutions: what the room was told of, by the page.
 * These lists grow with the room, not with the years; pages of the browser read them once, and again when the stream
 * says that one was entered. */

enum { LIST_PAGE = 1000 };

struct list {
    json_t *rows;
    const char *after; /* key of the last row of the page before, "" for the first */
    const char *last;  /* key of this page's last row; borrowed from it */
    const char *key;   /* name of the key */
    bool more;
};

/* False: this row is of the page before, or the page is full (`*go_on` false). */
static bool list_wants(struct list *list, const char *key, bool *go_on)
{
    *go_on = true;
    if (list->after[0] && strcmp(key, list->after) <= 0)
        return false;
    list->more = json_array_size(list->rows) == LIST_PAGE;
    *go_on = !list->more;
    return *go_on;
}

static bool list_add(struct list *list, json_t *row)
{
    list->last = json_string_value(json_object_get(row, list->key));
    return json_array_append_new(list->rows, row) == 0;
}

static bool add_item(const struct item *item, void *context)
{
    bool go_on;
    return list_wants(context, item->code, &go_on) ? list_add(context, json_rows_item(item)) : go_on;
}

static bool add_place(const struct place *place, void *context)
{
    bool go_on;
    return list_wants(context, place->code, &go_on) ? list_add(context, json_rows_place(place)) : go_on;
}

static bool add_person(const struct person *person, void *context)
{
    bool go_on;
    return list_wants(context, person->serial, &go_on) ? list_add(context, json_rows_person(person)) : go_on;
}

static struct list list_start(const struct request *request, const char *key)
{
    const char *after = request_query(request, "after");
    return (struct list){.rows = json_array(), .after = after ? after : "", .key = key};
}

/* Takes the rows. */
static bool list_finish(struct list *list, bool read, const char *name, json_t **body)
{
    if (read)
        *body = json_pack("{s:o, s:o}", name, list->rows, "next",
                          list->more && list->last ? json_string(list->last) : json_null());
    else
        json_decref(list->rows);
    return read;
}

static bool read_items(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = list_start(request, "code");
    return list_finish(&list, item_each(ledger, add_item, &list, fault), "items", body);
}

static bool read_places(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = list_start(request, "code");
    return list_finish(&list, place_each(ledger, add_place, &list, fault), "places", body);
}

static bool read_people(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct list list = list_start(request, "serial");
    return list_finish(&list, person_each(ledger, add_person, &list, fault), "people", body);
}

static bool add_sticker(const struct sticker *sticker, void *context)
{
    return json_array_append_new(context, json_rows_sticker(sticker)) == 0;
}

static bool read_stickers(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *stickers = json_array();
    (void)request;
    if (!sticker_each(ledger, add_sticker, stickers, fault)) {
        json_decref(stickers);
        return false;
    }
    *body = json_pack("{s:o}", "stickers", stickers);
    return true;
}

static bool add_substitution(const struct substitution *substitution, void *context)
{
    return json_array_append_new(context, json_rows_substitution(substitution)) == 0;
}

static bool read_substitutions(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *substitutions = json_array();
    (void)request;
    if (!substitution_each(ledger, add_substitution, substitutions, fault)) {
        json_decref(substitutions);
        return false;
    }
    *body = json_pack("{s:o}", "substitutions", substitutions);
    return true;
}

enum MHD_Result route_substitutions_get(struct request *request)
{
    return json_rows_reply(request, read_substitutions);
}

enum MHD_Result route_stickers_get(struct request *request)
{
    return json_rows_reply(request, read_stickers);
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
