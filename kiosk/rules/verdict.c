#include "kiosk/rules/verdict.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "labels/basics/text.h"

/* code, verdict, who may overrule it, what to do next. Common practice of the trade, no source.
 *
 * Who may overrule a stop. A storekeeper may where it is a matter of judgement, and of answering for it: what has
 * expired, a hold, what is kept for another, resin of another revision, recovered resin among fresh, a film that nobody
 * has looked at, too little for the job (more can be loaded while it prints), somebody untrained who is watched. Nobody
 * may where
 *  - the books would tell a lie: a thing that is unknown, not ours, gone, out already, empty; a swapped label; codes or
 *    a weight that cannot be; resin that would vanish with its vat. What truly happened is booked with "already taken";
 *  - it cannot be done: two vats in one printer, no free slot, resin poured where it does not go;
 *  - resins of two types would meet: they are never mixed, and one drop cannot be taken out again. Nor can an item of
 *    which nobody has said what it is be told apart from another type;
 *  - it says too little, and is put right in the catalogue instead, for everybody and for good: a thing that does fit
 *    after all, an item that is not completed;
 *  - another person does it: whose role may, scans the badge. The PIN is no way around roles.
 * An ask has none to overrule it: whoever stands there answers it. */
static const struct {
    const char *word;
    enum verdict verdict;
    enum overruler overruler;
    const char *next;
} table[] = {
    [REASON_UNKNOWN] = {"unknown", VERDICT_STOP, OVERRULER_NONE,
                        "put it aside and tell a storekeeper; it can be taken on again"},
    [REASON_NOT_OURS] = {"not-ours", VERDICT_STOP, OVERRULER_NONE, "scan the Ambershelf label of the thing"},
    [REASON_UNREADABLE] = {"unreadable", VERDICT_STOP, OVERRULER_NONE,
                           "scan it once more, alone and square to the scanner"},
    [REASON_GONE] = {"gone", VERDICT_STOP, OVERRULER_NONE, "do not use it; tell a storekeeper where it turned up"},
    [REASON_ALREADY_OUT] = {"already-out", VERDICT_STOP, OVERRULER_NONE, "check it in first, or take another one"},
    [REASON_ON_HOLD] = {"on-hold", VERDICT_STOP, OVERRULER_STOREKEEPER,
                        "take another one, or ask a storekeeper to release it"},
    [REASON_ITEM_INCOMPLETE] =
        {"item-incomplete", VERDICT_STOP, OVERRULER_NONE,
         "take another one; a storekeeper completes the item on the page Room, which releases it"},
    [REASON_EXPIRED] = {"expired", VERDICT_STOP, OVERRULER_STOREKEEPER,
                        "take a newer one and leave this one for the storekeeper"},
    [REASON_CLOCK] = {"clock", VERDICT_ASK, OVERRULER_NONE, "compare the date on the label with today's date yourself"},
    [REASON_NO_EXPIRY] = {"no-expiry", VERDICT_ASK, OVERRULER_NONE, "look for the maker's date on the thing itself"},
    [REASON_OTHER_RESIN] = {"other-resin", VERDICT_STOP, OVERRULER_NONE,
                            "take a vat and resin that match; resins are never mixed"},
    [REASON_OTHER_REVISION] = {"other-revision", VERDICT_STOP, OVERRULER_STOREKEEPER,
                               "take the same revision as is in the printer or vat"},
    [REASON_SUBSTITUTED] = {"substituted", VERDICT_GO, OVERRULER_NONE,
                            "go on; the books keep the lots of both revisions apart"},
    [REASON_SUBSTITUTION_CLOCK] = {"substitution-clock", VERDICT_ASK, OVERRULER_NONE,
                                   "compare that day with today's date yourself"},
    [REASON_CARTRIDGES_DIFFER] = {"cartridges-differ", VERDICT_STOP, OVERRULER_NONE,
                                  "take two cartridges of one resin; resins are never mixed"},
    [REASON_DOES_NOT_FIT] = {"does-not-fit", VERDICT_STOP, OVERRULER_NONE,
                             "take one made for this printer, or scan the right printer"},
    [REASON_PRINTER_HAS_VAT] = {"printer-has-vat", VERDICT_STOP, OVERRULER_NONE,
                                "check the vat in that printer in first"},
    [REASON_NO_FREE_SLOT] = {"no-free-slot", VERDICT_STOP, OVERRULER_NONE,
                             "check a cartridge of that printer in first"},
    [REASON_FILM_FOGGED] = {"film-fogged", VERDICT_ASK, OVERRULER_NONE,
                            "look at the film against the light before you use it"},
    [REASON_PROVISIONAL] = {"provisional", VERDICT_ASK, OVERRULER_NONE,
                            "receive it on hold; a storekeeper completes the item"},
    [REASON_SHORT_DATED] = {"short-dated", VERDICT_ASK, OVERRULER_NONE, "receive it on hold, or send it back"},
    [REASON_LABEL_SWAPPED] = {"label-swapped", VERDICT_STOP, OVERRULER_NONE,
                              "stick this label on a thing of its own lot"},
    [REASON_PROVE_FIRST] = {"prove-first", VERDICT_ASK, OVERRULER_NONE,
                            "scan the maker's code on the thing, then our label"},
    [REASON_NO_DELIVERY] = {"no-delivery", VERDICT_ASK, OVERRULER_NONE,
                            "open a delivery to receive it, or scan our label to use it"},
    [REASON_DOUBTFUL_SCAN] = {"doubtful-scan", VERDICT_ASK, OVERRULER_NONE,
                              "compare item, lot and date with the maker's label yourself"},
    [REASON_CODES_DIFFER] =
        {"codes-differ", VERDICT_STOP, OVERRULER_NONE,
         "look at the carton: another pack is a receipt of its own; what was proposed is not booked"},
    [REASON_PART_OF_CARTON] = {"part-of-carton", VERDICT_ASK, OVERRULER_NONE,
                               "say whether it lies in that carton or beside it"},
    [REASON_NO_ITEM] = {"no-item", VERDICT_ASK, OVERRULER_NONE,
                        "scan the code with the item's number on the same pack, or receive it by hand"},
    [REASON_TWO_READINGS] = {"two-readings", VERDICT_ASK, OVERRULER_NONE,
                             "receive it by hand, and have the pattern forgotten that is wrong"},
    [REASON_NOT_POURED] = {"not-poured", VERDICT_STOP, OVERRULER_NONE,
                           "scan first what it comes out of, then the vat or bottle"},
    [REASON_EMPTY] = {"empty", VERDICT_STOP, OVERRULER_NONE,
                      "look into it: if resin is in it, weigh it or say how much"},
    [REASON_RECOVERED] = {"recovered", VERDICT_STOP, OVERRULER_STOREKEEPER,
                          "keep recovered resin in a bottle of its own"},
    [REASON_AMOUNT_UNLIKELY] = {"amount-unlikely", VERDICT_ASK, OVERRULER_NONE,
                                "say the amount again in millilitres, or YES if it is so"},
    [REASON_MORE_THAN_BOOKED] = {"more-than-booked", VERDICT_ASK, OVERRULER_NONE,
                                 "say the amount again, or YES if it is so: the books follow, the storekeeper is told"},
    [REASON_OVERFILLED] = {"overfilled", VERDICT_ASK, OVERRULER_NONE, "stop at the mark for the highest level"},
    [REASON_NOT_ALLOWED] = {"not-allowed", VERDICT_STOP, OVERRULER_NONE,
                            "ask somebody whose role may, who then scans their badge"},
    [REASON_NOT_TRAINED] = {"not-trained", VERDICT_STOP, OVERRULER_STOREKEEPER,
                            "ask somebody trained, or a storekeeper to enter the training"},
    [REASON_STILL_FULL] = {"still-full", VERDICT_STOP, OVERRULER_NONE,
                           "scan the fresh vat that takes its resin too, or say that it was cleaned out"},
    [REASON_WEIGHT] = {"weight", VERDICT_STOP, OVERRULER_NONE, "look whether it is the right one, and weigh it again"},
    [REASON_WEIGHT_DIFFERS] = {"weight-differs", VERDICT_ASK, OVERRULER_NONE,
                               "weigh it again, or YES if it is so: the books follow, the storekeeper is told"},
    [REASON_NOT_INSPECTED] = {"not-inspected", VERDICT_STOP, OVERRULER_STOREKEEPER,
                              "look at it in good light: scan it, then the card INSPECTED"},
    [REASON_NEED_UNKNOWN] = {"need-unknown", VERDICT_ASK, OVERRULER_NONE,
                             "scan an amount's card, or UNKNOWN when nobody knows"},
    [REASON_TOO_LITTLE] = {"too-little", VERDICT_STOP, OVERRULER_STOREKEEPER,
                           "load another cartridge or take a fuller vat; if the amount was wrong, say it again"},
    [REASON_PERHAPS_TOO_LITTLE] = {"perhaps-too-little", VERDICT_ASK, OVERRULER_NONE,
                                   "look how full they are, or weigh them; load another one to be sure"},
    [REASON_INSPECTION_DUE] = {"inspection-due", VERDICT_ASK, OVERRULER_NONE,
                               "look at it in good light: scan it, then the card INSPECTED"},
    [REASON_STIR_DUE] =
        {"stir-due", VERDICT_ASK, OVERRULER_NONE,
         "stir it slowly, no bubbles, no touching the film with anything hard or pointed, or turn the closed cartridge "
         "over; scan STIRRED, or YES when it is not needed"},
    [REASON_SURFACE_WORN] = {"surface-worn", VERDICT_ASK, OVERRULER_NONE,
                             "renew it and scan NEW-SURFACE, or YES when it still does for this job"},
    [REASON_SURFACE_SCRATCHED] = {"surface-scratched", VERDICT_ASK, OVERRULER_NONE,
                                  "take another one for small or flat parts, or YES when it does for this job"},
    [REASON_OLDER_FIRST] = {"older-first", VERDICT_ASK, OVERRULER_NONE,
                            "take that one first; this one all the same: the printer, then YES"},
    [REASON_EXPIRES_IN_JOB] = {"expires-in-job", VERDICT_STOP, OVERRULER_STOREKEEPER,
                               "take one that may be used until the job has ended"},
    [REASON_LIFE_ENDS] = {"life-ends", VERDICT_ASK, OVERRULER_NONE,
                          "take one with more hours left; this one all the same: the printer, then YES"},
    [REASON_ALARMED] = {"alarmed", VERDICT_STOP, OVERRULER_NONE,
                        "hold it aside: two labels may be on two things; tell a storekeeper"},
    [REASON_ALSO_OUT] = {"also-out", VERDICT_ASK, OVERRULER_NONE,
                         "scan that one where it is, or YES if it is surely not this one"},
    [REASON_LABEL_IN_HAND] =
        {"label-in-hand", VERDICT_ASK, OVERRULER_NONE,
         "YES if the old label is gone; have it reprinted if it is in your hand, torn or unreadable"},
    [REASON_JOB_OVER] = {"job-over", VERDICT_STOP, OVERRULER_NONE,
                         "throw the ticket away; a job that is to be printed again is planned again"},
    [REASON_JOB_UNKNOWN] = {"job-unknown", VERDICT_STOP, OVERRULER_NONE,
                            "plan the job, or take the things without its ticket"},
    [REASON_JOB_RUNS] = {"job-runs", VERDICT_ASK, OVERRULER_NONE, "YES if that one has ended, and this one begins"},
    [REASON_OTHER_PRINTER] = {"other-printer", VERDICT_ASK, OVERRULER_NONE,
                              "scan the right printer, or YES if it is prepared for this one as well"},
    [REASON_TICKET_OLD] = {"ticket-old", VERDICT_ASK, OVERRULER_NONE,
                           "compare with what the screen says; YES if that is right"},
    [REASON_OTHER_TRAY] = {"other-tray", VERDICT_STOP, OVERRULER_NONE,
                           "look at both labels; TRAY-MOVED: it is in this case now; TRAY-STAYS: go on with its own"},
    [REASON_RESERVED] = {"reserved", VERDICT_STOP, OVERRULER_STOREKEEPER,
                         "take another one, or have it freed: scan it, then the card FREE"},
};
_Static_assert(sizeof table / sizeof *table == REASON_CODES, "one row a reason");

