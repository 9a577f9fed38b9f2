#include "tests/desk/room.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/basics/id.h"
#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/catalogue.h"

enum { MS_A_DAY = 86400000, START_HOUR = 9 };

/* ---- start and stop ---- */

static void start_writer(struct room *room, bool demo)
{
    struct fault fault = {0};
    id_make(room->desk.run);
    const struct writer_options options = {.address = room->place.address,
                                           .kinds = desk_acts,
                                           .desk = &room->desk,
                                           .clock = room->clock,
                                           .feed = room->feed,
                                           .kiosk = "TEST",
                                           .demo = demo};
    if (!writer_create(&options, &room->writer, &fault) ||
        !ledger_open(room->place.address, LEDGER_READER, &room->reader, &fault))
        fail_msg("%s", fault.text);
}

static void stop_writer(struct room *room)
{
    ledger_close(room->reader);
    room->reader = NULL;
    writer_destroy(room->writer);
    room->writer = NULL;
}

static void close_room(struct room *room)
{
    stop_writer(room);
    json_decref(room->view);
    room->view = NULL;
    feed_destroy(room->feed);
    clock_destroy(room->clock);
}

/* `filled` NULL: nothing is in it. */
static struct room *create(bool demo, const struct room *filled)
{
    struct room *room = calloc(1, sizeof *room);
    assert_non_null(room);
    if (filled) {
        *room = *filled;
        ledger_fixture_copy(&room->place, &filled->place);
    } else {
        ledger_fixture_create(&room->place);
    }
    const int64_t morning = (int64_t)calendar_day(2026, 3, 2).number * MS_A_DAY + START_HOUR * INT64_C(3600000);
    room->clock = clock_create_driven((struct instant){morning});
    room->feed = feed_create();
    room->desk = (struct desk){.idle_seconds = 90, .ask_need = true, .clock = room->clock};
    (void)snprintf(room->counter, sizeof room->counter, "front");
    start_writer(room, demo);
    return room;
}

void room_restart(struct room *room)
{
    const bool demo = ledger_is_demo(room->reader);
    stop_writer(room);
    start_writer(room, demo);
}

void room_pass(struct room *room, int64_t seconds)
{
    clock_drive(room->clock, seconds * 1000);
}

void room_distrust_clock(struct room *room)
{
    clock_set_wall(room->clock, clock_now(room->clock).wall, false);
}

/* ---- acts ---- */

static bool run(struct room *room, const char *kind, json_t *content, json_t **answer, struct fault *fault)
{
    struct act act = {.version = 1, .content = content};
    (void)snprintf(act.id, sizeof act.id, "test-act-%06d", ++room->acts);
    (void)snprintf(room->act, sizeof room->act, "%s", act.id);
    (void)snprintf(act.kind, sizeof act.kind, "%s", kind);
    (void)snprintf(act.counter, sizeof act.counter, "%s", room->counter);
    (void)snprintf(act.approver, sizeof act.approver, "%s", room->approver);
    (void)snprintf(act.aside, sizeof act.aside, "%s", room->aside);
    if (strcmp(kind, "scan") != 0 && strcmp(kind, "press") != 0)
        (void)snprintf(act.person, sizeof act.person, "%s", room->person);
    return writer_run(room->writer, &act, answer, fault);
}

bool room_try(struct room *room, const char *kind, json_t *content, struct fault *fault)
{
    json_t *answer = NULL;
    if (!run(room, kind, content, &answer, fault))
        return false;
    json_decref(room->view);
    room->view = answer;
    return true;
}

json_t *room_act(struct room *room, const char *kind, json_t *content)
{
    struct fault fault = {0};
    if (!room_try(room, kind, content, &fault))
        fail_msg("%s: %s", kind, fault.text);
    return room->view;
}

void room_refuses(struct room *room, const char *kind, json_t *content, enum fault_code code, const char *says)
{
    const int64_t before = room_seq(room);
    struct fault fault = {0};
    json_t *answer = NULL;
    if (run(room, kind, content, &answer, &fault))
        fail_msg("%s was done, not refused with '%s'", kind, says);
    if (fault.code != code || !strstr(fault.text, says))
        fail_msg("%s: fault %d '%s', not %d '%s'", kind, (int)fault.code, fault.text, (int)code, says);
    assert_int_equal(room_seq(room), before);
}

json_t *room_scan(struct room *room, const char *text)
{
    return room_act(room, "scan", json_pack("{s:s,s:s}", "text", text, "source", "typed"));
}

