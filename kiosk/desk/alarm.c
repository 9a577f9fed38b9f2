#include "kiosk/desk/alarm.h"

#include <string.h>

static const char QUESTION[] = "lost-label-found";

/* A thing may lose its label twice: the serial it has now, and the movement that gave `old` up. */
static bool find_heir(struct turn *turn, const struct unit *old, char now[SERIAL_SIZE], struct movement *relabel,
                      struct fault *fault)
{
    struct unit heir = *old;
    bool found = true, booked = false;
    if (!ledger_last_of_unit(turn->ledger, old->heir, MOVEMENT_RELABEL, relabel, &booked, fault))
        return false;
    while (found && heir.status == UNIT_RELABELLED) {
        char serial[SERIAL_SIZE];
        turn_copy(serial, sizeof serial, heir.heir);
        if (!unit_load(turn->ledger, serial, &heir, &found, fault))
            return false;
    }
    if (!found || !booked)
        return fault_set(fault, FAULT_STORAGE, "what %s is now is missing: run 'ambershelf verify'", old->serial);
    turn_copy(now, SERIAL_SIZE, heir.serial);
    return true;
}

/* Once, however often it is scanned until somebody has settled it. */
static bool ask_once(struct turn *turn, const char *serial, const char *sentence, struct fault *fault)
{
    char note[241];
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(&out,
                 "%s It turned up%s%s. On the very thing: deface the old label. On another: find out which it is.",
                 sentence, turn->counter.name[0] ? " at " : "", turn->counter.name);
    return turn_question_once(turn, QUESTION, serial, note, fault);
}

static bool alarm(struct turn *turn, const struct unit *old, char now[SERIAL_SIZE], char *sentence, size_t size,
                  struct fault *fault)
{
    struct movement relabel;
    struct builder out;
    char date[CALENDAR_DATE_SIZE];
    if (!find_heir(turn, old, now, &relabel, fault))
        return false;
    builder_init(&out, sentence, size);
    builder_addf(&out, "%s was given up as lost on %s: its thing is now %s.", old->serial,
                 calendar_write_date(relabel.local_day, date), now);
    return ask_once(turn, old->serial, sentence, fault);
}

bool alarm_scanned(struct turn *turn, const struct unit *old, struct fault *fault)
{
    char now[SERIAL_SIZE], sentence[COUNTER_TITLE_SIZE];
    if (!alarm(turn, old, now, sentence, sizeof sentence, fault))
        return false;
    counter_object(&turn->counter, REASON_ALARMED, old->serial, "%s", sentence);
    return true;
}

/* The serial that the thing of `unit` has now: its own, but of a label that was given up, or of a tray's. */
static bool find_thing(struct turn *turn, const struct unit *unit, char now[SERIAL_SIZE], struct fault *fault)
{
    char sentence[COUNTER_TITLE_SIZE];
    turn_copy(now, SERIAL_SIZE, unit->serial);
    if (unit->status == UNIT_RELABELLED)
        return alarm(turn, unit, now, sentence, sizeof sentence, fault);
    if (unit->status != UNIT_TRAY)
        return true;
    turn_copy(now, SERIAL_SIZE, unit->pair);
    return unit->pair[0] != '\0' ||
           fault_set(fault, FAULT_REFUSED, "%s is the label of a tray that no case has: say the case", unit->serial);
}

bool alarm_stand_in(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        char now[SERIAL_SIZE];
        bool found;
        if (!unit_load(turn->ledger, counter->units[i].serial, &unit, &found, fault))
            return false;
        if (!found)
            continue;
        if (!find_thing(turn, &unit, now, fault))
            return false;
        if (strcmp(now, unit.serial) == 0)
            continue;
        if (counter_find(counter, now))
            return fault_set(fault, FAULT_INPUT, "%s and %s are one thing, and 'units' has both: leave one out",
                             unit.serial, now);
        turn_copy(counter->units[i].serial, sizeof counter->units[i].serial, now);
    }
    return true;
}
