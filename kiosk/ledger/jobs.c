#include <stddef.h>

#include "kiosk/ledger/row.h"
#include "kiosk/ledger/tables.h"

static const struct row_field JOB_LIST[] = {
    ROW_FIELD(TEXT, job, id),          ROW_FIELD(TEXT, job, machine),   ROW_FIELD(TEXT, job, person),
    ROW_FIELD(WHOLE, job, started_ms), ROW_FIELD(WHOLE, job, ended_ms), ROW_FIELD(WHOLE, job, need_ul),
    ROW_FIELD(WHOLE, job, end_day),    ROW_FIELD(WHOLE, job, minutes),  ROW_FIELD(TEXT, job, code),
    ROW_FIELD(WHOLE, job, end_ms),     ROW_FIELD(WHOLE, job, ticket),   ROW_FIELD(TEXT, job, outcome),
    ROW_FIELD(WHOLE, job, used_ul),    ROW_FIELD(WHOLE, job, version),
};
#define JOB_COLUMNS                                                                                                    \
    "id, machine, person, started_ms, ended_ms, need_ul, end_day, minutes, code, end_ms, ticket, outcome, used_ul,"    \
    " version"
static const struct sql_text JOB_LOAD = {"SELECT " JOB_COLUMNS " FROM job WHERE id = $1", "t"};
static const struct row_fields JOB_FIELDS = ROW_FIELDS_KEPT("job", JOB_LIST, &JOB_LOAD);

static const struct sql_text JOB_SAVE = {
    "INSERT INTO job (" JOB_COLUMNS ") VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10, $11, $12, $13, $14)"
    " ON CONFLICT (id) DO UPDATE SET machine = excluded.machine, person = excluded.person,"
    " started_ms = excluded.started_ms, ended_ms = excluded.ended_ms, need_ul = excluded.need_ul,"
    " end_day = excluded.end_day, minutes = excluded.minutes, code = excluded.code, end_ms = excluded.end_ms,"
    " ticket = excluded.ticket, outcome = excluded.outcome, used_ul = excluded.used_ul, version = excluded.version"
    " WHERE job.version <= excluded.version",
    "tttiiiiitiitii"};
static const struct sql_text JOB_EACH_RUNNING = {
    "SELECT " JOB_COLUMNS " FROM job WHERE machine = $1 AND ended_ms IS NULL AND started_ms IS NOT NULL", "t"};
static const struct sql_text JOB_EACH_OF_CODE = {"SELECT " JOB_COLUMNS
                                                 " FROM job WHERE code = $1 AND ended_ms IS NULL AND code <> ''"
                                                 " AND started_ms IS NOT NULL ORDER BY id",
                                                 "t"};
static const struct sql_text JOB_EACH_PLANNED_OF_CODE = {"SELECT " JOB_COLUMNS
                                                         " FROM job WHERE code = $1 AND ended_ms IS NULL AND code <> ''"
                                                         " AND started_ms IS NULL ORDER BY version",
                                                         "t"};
static const struct sql_text JOB_EACH_OPEN = {
    "SELECT " JOB_COLUMNS " FROM job WHERE ended_ms IS NULL ORDER BY machine, version LIMIT $1", "i"};
#define JOB_EACH_ENDED(condition)                                                                                      \
    {                                                                                                                  \
        "SELECT " JOB_COLUMNS " FROM job WHERE " condition " AND ended_ms IS NOT NULL AND started_ms IS NOT NULL "     \
        "ORDER BY ended_ms DESC NULLS LAST, version DESC LIMIT $2",                                                    \
            "ti"                                                                                                       \
    }
static const struct sql_text JOB_EACH_ENDED_OF_CODE = JOB_EACH_ENDED("code = $1 AND code <> ''");
static const struct sql_text JOB_EACH_ENDED_OF_MACHINE = JOB_EACH_ENDED("machine = $1");
static const struct sql_text JOB_LAST_OF_CODE = {
    "SELECT " JOB_COLUMNS " FROM job WHERE code = $1 AND code <> '' ORDER BY version DESC LIMIT 1", "t"};
