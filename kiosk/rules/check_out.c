#include "kiosk/rules/check_out.h"

#include <string.h>

#include "kiosk/rules/shelf_life.h"

static bool holds_resin(const struct check_out_thing *thing)
{
    return thing->resin[0] != '\0';
}

static bool is_cartridge(const struct check_out_thing *thing)
{
    return thing->letter == 'C';
}

/* Is `code` one of the words of `fits`? */
static bool fits(const char *list, const char *code)
{
    const size_t length = strlen(code);
    for (const char *at = list; *at != '\0';) {
        const size_t word = strcspn(at, " ");
        if (word == length && memcmp(at, code, length) == 0)
            return true;
        at += word;
        at += *at == ' ';
    }
    return list[0] == '\0';
}

void check_out_judge_hold(const struct check_out_thing *thing, struct verdict_list *list)
{
    const char *job = thing->failed_job ? thing->failed_job : "", *how = thing->failed_how ? thing->failed_how : "";
    const bool platform = thing->letter == 'P', looked_at = platform || thing->letter == 'V' || thing->letter == 'T';
    if (thing->hold[0] == '\0')
        return;
    if (thing->incomplete)
        verdict_add(list, REASON_ITEM_INCOMPLETE, thing->serial,
                    "%s %s is on hold (%s), and its item is not completed yet.", thing->name, thing->serial,
                    thing->hold);
    else if (!looked_at || strcmp(thing->hold, CHECK_OUT_TO_INSPECT) != 0)
        verdict_add(list, REASON_ON_HOLD, thing->serial, "%s %s is on hold: %s.", thing->name, thing->serial,
                    thing->hold);
    else if (how[0] == '\0')
        verdict_add(list, REASON_NOT_INSPECTED, thing->serial, "The %s of %s has not been inspected.",
                    platform ? "surface" : "film", thing->serial);
    else
        verdict_add(list, REASON_NOT_INSPECTED, thing->serial, "The %s of %s has not been inspected since %s%s %s.",
                    platform ? "surface" : "film", thing->serial, job[0] ? "job " : "a job", job,
                    strcmp(how, "aborted") == 0 ? "was aborted" : how);
}

static void judge_state(const struct check_out_thing *thing, struct verdict_list *list)
{
    if (thing->gone) {
        verdict_add(list, REASON_GONE, thing->serial, "%s %s is no longer in service.", thing->name, thing->serial);
        return;
    }
    if (!thing->in) {
        const bool named = thing->holder_name[0] != '\0', placed = thing->where[0] != '\0';
        verdict_add(list, REASON_ALREADY_OUT, thing->serial, "%s %s is already out%s%s%s%s.", thing->name,
                    thing->serial, named ? ", with " : "", thing->holder_name, placed ? ", in " : "", thing->where);
    }
    check_out_judge_hold(thing, list);
    if (strcmp(thing->film, "fogged") == 0)
        verdict_add(list, REASON_FILM_FOGGED, thing->serial, "The film of %s was fogged when it came back.",
                    thing->serial);
}

static void judge_date(const struct check_out_case *asked, const struct check_out_thing *thing,
                       struct verdict_list *list)
{
    if (!thing->has_expires) {
        if (holds_resin(thing))
            verdict_add(list, REASON_NO_EXPIRY, thing->serial, "No use-by date is known for the %s in %s.",
                        thing->resin, thing->serial);
        return;
    }
    char date[CALENDAR_DATE_SIZE];
    calendar_write_date(thing->expires, date);
    if (!asked->clock_trusted)
        verdict_add(list, REASON_CLOCK, thing->serial, "The kiosk's clock is not confirmed: %s %s must be used by %s.",
                    thing->name, thing->serial, date);
    else if (shelf_life_of(thing->expires, asked->today, RULE_NO_COUNT).expired == TRUTH_YES)
        verdict_add(list, REASON_EXPIRED, thing->serial, "%s %s expired: its last usable day was %s.", thing->name,
                    thing->serial, date);
}

/* Two things that will share a printer: one resin, one revision. `printer_name`: the second is in it already; else
 * NULL. */
static void judge_pair(const struct check_out_thing *one, const struct check_out_thing *two, const char *printer_name,
                       struct verdict_list *list)
{
    const char *in = printer_name ? " in " : "", *where = printer_name ? printer_name : "";
    if (!holds_resin(one) || !holds_resin(two))
        return;
    const bool cartridges = is_cartridge(one) && is_cartridge(two);
    if (strcmp(one->resin, two->resin) != 0)
        verdict_add(list, cartridges ? REASON_CARTRIDGES_DIFFER : REASON_OTHER_RESIN, one->serial,
                    "%s holds %s, but %s%s%s holds %s.", one->serial, one->resin, two->serial, in, where, two->resin);
    else if (strcmp(one->revision, two->revision) != 0)
        verdict_add(list, REASON_OTHER_REVISION, one->serial, "%s holds %s revision %s, but %s%s%s holds revision %s.",
                    one->serial, one->resin, one->revision[0] ? one->revision : "unknown", two->serial, in, where,
                    two->revision[0] ? two->revision : "unknown");
}

static void judge_room_in_printer(const struct check_out_case *asked, struct verdict_list *list)
{
    int64_t cartridges = 0;
    const struct check_out_thing *vat = NULL;
    for (size_t i = 0; i < asked->inside_count; i++) {
        cartridges += is_cartridge(&asked->inside[i]);
        if (asked->inside[i].letter == 'V')
            vat = &asked->inside[i];
    }
    for (size_t i = 0; i < asked->thing_count; i++) {
        const struct check_out_thing *thing = &asked->things[i];
        if (thing->letter == 'V') {
            if (vat)
                verdict_add(list, REASON_PRINTER_HAS_VAT, thing->serial, "%s already has vat %s.", asked->printer_name,
                            vat->serial);
            vat = thing;
        }
        if (is_cartridge(thing) && ++cartridges > asked->slots)
            verdict_add(list, REASON_NO_FREE_SLOT, thing->serial, "%s takes %lld cartridge%s; %s would be one more.",
                        asked->printer_name, (long long)asked->slots, asked->slots == 1 ? "" : "s", thing->serial);
    }
}

void check_out_judge(const struct check_out_case *asked, struct verdict_list *list)
{
    memset(list, 0, sizeof *list);
    for (size_t i = 0; i < asked->thing_count; i++) {
        const struct check_out_thing *thing = &asked->things[i];
        judge_state(thing, list);
        if (thing->gone)
            continue;
        judge_date(asked, thing, list);
        care_judge(&thing->care, thing->serial, thing->resin, thing->hold[0] != '\0',
                   asked->clock_trusted ? asked->now_ms : -1, list);
        for (size_t j = 0; j < i; j++)
            judge_pair(thing, &asked->things[j], NULL, list);
        if (!asked->printer)
            continue;
        if (!fits(thing->fits, asked->printer))
            verdict_add(list, REASON_DOES_NOT_FIT, thing->serial, "%s %s does not fit %s.", thing->name, thing->serial,
                        asked->printer_name);
        for (size_t j = 0; j < asked->inside_count; j++)
            judge_pair(thing, &asked->inside[j], asked->printer_name, list);
    }
    if (asked->printer)
        judge_room_in_printer(asked, list);
}