json_t *room_scan_bytes(struct room *room, const char *bytes, size_t length, const char *symbology)
{
    char hex[512];
    assert_true(2 * length < sizeof hex);
    text_write_hex((const uint8_t *)bytes, length, hex, sizeof hex);
    return room_act(room, "scan",
                    json_pack("{s:s,s:s,s:s}", "bytes", hex, "symbology", symbology, "source", "scanner"));
}

json_t *room_scan_printer(struct room *room, const char *code)
{
    json_t *view = room_scan(room, code);
    const json_t *reasons = json_object_get(view, "reasons");
    const char *only = json_string_value(json_object_get(json_array_get(reasons, 0), "code"));
    return json_array_size(reasons) == 1 && only && strcmp(only, "need-unknown") == 0 ? room_press(room, "UNKNOWN")
                                                                                      : view;
}

json_t *room_scan_picture(struct room *room, const char *text)
{
    return room_act(room, "scan", json_pack("{s:s,s:s}", "text", text, "source", "picture"));
}

json_t *room_press(struct room *room, const char *word)
{
    return room_act(room, "press", json_pack("{s:s}", "word", word));
}

json_t *room_press_quantity(struct room *room, const char *word, int64_t quantity)
{
    return room_act(room, "press", json_pack("{s:s,s:I}", "word", word, "quantity", (json_int_t)quantity));
}

void room_open_delivery(struct room *room)
{
    (void)room_act(room, "delivery-open", json_pack("{s:s}", "supplier", "North Resins"));
    (void)room_scan(room, room->maren);
}

void room_take_on(struct room *room, const char *item, json_t *more, char serial[SERIAL_SIZE])
{
    json_t *content = json_pack("{s:s,s:s,s:b}", "item", item, "place", item[0] == 'V' ? "B01" : "A01", "labelled", 1);
    if (more)
        json_object_update(content, more);
    json_decref(more);
    const json_t *answer = room_act(room, "take-on", content);
    (void)snprintf(serial, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
}

/* ---- the room ---- */

static void enter_person(struct room *room, const char *name, const char *role, char serial[SERIAL_SIZE])
{
    const json_t *answer = room_act(
        room, "person-entry", json_pack("{s:s,s:s,s:[s,s]}", "name", name, "role", role, "training", "pour", "retire"));
    (void)snprintf(serial, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
}

void room_enrol(struct room *room, const char *name, char serial[SERIAL_SIZE])
{
    (void)snprintf(room->aside, sizeof room->aside, "no PIN has this hash");
    const json_t *answer = room_act(room, "enrol", json_pack("{s:s}", "name", name));
    (void)snprintf(serial, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
    room->aside[0] = '\0';
}

static void enter_places(struct room *room)
{
    static const struct {
        const char *code, *name;
        int slots;
    } machines[] = {{"CAPSTAN", "Capstan", 1}, {"SEXTANT", "Sextant", 2}, {"HALYARD", "Halyard", 1}};
    static const char *const shelves[] = {"A01", "A02", "B01"};
    for (size_t i = 0; i < sizeof machines / sizeof *machines; i++)
        (void)room_act(
            room, "printer-entry",
            json_pack("{s:s,s:s,s:i}", "code", machines[i].code, "name", machines[i].name, "slots", machines[i].slots));
    for (size_t i = 0; i < sizeof shelves / sizeof *shelves; i++)
        (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", shelves[i], "kind", "shelf"));
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "DESK", "kind", "counter"));
    (void)room_act(room, "place-entry",
                   json_pack("{s:s,s:s,s:s}", "code", "CAPSTAN-1", "kind", "slot", "printer", "CAPSTAN"));
}

static void enter_items(struct room *room)
{
    static const struct {
        const char *code, *letter, *name, *resin, *revision, *gtin, *fits;
        int content_ml, minimum_days;
    } items[] = {
        {"FLINT", "C", "Flint cartridge", "Flint", "2", "09506000135007", "", 1000, 90},
        {"FLINT3", "C", "Flint cartridge, new", "Flint", "3", "", "", 1000, 90},
        {"OAK", "C", "Oak cartridge", "Oak", "1", "09506000135014", "", 1000, 90},
        {"CHALK", "C", "Chalk cartridge", "Chalk", "1", "09506000135038", "SEXTANT HALYARD", 1000, 60},
        {"VAT-S", "V", "Small vat", "", "", "09506000135045", "CAPSTAN HALYARD", 0, 0},
        {"VAT-L", "V", "Large vat", "", "", "09506000135052", "SEXTANT", 0, 0},
    };
    for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
        json_t *content = json_pack("{s:s,s:s,s:s,s:s,s:s,s:s,s:s}", "code", items[i].code, "letter", items[i].letter,
                                    "name", items[i].name, "resin", items[i].resin, "revision", items[i].revision,
                                    "gtin", items[i].gtin, "fits", items[i].fits);
        if (items[i].content_ml > 0)
            json_object_set_new(content, "content_ml", json_integer(items[i].content_ml));
        if (items[i].minimum_days > 0)
            json_object_set_new(content, "minimum_days", json_integer(items[i].minimum_days));
        (void)room_act(room, "item-entry", content);
    }
}

static void cartridge(struct room *room, const char *item, const char *lot, int days, char serial[SERIAL_SIZE])
{
    json_t *more = json_pack("{s:s,s:i}", "lot", lot, "amount_ml", 1000);
    json_object_set_new(more, "expires", room_day(room, days));
    room_take_on(room, item, more, serial);
}

static void vat(struct room *room, const char *item, const char *resin, const char *film, char serial[SERIAL_SIZE])
{
    json_t *more = json_pack("{s:s,s:i}", "film", film, "hours", 10);
    if (resin) {
        json_object_set_new(more, "resin", json_string(resin));
        json_object_set_new(more, "lot", json_string("VT-1"));
        json_object_set_new(more, "amount_ml", json_integer(400));
        json_object_set_new(more, "expires", room_day(room, 200));
    }
    room_take_on(room, item, more, serial);
}

static void take_on_stock(struct room *room)
{
    cartridge(room, "FLINT", "FL-1", 240, room->flint);
    cartridge(room, "FLINT", "FL-1", 240, room->flint_more);
    cartridge(room, "FLINT", "FL-9", -1, room->flint_old);
    cartridge(room, "FLINT3", "FN-1", 240, room->flint3);
    cartridge(room, "OAK", "OK-1", 240, room->oak);
    cartridge(room, "CHALK", "CH-1", 240, room->chalk);
    vat(room, "VAT-S", "FLINT", "clear", room->vat_flint);
    vat(room, "VAT-S", "OAK", "clear", room->vat_oak);
    vat(room, "VAT-S", NULL, "clear", room->vat_empty);
    vat(room, "VAT-L", "FLINT", "clear", room->vat_large);
    vat(room, "VAT-S", "FLINT", "fogged", room->vat_fogged);
}

int room_group_setup(void **state)
{
    struct room *room = create(false, NULL);
    *state = room;
    (void)snprintf(room->counter, sizeof room->counter, "office"); /* so that "front" has done nothing yet */
    room_enrol(room, "Maren", room->maren);
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    (void)snprintf(room->approver, sizeof room->approver, "%s", room->maren);
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s,s:[s,s]}", "name", "Maren", "role", "storekeeper", "serial", room->maren,
                             "training", "pour", "retire"));
    enter_person(room, "Tobias", "technician", room->tobias);
    enter_person(room, "Jarl", "technician", room->jarl);
    enter_places(room);
    enter_items(room);
    take_on_stock(room);
    close_room(room);
    return 0;
}

