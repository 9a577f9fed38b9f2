#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/device.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/job_late.h"
#include "kiosk/desk/job_use.h"

enum { AMOUNT_ML_MAX = 1000000, UL_A_ML = 1000 };

struct ending {
    struct job job;
    bool late; /* it is over already, and nobody said how */
    char how[WORD_SIZE];
    struct job_used used;
};

struct search {
    const char *machine; /* "" any */
    struct job job;
    size_t count;
    bool late;
};

static bool take_late(struct search *search)
{
    search->count = search->late;
    return true;
}

static bool take_if_there(const struct job *job, void *context)
{
    struct search *search = context;
    if (search->machine[0] == '\0' || strcmp(search->machine, job->machine) == 0) {
        search->job = *job;
        search->count++;
    }
    return true;
}

/* By its id, or by what the shop calls it. */
static bool find_named(struct turn *turn, const json_t *content, const char *id, struct search *search,
                       struct fault *fault)
{
    char code[JOB_CODE_SIZE];
    struct job job;
    bool found;
    if (!job_load(turn->ledger, id, &job, &found, fault))
        return false;
    if (found && job.started_ms == MOVEMENT_NULL && job.ended_ms != MOVEMENT_NULL)
        return fault_set(fault, FAULT_CONFLICT, "job '%s' was withdrawn before it began: nothing has ended", id);
    if (found && job.started_ms == MOVEMENT_NULL)
        return fault_set(fault, FAULT_CONFLICT, "job '%s' is planned and has not begun: drop its plan instead", id);
    if (found && job.ended_ms != MOVEMENT_NULL && !job_late_may_be_told(turn, &job, &search->late, fault))
        return false;
    if (found && job.ended_ms != MOVEMENT_NULL && !search->late)
        return fault_set(fault, FAULT_CONFLICT, "job '%s' has ended already", id);
    if (found)
        return take_if_there(&job, search);
    if (!content_code(content, "job", CONTENT_REQUIRED, code, sizeof code, fault) ||
        !job_each_running_of_code(turn->ledger, code, take_if_there, search, fault))
        return false;
    return search->count > 0 ||
           (job_late_find_code(turn, code, search->machine, &search->job, &search->late, fault) && take_late(search));
}

/* The one that runs there, else the last one that ended without a word. */
static bool find_on(struct turn *turn, const char *machine, struct search *search, struct fault *fault)
{
    bool found;
    if (!job_load_running(turn->ledger, machine, &search->job, &found, fault))
        return false;
    search->count = found;
    return found || (job_late_find(turn, machine, &search->job, &search->late, fault) && take_late(search));
}

