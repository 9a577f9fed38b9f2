#include "kiosk/desk/supply.h"

#include <string.h>

enum { INSIDE_MAX = 32 };

struct inside {
    struct unit units[INSIDE_MAX];
    size_t count;
};

static bool collect(const struct unit *unit, void *context)
{
    struct inside *inside = context;
    inside->units[inside->count++] = *unit;
    return inside->count < INSIDE_MAX;
}

static bool is_vat(const struct unit *unit)
{
    return unit->serial[0] == 'V' || unit->serial[0] == 'T';
}

static bool is_new(struct turn *turn, const struct unit *unit)
{
    return counter_find(&turn->counter, unit->serial) != NULL;
}

/* `cartridge` NULL: the vat alone. */
static bool book_one(struct turn *turn, const struct unit *vat, const struct unit *cartridge, const char *machine,
                     const char *job, struct fault *fault)
{
    struct movement supply;
    movement_init(&supply, MOVEMENT_SUPPLY);
    turn_copy(supply.unit, sizeof supply.unit, vat->serial);
    if (cartridge)
        turn_copy(supply.other, sizeof supply.other, cartridge->serial);
    turn_copy(supply.printer, sizeof supply.printer, machine);
    turn_copy(supply.job, sizeof supply.job, job);
    return turn_book(turn, &supply, fault);
}

static bool book_vat(struct turn *turn, const struct inside *inside, const struct unit *vat, const char *machine,
                     const char *job, struct fault *fault)
{
    bool booked = is_new(turn, vat) || strcmp(vat->job, job) == 0; /* its own check-out says that it is used */
    for (size_t i = 0; i < inside->count; i++) {
        const struct unit *cartridge = &inside->units[i];
        if (cartridge->serial[0] != 'C' || (!is_new(turn, cartridge) && !is_new(turn, vat)))
            continue; /* they stood there together before */
        if (!book_one(turn, vat, cartridge, machine, job, fault))
            return false;
        booked = true;
    }
    return booked || book_one(turn, vat, NULL, machine, job, fault);
}

bool supply_book(struct turn *turn, const char *machine, const char *job, struct fault *fault)
{
    struct inside inside = {.count = 0};
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, machine, "", INSIDE_MAX, collect, &inside, fault))
        return false;
    for (size_t i = 0; i < inside.count; i++)
        if (is_vat(&inside.units[i]) && !book_vat(turn, &inside, &inside.units[i], machine, job, fault))
            return false;
    return true;
}