int room_group_teardown(void **state)
{
    struct room *room = *state;
    ledger_fixture_destroy(&room->place);
    free(room);
    return 0;
}

int room_setup(void **state)
{
    *state = create(false, *state);
    return 0;
}

int room_setup_empty(void **state)
{
    *state = create(false, NULL);
    return 0;
}

int room_setup_demo(void **state)
{
    *state = create(true, NULL);
    return 0;
}

/* Does the present state follow from the movements, and is the chain whole? */
static bool is_clean(struct room *room)
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean = false;
    if (!ledger_verify(room->place.address, &report, &clean, &fault))
        print_error("verify: %s\n", fault.text);
    else if (!clean)
        print_error("verify: %s\n", report.sentence);
    return clean;
}

int room_teardown(void **state)
{
    struct room *room = *state;
    close_room(room);
    const bool clean = is_clean(room);
    ledger_fixture_destroy(&room->place);
    free(room);
    return clean ? 0 : -1;
}

/* ---- days ---- */

int64_t room_today(struct room *room)
{
    return clock_now(room->clock).local_day.number;
}

json_t *room_day(struct room *room, int days)
{
    char date[CALENDAR_DATE_SIZE];
    return json_string(calendar_write_date((struct day){(int32_t)room_today(room) + days}, date));
}

void room_gs1_day(struct room *room, int days, char text[7])
{
    char date[CALENDAR_DATE_SIZE]; /* YYYY-MM-DD */
    (void)calendar_write_date((struct day){(int32_t)room_today(room) + days}, date);
    (void)snprintf(text, 7, "%.2s%.2s%.2s", date + 2, date + 5, date + 8);
}
