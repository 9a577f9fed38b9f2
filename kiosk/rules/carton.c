#include "kiosk/rules/carton.h"

#include <string.h>

/* Of a GTIN-14: the indicator digit, the twelve digits of the article, the check digit. */
enum { GTIN_ARTICLE = 1, GTIN_ARTICLE_DIGITS = 12 };

static bool is_outer(const struct carton_code *code)
{
    return code->label.count > 1;
}

static bool same_article(const struct carton_code *one, const struct carton_code *other)
{
    return one->label.item_is_gtin && other->label.item_is_gtin &&
           memcmp(one->label.item + GTIN_ARTICLE, other->label.item + GTIN_ARTICLE, GTIN_ARTICLE_DIGITS) == 0;
}

/* An item that the catalogue knows and a number that it does not may be one thing or two: that is for the person. */
static bool item_differs(const struct carton_code *one, const struct carton_code *other)
{
    if (!one->label.item[0] || !other->label.item[0] || same_article(one, other))
        return false;
    if (one->item[0] || other->item[0])
        return strcmp(one->item, other->item) != 0;
    return one->label.item_is_gtin == other->label.item_is_gtin && strcmp(one->label.item, other->label.item) != 0;
}

static bool text_differs(const char *one, const char *other)
{
    return one[0] && other[0] && strcmp(one, other) != 0;
}

static void show_item(const struct carton_code *code, char text[CARTON_SHOWN_SIZE])
{
    struct builder out;
    builder_init(&out, text, CARTON_SHOWN_SIZE);
    builder_add(&out, code->label.item);
    if (code->item[0])
        builder_addf(&out, " (%s)", code->item);
}

static void show_number(int64_t number, const char *unit, char text[CARTON_SHOWN_SIZE])
{
    struct builder out;
    builder_init(&out, text, CARTON_SHOWN_SIZE);
    builder_addf(&out, "%lld%s", (long long)number, unit);
}

static void show_text(const char *value, char text[CARTON_SHOWN_SIZE])
{
    struct builder out;
    builder_init(&out, text, CARTON_SHOWN_SIZE);
    builder_add(&out, value);
}

enum field { FIELD_ITEM, FIELD_LOT, FIELD_EXPIRES, FIELD_MADE, FIELD_COUNT, FIELD_CONTENT, FIELDS };
_Static_assert(FIELDS == (enum field)CARTON_DIFFERENCES, "room for a difference of every field");

static bool field_differs(enum field field, const struct carton_code *one, const struct carton_code *other)
{
    const struct supplier_label *const a = &one->label, *const b = &other->label;
    switch (field) {
    case FIELD_ITEM:
        return item_differs(one, other);
    case FIELD_LOT:
        return text_differs(a->lot, b->lot);
    case FIELD_EXPIRES:
        return a->has_expires && b->has_expires && a->expires.number != b->expires.number;
    case FIELD_MADE:
        return a->has_made && b->has_made && a->made.number != b->made.number;
    case FIELD_COUNT: /* 1 and 4: a pack and its outer carton */
        return is_outer(one) && is_outer(other) && a->count != b->count;
    default: /* an outer code may give the volume of all that is inside */
        return !is_outer(one) && !is_outer(other) && a->content_ul > 0 && b->content_ul > 0 &&
               a->content_ul != b->content_ul;
    }
}

static void show(enum field field, const struct carton_code *code, char text[CARTON_SHOWN_SIZE])
{
    char date[CALENDAR_DATE_SIZE];
    switch (field) {
    case FIELD_ITEM:
        show_item(code, text);
        return;
    case FIELD_LOT:
        show_text(code->label.lot, text);
        return;
    case FIELD_EXPIRES:
        show_text(calendar_write_date(code->label.expires, date), text);
        return;
    case FIELD_MADE:
        show_text(calendar_write_date(code->label.made, date), text);
        return;
    case FIELD_COUNT:
        show_number(code->label.count, "", text);
        return;
    default:
        show_number(code->label.content_ul / 1000, " ml", text);
    }
}

size_t carton_differences(const struct carton *carton, const struct carton_code *code,
                          struct carton_difference differences[CARTON_DIFFERENCES])
{
    static const char *const names[FIELDS] = {"item", "lot", "use-by day", "day of making", "count", "content"};
    size_t count = 0;
    for (int field = 0; field < FIELDS; field++)
        for (size_t i = 0; i < carton->code_count; i++) {
            const struct carton_code *const before = &carton->codes[i];
            if (!field_differs((enum field)field, before, code))
                continue;
            struct carton_difference *const found = &differences[count++];
            *found = (struct carton_difference){.what = names[field], .one_source = before->source};
            show((enum field)field, before, found->one);
            show((enum field)field, code, found->other);
            break; /* the codes before agree with each other */
        }
    return count;
}

/* The code that says the same but for its serial; NULL when there is none. */
static struct carton_code *find_code(struct carton *carton, const struct carton_code *code)
{
    for (size_t i = 0; i < carton->code_count; i++) {
        const struct supplier_label *const a = &carton->codes[i].label, *const b = &code->label;
        if (strcmp(a->item, b->item) == 0 && a->item_is_gtin == b->item_is_gtin && strcmp(a->lot, b->lot) == 0 &&
            a->has_expires == b->has_expires && a->expires.number == b->expires.number && a->has_made == b->has_made &&
            a->made.number == b->made.number && a->count == b->count && a->content_ul == b->content_ul)
            return &carton->codes[i];
    }
    return NULL;
}

