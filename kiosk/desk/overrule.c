#include "kiosk/desk/overrule.h"

#include <string.h>

#include "kiosk/ledger/movement_detail.h"

enum { CODES_SIZE = 200 };

/* Of two things in one group each has its own reasons; one without a thing, or about the printer, is everybody's. */
static bool is_about(const struct reason *reason, const struct counter *counter, const struct movement *movement)
{
    const char *subject = reason->subject;
    for (size_t i = 0; i < counter->unit_count; i++)
        if (strcmp(counter->units[i].serial, subject) == 0)
            return strcmp(subject, movement->unit) == 0 || strcmp(subject, movement->other) == 0;
    return true;
}

/* The codes of the stops, each once; `movement` NULL: of all, else of those about it in the counter's group. */
static void write_codes(const struct verdict_list *list, const struct counter *counter, const struct movement *movement,
                        const char *between, char codes[CODES_SIZE])
{
    bool written[REASON_CODES] = {false};
    struct builder out;
    builder_init(&out, codes, CODES_SIZE);
    for (size_t i = 0; i < list->count; i++) {
        const struct reason *reason = &list->reasons[i];
        if (reason->verdict != VERDICT_STOP || written[reason->code] ||
            (movement && !is_about(reason, counter, movement)))
            continue;
        written[reason->code] = true;
        builder_addf(&out, "%s%s", codes[0] ? between : "", reason_code_word(reason->code));
    }
}

static bool approve(struct turn *turn, const struct verdict_list *list, struct fault *fault)
{
    char codes[CODES_SIZE], what[CODES_SIZE + 40];
    struct builder out;
    write_codes(list, NULL, NULL, ", ", codes);
    builder_init(&out, what, sizeof what);
    builder_addf(&out, "overrules a stop (%s)", codes);
    return turn_approve(turn, what, fault);
}

/* Nobody overrules it: its sentence is the title, though it may not be the first of the stops. */
static void show_hindrance(struct counter *counter, const struct verdict_list *list)
{
    const struct reason *hindrance = verdict_hindrance(list);
    counter_say(counter, "%s",
                hindrance ? hindrance->sentence : "Too much speaks against it: take fewer things at once.");
    counter->verdict = *list;
}

bool overrule_at_counter(struct turn *turn, const struct verdict_list *list, const char *what_for, bool *go,
                         struct fault *fault)
{
    struct counter *counter = &turn->counter;
    *go = false;
    if (list->verdict == VERDICT_GO) {
        counter_ask(counter, "Nothing speaks against it any more: YES to do it.");
        return true;
    }
    if (list->verdict == VERDICT_STOP && !verdict_may_be_overruled(list)) {
        show_hindrance(counter, list);
        return true;
    }
    if (list->verdict == VERDICT_ASK || !verdict_covers(&counter->verdict, list)) { /* look before it is decided */
        counter_show(counter, list);
        return true;
    }
    if (turn->person[0] == '\0') {
        counter_ask(counter, "Scan your badge %s: who overrules it gives the PIN afterwards.", what_for);
        return true;
    }
    if (turn->act->act->approver[0] == '\0' && strcmp(turn->act->act->kind, "scan") == 0) { /* a card has no PIN */
        counter_show(counter, list);
        turn_copy(counter->title, sizeof counter->title,
                  "A storekeeper overrules this with the PIN: press the key 'Storekeeper overrules' on the page.");
        return true;
    }
    *go = approve(turn, list, fault);
    return *go;
}

bool overrule_in_act(struct turn *turn, const struct verdict_list *list, struct fault *fault)
{
    const struct reason *hindrance = verdict_hindrance(list);
    if (hindrance)
        return fault_set(fault, FAULT_REFUSED, "nobody overrules this: %.*s; %s", (int)strlen(hindrance->sentence) - 1,
                         hindrance->sentence, hindrance->next);
    if (!verdict_may_be_overruled(list))
        return fault_set(fault, FAULT_REFUSED, "too much speaks against it: take fewer things at once");
    return approve(turn, list, fault);
}

bool overrule_note(const struct turn *turn, const struct verdict_list *list, struct movement *movement,
                   struct fault *fault)
{
    char codes[CODES_SIZE];
    json_t *detail = NULL;
    if (!list)
        return true;
    write_codes(list, &turn->counter, movement, " ", codes);
    if (codes[0] == '\0')
        return true;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool made = json_object_set_new(detail, "overruled", json_string(codes)) == 0 &&
                      json_object_set_new(detail, "approver", json_string(turn->act->act->approver)) == 0;
    const bool noted = made ? movement_detail_write(detail, movement->detail, fault)
                            : fault_set(fault, FAULT_STORAGE, "no memory to say what was overruled: try again");
    json_decref(detail);
    return noted;
}

void overrule_say(struct counter *counter, const struct verdict_list *list, const char *did)
{
    char codes[CODES_SIZE];
    if (!list) {
        counter_say(counter, "%s", did);
        return;
    }
    write_codes(list, NULL, NULL, ", ", codes);
    counter_say(counter, "%s A storekeeper overruled: %s.", did, codes);
}
