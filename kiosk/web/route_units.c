#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/desk/take_on.h"
#include "kiosk/ledger/movement_json.h"
#include "kiosk/web/json_rows.h"

/* GET /api/units, /api/units/SERIAL, /api/printers (machines and what is in each). */

enum { UNITS_USUAL = 100, HISTORY_MOST = 1000 };

struct history {
    json_t *list;
    int64_t more; /* number to go on after; 0: that was all */
};

static bool add_history(const struct movement *movement, void *context)
{
    struct history *history = context;
    json_t *last;
    if (json_array_size(history->list) == HISTORY_MOST) {
        last = json_array_get(history->list, HISTORY_MOST - 1);
        history->more = json_integer_value(json_object_get(last, "seq"));
        return false;
    }
    return json_array_append_new(history->list, movement_json_write(movement)) == 0;
}

/* Serials are upper case; a typed one need not be. */
static bool raise_serial(const char *typed, char serial[SERIAL_SIZE], struct fault *fault)
{
    char shown[40];
    if (!span_copy(span_of(typed), serial, SERIAL_SIZE))
        return fault_set(fault, FAULT_MISSING, "unit '%s' is not known: scan its label or look it up in the list",
                         text_show(span_of(typed), shown, sizeof shown));
    for (char *c = serial; *c; c++)
        if (*c >= 'a' && *c <= 'z')
            *c = (char)(*c - 'a' + 'A');
    return true;
}

/* What was noted when a thing was taken on; looked up once the walk over its movements is over. */
static bool add_notes(struct ledger *ledger, json_t *movements, struct fault *fault)
{
    char note[TAKE_ON_NOTE + 1];
    json_t *movement;
    size_t i;
    json_array_foreach(movements, i, movement)
    {
        const char *kind = json_string_value(json_object_get(movement, "kind"));
        const char *text = json_string_value(json_object_get(movement, "text"));
        if (!kind || !text || strcmp(kind, movement_kind_word(MOVEMENT_TAKE_ON)) != 0)
            continue;
        if (!ledger_text_get(ledger, text, note, sizeof note, fault))
            return false;
        if (note[0])
            json_object_set_new(movement, "note", json_rows_text(note));
    }
    return true;
}

static bool read_unit(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    char serial[SERIAL_SIZE];
    int64_t after = 0;
    json_t *unit = NULL;
    if (!raise_serial(request->parameter, serial, fault) ||
        !request_query_count(request, "after", 0, INT64_MAX, &after, fault) || !desk_unit(ledger, serial, &unit, fault))
        return false;
    struct history history = {.list = json_array()};
    json_object_set_new(unit, "history", history.list); /* NULL is noticed below */
    if (!history.list || !ledger_each_of_unit(ledger, serial, after, add_history, &history, fault) ||
        !add_notes(ledger, history.list, fault)) {
        json_decref(unit);
        return history.list ? false : fault_set(fault, FAULT_STORAGE, "no memory for the unit's history");
    }
    json_object_set_new(unit, "history_after", history.more ? json_integer(history.more) : json_null());
    *body = unit;
    return true;
}

enum MHD_Result route_unit_get(struct request *request)
{
    return json_rows_reply(request, read_unit);
}

static bool read_units(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct serial_list list = {.count = 0};
    char after[SERIAL_SIZE] = "";
    const char *asked = request_query(request, "after");
    int64_t limit = UNITS_USUAL;
    json_t *units = NULL;
    if ((asked && !raise_serial(asked, after, fault)) ||
        !request_query_count(request, "limit", 1, JSON_ROWS_SERIALS, &limit, fault) ||
        !unit_each(ledger, UNIT_BY_ALL, "", after, limit, json_rows_gather, &list, fault) ||
        !json_rows_units(ledger, &list, &units, fault))
        return false;
    const bool full = (int64_t)list.count == limit;
    *body =
        json_pack("{s:o, s:o}", "units", units, "next", full ? json_string(list.serials[list.count - 1]) : json_null());
    return true;
}

enum MHD_Result route_units_get(struct request *request)
{
    return json_rows_reply(request, read_units);
}

/* Printers */

static bool add_machine(const struct machine *machine, void *context)
{
    return json_array_append_new(context, json_rows_machine(machine)) == 0;
}

/* Adds what is in the machine and the job that runs there. */
static bool describe(struct ledger *ledger, json_t *machine, struct fault *fault)
{
    const char *code = json_string_value(json_object_get(machine, "code"));
    struct serial_list list = {.count = 0};
    struct job job;
    bool runs = false;
    json_t *units = NULL;
    if (!code)
        return fault_set(fault, FAULT_STORAGE, "a printer's row has no code: run ambershelf verify");
    if (!unit_each(ledger, UNIT_BY_PRINTER, code, "", JSON_ROWS_SERIALS, json_rows_gather, &list, fault) ||
        !json_rows_units(ledger, &list, &units, fault))
        return false;
    json_object_set_new(machine, "units", units);
    if (!job_load_running(ledger, code, &job, &runs, fault))
        return false;
    json_object_set_new(machine, "job", runs ? json_rows_job(&job) : json_null());
    return true;
}

static bool read_printers(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *machines = json_array(), *machine;
    size_t i;
    (void)request;
    bool good = machine_each(ledger, add_machine, machines, fault);
    if (good)
        json_array_foreach(machines, i, machine) if (!(good = describe(ledger, machine, fault))) break;
    if (!good) {
        json_decref(machines);
        return false;
    }
    *body = json_pack("{s:o}", "printers", machines);
    return true;
}

enum MHD_Result route_printers_get(struct request *request)
{
    return json_rows_reply(request, read_printers);
}