static const struct sql_text JOB_EACH = {"SELECT " JOB_COLUMNS " FROM job ORDER BY id", ""};

bool job_save(struct ledger *ledger, const struct job *row, struct fault *fault)
{
    return row_save(ledger, &JOB_SAVE, &JOB_FIELDS, row, fault);
}

bool job_load(struct ledger *ledger, const char *id, struct job *row, bool *found, struct fault *fault)
{
    return row_load(ledger, &JOB_LOAD, ROW_KEYS({.text = id}), &JOB_FIELDS, row, sizeof *row, found, fault);
}

/* An order in the statement would cost more than all the rest: there is one, as a rule. */
static bool is_later(const struct job *one, const struct job *two)
{
    return one->started_ms != two->started_ms ? one->started_ms > two->started_ms : one->version > two->version;
}

bool job_load_running(struct ledger *ledger, const char *machine, struct job *row, bool *found, struct fault *fault)
{
    struct row_walk walk;
    struct job each, last;
    bool any = false;
    if (!row_walk_start(&walk, ledger, &JOB_EACH_RUNNING, ROW_KEYS({.text = machine}), fault))
        return false;
    while (row_walk_next(&walk, &JOB_FIELDS, &each, fault)) {
        if (!any || is_later(&each, &last))
            last = each;
        any = true;
    }
    if (!row_walk_end(&walk))
        return false;
    if (any)
        *row = last;
    *found = any;
    return true;
}

static bool each(struct ledger *ledger, const struct sql_text *text, const struct row_key *keys, job_visitor *visit,
                 void *context, struct fault *fault)
{
    struct row_walk walk;
    struct job row;
    if (!row_walk_start(&walk, ledger, text, keys, fault))
        return false;
    while (row_walk_next(&walk, &JOB_FIELDS, &row, fault) && visit(&row, context))
        ;
    return row_walk_end(&walk);
}

bool job_each_running_of_code(struct ledger *ledger, const char *code, job_visitor *visit, void *context,
                              struct fault *fault)
{
    return each(ledger, &JOB_EACH_OF_CODE, ROW_KEYS({.text = code}), visit, context, fault);
}

bool job_each_ended_of_code(struct ledger *ledger, const char *code, int64_t limit, job_visitor *visit, void *context,
                            struct fault *fault)
{
    return each(ledger, &JOB_EACH_ENDED_OF_CODE, ROW_KEYS({.text = code}, {.whole = limit}), visit, context, fault);
}

bool job_each_ended_of_machine(struct ledger *ledger, const char *machine, int64_t limit, job_visitor *visit,
                               void *context, struct fault *fault)
{
    return each(ledger, &JOB_EACH_ENDED_OF_MACHINE, ROW_KEYS({.text = machine}, {.whole = limit}), visit, context,
                fault);
}

bool job_each_planned_of_code(struct ledger *ledger, const char *code, job_visitor *visit, void *context,
                              struct fault *fault)
{
    return each(ledger, &JOB_EACH_PLANNED_OF_CODE, ROW_KEYS({.text = code}), visit, context, fault);
}

bool job_each_open(struct ledger *ledger, int64_t limit, job_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &JOB_EACH_OPEN, ROW_KEYS({.whole = limit}), visit, context, fault);
}

bool job_last_of_code(struct ledger *ledger, const char *code, struct job *row, bool *found, struct fault *fault)
{
    struct row_walk walk;
    if (!row_walk_start(&walk, ledger, &JOB_LAST_OF_CODE, ROW_KEYS({.text = code}), fault))
        return false;
    *found = row_walk_next(&walk, &JOB_FIELDS, row, fault);
    return row_walk_end(&walk);
}

bool job_each(struct ledger *ledger, job_visitor *visit, void *context, struct fault *fault)
{
    return each(ledger, &JOB_EACH, NULL, visit, context, fault);
}
