#include "kiosk/desk/keep.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/kept_taken.h"
#include "kiosk/desk/kept_words.h"
#include "kiosk/desk/lend.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/movement_detail.h"

/* For whom, and until when. */
struct keeping {
    char whom[JOB_CODE_SIZE];
    int64_t until; /* MOVEMENT_NULL: until it is freed */
};

/* ---- booking ---- */

static bool write_whom(const char *whom, char detail[DETAIL_SIZE], struct fault *fault)
{
    json_t *object = json_pack("{s:s}", "for", whom);
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}

static bool book(struct turn *turn, const char *serial, const struct keeping *keeping, struct fault *fault)
{
    struct movement reserve;
    movement_init(&reserve, MOVEMENT_RESERVE);
    turn_copy(reserve.unit, sizeof reserve.unit, serial);
    reserve.expires = keeping->until;
    return write_whom(keeping->whom, reserve.detail, fault) && turn_book(turn, &reserve, fault);
}

static bool free_one(struct turn *turn, const char *serial, struct fault *fault)
{
    struct movement freed;
    movement_init(&freed, MOVEMENT_UNRESERVE);
    turn_copy(freed.unit, sizeof freed.unit, serial);
    return turn_book(turn, &freed, fault);
}

/* "Booked: C900012X is kept for Tobias until 2026-03-09." */
static bool say(struct turn *turn, const char *what, bool several, const struct keeping *keeping, struct fault *fault)
{
    struct kept_words words = {.until = MOVEMENT_NULL};
    char date[CALENDAR_DATE_SIZE];
    if (!kept_words_name(turn->ledger, keeping->whom, &words, fault))
        return false;
    const bool ends = keeping->until != MOVEMENT_NULL;
    counter_say(&turn->counter, "Booked: %s %s kept for %s %s%s.", what, several ? "are" : "is", words.named,
                ends ? "until " : "until somebody frees it",
                ends ? calendar_write_date((struct day){(int32_t)keeping->until}, date) : "");
    return true;
}

/* ---- at the counter ---- */

static struct keeping said_at(const struct turn *turn)
{
    struct keeping keeping = {.until = turn->counter.due};
    turn_copy(keeping.whom, sizeof keeping.whom, turn->counter.kept_for[0] ? turn->counter.kept_for : turn->person);
    return keeping;
}

/* What is kept for somebody else is theirs until it is freed. */
static bool judge(struct turn *turn, struct verdict_list *list, struct fault *fault)
{
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    for (size_t i = 0; i < turn->counter.unit_count; i++)
        if (!kept_taken_judge(turn, turn->counter.units[i].serial, turn->counter.kept_for, list, fault))
            return false;
    return true;
}

static bool ask_day(struct turn *turn, struct fault *fault)
{
    const struct keeping keeping = said_at(turn);
    struct kept_words words = {.until = MOVEMENT_NULL};
    if (!kept_words_name(turn->ledger, keeping.whom, &words, fault))
        return false;
    counter_ask(&turn->counter, "Kept for %s: until when? A card such as 7D, or UNKNOWN until it is freed%s.",
                words.named, turn->counter.kept_for[0] ? "" : "; for a job, scan its printer first");
    return true;
}

static bool close_group(struct turn *turn, struct fault *fault)
{
    const struct keeping keeping = said_at(turn);
    const size_t count = turn->counter.unit_count;
    char what[40];
    struct builder out;
    builder_init(&out, what, sizeof what);
    if (count == 1)
        builder_add(&out, turn->counter.units[0].serial);
    else
        builder_addf(&out, "%zu things", count);
    for (size_t i = 0; i < count; i++)
        if (!book(turn, turn->counter.units[i].serial, &keeping, fault))
            return false;
    counter_clear_group(&turn->counter);
    if (!say(turn, what, count > 1, &keeping, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool keep_show(struct turn *turn, struct fault *fault)
{
    struct verdict_list list;
    if (!turn_has_person(turn, "reserve", "to say for whom this is kept"))
        return true;
    if (!judge(turn, &list, fault))
        return false;
    if (list.verdict == VERDICT_STOP) {
        counter_show(&turn->counter, &list);
        return true;
    }
    return turn->counter.due_said ? close_group(turn, fault) : ask_day(turn, fault);
}

static bool can_begin(const struct counter *counter)
{
    return counter->unit_count > 0 &&
           (counter->step == STEP_CHECK_OUT || counter->step == STEP_CHECK_IN || counter->step == STEP_KEEP);
}

bool keep_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!can_begin(counter)) {
        counter_note(counter, "Scan what is to be kept first, then the card KEEP.");
        return true;
    }
    counter->step = STEP_KEEP;
    counter->place[0] = counter->kept_for[0] = '\0';
    counter->due_said = false;
    return keep_show(turn, fault);
}

bool keep_add(struct turn *turn, const char *serial, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    if (!counter_find(counter, serial) && !counter_add(counter, serial)) {
        counter_object(counter, REASON_UNREADABLE, serial, "%d things are the most at once: keep these first.",
                       COUNTER_UNITS);
        return true;
    }
    return keep_show(turn, fault);
}

bool keep_machine(struct turn *turn, const char *machine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    struct job job;
    bool runs;
    if (!job_load_running(turn->ledger, machine, &job, &runs, fault))
        return false;
    if (!runs || job.code[0] == '\0') {
        counter_ask(counter, "No job with a code runs on %s: a card of days keeps this for you, NO leaves it.",
                    machine);
        return true;
    }
    turn_copy(counter->kept_for, sizeof counter->kept_for, job.code);
    return keep_show(turn, fault);
}

bool keep_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool unknown = strcmp(card, "UNKNOWN") == 0;
    struct verdict_list list;
    int64_t days = 0;
    *mine = counter->step == STEP_KEEP && (unknown || lend_card_days(card, &days));
    if (!*mine)
        return true;
    if (!judge(turn, &list, fault))
        return false;
    if (list.verdict != VERDICT_STOP) { /* said under a stop it would count for whoever comes next */
        counter->due_said = true;
        counter->due = unknown ? MOVEMENT_NULL : turn->act->moment.local_day.number + days;
    }
    return keep_show(turn, fault);
}

