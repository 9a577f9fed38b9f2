#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/ledger/trace.h"
#include "kiosk/web/json_rows.h"
#include "labels/basics/text.h"

/* GET /api/tracing?item=&lot=: where a lot went. */

enum { UNITS_SHOWN = 500, JOBS_SHOWN = 500, SENTENCE_SIZE = 400 };

struct reached {
    struct trace_stop units[UNITS_SHOWN], jobs[JOBS_SHOWN]; /* jobs: a ring, the newest stay */
    int64_t unit_count, job_count;
};

static bool gather(const struct trace_stop *stop, void *context)
{
    struct reached *reached = context;
    if (stop->serial[0] && reached->unit_count++ < UNITS_SHOWN)
        reached->units[reached->unit_count - 1] = *stop;
    if (!stop->serial[0])
        reached->jobs[reached->job_count++ % JOBS_SHOWN] = *stop;
    return true;
}

/* ---- rows ---- */

static bool take_instant(const struct movement *movement, void *context)
{
    *(int64_t *)context = movement->at.ms;
    return false;
}

static bool set_since(struct ledger *ledger, json_t *row, int64_t seq, struct fault *fault)
{
    int64_t ms = MOVEMENT_NULL;
    if (!ledger_each(ledger, seq - 1, 1, take_instant, &ms, fault))
        return false;
    json_object_set_new(row, "since", json_rows_instant(ms));
    return true;
}

static bool is_here(const json_t *unit)
{
    const char *status = json_string_value(json_object_get(unit, "status"));
    return status && (strcmp(status, "in") == 0 || strcmp(status, "out") == 0);
}

static bool list_units(const struct request *request, struct ledger *ledger, const struct reached *reached,
                       json_t *rows, int64_t *to_hold, struct fault *fault)
{
    for (int64_t i = 0; i < reached->unit_count && i < UNITS_SHOWN; i++) {
        json_t *unit = NULL;
        if (!desk_unit(ledger, reached->units[i].serial, json_rows_today(request), &unit, fault))
            return false;
        json_array_append_new(rows, unit);
        if (!set_since(ledger, unit, reached->units[i].since_seq, fault))
            return false;
        *to_hold += is_here(unit) && json_is_null(json_object_get(unit, "hold"));
    }
    return true;
}

static bool list_jobs(struct ledger *ledger, const struct reached *reached, json_t *rows, struct fault *fault)
{
    const int64_t first = reached->job_count > JOBS_SHOWN ? reached->job_count - JOBS_SHOWN : 0;
    for (int64_t i = first; i < reached->job_count; i++) {
        struct job job = {.id = ""};
        bool found = false;
        if (!job_load(ledger, reached->jobs[i % JOBS_SHOWN].job, &job, &found, fault))
            return false;
        if (!found)
            continue; /* verify tells */
        json_t *row = json_rows_job(&job);
        json_object_set_new(row, "printer", json_rows_text(job.machine));
        json_object_set_new(row, "ended_at", json_rows_instant(job.ended_ms));
        json_array_append_new(rows, row);
    }
    return true;
}

/* ---- the answer ---- */

static void say(const struct reached *reached, const char *name, const char *lot, char sentence[SENTENCE_SIZE])
{
    char shown[60];
    struct builder out;
    builder_init(&out, sentence, SENTENCE_SIZE);
    (void)text_show(span_of(lot), shown, sizeof shown);
    if (reached->unit_count == 0) {
        builder_addf(&out, "Nothing came in with lot %s of %s: look at the lot on the cartridge again.", shown, name);
    } else {
        builder_addf(&out, "Lot %s of %s is or was in %lld thing%s", shown, name, (long long)reached->unit_count,
                     reached->unit_count == 1 ? "" : "s");
        if (reached->job_count > 0)
            builder_addf(&out, " and may have gone into the parts of %lld job%s", (long long)reached->job_count,
                         reached->job_count == 1 ? "" : "s");
        builder_add(&out, reached->job_count > 0 ? "." : " and went into no job.");
    }
    text_end_whole(sentence);
}

static bool describe(const struct request *request, struct ledger *ledger, const struct reached *reached,
                     const struct item *item, const char *lot, json_t **body, struct fault *fault)
{
    json_t *units = json_array(), *jobs = json_array();
    char sentence[SENTENCE_SIZE];
    uint8_t hash[HASH_BYTES];
    int64_t head = 0, to_hold = 0;
    if (!list_units(request, ledger, reached, units, &to_hold, fault) || !list_jobs(ledger, reached, jobs, fault) ||
        !ledger_head(ledger, &head, hash, fault)) {
        json_decref(units);
        json_decref(jobs);
        return false;
    }
    say(reached, item->name[0] ? item->name : item->code, lot, sentence);
    *body = json_pack("{s:I, s:s, s:I, s:I, s:I, s:o, s:o}", "seq", (json_int_t)head, "sentence", sentence,
                      "unit_count", (json_int_t)reached->unit_count, "job_count", (json_int_t)reached->job_count,
                      "to_hold", (json_int_t)to_hold, "units", units, "jobs", jobs);
    return *body || fault_set(fault, FAULT_STORAGE, "no memory for what the lot reached: try again");
}

static bool read_tracing(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    const char *code = request_query(request, "item"), *lot = request_query(request, "lot");
    struct item item = {.code = ""};
    bool found = false;
    char shown[60];
    if (!code || !lot || !lot[0])
        return fault_set(fault, FAULT_INPUT, "a lot is traced by its resin and its name: ask with item= and lot=");
    if (!item_load(ledger, code, &item, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "item '%s' is not in the catalogue: check its code",
                         text_show(span_of(code), shown, sizeof shown));
    struct reached *reached = calloc(1, sizeof *reached);
    if (!reached)
        return fault_set(fault, FAULT_STORAGE, "no memory to trace a lot: try again");
    const bool good = trace_lot(ledger, item.code, lot, gather, reached, NULL, fault) &&
                      describe(request, ledger, reached, &item, lot, body, fault);
    free(reached);
    return good;
}

enum MHD_Result route_tracing_get(struct request *request)
{
    return json_rows_reply(request, read_tracing);
}
