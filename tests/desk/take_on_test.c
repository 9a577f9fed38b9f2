#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/take_on.h"
#include "tests/desk/room.h"

/* Take-on: what already stands in the room, unknowns allowed. Common practice, no source. */

static struct unit taken_on(struct room *room, json_t *content)
{
    const json_t *answer = room_act(room, "take-on", content);
    return room_unit(room, json_string_value(json_object_get(answer, "serial")));
}

static bool copy_take_on(const struct movement *movement, void *context)
{
    if (movement->kind == MOVEMENT_TAKE_ON)
        *(struct movement *)context = *movement;
    return true;
}

static void a_filled_vat_carries_its_resin_lot_dates_and_hours(void **state)
{
    struct room *room = *state;
    json_t *content = json_pack("{s:s,s:s,s:s,s:s,s:f,s:f,s:s}", "item", "VAT-S", "place", "B01", "resin", "FLINT",
                                "lot", "FL-1", "amount_ml", 412.5, "hours", 12.5, "film", "fogged");
    json_object_set_new(content, "filled", room_day(room, -20));
    json_object_set_new(content, "expires", room_day(room, 100));
    const struct unit vat = taken_on(room, content);
    assert_string_equal(vat.item, "VAT-S");
    assert_string_equal(vat.resin, "FLINT");
    assert_string_equal(vat.lot, "FL-1");
    assert_int_equal(vat.amount_ul, 412500);
    assert_int_equal(vat.minutes, 750);
    assert_int_equal(vat.filled, room_today(room) - 20);
    assert_int_equal(vat.expires, room_today(room) + 100);
    assert_string_equal(vat.film, "fogged");
    assert_string_equal(vat.place, "B01");
    assert_false(vat.labelled);
    assert_int_equal(room_print(room, vat.serial, "", 1).state, PRINT_WAITING);
}

static void unknown_stays_unknown_and_is_never_nothing(void **state)
{
    struct room *room = *state;
    const struct unit unit = taken_on(room, json_pack("{s:s,s:s}", "item", "FLINT", "place", "A01"));
    assert_int_equal(unit.amount_ul, MOVEMENT_NULL);
    assert_int_equal(unit.expires, MOVEMENT_NULL);
    assert_int_equal(unit.minutes, MOVEMENT_NULL);
    (void)room_scan(room, unit.serial); /* its label first */
    (void)room_scan(room, "A01");
    (void)room_press(room, "NO");
    (void)room_scan(room, unit.serial);
    json_t *seen = NULL;
    assert_true(desk_unit(room->reader, unit.serial, (struct day){(int32_t)room_today(room)}, &seen, NULL));
    assert_true(json_is_null(json_object_get(seen, "amount_ml")));
    assert_true(json_is_null(json_object_get(seen, "expires")));
    assert_true(json_is_null(json_object_get(seen, "hours")));
    json_decref(seen);
}

static void minutes_are_kept_whole_and_a_note_as_an_erasable_text(void **state)
{
    struct room *room = *state;
    static const char note[] = "Old no.: 4711; fr\u00fcher im Keller";
    const struct unit vat =
        taken_on(room, json_pack("{s:s,s:s,s:i,s:s}", "item", "VAT-S", "place", "B01", "minutes", 739, "note", note));
    assert_int_equal(vat.minutes, 739);
    char kept[TAKE_ON_NOTE + 1] = "";
    struct movement movement = {.seq = 0};
    assert_true(ledger_each_of_act(room->reader, room->act, copy_take_on, &movement, NULL));
    assert_true(ledger_text_get(room->reader, movement.text, kept, sizeof kept, NULL));
    assert_string_equal(kept, note);
}

static void the_check_says_what_the_act_would_say_and_books_nothing(void **state)
{
    struct room *room = *state;
    static const char *const contents[] = {
        "{\"item\":\"FLINT\",\"place\":\"A01\"}", "{\"item\":\"FLINT\",\"place\":\"Z99\"}",
        "{\"item\":\"FLINT\",\"place\":\"A01\",\"film\":\"clear\"}", "{\"item\":\"FLINT\",\"place\":\"CAPSTAN-1\"}"};
    for (size_t i = 0; i < sizeof contents / sizeof *contents; i++) {
        json_t *content = json_loads(contents[i], 0, NULL);
        struct fault fault = {0};
        const int64_t before = room_seq(room);
        const bool good = take_on_check(room->reader, content, &fault);
        assert_int_equal(room_seq(room), before);
        assert_true(good == (i == 0));
        if (good)
            (void)room_act(room, "take-on", content); /* the writer's from here on: it lets go on its own thread */
        else
            room_refuses(room, "take-on", content, fault.code, fault.text);
    }
}

