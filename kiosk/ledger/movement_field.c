#include "kiosk/ledger/movement_field.h"

#include <assert.h>
#include <string.h>

#define FIELD(tag, name, json, type)                                                                                   \
    {                                                                                                                  \
        json, MOVEMENT_FIELD_##type, tag, offsetof(struct movement, name), sizeof(((struct movement *)0)->name)        \
    }

const struct movement_field movement_fields[MOVEMENT_FIELD_COUNT] = {
    FIELD(1, seq, "seq", NUMBER),          FIELD(2, act, "act", TEXT),
    FIELD(3, kind, "kind", KIND),          FIELD(4, at, "at", INSTANT),
    FIELD(5, local_day, "day", TODAY),     FIELD(6, trusted, "trusted", FLAG),
    FIELD(7, kiosk, "kiosk", TEXT),        FIELD(8, person, "person", TEXT),
    FIELD(9, unit, "unit", TEXT),          FIELD(10, other, "other", TEXT),
    FIELD(11, item, "item", TEXT),         FIELD(12, lot, "lot", TEXT),
    FIELD(13, place, "place", TEXT),       FIELD(14, printer, "printer", TEXT),
    FIELD(15, delivery, "delivery", TEXT), FIELD(16, job, "job", TEXT),
    FIELD(17, word, "word", TEXT),         FIELD(18, amount_ul, "amount_ul", NUMBER),
    FIELD(19, minutes, "minutes", NUMBER), FIELD(20, pieces, "pieces", NUMBER),
    FIELD(21, filled, "filled", DAY),      FIELD(22, expires, "expires", DAY),
    FIELD(23, refers, "refers", NUMBER),   FIELD(24, text, "text", TEXT),
    FIELD(25, detail, "detail", DETAIL),
};

int64_t movement_field_number(const struct movement *movement, const struct movement_field *field)
{
    const char *at = (const char *)movement + field->offset;
    int64_t number = MOVEMENT_NULL;
    struct day day;
    bool flag;
    switch (field->type) {
    case MOVEMENT_FIELD_NUMBER:
    case MOVEMENT_FIELD_DAY:
    case MOVEMENT_FIELD_INSTANT: /* one int64_t inside */
        memcpy(&number, at, sizeof number);
        return number;
    case MOVEMENT_FIELD_TODAY:
        memcpy(&day, at, sizeof day);
        return day.number;
    case MOVEMENT_FIELD_FLAG:
        memcpy(&flag, at, sizeof flag);
        return flag ? 1 : 0;
    default:
        assert(!"a text is no number");
        return MOVEMENT_NULL;
    }
}

const char *movement_field_text(const struct movement *movement, const struct movement_field *field)
{
    if (field->type == MOVEMENT_FIELD_KIND)
        return movement_kind_word(movement->kind);
    assert(field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL);
    return (const char *)movement + field->offset;
}