/* The worse, the higher; of two stops the one that nobody overrules is the worse. */
static int badness(enum reason_code code)
{
    return 2 * (int)table[code].verdict + (table[code].overruler == OVERRULER_NONE);
}

/* Where the next reason goes. In a full list it takes the place of the last one that is less bad, so that the reason
 * for the verdict is always among those shown; NULL when there is none. */
static struct reason *place_for(struct verdict_list *list, enum reason_code code)
{
    if (list->count < VERDICT_REASONS)
        return &list->reasons[list->count++];
    list->cut = true;
    for (size_t i = list->count; i-- > 0;)
        if (badness(list->reasons[i].code) < badness(code))
            return &list->reasons[i];
    return NULL;
}

void verdict_add(struct verdict_list *list, enum reason_code code, const char *subject, const char *format, ...)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == code && strcmp(list->reasons[i].subject, subject) == 0)
            return;
    if (table[code].verdict > list->verdict)
        list->verdict = table[code].verdict;
    struct reason *reason = place_for(list, code);
    if (!reason)
        return;
    *reason = (struct reason){.code = code, .verdict = table[code].verdict, .next = table[code].next};
    (void)span_copy(span_of(subject), reason->subject, sizeof reason->subject);
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(reason->sentence, sizeof reason->sentence, format, arguments);
    va_end(arguments);
    text_end_whole(reason->sentence);
}

