#include "kiosk/ledger/movement.h"

#include <string.h>

void movement_init(struct movement *movement, enum movement_kind kind)
{
    memset(movement, 0, sizeof *movement);
    movement->kind = kind;
    movement->amount_ul = movement->minutes = movement->pieces = MOVEMENT_NULL;
    movement->filled = movement->expires = movement->refers = MOVEMENT_NULL;
}

static const char *const words[] = {
#define X(name, word) word,
    MOVEMENT_KINDS(X)
#undef X
};
_Static_assert(sizeof words / sizeof *words == MOVEMENT_KIND_COUNT, "one word a kind");

const char *movement_kind_word(enum movement_kind kind)
{
    return kind >= 0 && kind < MOVEMENT_KIND_COUNT ? words[kind] : "unknown";
}

bool movement_kind_read(const char *word, enum movement_kind *kind)
{
    for (int i = 0; i < MOVEMENT_KIND_COUNT; i++)
        if (strcmp(words[i], word) == 0) {
            *kind = (enum movement_kind)i;
            return true;
        }
    return false;
}

size_t movement_changes(const struct movement *movement, const char *units[2])
{
    size_t count = 0;
    switch (movement->kind) {
    case MOVEMENT_POUR:
    case MOVEMENT_WASTE:
    case MOVEMENT_RELABEL:
    case MOVEMENT_PAIR:
        if (movement->other[0])
            units[count++] = movement->other;
        break;
    case MOVEMENT_RECEIPT:
    case MOVEMENT_TAKE_ON:
    case MOVEMENT_PUT_AWAY:
    case MOVEMENT_FILL:
    case MOVEMENT_CHECK_OUT:
    case MOVEMENT_CHECK_IN:
    case MOVEMENT_HOLD:
    case MOVEMENT_RELEASE:
    case MOVEMENT_CORRECTION:
    case MOVEMENT_USE:
    case MOVEMENT_CLEAN:
    case MOVEMENT_WEIGHING:
    case MOVEMENT_RETIRE:
    case MOVEMENT_DISPOSE:
    case MOVEMENT_INSPECTION:
    case MOVEMENT_STIR:
    case MOVEMENT_SURFACE_RENEWAL:
    case MOVEMENT_LIFE_SHOWN:
    case MOVEMENT_LEND:
    case MOVEMENT_RESERVE:
    case MOVEMENT_UNRESERVE:
        break;
    default:
        return 0;
    }
    units[count++] = movement->unit;
    return count;
}
