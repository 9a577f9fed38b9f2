#include "kiosk/desk/thing.h"

#include <string.h>

/* Which job put it on hold to be inspected, by what people call that job; nothing when a person did. */
static bool load_failed_job(struct ledger *ledger, const struct unit *unit, struct thing *thing, struct fault *fault)
{
    struct movement hold;
    struct job job;
    bool found = false;
    if (strcmp(unit->hold, CHECK_OUT_TO_INSPECT) != 0)
        return true;
    if (!ledger_last_of_unit(ledger, unit->serial, MOVEMENT_HOLD, &hold, &found, fault))
        return false;
    if (!found || hold.job[0] == '\0')
        return true;
    if (!job_load(ledger, hold.job, &job, &found, fault))
        return false;
    if (!found)
        return true;
    memcpy(thing->failed_job, job.code, sizeof job.code);
    (void)span_copy(span_of(job.outcome), thing->failed_how, sizeof thing->failed_how);
    return true;
}

bool thing_of_unit(struct ledger *ledger, const struct unit *unit, struct thing *thing, struct fault *fault)
{
    struct thing made = {.unit = *unit};
    bool found;
    if (!item_load(ledger, unit->item, &made.item, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_STORAGE, "item '%s' of %s is not in the catalogue: run 'ambershelf verify'",
                         unit->item, unit->serial);
    if (unit->resin[0] != '\0' && !item_load(ledger, unit->resin, &made.resin, &found, fault))
        return false;
    if (unit->holder[0] != '\0') {
        struct person person;
        if (!person_load(ledger, unit->holder, &person, &found, fault))
            return false;
        (void)span_copy(span_of(found && person.name[0] ? person.name : unit->holder), made.holder_name,
                        sizeof made.holder_name);
    }
    if (unit->printer[0] != '\0') {
        struct machine machine;
        if (!machine_load(ledger, unit->printer, &machine, &found, fault))
            return false;
        (void)span_copy(span_of(found && machine.name[0] ? machine.name : unit->printer), made.machine_name,
                        sizeof made.machine_name);
    }
    if (!load_failed_job(ledger, unit, &made, fault))
        return false;
    *thing = made;
    return true;
}

bool thing_load(struct ledger *ledger, const char *serial, struct thing *thing, bool *found, struct fault *fault)
{
    struct unit unit;
    if (!unit_load(ledger, serial, &unit, found, fault))
        return false;
    return !*found || thing_of_unit(ledger, &unit, thing, fault);
}

static struct care care_of(const struct thing *thing)
{
    const struct unit *unit = &thing->unit;
    return (struct care){
        .minutes = unit->minutes,
        .inspected_minutes = unit->inspected_minutes,
        .surface_minutes = unit->surface_minutes,
        .stood_ms = unit->stood_ms,
        .inspect_minutes = thing->item.inspect_minutes,
        .surface_life = thing->item.surface_minutes,
        .stir_days = thing->resin.stir_days, /* zeroed when it holds none */
        .scratched = strcmp(unit->film, "scratched") == 0,
    };
}

struct check_out_thing thing_for_rule(const struct thing *thing)
{
    const struct unit *unit = &thing->unit;
    return (struct check_out_thing){
        .serial = unit->serial,
        .letter = unit->serial[0],
        .name = thing->item.name[0] ? thing->item.name : thing->item.code,
        .in = unit->status == UNIT_IN,
        .gone = unit->status != UNIT_IN && unit->status != UNIT_OUT,
        .now = unit->status == UNIT_RELABELLED ? unit->heir : "",
        .holder_name = thing->holder_name,
        .where = thing->machine_name,
        .hold = unit->hold,
        .incomplete = thing->item.provisional,
        .failed_job = thing->failed_job,
        .failed_how = thing->failed_how,
        .film = unit->film,
        .resin = thing->resin.resin[0] ? thing->resin.resin : thing->resin.name,
        .revision = thing->resin.revision,
        .fits = thing->item.fits,
        .has_expires = unit->expires != MOVEMENT_NULL,
        .expires = {unit->expires != MOVEMENT_NULL ? (int32_t)unit->expires : 0},
        .care = care_of(thing),
        .minutes = unit->minutes, /* MOVEMENT_NULL is below 0 */
        .life_minutes = thing->item.life_minutes,
    };
}

static bool missing(const char *serial, struct fault *fault)
{
    return fault_set(fault, FAULT_MISSING, "unit '%.20s' is not known here: check the serial", serial);
}

bool thing_require(struct ledger *ledger, const char *serial, struct thing *thing, struct fault *fault)
{
    bool found;
    return thing_load(ledger, serial, thing, &found, fault) && (found || missing(serial, fault));
}

bool thing_require_unit(struct ledger *ledger, const char *serial, struct unit *unit, struct fault *fault)
{
    bool found;
    return unit_load(ledger, serial, unit, &found, fault) && (found || missing(serial, fault));
}
