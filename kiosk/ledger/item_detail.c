#include "kiosk/ledger/catalogue.h"

#include <string.h>

#include <jansson.h>

#include "kiosk/ledger/movement_detail.h"

/* One table for both ways: what an item's entry says beside its code. */
struct key {
    const char *name;
    size_t offset, size; /* size 0: a whole number */
};

#define TEXT(field)                                                                                                    \
    {                                                                                                                  \
#field, offsetof(struct item, field), sizeof(((struct item *)0)->field)                                        \
    }
#define NUMBER(field)                                                                                                  \
    {                                                                                                                  \
#field, offsetof(struct item, field), 0                                                                        \
    }

#define SDS(field)                                                                                                     \
    {                                                                                                                  \
        "sds_" #field, offsetof(struct item, sds.field), sizeof(((struct item *)0)->sds.field)                         \
    }

static const struct key keys[] = {
    TEXT(name),
    TEXT(resin),
    TEXT(revision),
    TEXT(gtin),
    TEXT(maker_code),
    TEXT(fits),
    NUMBER(content_ul),
    NUMBER(minimum_days),
    NUMBER(life_minutes),
    NUMBER(density_mg_ml),
    NUMBER(stir_days),
    NUMBER(inspect_minutes),
    NUMBER(surface_minutes),
    SDS(product),
    SDS(signal_word),
    SDS(pictograms),
    SDS(statements),
    SDS(precautions),
    SDS(place),
    SDS(label),
    SDS(revised),
    SDS(supplier),
    SDS(address),
    SDS(phone),
    SDS(quantity),
    SDS(ufi),
    SDS(language),
};
enum { KEYS = sizeof keys / sizeof *keys };

static const char unit_letters[] = "VTCRPW"; /* H is a person, never a thing */

static int64_t *number_at(struct item *item, const struct key *key)
{
    return (int64_t *)(void *)((char *)item + key->offset);
}

static bool add(json_t *object, const char *key, json_t *value)
{
    return json_object_set_new(object, key, value) == 0; /* takes value over, NULL included */
}

static bool fill_object(json_t *object, const struct item *item)
{
    struct item copy = *item;
    bool ok = add(object, "letter", json_stringn(&item->letter, 1));
    for (int i = 0; ok && i < KEYS; i++) {
        const char *text = (const char *)&copy + keys[i].offset;
        if (keys[i].size > 0 && text[0])
            ok = add(object, keys[i].name, json_string(text));
        else if (keys[i].size == 0 && *number_at(&copy, &keys[i]) != MOVEMENT_NULL)
            ok = add(object, keys[i].name, json_integer(*number_at(&copy, &keys[i])));
    }
    if (ok && item->provisional)
        ok = add(object, "provisional", json_integer(1));
    return ok;
}

bool item_write_detail(const struct item *item, char detail[DETAIL_SIZE], struct fault *fault)
{
    if (!item->letter || !strchr(unit_letters, item->letter))
        return fault_set(fault, FAULT_INPUT, "item '%s' has no serial letter: say one of V T C R P W", item->code);
    json_t *object = json_object();
    const bool filled = object && fill_object(object, item);
    const bool ok =
        filled ? movement_detail_write(object, detail, fault)
               : fault_set(fault, FAULT_INPUT, "item '%s' has a text that is not UTF-8: type it again", item->code);
    json_decref(object);
    return ok;
}

static const struct key *key_find(const char *name)
{
    for (int i = 0; i < KEYS; i++)
        if (strcmp(keys[i].name, name) == 0)
            return &keys[i];
    return NULL;
}

static bool check_keys(const json_t *object, struct fault *fault)
{
    const char *name;
    json_t *value;
    json_object_foreach((json_t *)object, name, value)
    {
        if (!key_find(name) && strcmp(name, "letter") != 0 && strcmp(name, "provisional") != 0)
            return fault_set(fault, FAULT_INPUT, "an item has no field '%s': see the list of an item's fields", name);
    }
    return true;
}

static bool read_values(const json_t *object, struct item *item, struct fault *fault)
{
    char letter[2] = "";
    if (!movement_detail_text(object, "letter", letter, sizeof letter, fault))
        return false;
    if (!letter[0] || !strchr(unit_letters, letter[0]))
        return fault_set(fault, FAULT_INPUT, "item letter '%s' is not one of V T C R P W", letter);
    item->letter = letter[0];
    for (int i = 0; i < KEYS; i++) {
        if (keys[i].size > 0) {
            if (!movement_detail_text(object, keys[i].name, (char *)item + keys[i].offset, keys[i].size, fault))
                return false;
            continue;
        }
        if (!movement_detail_number(object, keys[i].name, number_at(item, &keys[i]), fault))
            return false;
        if (*number_at(item, &keys[i]) != MOVEMENT_NULL && *number_at(item, &keys[i]) < 0)
            return fault_set(fault, FAULT_INPUT, "item field '%s' is below 0", keys[i].name);
    }
    int64_t provisional = 0;
    if (!movement_detail_number(object, "provisional", &provisional, fault))
        return false;
    item->provisional = provisional == 1;
    return true;
}

bool item_read_detail(const char *detail, struct item *item, struct fault *fault)
{
    json_t *object = NULL;
    struct item read = *item; /* code and version are the movement's, not the detail's */
    if (!movement_detail_read(detail, &object, fault))
        return false;
    const bool ok = check_keys(object, fault) && read_values(object, &read, fault);
    json_decref(object);
    if (ok)
        *item = read;
    return ok;
}
