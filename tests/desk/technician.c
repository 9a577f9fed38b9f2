#include "tests/desk/technician.h"

#include <pthread.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/basics/id.h"
#include "kiosk/desk/desk.h"
#include "kiosk/ledger/unit.h"
#include "tests/support/grown_room.h"

enum { KINDS = 96, MORNING_MS = 9 * 3600000 };
/* Everything else is taken from all over the room, so that no two rounds find the same pages warm. */
enum { OLDER = 20, OLDER_DAYS = 50, OWN_DAYS = 100, LATER_DAYS = 390 }; /* in the room: 115 to 365 */
enum { VATS = 12, ITEM_STRIDE = 7, SHELF_STRIDE = 617, CARTRIDGE_ITEMS = 200 };

struct technician {
    struct act_kind kinds[KINDS];
    struct clock *clock;
    struct feed *feed;
    struct desk desk;
    struct writer *writer;
    struct ledger *reader;
    clockid_t writer_clock;
    int64_t rounds;
    json_t *answer; /* to the last act; owned */
    char last_act[ACT_ID_SIZE];
    char vats[VATS][SERIAL_SIZE];
    int vat_count;
    char person[SERIAL_SIZE], vat[SERIAL_SIZE], cartridge[SERIAL_SIZE];
    char later[SERIAL_SIZE]; /* OLDER ones of the same expire before it */
    char item[ITEM_CODE_SIZE], shelf[PLACE_SIZE], printer[PRINTER_SIZE], expires[CALENDAR_DATE_SIZE];
    technician_meter *read;
    void *context;
    int64_t *spent;
};

static void fail(const char *what, const char *why)
{
    fprintf(stderr, "technician: %s: %s\n", what, why);
    abort();
}

const char *technician_act_words(enum technician_act act)
{
    static const char *const words[] = {
#define X(name, words) words,
        TECHNICIAN_ACTS(X)
#undef X
    };
    return words[act];
}

/* ---- acts ---- */

/* An act of the test's own: which clock counts the writer's CPU. Books nothing. */
static bool clock_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    clockid_t clock;
    (void)context;
    if (pthread_getcpuclockid(pthread_self(), &clock) != 0)
        return fault_set(fault, FAULT_DEVICE, "the writer's thread has no CPU clock");
    *answer = json_pack("{s:I}", "clock", (json_int_t)clock);
    return true;
}

static void run(struct technician *technician, const char *kind, json_t *content)
{
    struct act act = {.version = 1, .content = content};
    struct fault fault = {0};
    if (!content)
        fail(kind, "no memory");
    id_make(act.id);
    (void)snprintf(act.kind, sizeof act.kind, "%s", kind);
    (void)snprintf(act.counter, sizeof act.counter, "front");
    (void)snprintf(act.approver, sizeof act.approver, "%s", technician->person);
    if (strcmp(kind, "scan") != 0 && strcmp(kind, "press") != 0)
        (void)snprintf(act.person, sizeof act.person, "%s", technician->person);
    memcpy(technician->last_act, act.id, sizeof act.id);
    json_decref(technician->answer);
    technician->answer = NULL;
    if (!writer_run(technician->writer, &act, &technician->answer, &fault))
        fail(kind, fault.text);
}

static void must_have_booked(const struct technician *technician, const char *what)
{
    const char *title = json_string_value(json_object_get(technician->answer, "title"));
    if (!json_is_true(json_object_get(technician->answer, "booked")))
        fail(what, title ? title : "nothing was booked");
}

static void must_ask(const struct technician *technician, const char *reason)
{
    const json_t *reasons = json_object_get(technician->answer, "reasons"), *row;
    size_t i;
    json_array_foreach(reasons, i, row)
    {
        if (strcmp(json_string_value(json_object_get(row, "code")), reason) == 0)
            return;
    }
    fail(reason, "was not asked");
}

static void act(struct technician *technician, enum technician_act which, const char *kind, json_t *content)
{
    const int64_t before = technician->read(technician->context);
    run(technician, kind, content);
    technician->spent[which] = technician->read(technician->context) - before;
    clock_drive(technician->clock, 1000);
}

static void scan(struct technician *technician, enum technician_act which, const char *text)
{
    act(technician, which, "scan", json_pack("{s:s,s:s}", "text", text, "source", "typed"));
}

/* ---- a round ---- */

static bool take_serial(const struct unit *unit, void *context)
{
    memcpy(context, unit->serial, SERIAL_SIZE);
    return false;
}

