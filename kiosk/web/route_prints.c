#include <string.h>

#include "kiosk/desk/job_plan.h"
#include "kiosk/ledger/print_batch.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/web/json_rows.h"
#include "labels/basics/text.h"

/* GET /api/prints: label prints by state. GET /api/labels: what waits for the label printer, by the batch, and whose
 * proof is still to come. GET /api/labels/BATCH: the labels that one act ordered. */

enum { PRINTS_MOST = 200, BATCHES_MOST = 100, OPEN_A_PAGE = 100, LABELS_A_PAGE = 200 };

/* ---- by state ---- */

static bool add_print(const struct print *print, void *context)
{
    return json_array_append_new(context, json_rows_print(print)) == 0;
}

static bool read_prints(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    static const struct {
        const char *key;
        enum print_state state;
    } lists[] = {{"waiting", PRINT_WAITING},
                 {"sent", PRINT_SENT},
                 {"unknown", PRINT_UNKNOWN},
                 {"failed", PRINT_FAILED},
                 {"printed", PRINT_PRINTED}};
    json_t *prints = json_object();
    (void)request;
    for (size_t i = 0; i < sizeof lists / sizeof *lists; i++) {
        json_t *list = json_array();
        json_object_set_new(prints, lists[i].key, list);
        if (!print_each_in_state(ledger, lists[i].state, PRINTS_MOST, add_print, list, fault)) {
            json_decref(prints);
            return false;
        }
    }
    *body = prints;
    return true;
}

enum MHD_Result route_prints_get(struct request *request)
{
    return json_rows_reply(request, read_prints);
}

/* ---- what each label is of ---- */

/* Of a job's ticket its code. */
static bool name_ticket(struct ledger *ledger, json_t *row, struct fault *fault)
{
    const char *place = json_string_value(json_object_get(row, "place"));
    const int64_t plan = place ? print_ticket_plan(place) : MOVEMENT_NULL;
    struct job job = {.code = ""};
    if (plan != MOVEMENT_NULL && !job_plan_of_ticket(ledger, plan, &job, fault))
        return false;
    json_object_set_new(row, "job", json_rows_text(job.code));
    return true;
}

/* Adds what the label's thing is: item, name, lot, where it is. Afterwards, for no statement runs inside another's
 * rows. A badge and a place say themselves what they are. */
static bool name_row(struct ledger *ledger, json_t *row, struct fault *fault)
{
    const char *serial = json_string_value(json_object_get(row, "unit"));
    struct unit unit;
    struct item item;
    bool found = false, named = false;
    if (serial && serial[0] != 'H' && !unit_load(ledger, serial, &unit, &found, fault))
        return false;
    if (found && !item_load(ledger, unit.item, &item, &named, fault))
        return false;
    json_object_set_new(row, "item", found ? json_rows_text(unit.item) : json_null());
    json_object_set_new(row, "name", named ? json_rows_text(item.name) : json_null());
    json_object_set_new(row, "lot", found ? json_rows_text(unit.lot) : json_null());
    json_object_set_new(row, "at", found ? json_rows_text(unit.place) : json_null());
    json_object_set_new(row, "status", found ? json_string(unit_status_word(unit.status)) : json_null());
    json_object_set_new(row, "labelled", found ? json_boolean(unit.labelled) : json_null());
    return name_ticket(ledger, row, fault);
}

static bool name_rows(struct ledger *ledger, json_t *rows, struct fault *fault)
{
    json_t *row;
    size_t i;
    json_array_foreach(rows, i, row) if (!name_row(ledger, row, fault)) return false;
    return true;
}

/* ---- what waits, and what is open ---- */

struct listing {
    json_t *rows;
    size_t most;
    bool more;
};

static bool add_batch(const struct print *next, int64_t waiting, void *context)
{
    struct listing *listing = context;
    listing->more = json_array_size(listing->rows) == listing->most;
    if (listing->more)
        return false;
    json_t *row = json_rows_print(next);
    json_object_set_new(row, "waiting", json_integer(waiting));
    return json_array_append_new(listing->rows, row) == 0;
}