void verdict_add_notes(struct verdict_list *list, const struct verdict_list *from)
{
    for (size_t i = 0; i < from->count; i++)
        if (from->reasons[i].verdict == VERDICT_GO)
            verdict_add(list, from->reasons[i].code, from->reasons[i].subject, "%s", from->reasons[i].sentence);
}

static bool has_reason(const struct verdict_list *list, const struct reason *reason)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].code == reason->code && strcmp(list->reasons[i].subject, reason->subject) == 0)
            return true;
    return false;
}

bool verdict_covers(const struct verdict_list *shown, const struct verdict_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].verdict != VERDICT_GO && !has_reason(shown, &list->reasons[i]))
            return false;
    return true;
}

bool verdict_may_be_overruled(const struct verdict_list *list)
{
    return list->verdict == VERDICT_STOP && !list->cut && verdict_hindrance(list) == NULL;
}

const struct reason *verdict_hindrance(const struct verdict_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].verdict == VERDICT_STOP && reason_overruler(list->reasons[i].code) == OVERRULER_NONE)
            return &list->reasons[i];
    return NULL;
}

const struct reason *verdict_worst(const struct verdict_list *list)
{
    for (size_t i = 0; i < list->count; i++)
        if (list->reasons[i].verdict == list->verdict)
            return &list->reasons[i];
    return &list->reasons[0];
}

const char *verdict_word(enum verdict verdict)
{
    static const char *const words[] = {"go", "ask", "stop"};
    return words[verdict];
}

const char *reason_code_word(enum reason_code code)
{
    return table[code].word;
}

enum verdict reason_verdict(enum reason_code code)
{
    return table[code].verdict;
}

enum overruler reason_overruler(enum reason_code code)
{
    return table[code].overruler;
}

const char *overruler_word(enum overruler overruler)
{
    static const char *const words[] = {"nobody", "storekeeper"};
    return words[overruler];
}

const char *reason_next(enum reason_code code)
{
    return table[code].next;
}