static bool find_job(struct turn *turn, const json_t *content, struct ending *ending, struct fault *fault)
{
    char id[JOB_SIZE], machine[PRINTER_SIZE];
    struct search search = {.machine = machine};
    if (!content_text(content, "job", CONTENT_OPTIONAL, id, sizeof id, fault) ||
        !content_code(content, "printer", CONTENT_OPTIONAL, machine, sizeof machine, fault))
        return false;
    if (id[0] == '\0' && machine[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "say which job ended: 'job' or 'printer'");
    if (id[0] != '\0' ? !find_named(turn, content, id, &search, fault) : !find_on(turn, machine, &search, fault))
        return false;
    if (search.count > 1)
        return fault_set(fault, FAULT_INPUT, "%zu jobs called '%s' run: say the 'printer' too", search.count, id);
    if (search.count == 0)
        return fault_set(fault, FAULT_MISSING, "no job%s%s runs%s%s: nothing has ended", id[0] ? " " : "", id,
                         machine[0] ? " on " : "", machine);
    ending->job = search.job;
    ending->late = search.late;
    return true;
}

/* What each cartridge gave, as the printer told. */
static bool read_told(const json_t *list, struct job_used *used, struct fault *fault)
{
    static const char *const keys[] = {"unit", "ml", NULL};
    const json_t *row;
    size_t i;
    if (!json_is_array(list) || json_array_size(list) == 0 || json_array_size(list) > JOB_CARTRIDGES)
        return fault_set(fault, FAULT_INPUT, "'cartridges' is not a list of 1 to %d", JOB_CARTRIDGES);
    used->amount_ul = 0;
    json_array_foreach(list, i, row)
    {
        int64_t amount;
        char *unit = used->told[i].unit;
        if (!json_is_object(row))
            return fault_set(fault, FAULT_INPUT, "'cartridges' holds something that is not an object");
        if (!content_only(row, keys, fault) || !content_code(row, "unit", CONTENT_REQUIRED, unit, SERIAL_SIZE, fault) ||
            !content_amount(row, "ml", AMOUNT_ML_MAX, UL_A_ML, &amount, fault))
            return false;
        if (!strchr("CR", unit[0]) || amount == MOVEMENT_NULL)
            return fault_set(fault, FAULT_INPUT, "'cartridges': say of each its serial in 'unit' and its 'ml'");
        for (size_t j = 0; j < i; j++)
            if (strcmp(unit, used->told[j].unit) == 0)
                return fault_set(fault, FAULT_INPUT, "unit '%s' stands in 'cartridges' twice", unit);
        used->told[i].amount_ul = amount;
        used->amount_ul += amount;
    }
    used->told_count = json_array_size(list);
    return true;
}

static int64_t share_of(int64_t need_ul, int64_t percent)
{
    return need_ul == MOVEMENT_NULL || percent == MOVEMENT_NULL
               ? MOVEMENT_NULL
               : need_ul / 100 * percent + need_ul % 100 * percent / 100;
}

/* Told, else reckoned from the need: all of it when it is done, a share when somebody says which. */
static bool read_used(const json_t *content, const struct job *job, const char *how, struct job_used *used,
                      struct fault *fault)
{
    const json_t *list = json_object_get(content, "cartridges");
    int64_t percent;
    *used = (struct job_used){.word = "told"};
    if (!content_amount(content, "used_ml", AMOUNT_ML_MAX, UL_A_ML, &used->amount_ul, fault) ||
        !content_count(content, "done_percent", CONTENT_OPTIONAL, 0, 100, &percent, fault))
        return false;
    if ((used->amount_ul != MOVEMENT_NULL) + (percent != MOVEMENT_NULL) + (list != NULL) > 1)
        return fault_set(fault, FAULT_INPUT, "say one of 'used_ml', 'cartridges' and 'done_percent', or none");
    if (list)
        return read_told(list, used, fault);
    if (used->amount_ul != MOVEMENT_NULL)
        return true;
    if (percent != MOVEMENT_NULL && percent % 10 != 0)
        return fault_set(fault, FAULT_INPUT, "'done_percent' goes in steps of 10: 0, 10, 20 … 100");
    if (percent == MOVEMENT_NULL && strcmp(how, "done") == 0)
        percent = 100;
    used->word = "estimate";
    used->amount_ul = share_of(job->need_ul, percent);
    return true;
}

struct to_hold {
    struct unit units[COUNTER_UNITS];
    size_t count;
};

static bool collect_to_hold(const struct unit *unit, void *context)
{
    struct to_hold *list = context;
    if (strchr("VTP", unit->serial[0]) && unit->hold[0] == '\0' && list->count < COUNTER_UNITS)
        list->units[list->count++] = *unit;
    return true;
}

static bool hold_until_inspected(struct turn *turn, const struct job *job, struct job_held *held, struct fault *fault)
{
    struct to_hold list = {.count = 0};
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, job->machine, "", INT64_MAX, collect_to_hold, &list, fault))
        return false;
    for (size_t i = 0; i < list.count; i++)
        if (!job_held_book(turn, job, list.units[i].serial, held, fault))
            return false;
    return true;
}

static bool book(struct turn *turn, const struct ending *ending, struct job_held *held, struct fault *fault)
{
    const struct job *job = &ending->job;
    if (ending->late)
        return job_late_book(turn, job, ending->how, ending->used.amount_ul, held, fault);
    return job_use_book(turn, job, &ending->used, fault) &&
           (strcmp(ending->how, "done") == 0 || hold_until_inspected(turn, job, held, fault)) &&
           job_end_book(turn, job, ending->how, ending->used.amount_ul, fault);
}

static void say(struct turn *turn, const struct ending *ending, const struct job_held *held)
{
    char used[40], names[80];
    struct builder out;
    builder_init(&out, used, sizeof used);
    if (ending->used.amount_ul == MOVEMENT_NULL)
        builder_add(&out, "nobody knows how much it used");
    else
        builder_addf(&out, "%g ml used%s", (double)ending->used.amount_ul / UL_A_ML,
                     strcmp(ending->used.word, "estimate") == 0 ? ", an estimate" : "");
    builder_init(&out, names, sizeof names);
    for (size_t i = 0; i < held->count; i++)
        builder_addf(&out, "%s%s", i == 0 ? " To be inspected: " : ", ", held->units[i]);
    counter_say(&turn->counter, "Booked%s: job %s on %s %s, %s.%s%s", ending->late ? " afterwards" : "",
                ending->job.code[0] ? ending->job.code : "without a name", ending->job.machine, ending->how, used,
                names, held->count > 0 ? "." : "");
}

bool job_end_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"job", "printer", "how", "used_ml", "cartridges", "done_percent", NULL};
    static const char *const ways[] = {"done", "failed", "aborted", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct ending ending;
    struct job_held held = {.count = 0};
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_one_of(content, "how", CONTENT_REQUIRED, ways, ending.how, sizeof ending.how, fault) ||
        !find_job(&turn, content, &ending, fault) || !device_may_speak_of(&turn, ending.job.machine, fault) ||
        !read_used(content, &ending.job, ending.how, &ending.used, fault) || !book(&turn, &ending, &held, fault))
        return false;
    say(&turn, &ending, &held);
    return turn_answer(&turn, answer, fault);
}
