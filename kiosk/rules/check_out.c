#include "kiosk/rules/check_out.h"

#include <math.h>
#include <string.h>

#include "kiosk/rules/shelf_life.h"

static bool holds_resin(const struct check_out_thing *thing)
{
    return thing->resin[0] != '\0';
}

static bool is_vat(const struct check_out_thing *thing)
{
    return thing->letter == 'V' || thing->letter == 'T';
}

static bool is_cartridge(const struct check_out_thing *thing)
{
    return thing->letter == 'C';
}

bool check_out_fits(const char *list, const char *printer)
{
    const size_t length = strlen(printer);
    for (const char *at = list; *at != '\0';) {
        const size_t word = strcspn(at, " ");
        if (word == length && memcmp(at, printer, length) == 0)
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

bool check_out_judge_gone(const struct check_out_thing *thing, struct verdict_list *list)
{
    if (thing->now && thing->now[0] != '\0')
        verdict_add(list, REASON_ALARMED, thing->serial, "%s was given up as lost: its thing is now %s.", thing->serial,
                    thing->now);
    else if (thing->gone)
        verdict_add(list, REASON_GONE, thing->serial, "%s %s is no longer in service.", thing->name, thing->serial);
    else
        return false;
    return true;
}

static void judge_state(const struct check_out_thing *thing, struct verdict_list *list)
{
    if (check_out_judge_gone(thing, list))
        return;
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

static bool is_expired(const struct check_out_case *asked, const struct check_out_thing *thing)
{
    return asked->clock_trusted && shelf_life_of(thing->expires, asked->today, RULE_NO_COUNT).expired == TRUTH_YES;
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
    else if (is_expired(asked, thing))
        verdict_add(list, REASON_EXPIRED, thing->serial, "%s %s expired: its last usable day was %s.", thing->name,
                    thing->serial, date);
}

/* What has expired already has a reason of its own. */
static void judge_job_end(const struct check_out_case *asked, const struct check_out_thing *thing,
                          struct verdict_list *list)
{
    const struct check_out_job_end *ends = &asked->ends;
    char last[CALENDAR_DATE_SIZE], end[CALENDAR_DATE_SIZE];
    if (!ends->known || !thing->has_expires || !holds_resin(thing) || thing->expires.number >= ends->day.number ||
        is_expired(asked, thing))
        return;
    verdict_add(list, REASON_EXPIRES_IN_JOB, thing->serial,
                "The %s in %s may be used until %s, and the job ends on %s.", thing->resin, thing->serial,
                calendar_write_date(thing->expires, last), calendar_write_date(ends->day, end));
}

static double hours(int64_t minutes)
{
    return round((double)minutes / 6) / 10;
}

/* A vat's film and a platform's body have rated hours; a platform's removable surface has its own (care.h). */
static void judge_life(const struct check_out_job_end *ends, const struct check_out_thing *thing,
                       struct verdict_list *list)
{
    char end[CALENDAR_DATE_SIZE];
    const int64_t left = thing->life_minutes - thing->minutes;
    const char *part = is_vat(thing) ? "film" : "body";
    if ((!is_vat(thing) && thing->letter != 'P') || thing->life_minutes <= 0 || thing->minutes < 0)
        return;
    if (left <= 0)
        verdict_add(list, REASON_LIFE_ENDS, thing->serial, "The %s of %s has run %g h of its rated %g h.", part,
                    thing->serial, hours(thing->minutes), hours(thing->life_minutes));
    else if (!ends->known || ends->minutes <= left)
        return;
    else if (ends->exact)
        verdict_add(list, REASON_LIFE_ENDS, thing->serial,
                    "The %s of %s has %g h of its rated %g h left; the job ends in %g h.", part, thing->serial,
                    hours(left), hours(thing->life_minutes), hours(ends->minutes));
    else
        verdict_add(list, REASON_LIFE_ENDS, thing->serial,
                    "The %s of %s has %g h of its rated %g h left; the job goes on until %s.", part, thing->serial,
                    hours(left), hours(thing->life_minutes), calendar_write_date(ends->day, end));
}

/* What comes stands in for what is there. */
static bool stands_in(const struct check_out_case *asked, const struct check_out_thing *comes,
                      const struct check_out_thing *there, struct verdict_list *list, char over[SUBSTITUTION_OVER_SIZE])
{
    return substitution_add(&(struct substitution_case){.table = asked->substitutions,
                                                        .resin = comes->resin,
                                                        .wanted = there->revision,
                                                        .given = comes->revision,
                                                        .today = asked->today,
                                                        .clock_trusted = asked->clock_trusted},
                            comes->serial, list, over);
}

/* Two that come together: resin runs from the cartridge into the vat, so what is in the vat is there. Of two cartridges
 * neither is, and either may be the one that was wanted. */
static bool stand_in(const struct check_out_case *asked, const struct check_out_thing *one,
                     const struct check_out_thing *two, struct verdict_list *list, char over[SUBSTITUTION_OVER_SIZE])
{
    char other_way[SUBSTITUTION_OVER_SIZE];
    if (one->letter == 'V' && two->letter != 'V')
        return stands_in(asked, two, one, list, over);
    if (stands_in(asked, one, two, list, over))
        return true;
    if (two->letter == 'V')
        return false;
    if (stands_in(asked, two, one, list, other_way))
        return true;
    if (over[0] == '\0')
        memcpy(over, other_way, sizeof other_way);
    return false;
}

static const char *revision_of(const struct check_out_thing *thing)
{
    return thing->revision[0] ? thing->revision : "unknown";
}

/* Two things that will share a printer: one resin, one revision. `inside`: the second is in it already. */
static void judge_pair(const struct check_out_case *asked, const struct check_out_thing *one,
                       const struct check_out_thing *two, bool inside, struct verdict_list *list)
{
    const char *in = inside ? " in " : "", *where = inside ? asked->printer_name : "";
    char over[SUBSTITUTION_OVER_SIZE] = "";
    if (!holds_resin(one) || !holds_resin(two))
        return;
    const bool cartridges = is_cartridge(one) && is_cartridge(two);
    if (strcmp(one->resin, two->resin) != 0)
        verdict_add(list, cartridges ? REASON_CARTRIDGES_DIFFER : REASON_OTHER_RESIN, one->serial,
                    "%s holds %s, but %s%s%s holds %s.", one->serial, one->resin, two->serial, in, where, two->resin);
    else if (strcmp(one->revision, two->revision) != 0 &&
             !(inside ? stands_in(asked, one, two, list, over) : stand_in(asked, one, two, list, over)))
        verdict_add(list, REASON_OTHER_REVISION, one->serial,
                    "%s holds %s revision %s, but %s%s%s holds revision %s.%s", one->serial, one->resin,
                    revision_of(one), two->serial, in, where, revision_of(two), over);
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
        judge_job_end(asked, thing, list);
        judge_life(&asked->ends, thing, list);
        for (size_t j = 0; j < i; j++)
            judge_pair(asked, thing, &asked->things[j], false, list);
        if (!asked->printer)
            continue;
        if (!check_out_fits(thing->fits, asked->printer))
            verdict_add(list, REASON_DOES_NOT_FIT, thing->serial, "%s %s does not fit %s.", thing->name, thing->serial,
                        asked->printer_name);
        for (size_t j = 0; j < asked->inside_count; j++)
            judge_pair(asked, thing, &asked->inside[j], true, list);
    }
    if (asked->printer)
        judge_room_in_printer(asked, list);
}