static bool add_open(const struct print *print, void *context)
{
    struct listing *listing = context;
    listing->more = json_array_size(listing->rows) == listing->most;
    return !listing->more && add_print(print, listing->rows);
}

static bool read_after(struct request *request, int64_t *after, struct fault *fault)
{
    const char *text = request_query(request, "after");
    *after = 0;
    return !text || span_read_count(span_of(text), after) ||
           fault_set(fault, FAULT_INPUT, "'after' must be the number that 'next' said");
}

static bool fill_labels(struct ledger *ledger, int64_t after, json_t *body, struct fault *fault)
{
    struct listing batches = {.rows = json_array(), .most = BATCHES_MOST},
                   sent = {.rows = json_array(), .most = PRINTS_MOST},
                   open = {.rows = json_array(), .most = OPEN_A_PAGE};
    int64_t units = 0, head = 0;
    uint8_t hash[HASH_BYTES];
    json_object_set_new(body, "batches", batches.rows);
    json_object_set_new(body, "sent", sent.rows);
    json_object_set_new(body, "open", open.rows);
    if (!print_each_batch(ledger, BATCHES_MOST + 1, add_batch, &batches, fault) ||
        !print_each_in_state(ledger, PRINT_SENT, PRINTS_MOST, add_open, &sent, fault) ||
        !print_each_open(ledger, after, OPEN_A_PAGE + 1, add_open, &open, fault) ||
        !name_rows(ledger, batches.rows, fault) || !name_rows(ledger, sent.rows, fault) ||
        !name_rows(ledger, open.rows, fault) || !stock_count_unproved(ledger, &units, fault) ||
        !ledger_head(ledger, &head, hash, fault))
        return false;
    const json_t *last = json_array_get(open.rows, json_array_size(open.rows) - 1);
    json_object_set_new(body, "more_batches", json_boolean(batches.more));
    json_object_set_new(body, "next", open.more ? json_copy(json_object_get(last, "ordered_seq")) : json_null());
    json_object_set_new(body, "unproved_units", json_integer(units));
    json_object_set_new(body, "seq", json_integer(head));
    return true;
}

static bool read_labels(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    int64_t after;
    json_t *labels = json_object();
    if (!read_after(request, &after, fault) || !fill_labels(ledger, after, labels, fault)) {
        json_decref(labels);
        return false;
    }
    *body = labels;
    return true;
}

enum MHD_Result route_labels_get(struct request *request)
{
    return json_rows_reply(request, read_labels);
}

/* ---- one batch ---- */

static bool read_batch(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct print_batch batch;
    int64_t from;
    if (!read_after(request, &from, fault) ||
        !print_batch_load(ledger, request->parameter, from + 1, from + LABELS_A_PAGE, &batch, fault))
        return false;
    const int64_t size = batch.size;
    json_t *rows = json_array();
    for (size_t i = 0; i < batch.count; i++) {
        json_t *row = json_rows_print(&batch.labels[i]);
        json_object_set_new(row, "in_batch", json_integer(batch.first + (int64_t)i));
        json_array_append_new(rows, row);
    }
    print_batch_clear(&batch);
    if (size == 0 || !name_rows(ledger, rows, fault)) {
        json_decref(rows);
        return size == 0 &&
               fault_set(fault, FAULT_MISSING, "no act of that name ordered labels: look at the list again");
    }
    *body = json_pack("{s:o, s:I, s:o}", "labels", rows, "size", (json_int_t)size, "next",
                      from + LABELS_A_PAGE < size ? json_integer(from + LABELS_A_PAGE) : json_null());
    return *body || fault_set(fault, FAULT_STORAGE, "no memory for the labels of a batch: try again");
}

enum MHD_Result route_labels_batch_get(struct request *request)
{
    return json_rows_reply(request, read_batch);
}