/* The form of the page asks; a spreadsheet's line, which nobody sits before, does not. */
static void an_amount_off_by_a_thousand_is_asked_about_where_that_is_wished(void **state)
{
    struct room *room = *state;
    const int64_t before = room_movements(room, MOVEMENT_TAKE_ON);
    (void)room_act(room, "take-on",
                   json_pack("{s:s,s:s,s:i,s:b}", "item", "FLINT", "place", "A01", "amount_ml", 1, "ask", 1));
    room_expect(room, "ask", "idle", "1 ml in FLINT, which holds 1000 ml when full: was 1000 ml meant?");
    room_expect_booked(room, false);
    assert_int_equal(room_movements(room, MOVEMENT_TAKE_ON), before);
    (void)room_act(room, "take-on",
                   json_pack("{s:s,s:s,s:i,s:b}", "item", "FLINT", "place", "A01", "amount_ml", 900, "ask", 1));
    (void)room_act(room, "take-on", json_pack("{s:s,s:s,s:i}", "item", "FLINT", "place", "A01", "amount_ml", 1));
    assert_int_equal(room_movements(room, MOVEMENT_TAKE_ON), before + 2);
}

static void malformed_take_ons_are_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *key, *value;
        enum fault_code code;
        const char *says;
    } cases[] = {
        {"item", NULL, FAULT_INPUT, "'item' is missing"},
        {"item", "\"GRANITE1\"", FAULT_MISSING, "item 'GRANITE1' is not known here"},
        {"place", NULL, FAULT_INPUT, "'place' is missing"},
        {"place", "\"Z99\"", FAULT_MISSING, "place 'Z99' is not known here"},
        {"place", "\"CAPSTAN-1\"", FAULT_INPUT, "is a slot of a printer"},
        {"resin", "\"GRANITE1\"", FAULT_MISSING, "resin 'GRANITE1' is not known here"},
        {"resin", "\"VAT-L\"", FAULT_INPUT, "'resin' is VAT-L, which is no cartridge or bottle"},
        {"amount_ml", "\"much\"", FAULT_INPUT, "'amount_ml' is not a number"},
        {"hours", "-1", FAULT_INPUT, "'hours' is not a number"},
        {"film", "\"torn\"", FAULT_INPUT, "'film' is 'torn', not one of"},
        {"filled", "\"2026-13-01\"", FAULT_INPUT, "'filled'"},
        {"minutes", "1.5", FAULT_INPUT, "'minutes' is not a whole number"},
        {"minutes", "-1", FAULT_INPUT, "'minutes' is not a whole number"},
        {"note", "\"two\\nlines\"", FAULT_INPUT, "'note' holds a control character"},
        {"labelled", "\"yes\"", FAULT_INPUT, "'labelled' is neither"},
        {"labeled", "true", FAULT_INPUT, "'labeled' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        json_t *content = json_pack("{s:s,s:s}", "item", "VAT-S", "place", "B01");
        if (cases[i].value)
            json_object_set_new(content, cases[i].key, json_loads(cases[i].value, JSON_DECODE_ANY, NULL));
        else
            json_object_del(content, cases[i].key);
        room_refuses(room, "take-on", content, cases[i].code, cases[i].says);
    }
    room_refuses(room, "take-on",
                 json_pack("{s:s,s:s,s:i,s:i}", "item", "VAT-S", "place", "B01", "hours", 1, "minutes", 60),
                 FAULT_INPUT, "'hours' and 'minutes' say the same twice");
    static const char *const of_vats[] = {"{\"film\":\"clear\"}", "{\"resin\":\"OAK\"}", "{\"hours\":3}"};
    for (size_t i = 0; i < sizeof of_vats / sizeof *of_vats; i++) {
        json_t *content = json_loads(of_vats[i], 0, NULL);
        json_object_set_new(content, "item", json_string("FLINT"));
        json_object_set_new(content, "place", json_string("A01"));
        room_refuses(room, "take-on", content, FAULT_INPUT, "says nothing of item FLINT");
    }
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_filled_vat_carries_its_resin_lot_dates_and_hours),
        IN_ROOM(unknown_stays_unknown_and_is_never_nothing),
        IN_ROOM(minutes_are_kept_whole_and_a_note_as_an_erasable_text),
        IN_ROOM(the_check_says_what_the_act_would_say_and_books_nothing),
        IN_ROOM(an_amount_off_by_a_thousand_is_asked_about_where_that_is_wished),
        IN_ROOM(malformed_take_ons_are_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/take_on", tests, room_group_setup, room_group_teardown);
}