static bool says_before(const struct carton *carton, const struct carton_code *code)
{
    return find_code((struct carton *)carton, code) != NULL; /* looked at only */
}

static bool has_serial(const struct carton *carton, const char *serial)
{
    for (size_t i = 0; i < carton->serial_count; i++)
        if (serial[0] && strcmp(carton->serials[i], serial) == 0)
            return true;
    return false;
}

static bool is_pack_gtin(const struct supplier_label *label)
{
    return label->item_is_gtin && label->item[0] == '0';
}

static bool adds_something(const struct carton *carton, const struct carton_code *code)
{
    const struct carton_total total = carton_total(carton);
    const struct supplier_label *const label = &code->label;
    return (is_pack_gtin(label) && total.gtin[0] != '0') ||
           (label->item[0] && !(label->item_is_gtin ? total.gtin : total.maker_code)[0]) ||
           (label->lot[0] && !total.label.lot[0]) || (label->has_expires && !total.label.has_expires) ||
           (label->has_made && !total.label.has_made) || (label->content_ul > 0 && total.label.content_ul == 0) ||
           (label->count > 1 && total.outer == 0);
}

enum carton_step carton_judge(const struct carton *carton, const struct carton_code *code)
{
    struct carton_difference differences[CARTON_DIFFERENCES];
    if (carton_differences(carton, code, differences) > 0)
        return CARTON_DIFFERS;
    const struct carton_total total = carton_total(carton);
    const bool same = says_before(carton, code);
    if (has_serial(carton, code->label.serial) && (same || !adds_something(carton, code)))
        return CARTON_SAME_PACK;
    const bool names_it = code->label.item[0] && (total.gtin[0] || total.maker_code[0]);
    if (total.outer > 0 && !is_outer(code) && names_it) {
        if (carton->inner >= total.outer)
            return CARTON_TOO_MANY;
        return carton->inner > 0 ? CARTON_INNER : CARTON_MAYBE_INNER;
    }
    if (same)
        return CARTON_COUNTS;
    return carton->code_count < CARTON_CODES ? CARTON_ADDS : CARTON_FULL;
}

static void keep_serial(struct carton *carton, const char *serial)
{
    if (serial[0] && carton->serial_count < CARTON_SERIALS && !has_serial(carton, serial))
        memcpy(carton->serials[carton->serial_count++], serial, SUPPLIER_CODE_SIZE);
}

void carton_add(struct carton *carton, const struct carton_code *code)
{
    struct carton_code *before = find_code(carton, code);
    keep_serial(carton, code->label.serial);
    if (!before && carton->code_count < CARTON_CODES) {
        before = &carton->codes[carton->code_count++];
        *before = *code;
        before->times = 0;
    }
    if (before)
        before->times++;
}

/* What it says counts, how often it was scanned does not. */
static void add_uncounted(struct carton *carton, const struct carton_code *code)
{
    if (adds_something(carton, code))
        carton_add(carton, code);
    keep_serial(carton, code->label.serial);
}

void carton_add_inner(struct carton *carton, const struct carton_code *code)
{
    add_uncounted(carton, code);
    carton->inner++;
}

void carton_add_besides(struct carton *carton, const struct carton_code *code)
{
    add_uncounted(carton, code);
    carton->besides++;
}

static void total_item(const struct carton_code *code, struct carton_total *total)
{
    const bool is_pack = is_pack_gtin(&code->label);
    char *const number = code->label.item_is_gtin ? total->gtin : total->maker_code;
    if (!number[0] || (is_pack && total->gtin[0] != '0'))
        memcpy(number, code->label.item, SUPPLIER_CODE_SIZE);
    if (code->item[0] && (!total->item[0] || is_pack))
        memcpy(total->item, code->item, sizeof total->item);
}

static void total_rest(const struct supplier_label *label, struct supplier_label *all)
{
    if (!all->lot[0])
        memcpy(all->lot, label->lot, sizeof all->lot);
    if (label->has_expires && !all->has_expires) {
        all->has_expires = true;
        all->expires = label->expires;
        all->expires_day_was_00 = label->expires_day_was_00;
    }
    if (label->has_made && !all->has_made) {
        all->has_made = true;
        all->made = label->made;
    }
    if (all->content_ul == 0)
        all->content_ul = label->content_ul;
}

struct carton_total carton_total(const struct carton *carton)
{
    struct carton_total total = {.quantity = 1};
    int64_t most = 1;
    for (size_t i = 0; i < carton->code_count; i++) {
        const struct carton_code *const code = &carton->codes[i];
        total_item(code, &total);
        total_rest(&code->label, &total.label);
        if (is_outer(code) && code->label.count * code->times > total.outer)
            total.outer = code->label.count * code->times;
        if (code->times > most)
            most = code->times;
    }
    total.quantity = (total.outer > 0 ? total.outer : most) + carton->besides;
    return total;
}