static void receive(struct technician *technician)
{
    struct fault fault = {0};
    char lot[LOT_SIZE];
    (void)snprintf(lot, sizeof lot, "T-%s-%lld", technician->expires, (long long)technician->rounds);
    act(technician, TECHNICIAN_DELIVERY_OPEN, "delivery-open", json_pack("{s:s}", "supplier", "North Resins"));
    const char *delivery = json_string_value(json_object_get(json_object_get(technician->answer, "delivery"), "id"));
    act(technician, TECHNICIAN_RECEIVE, "receive",
        json_pack("{s:s,s:s,s:s,s:s,s:i}", "delivery", delivery, "item", technician->item, "lot", lot, "expires",
                  technician->expires, "quantity", 1));
    must_have_booked(technician, "receive");
    if (!unit_each_of_lot(technician->reader, technician->item, lot, "", 1, take_serial, technician->cartridge, &fault))
        fail("receive", fault.text);
}

static void store(struct technician *technician)
{
    char *const unit = technician->cartridge, *const shelf = technician->shelf;
    act(technician, TECHNICIAN_PROVE, "prove", json_pack("{s:s}", "unit", unit));
    run(technician, "press", json_pack("{s:s}", "word", "NO")); /* so that the shelf stands alone */
    scan(technician, TECHNICIAN_SCAN_SHELF, shelf);
    act(technician, TECHNICIAN_PUT_AWAY, "put-away", json_pack("{s:s,s:s}", "unit", unit, "place", shelf));
    act(technician, TECHNICIAN_UNDO, "undo", json_pack("{s:s}", "act", technician->last_act));
    run(technician, "put-away", json_pack("{s:s,s:s}", "unit", unit, "place", shelf));
    act(technician, TECHNICIAN_HOLD, "hold", json_pack("{s:s,s:s}", "unit", unit, "reason", "damaged"));
    act(technician, TECHNICIAN_RELEASE, "release", json_pack("{s:s}", "unit", unit));
    act(technician, TECHNICIAN_REPRINT, "reprint", json_pack("{s:s}", "unit", unit));
    run(technician, "prove", json_pack("{s:s}", "unit", unit));
}

static void print_parts(struct technician *technician)
{
    run(technician, "press", json_pack("{s:s}", "word", "NO"));
    scan(technician, TECHNICIAN_SCAN_LATER, technician->later);
    must_ask(technician, "older-first");
    run(technician, "press", json_pack("{s:s}", "word", "NO"));
    scan(technician, TECHNICIAN_SCAN_BADGE, technician->person);
    scan(technician, TECHNICIAN_SCAN_VAT, technician->vat);
    scan(technician, TECHNICIAN_SCAN_CARTRIDGE, technician->cartridge);
    scan(technician, TECHNICIAN_SCAN_PRINTER, technician->printer); /* asks how much the job needs */
    act(technician, TECHNICIAN_CHECK_OUT, "press", json_pack("{s:s}", "word", "UNKNOWN"));
    must_have_booked(technician, "check-out");
    act(technician, TECHNICIAN_JOB_START, "job-start",
        json_pack("{s:s,s:s,s:i}", "printer", technician->printer, "job", "KQ-1042", "need_ml", 100));
    act(technician, TECHNICIAN_JOB_END, "job-end",
        json_pack("{s:s,s:s,s:i}", "printer", technician->printer, "how", "done", "used_ml", 100));
    act(technician, TECHNICIAN_CHECK_IN, "check-in",
        json_pack("{s:[{s:s,s:s,s:i},{s:s,s:i}],s:s}", "units", "unit", technician->vat, "film", "clear", "amount_ml",
                  400, "unit", technician->cartridge, "amount_ml", 500, "place", technician->shelf));
    must_have_booked(technician, "check-in");
}

/* 710 g with 150 g of cartridge are 500 ml of a resin of 1.12 g/ml. */
static void look_after(struct technician *technician)
{
    char *const vat = technician->vat, *const cartridge = technician->cartridge;
    act(technician, TECHNICIAN_INSPECT, "inspect", json_pack("{s:s,s:s}", "unit", vat, "film", "clear"));
    act(technician, TECHNICIAN_WEIGH, "weigh",
        json_pack("{s:s,s:i,s:i,s:b}", "unit", cartridge, "gross_g", 710, "tare_g", 150, "confirm", 1));
    must_have_booked(technician, "weigh");
    act(technician, TECHNICIAN_POUR, "pour",
        json_pack("{s:s,s:s,s:b,s:b}", "from", cartridge, "to", vat, "all", 1, "confirm", 1));
    must_have_booked(technician, "pour");
    act(technician, TECHNICIAN_RETIRE, "retire",
        json_pack("{s:s,s:s,s:b}", "unit", cartridge, "reason", "used-up", "confirm", 1));
    must_have_booked(technician, "retire");
    act(technician, TECHNICIAN_CLEAN, "clean", json_pack("{s:s}", "unit", vat));
    must_have_booked(technician, "clean");
}