bool keep_free(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    size_t freed = 0;
    if (!can_begin(counter)) {
        counter_note(counter, "Scan what is kept first, then the card FREE.");
        return true;
    }
    if (!turn_has_person(turn, "unreserve", "and FREE again, to free this"))
        return true;
    for (size_t i = 0; i < counter->unit_count; i++) {
        struct unit unit;
        if (!thing_require_unit(turn->ledger, counter->units[i].serial, &unit, fault))
            return false;
        if (unit.reserved[0] == '\0')
            continue;
        if (!free_one(turn, unit.serial, fault))
            return false;
        freed++;
    }
    if (freed == 0) {
        counter_note(counter, "This is kept for nobody: there is nothing to free.");
        return true;
    }
    counter_clear_group(counter);
    counter_say(counter, "Booked: %zu thing%s kept no more.", freed, freed == 1 ? " is" : "s are");
    return true;
}

struct kept_units {
    char serials[COUNTER_UNITS][SERIAL_SIZE];
    size_t count;
};

static bool gather(const struct unit *unit, void *context)
{
    struct kept_units *units = context;
    turn_copy(units->serials[units->count++], SERIAL_SIZE, unit->serial);
    return units->count < COUNTER_UNITS;
}

bool keep_end_of_person(struct turn *turn, const char *person, struct fault *fault)
{
    struct kept_units units;
    do {
        units.count = 0;
        if (!unit_each(turn->ledger, UNIT_BY_RESERVED, person, "", COUNTER_UNITS, gather, &units, fault))
            return false;
        for (size_t i = 0; i < units.count; i++)
            if (!free_one(turn, units.serials[i], fault))
                return false;
    } while (units.count == COUNTER_UNITS);
    return true;
}

/* ---- by a script or the page ---- */

/* A serial of a badge is a person, who must be known; anything else is a job's code, of a job that may be to come. */
static bool check_whom(struct turn *turn, const char *whom, struct fault *fault)
{
    char letter;
    long number;
    struct person person;
    bool found;
    if (!serial_read(span_of(whom), &letter, &number, NULL) || letter != 'H')
        return true;
    if (!person_load(turn->ledger, whom, &person, &found, fault))
        return false;
    return (found && strcmp(person.role, "left") != 0) ||
           fault_set(fault, FAULT_MISSING, "person '%s' is not known here: check the badge", whom);
}

static bool read_keeping(struct turn *turn, const json_t *content, struct unit *unit, struct keeping *keeping,
                         struct fault *fault)
{
    static const char *const keys[] = {"unit", "for", "until", NULL};
    char serial[SERIAL_SIZE];
    if (!content_only(content, keys, fault) ||
        !content_code(content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !content_code(content, "for", CONTENT_REQUIRED, keeping->whom, sizeof keeping->whom, fault) ||
        !content_day(content, "until", &keeping->until, fault) || !check_whom(turn, keeping->whom, fault) ||
        !thing_require_unit(turn->ledger, serial, unit, fault))
        return false;
    if (turn->person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who keeps it");
    return keeping->until == MOVEMENT_NULL || keeping->until >= turn->act->moment.local_day.number ||
           fault_set(fault, FAULT_INPUT, "'until' is past: say the last day it is kept");
}

bool reserve_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct unit unit;
    struct keeping keeping;
    if (!turn_begin(context, &turn, fault) || !read_keeping(&turn, context->act->content, &unit, &keeping, fault))
        return false;
    if (unit.reserved[0] != '\0' && strcmp(unit.reserved, keeping.whom) != 0) {
        struct kept_words words;
        if (!kept_words_load(turn.ledger, &unit, &words, fault))
            return false;
        const struct kept kept = kept_words_for_rule(&words);
        if (kept_counts(&kept, turn.act->moment.local_day, turn.act->moment.trusted))
            return fault_set(fault, FAULT_REFUSED, "%s is kept for %s: free it first", unit.serial, words.named);
    }
    return book(&turn, unit.serial, &keeping, fault) && say(&turn, unit.serial, false, &keeping, fault) &&
           turn_answer(&turn, answer, fault);
}

bool unreserve_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"unit", NULL};
    struct turn turn;
    struct unit unit;
    char serial[SERIAL_SIZE];
    if (!turn_begin(context, &turn, fault) || !content_only(context->act->content, keys, fault) ||
        !content_code(context->act->content, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !thing_require_unit(turn.ledger, serial, &unit, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who frees it");
    if (unit.reserved[0] == '\0')
        return fault_set(fault, FAULT_REFUSED, "%s is kept for nobody: there is nothing to free", serial);
    if (!free_one(&turn, serial, fault))
        return false;
    counter_say(&turn.counter, "Booked: %s is kept no more.", serial);
    return turn_answer(&turn, answer, fault);
}
