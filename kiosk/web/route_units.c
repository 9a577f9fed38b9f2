#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/desk/take_on.h"
#include "kiosk/ledger/movement_json.h"
#include "kiosk/web/json_rows.h"

/* GET /api/units (by the page, of one place, printer, holder, delivery or lot), /api/units/SERIAL, /api/printers
 * (machines and what is in each). */

enum {
    UNITS_USUAL = 100,
    HISTORY_MOST = 200,
    PRINTER_UNITS_MOST = 20,   /* described of one printer: a vat, a platform, 16 cartridges and two more */
    PRINTERS_UNITS_MOST = 120, /* of all together, shared alike */
    PRINTER_COUNT_MOST = 20    /* counted */
};

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
        !request_query_count(request, "after", 0, INT64_MAX, &after, fault) ||
        !desk_unit(ledger, serial, json_rows_today(request), &unit, fault))
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

/* Which units are asked for: all, or those of one place, printer, holder, delivery, or item and lot. */
struct wanted {
    enum unit_by by;
    const char *key;
    const char *lot; /* not NULL: `key` is its item */
    bool present;    /* of a lot: those in and out only */
};

static bool read_wanted(const struct request *request, struct wanted *wanted, struct fault *fault)
{
    static const struct {
        const char *query;
        enum unit_by by;
    } filters[] = {{"place", UNIT_BY_PLACE},
                   {"printer", UNIT_BY_PRINTER},
                   {"holder", UNIT_BY_HOLDER},
                   {"delivery", UNIT_BY_DELIVERY}};
    const char *item = request_query(request, "item");
    int said = item != NULL;
    *wanted = (struct wanted){.by = UNIT_BY_ALL, .key = item ? item : "", .lot = request_query(request, "lot")};
    for (size_t i = 0; i < sizeof filters / sizeof *filters; i++) {
        const char *key = request_query(request, filters[i].query);
        if (!key)
            continue;
        said++;
        wanted->by = filters[i].by;
        wanted->key = key;
    }
    if (said > 1)
        return fault_set(fault, FAULT_INPUT,
                         "units are listed by one of place, printer, holder, delivery or item: ask "
                         "for one at a time");
    if ((item != NULL) != (wanted->lot != NULL))
        return fault_set(fault, FAULT_INPUT,
                         "item and lot belong together (lot= for units without a lot): ask for both");
    int64_t present = 0;
    if (!request_query_count(request, "present", 0, 1, &present, fault))
        return false;
    wanted->present = present != 0;
    if (wanted->present && !wanted->lot)
        return fault_set(fault, FAULT_INPUT, "present=1 goes with item and lot: leave it out or ask for both");
    return true;
}

static bool gather_units(struct ledger *ledger, const struct wanted *wanted, const char *after, int64_t limit,
                         struct serial_list *list, struct fault *fault)
{
    if (wanted->present)
        return unit_each_present_of_lot(ledger, wanted->key, wanted->lot, after, limit, json_rows_gather, list, fault);
    if (wanted->lot)
        return unit_each_of_lot(ledger, wanted->key, wanted->lot, after, limit, json_rows_gather, list, fault);
    return unit_each(ledger, wanted->by, wanted->key, after, limit, json_rows_gather, list, fault);
}

static bool note_state(const struct print *print, void *context)
{
    enum print_state *state = context; /* they come in order of their numbers */
    *state = print->state;
    return true;
}

/* Adds the state of each unit's newest label: what a receiver looks for. */
static bool add_label_states(struct ledger *ledger, json_t *units, struct fault *fault)
{
    json_t *unit;
    size_t i;
    json_array_foreach(units, i, unit)
    {
        enum print_state state = PRINT_PROVED;
        const char *serial = json_string_value(json_object_get(unit, "serial"));
        if (!json_is_true(json_object_get(unit, "labelled"))) {
            state = PRINT_WAITING;
            if (serial && !print_each_of_unit(ledger, serial, note_state, &state, fault))
                return false;
        }
        json_object_set_new(unit, "label", json_string(print_state_word(state)));
    }
    return true;
}

static bool describe_units(const struct request *request, struct ledger *ledger, const struct wanted *wanted,
                           const struct serial_list *list, json_t **units, struct fault *fault)
{
    json_t *made = NULL;
    if (!json_rows_units(ledger, list, json_rows_today(request), &made, fault))
        return false;
    if (wanted->by == UNIT_BY_DELIVERY && !add_label_states(ledger, made, fault)) {
        json_decref(made);
        return false;
    }
    *units = made;
    return true;
}

static bool read_units(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct serial_list list = {.count = 0};
    struct wanted wanted;
    char after[SERIAL_SIZE] = "";
    const char *asked = request_query(request, "after");
    int64_t limit = UNITS_USUAL;
    json_t *units = NULL;
    if ((asked && !raise_serial(asked, after, fault)) || !read_wanted(request, &wanted, fault) ||
        !request_query_count(request, "limit", 1, JSON_ROWS_SERIALS, &limit, fault) ||
        !gather_units(ledger, &wanted, after, limit, &list, fault) ||
        !describe_units(request, ledger, &wanted, &list, &units, fault))
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

/* Adds what is in the machine, `most` of it described, and the job that runs there. */
static bool describe(struct ledger *ledger, struct day today, json_t *machine, size_t most, struct fault *fault)
{
    const char *code = json_string_value(json_object_get(machine, "code"));
    struct serial_list list = {.count = 0};
    struct job job;
    bool runs = false;
    json_t *units = NULL;
    if (!code)
        return fault_set(fault, FAULT_STORAGE, "a printer's row has no code: run ambershelf verify");
    if (!unit_each(ledger, UNIT_BY_PRINTER, code, "", PRINTER_COUNT_MOST, json_rows_gather, &list, fault))
        return false;
    json_object_set_new(machine, "units_count", json_integer((json_int_t)list.count));
    list.count = list.count < most ? list.count : most;
    if (!json_rows_units(ledger, &list, today, &units, fault))
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
    bool good = machine_each(ledger, add_machine, machines, fault);
    const size_t count = json_array_size(machines), share = count ? PRINTERS_UNITS_MOST / count : 0;
    const size_t most = share < PRINTER_UNITS_MOST ? share : PRINTER_UNITS_MOST;
    if (good)
        json_array_foreach(
            machines, i, machine) if (!(good = describe(ledger, json_rows_today(request), machine, most, fault))) break;
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
