#include "kiosk/rules/pour.h"

#include <string.h>

#include "kiosk/rules/amount_likely.h"
#include "kiosk/rules/shelf_life.h"

enum { UL_A_ML = 1000 };

static bool is_vat(char letter)
{
    return letter == 'V' || letter == 'T';
}

static bool is_clean(const struct check_out_thing *thing)
{
    return thing->resin[0] == '\0';
}

const char *pour_word(char from, char to, bool to_is_clean)
{
    if ((!is_vat(from) && from != 'C' && from != 'R') || (!is_vat(to) && to != 'R'))
        return NULL;
    if (is_vat(from))
        return is_vat(to) ? "transfer" : "recover";
    if (to == 'R')
        return "decant";
    return to_is_clean ? "fill" : "top-up";
}

/* `emptied`: it is poured out of. A film can only be looked at when nothing is over it, so waiting for that withholds
 * no resin. */
static void judge_state(const struct check_out_thing *thing, bool emptied, struct verdict_list *list)
{
    if (!check_out_judge_gone(thing, list) && (!emptied || strcmp(thing->hold, CHECK_OUT_TO_INSPECT) != 0))
        check_out_judge_hold(thing, list);
    if (strcmp(thing->film, "fogged") == 0)
        verdict_add(list, REASON_FILM_FOGGED, thing->serial, "The film of %s was fogged when it came back.",
                    thing->serial);
}

static void judge_date(const struct pour_case *asked, const struct check_out_thing *thing, struct verdict_list *list)
{
    char date[CALENDAR_DATE_SIZE];
    if (is_clean(thing))
        return;
    if (!thing->has_expires) {
        verdict_add(list, REASON_NO_EXPIRY, thing->serial, "No use-by date is known for the %s in %s.", thing->resin,
                    thing->serial);
        return;
    }
    calendar_write_date(thing->expires, date);
    if (!asked->clock_trusted)
        verdict_add(list, REASON_CLOCK, thing->serial,
                    "The kiosk's clock is not confirmed: the %s in %s must be used "
                    "by %s.",
                    thing->resin, thing->serial, date);
    else if (shelf_life_of(thing->expires, asked->today, RULE_NO_COUNT).expired == TRUTH_YES)
        verdict_add(list, REASON_EXPIRED, thing->serial, "The %s in %s expired: its last usable day was %s.",
                    thing->resin, thing->serial, date);
}

static void judge_resins(const struct pour_case *asked, struct verdict_list *list)
{
    const struct check_out_thing *from = asked->from, *to = asked->to;
    char over[SUBSTITUTION_OVER_SIZE];
    if (is_clean(from) || is_clean(to))
        return;
    if (strcmp(from->resin, to->resin) != 0)
        verdict_add(list, REASON_OTHER_RESIN, to->serial, "%s holds %s, but %s holds %s.", from->serial, from->resin,
                    to->serial, to->resin);
    else if (strcmp(from->revision, to->revision) != 0 &&
             !substitution_add(&(struct substitution_case){.table = asked->substitutions,
                                                           .resin = from->resin,
                                                           .wanted = to->revision,
                                                           .given = from->revision,
                                                           .today = asked->today,
                                                           .clock_trusted = asked->clock_trusted},
                               to->serial, list, over))
        verdict_add(list, REASON_OTHER_REVISION, to->serial, "%s holds %s revision %s, but %s holds revision %s.%s",
                    from->serial, from->resin, from->revision[0] ? from->revision : "unknown", to->serial,
                    to->revision[0] ? to->revision : "unknown", over);
}

static void judge_recovered(const struct pour_case *asked, struct verdict_list *list)
{
    const bool from_used = is_vat(asked->from->letter) || asked->from_recovered;
    if (asked->to->letter != 'R' || is_clean(asked->to) || from_used == asked->to_recovered)
        return;
    verdict_add(list, REASON_RECOVERED, asked->to->serial,
                from_used ? "The resin in %s has been in a vat; %s holds fresh resin."
                          : "%s holds fresh resin; the resin in %s has been in a vat.",
                asked->from->serial, asked->to->serial);
}

static double ml(int64_t ul)
{
    return (double)ul / UL_A_ML;
}

static void judge_amount(const struct pour_case *asked, struct verdict_list *list)
{
    if (asked->amount_ul == POUR_UNKNOWN)
        return;
    const int64_t meant = amount_likely_meant(asked->from_ul, asked->amount_ul);
    if (meant != AMOUNT_UNKNOWN)
        verdict_add(list, REASON_AMOUNT_UNLIKELY, asked->from->serial, "%g ml of the %g ml in %s: was %g ml meant?",
                    ml(asked->amount_ul), ml(asked->from_ul), asked->from->serial, ml(meant));
    else if (asked->from_ul != POUR_UNKNOWN && asked->amount_ul > asked->from_ul)
        verdict_add(list, REASON_MORE_THAN_BOOKED, asked->from->serial,
                    "%g ml are more than the %g ml that are in %s by the books.", ml(asked->amount_ul),
                    ml(asked->from_ul), asked->from->serial);
    if (asked->room_ul != POUR_UNKNOWN && asked->to_ul != POUR_UNKNOWN &&
        asked->to_ul + asked->amount_ul > asked->room_ul)
        verdict_add(list, REASON_OVERFILLED, asked->to->serial, "%s would hold %g ml, and %g ml is full.",
                    asked->to->serial, ml(asked->to_ul + asked->amount_ul), ml(asked->room_ul));
}

void pour_judge(const struct pour_case *asked, struct verdict_list *list)
{
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    judge_state(asked->from, true, list);
    judge_state(asked->to, false, list);
    if (!pour_word(asked->from->letter, asked->to->letter, is_clean(asked->to)))
        verdict_add(
            list, REASON_NOT_POURED, asked->to->serial,
            "Resin is not poured from %s into %s: it goes from a cartridge, bottle or vat into a vat or bottle.",
            asked->from->serial, asked->to->serial);
    else if (is_clean(asked->from) || (asked->from_ul == 0 && asked->amount_ul == POUR_UNKNOWN))
        verdict_add(list, REASON_EMPTY, asked->from->serial, "%s is empty by the books.", asked->from->serial);
    judge_date(asked, asked->from, list);
    judge_resins(asked, list);
    judge_recovered(asked, list);
    judge_amount(asked, list);
}
