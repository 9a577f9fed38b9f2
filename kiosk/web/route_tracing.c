#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/ledger/trace_account.h"
#include "kiosk/web/json_rows.h"
#include "labels/basics/text.h"

/* GET /api/tracing?item=&lot=: where a lot went, and how much of it. */

enum { UNITS_SHOWN = 500, JOBS_SHOWN = 500, SENTENCE_SIZE = 400 };

struct reached {
    struct trace_account account;
    struct trace_place units[UNITS_SHOWN], jobs[JOBS_SHOWN]; /* jobs: a ring, the newest stay */
    int64_t unit_count, job_count;
};

static bool gather(const struct trace_place *place, void *context)
{
    struct reached *reached = context;
    if (place->stop.serial[0] && reached->unit_count++ < UNITS_SHOWN)
        reached->units[reached->unit_count - 1] = *place;
    if (!place->stop.serial[0])
        reached->jobs[reached->job_count++ % JOBS_SHOWN] = *place;
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

/* How much of the lot, and which share that is of all that is in there, or went into the job. */
static void set_amounts(json_t *row, const struct trace_place *place)
{
    const bool known = place->lot_ul != MOVEMENT_NULL && place->of_ul != MOVEMENT_NULL && place->of_ul > 0;
    json_object_set_new(row, "lot_ml", json_rows_amount(place->lot_ul));
    json_object_set_new(row, "lot_of_ml", json_rows_amount(place->of_ul));
    json_object_set_new(row, "lot_share",
                        known ? json_real((double)place->lot_ul / (double)place->of_ul) : json_null());
    json_object_set_new(row, "lot_booked", json_boolean(place->booked));
    json_object_set_new(row, "lot_estimated", json_boolean(place->estimated));
    json_object_set_new(row, "lot_present", json_boolean(place->stop.present));
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
        const struct trace_place *place = &reached->units[i];
        if (!desk_unit(ledger, place->stop.serial, json_rows_today(request), &unit, fault))
            return false;
        json_array_append_new(rows, unit);
        set_amounts(unit, place);
        if (!set_since(ledger, unit, place->stop.since_seq, fault))
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
        const struct trace_place *place = &reached->jobs[i % JOBS_SHOWN];
        if (!job_load(ledger, place->stop.job, &job, &found, fault))
            return false;
        if (!found)
            continue; /* verify tells */
        json_t *row = json_rows_job(&job);
        json_object_set_new(row, "printer", json_rows_text(job.machine));
        json_object_set_new(row, "ended_at", json_rows_instant(job.ended_ms));
        set_amounts(row, place);
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

static void add_ml(struct builder *out, int64_t ul)
{
    int64_t rest = ul % 1000;
    builder_addf(out, "%lld", (long long)(ul / 1000));
    for (builder_add(out, rest > 0 ? "." : ""); rest > 0; rest = rest * 10 % 1000) /* no 0 at the end */
        builder_add_char(out, (char)('0' + rest / 100));
    builder_add(out, " ml");
}

/* Does it add up? */
static void say_account(const struct trace_account *account, char sentence[SENTENCE_SIZE])
{
    const int64_t open = account->unaccounted_ul;
    struct builder out;
    builder_init(&out, sentence, SENTENCE_SIZE);
    if (open == MOVEMENT_NULL) {
        builder_addf(&out, "How much came in is not known: %lld thing%s came in without an amount.",
                     (long long)account->received_unknown, account->received_unknown == 1 ? "" : "s");
    } else if (open == 0) {
        builder_add(&out, "By the books, all of the ");
        add_ml(&out, account->received_ul);
        builder_add(&out, " that came in is accounted for.");
    } else if (open > 0) {
        add_ml(&out, open);
        builder_add(&out, " of the ");
        add_ml(&out, account->received_ul);
        builder_add(
            &out, " that came in is not accounted for: it is or was where the amount is unknown. Weigh what is here.");
    } else {
        add_ml(&out, -open);
        builder_add(&out,
                    " more is booked than came in: an amount that was unknown was told too high. Weigh what is here.");
    }
    text_end_whole(sentence);
}

static json_t *account_json(const struct trace_account *account)
{
    char sentence[SENTENCE_SIZE];
    say_account(account, sentence);
    return json_pack(
        "{s:s, s:o, s:o, s:o, s:o, s:o, s:o, s:I, s:I, s:I, s:I}", "sentence", sentence, "received_ml",
        json_rows_amount(account->received_ul), "corrected_ml", json_rows_amount(account->corrected_ul), "held_ml",
        json_rows_amount(account->held_ul), "used_ml", json_rows_amount(account->used_ul), "wasted_ml",
        json_rows_amount(account->wasted_ul), "unaccounted_ml", json_rows_amount(account->unaccounted_ul),
        "received_unknown", (json_int_t)account->received_unknown, "held_unknown", (json_int_t)account->held_unknown,
        "used_unknown", (json_int_t)account->used_unknown, "wasted_unknown", (json_int_t)account->wasted_unknown);
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
    *body =
        json_pack("{s:I, s:s, s:I, s:I, s:I, s:o, s:o, s:o}", "seq", (json_int_t)head, "sentence", sentence,
                  "unit_count", (json_int_t)reached->unit_count, "job_count", (json_int_t)reached->job_count, "to_hold",
                  (json_int_t)to_hold, "account", account_json(&reached->account), "units", units, "jobs", jobs);
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
    const bool good = trace_account_read(ledger, item.code, lot, &reached->account, gather, reached, fault) &&
                      describe(request, ledger, reached, &item, lot, body, fault);
    free(reached);
    return good;
}

enum MHD_Result route_tracing_get(struct request *request)
{
    return json_rows_reply(request, read_tracing);
}
