#include "kiosk/desk/stock_list/stock_list_catalogue.h"

#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "labels/content/check_character.h"

enum { FIRST_SIZE = 64, GTIN_DIGITS = 14 };

static bool grow(void *at, size_t *size, size_t need, size_t item)
{
    void **block = at;
    if (need <= *size)
        return true;
    const size_t more = *size ? 2 * *size : FIRST_SIZE;
    void *grown = realloc(*block, more * item);
    if (!grown)
        return false;
    *block = grown;
    *size = more;
    return true;
}

static bool add_item(const struct item *item, void *context)
{
    struct stock_list_catalogue *catalogue = context;
    if (!grow(&catalogue->items, &catalogue->item_size, catalogue->item_count + 1, sizeof *catalogue->items))
        return false;
    struct stock_list_item *row = &catalogue->items[catalogue->item_count++];
    row->item = *item;
    stock_list_fold_value(item->name, row->name);
    stock_list_fold_value(item->resin, row->resin);
    return true;
}

static bool add_place(const struct place *place, void *context)
{
    struct stock_list_catalogue *catalogue = context;
    if (!grow(&catalogue->places, &catalogue->place_size, catalogue->place_count + 1, sizeof *catalogue->places))
        return false;
    struct stock_list_place *row = &catalogue->places[catalogue->place_count++];
    row->place = *place;
    stock_list_fold_value(place->code, row->code);
    stock_list_fold_value(place->name, row->name);
    return true;
}

bool stock_list_catalogue_load(struct ledger *ledger, struct stock_list_catalogue *catalogue, struct fault *fault)
{
    memset(catalogue, 0, sizeof *catalogue);
    if (item_each(ledger, add_item, catalogue, fault) && place_each(ledger, add_place, catalogue, fault))
        return true;
    stock_list_catalogue_clear(catalogue);
    return false;
}

void stock_list_catalogue_clear(struct stock_list_catalogue *catalogue)
{
    free(catalogue->items);
    free(catalogue->places);
    memset(catalogue, 0, sizeof *catalogue);
}

/* ---- items ---- */

/* What is looked for, in each of the forms it may have. */
struct wanted {
    const char *text;
    char gtin[GTIN_DIGITS + 1]; /* "" when it is none */
    char folded[STOCK_LIST_FOLDED];
};

static void prepare(const char *text, struct wanted *wanted)
{
    const size_t length = strlen(text);
    struct builder gtin;
    wanted->text = text;
    builder_init(&gtin, wanted->gtin, sizeof wanted->gtin);
    stock_list_fold_value(text, wanted->folded);
    if ((length != 8 && length != 12 && length != 13 && length != GTIN_DIGITS) ||
        strspn(text, "0123456789") != length || !check_character_mod10_ok(span_of(text)))
        return;
    for (size_t i = length; i < GTIN_DIGITS; i++)
        builder_add_char(&gtin, '0');
    builder_add(&gtin, text);
}

typedef bool item_match(const struct stock_list_item *row, const struct wanted *wanted);

static bool has_code(const struct stock_list_item *row, const struct wanted *wanted)
{
    return strcasecmp(row->item.code, wanted->text) == 0;
}

static bool has_gtin(const struct stock_list_item *row, const struct wanted *wanted)
{
    return wanted->gtin[0] && strcmp(row->item.gtin, wanted->gtin) == 0;
}

static bool has_maker_code(const struct stock_list_item *row, const struct wanted *wanted)
{
    return row->item.maker_code[0] && strcasecmp(row->item.maker_code, wanted->text) == 0;
}

static bool has_name(const struct stock_list_item *row, const struct wanted *wanted)
{
    return wanted->folded[0] && strcmp(row->name, wanted->folded) == 0;
}

static bool has_resin(const struct stock_list_item *row, const struct wanted *wanted)
{
    return wanted->folded[0] && strcmp(row->resin, wanted->folded) == 0;
}

static const struct item *find_item(const struct stock_list_catalogue *catalogue, const char *text,
                                    item_match *const *matches, size_t match_count, const char *letters)
{
    struct wanted wanted;
    prepare(text, &wanted);
    for (size_t m = 0; m < match_count; m++) {
        const struct item *found = NULL;
        for (size_t i = 0; i < catalogue->item_count; i++) {
            const struct stock_list_item *row = &catalogue->items[i];
            if (!strchr(letters, row->item.letter) || !matches[m](row, &wanted))
                continue;
            if (found)
                return NULL;
            found = &row->item;
        }
        if (found)
            return found;
    }
    return NULL;
}

const struct item *stock_list_find_item(const struct stock_list_catalogue *catalogue, const char *text)
{
    static item_match *const matches[] = {has_code, has_gtin, has_maker_code, has_name};
    return find_item(catalogue, text, matches, sizeof matches / sizeof *matches, "VTCRPW");
}

const struct item *stock_list_find_resin(const struct stock_list_catalogue *catalogue, const char *text)
{
    static item_match *const matches[] = {has_code, has_gtin, has_maker_code, has_name, has_resin};
    return find_item(catalogue, text, matches, sizeof matches / sizeof *matches, "CR");
}

/* ---- places ---- */

const struct place *stock_list_find_place(const struct stock_list_catalogue *catalogue, const char *text)
{
    char folded[STOCK_LIST_FOLDED];
    stock_list_fold_value(text, folded);
    for (int way = 0; way < 3; way++) {
        const struct place *found = NULL;
        for (size_t i = 0; i < catalogue->place_count; i++) {
            const struct stock_list_place *row = &catalogue->places[i];
            const bool same = way == 0   ? strcasecmp(row->place.code, text) == 0
                              : way == 1 ? folded[0] && strcmp(row->code, folded) == 0
                                         : folded[0] && strcmp(row->name, folded) == 0;
            if (!same)
                continue;
            if (found)
                return NULL;
            found = &row->place;
        }
        if (found)
            return found;
    }
    return NULL;
}
