#include "kiosk/ledger/apply_parts.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

/* What is looked after between two repairs: when a film or surface was last seen, since when resin stands, which
 * surface a platform has, what a printer shows of their life. */

static bool is_vat(const struct unit *unit)
{
    return unit->serial[0] == 'V' || unit->serial[0] == 'T';
}

static bool is_platform(const struct unit *unit)
{
    return unit->serial[0] == 'P';
}

static bool save(struct unit *unit, const struct movement *movement, const struct apply_store *store,
                 struct fault *fault)
{
    unit->version = movement->seq;
    return store->save_unit(store->context, unit, fault);
}

/* Somebody looked at it: a vat's film, a platform's surface. Whether it is held for what was seen, its own movement
 * says. Earlier kiosks did not say its hours, nor anything of a surface that stays: their movements leave both alone.
 */
bool apply_inspection(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    char surface[WORD_SIZE];
    if (!apply_find_unit(movement, store, false, &unit, fault) ||
        !apply_needs(movement, movement->word, "what was seen", fault))
        return false;
    if (!is_vat(&unit) && !is_platform(&unit))
        return fault_set(fault, FAULT_REFUSED, "%s is no vat and no platform: there is no film and no surface to see",
                         unit.serial);
    const char *words = is_vat(&unit) ? "clear fogged dented bits leaking" : "fine scratched loose";
    if (!apply_check_word(movement, words, fault) ||
        !apply_detail_text(movement, "surface", surface, sizeof surface, fault))
        return false;
    if (is_vat(&unit))
        memcpy(unit.film, movement->word, sizeof unit.film);
    else if (surface[0])
        memcpy(unit.film, surface, sizeof unit.film);
    if (movement->minutes != MOVEMENT_NULL)
        unit.inspected_minutes = movement->minutes;
    return save(&unit, movement, store, fault);
}

bool apply_surface_renewal(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault))
        return false;
    if (!is_platform(&unit))
        return fault_set(fault, FAULT_REFUSED, "%s is no platform: it has no surface to renew", unit.serial);
    unit.surface_minutes = unit.minutes;
    memcpy(unit.film, "fine", sizeof "fine");
    return save(&unit, movement, store, fault);
}

/* `used` in its detail: nobody knew the hours, and they are taken from what the printer shows. */
static bool take_hours(const struct movement *movement, struct unit *unit, struct fault *fault)
{
    json_t *detail = NULL;
    int64_t used = MOVEMENT_NULL;
    const bool read =
        movement_detail_read(movement->detail, &detail, fault) && movement_detail_number(detail, "used", &used, fault);
    json_decref(detail);
    if (!read || used == MOVEMENT_NULL)
        return read;
    if (used < 0 || unit->minutes != MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED, "the hours of %s are known: what a printer shows does not change them",
                         unit->serial);
    unit->minutes = used;
    return true;
}

/* What a printer shows is another book than ours: it is kept in the chain, and hours that we know stay as they are. */
bool apply_life_shown(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault))
        return false;
    if (!is_vat(&unit) && !is_platform(&unit))
        return fault_set(fault, FAULT_REFUSED, "%s is no vat and no platform: no printer shows how long it lasts",
                         unit.serial);
    if (movement->minutes == MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED, "what the printer shows of %s is missing: say how many minutes are left",
                         unit.serial);
    if (!take_hours(movement, &unit, fault))
        return false;
    return save(&unit, movement, store, fault);
}

/* A clock that nobody vouched for does not say since when. */
static void begin_rest(const struct movement *movement, struct unit *unit)
{
    unit->stood_ms = movement->trusted ? movement->at.ms : MOVEMENT_NULL;
}

bool apply_stir(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct unit unit;
    if (!apply_find_unit(movement, store, false, &unit, fault))
        return false;
    if (!unit.resin[0])
        return fault_set(fault, FAULT_REFUSED, "no resin is in %s: there is nothing to stir", unit.serial);
    begin_rest(movement, &unit);
    return save(&unit, movement, store, fault);
}

void apply_note_rest(const struct movement *movement, struct unit *unit)
{
    if (movement_detail_flag(movement->detail, "stirred"))
        begin_rest(movement, unit);
}