static void go_on(struct technician *technician, int64_t round)
{
    grown_room_item('C', 1 + round * ITEM_STRIDE % (CARTRIDGE_ITEMS - 1), technician->item); /* 0: see take_on */
    grown_room_place(round * SHELF_STRIDE % GROWN_PLACES, technician->shelf);
    grown_room_printer(round % GROWN_PRINTERS, technician->printer);
    memcpy(technician->vat, technician->vats[round % technician->vat_count], SERIAL_SIZE);
}

void technician_round(struct technician *technician, technician_meter *read, void *context,
                      int64_t spent[TECHNICIAN_ACT_COUNT])
{
    technician->read = read;
    technician->context = context;
    technician->spent = spent;
    go_on(technician, ++technician->rounds);
    receive(technician);
    store(technician);
    print_parts(technician);
    look_after(technician);
}

/* ---- start and stop ---- */

static void start(struct technician *technician, const char *address)
{
    struct fault fault = {0};
    int count = 0;
    for (; desk_acts[count].kind && count < KINDS - 2; count++)
        technician->kinds[count] = desk_acts[count];
    technician->kinds[count] = (struct act_kind){"clock-of-writer", clock_act};
    id_make(technician->desk.run);
    const struct writer_options options = {.address = address,
                                           .kinds = technician->kinds,
                                           .desk = &technician->desk,
                                           .clock = technician->clock,
                                           .feed = technician->feed,
                                           .kiosk = "TEST"};
    if (!writer_create(&options, &technician->writer, &fault) ||
        !ledger_open(address, LEDGER_READER, &technician->reader, &fault))
        fail(address, fault.text);
    run(technician, "clock-of-writer", json_object());
    technician->writer_clock = (clockid_t)json_integer_value(json_object_get(technician->answer, "clock"));
}

/* Vats that came in long ago and stand on shelves far apart. */
static bool take_vat(const struct unit *unit, void *context)
{
    struct technician *technician = context;
    if (unit->serial[0] == 'V')
        memcpy(technician->vats[technician->vat_count++], unit->serial, SERIAL_SIZE);
    return unit->serial[0] != 'V';
}

static void find_vats(struct technician *technician)
{
    struct fault fault = {0};
    char shelf[PLACE_SIZE];
    for (int i = 0; i < GROWN_PLACES && technician->vat_count < VATS; i++) {
        grown_room_place((int64_t)i * SHELF_STRIDE % GROWN_PLACES, shelf);
        if (!unit_each(technician->reader, UNIT_BY_PLACE, shelf, "", INT64_MAX, take_vat, technician, &fault))
            fail(shelf, fault.text);
    }
    if (technician->vat_count < VATS)
        fail("find_vats", "too few vats stand in the room: let it be larger");
}

static void take_on(struct technician *technician, const char *lot, int64_t day)
{
    char item[ITEM_CODE_SIZE], expires[CALENDAR_DATE_SIZE];
    grown_room_item('C', 0, item);
    (void)calendar_write_date((struct day){(int32_t)day}, expires);
    run(technician, "take-on",
        json_pack("{s:s,s:s,s:s,s:s,s:i,s:b}", "item", item, "lot", lot, "expires", expires, "place", "S1", "amount_ml",
                  1000, "labelled", 1));
    (void)snprintf(technician->later, sizeof technician->later, "%s",
                   json_string_value(json_object_get(technician->answer, "serial")));
}

struct technician *technician_create(const char *address, struct day today)
{
    struct technician *technician = calloc(1, sizeof *technician);
    if (!technician)
        fail(address, "no memory");
    technician->clock = clock_create_driven((struct instant){today.number * INT64_C(86400000) + MORNING_MS});
    technician->feed = feed_create();
    technician->desk = (struct desk){.idle_seconds = 90, .ask_need = true, .clock = technician->clock};
    grown_room_storekeeper(technician->person);
    (void)calendar_write_date((struct day){today.number + OWN_DAYS}, technician->expires);
    start(technician, address);
    find_vats(technician);
    for (int i = 0; i < OLDER; i++)
        take_on(technician, "OLD-1", today.number + OLDER_DAYS);
    take_on(technician, "NEW-1", today.number + LATER_DAYS);
    return technician;
}

void technician_destroy(struct technician *technician)
{
    ledger_close(technician->reader);
    writer_destroy(technician->writer);
    feed_destroy(technician->feed);
    clock_destroy(technician->clock);
    json_decref(technician->answer);
    free(technician);
}

clockid_t technician_writer_clock(struct technician *technician)
{
    return technician->writer_clock;
}
