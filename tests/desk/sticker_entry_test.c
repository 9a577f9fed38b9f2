#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/desk_rows.h"
#include "tests/desk/room.h"

/* Teaching a supplier's sticker and scanning one. The stickers are invented; what is taught and what is asked: common
 * practice, no source. */

static const char example[] = "FLINT-1L LOT RS24117B EXP 31.01.2027";

static json_t *entry(const char *supplier, const char *text, const char *order)
{
    json_t *parts = json_pack("[{s:s,s:i,s:i},{s:s,s:i,s:i}]", "part", "item", "start", 0, "length", 8, "part", "lot",
                              "start", 13, "length", 8);
    json_t *date = json_pack("{s:s,s:i,s:i}", "part", "expires", "start", 26, "length", 10);
    if (order)
        json_object_set_new(date, "order", json_string(order));
    json_array_append_new(parts, date);
    return json_pack("{s:s,s:s,s:o}", "supplier", supplier, "example", text, "parts", parts);
}

static void open_delivery(struct room *room, const char *supplier)
{
    (void)room_scan(room, room->maren);
    (void)room_act(room, "delivery-open", json_pack("{s:s}", "supplier", supplier));
}

static json_t *flint_entry(void)
{
    return json_pack("{s:s,s:s,s:s,s:s,s:s,s:s,s:s,s:i}", "code", "FLINT", "letter", "C", "name", "Flint cartridge",
                     "resin", "Flint", "revision", "2", "gtin", "09506000135007", "maker_code", "FLINT-1L",
                     "content_ml", 1000);
}

static const char *reading(const struct room *room, const char *key)
{
    const json_t *sticker = json_object_get(room->view, "sticker");
    const char *value = json_string_value(json_object_get(json_object_get(sticker, "reading"), key));
    return value ? value : "(null)";
}

static void a_sticker_that_was_taught_is_received_by_a_scan(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "item-entry", flint_entry());
    open_delivery(room, "North Resins");
    (void)room_scan(room, example);
    room_expect(room, "stop", "idle", "is not a label of this room");
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy"));
    room_expect_booked(room, true);
    assert_string_equal(reading(room, "item"), "FLINT-1L");
    assert_string_equal(reading(room, "lot"), "RS24117B");
    assert_string_equal(reading(room, "expires"), "2027-01-31");
    (void)room_scan(room, "FLINT-1L LOT RS24200 EXP 28.02.2027");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot RS24200?");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
    room_expect(room, "go", "proof", "Received 1 ×");
}

static void a_scanner_may_send_an_identifier_and_a_line_end(void **state)
{
    struct room *room = *state;
    static const char sent[] = "]C0FLINT-1L LOT RS24200 EXP 28.02.2027\r\n";
    open_delivery(room, "north resins "); /* capitals and blanks make no other supplier */
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy"));
    (void)room_scan_bytes(room, sent, sizeof sent - 1, "");
    room_expect(room, "ask", "receipt", "Receive 1 × Item FLINT-1L, lot RS24200?");
}

static void a_sticker_counts_only_with_a_delivery_of_its_supplier(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy"));
    (void)room_scan(room, example);
    room_expect(room, "stop", "idle", "is not a label of this room");
    open_delivery(room, "South Resins");
    (void)room_scan(room, example);
    room_expect(room, "stop", "idle", "is not a label of this room");
}

static void a_sticker_that_stops_matching_says_where(void **state)
{
    struct room *room = *state;
    open_delivery(room, "North Resins");
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy"));
    (void)room_scan(room, "FLINT-1L LOT RS24200 USE 28.02.2027");
    room_expect(room, "stop", "idle", "is not a label of this room");
    assert_int_equal(json_array_size(json_object_get(room->view, "reasons")), 2);
}

static void two_patterns_with_two_answers_are_asked_about(void **state)
{
    struct room *room = *state;
    static const char short_example[] = "FLINT-1L LOT RS24117B EXP 05.06.2027";
    open_delivery(room, "North Resins");
    (void)room_act(room, "sticker-entry", entry("North Resins", short_example, "dmy"));
    (void)room_act(room, "sticker-entry", entry("North Resins", short_example, "mdy"));
    (void)room_scan(room, short_example);
    room_expect(room, "ask", "idle", "Two patterns read this sticker differently");
    room_expect_reason(room, "two-readings", "use by 2027-06-05; or lot RS24117B, item FLINT-1L, use by 2027-05-06");
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    /* 31.01 is a day in one of the orders alone */
    (void)room_scan(room, "FLINT-1L LOT RS24117B EXP 31.01.2027");
    room_expect(room, "ask", "receipt", "Receive 1 ×"); /* an item not in the catalogue */
    room_expect_no_reason(room, "two-readings");
}

static void a_trial_keeps_nothing_and_a_date_order_is_never_guessed(void **state)
{
    struct room *room = *state;
    json_t *trial = entry("North Resins", example, "dmy");
    json_object_set_new(trial, "try", json_true());
    (void)room_act(room, "sticker-entry", trial);
    room_expect_booked(room, false);
    assert_true(json_is_null(json_object_get(json_object_get(room->view, "sticker"), "id")));
    assert_string_equal(reading(room, "lot"), "RS24117B");
    room_refuses(room, "sticker-entry", entry("North Resins", example, NULL), FAULT_INPUT, "order");
    room_refuses(room, "sticker-entry", entry("North Resins", example, "mdy"), FAULT_INPUT, "no day that exists");
}

static void a_pattern_may_be_written_and_must_read_its_example(void **state)
{
    struct room *room = *state;
    static const char pattern[] = "lot 1 to 20 of 9 A\ntext \"/\"\nexpires \"dd.mm.yyyy\"\n";
    open_delivery(room, "North Resins");
    (void)room_act(
        room, "sticker-entry",
        json_pack("{s:s,s:s,s:s}", "supplier", "North Resins", "example", "RS1/31.01.2027", "pattern", pattern));
    room_expect_booked(room, true);
    (void)room_scan(room, "FL-77"); /* no such text */
    (void)room_scan(room, "RS24117/28.02.2027");
    room_expect(room, "ask", "receipt", "Lot RS24117, but of which item?");
    (void)room_scan_bytes(room, "9506000135007", 13, "]E0"); /* the item stands in another code of the carton */
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot RS24117?");
    room_refuses(room, "sticker-entry",
                 json_pack("{s:s,s:s,s:s}", "supplier", "X", "example", "RS1-31.01.2027", "pattern", pattern),
                 FAULT_INPUT, "stops matching");
    room_refuses(
        room, "sticker-entry",
        json_pack("{s:s,s:s,s:s}", "supplier", "North Resins", "example", "RS1/31.01.2027", "pattern", pattern),
        FAULT_REFUSED, "taught for North Resins already");
}

static void a_forgotten_pattern_reads_nothing_any_more(void **state)
{
    struct room *room = *state;
    char id[WORD_SIZE];
    open_delivery(room, "North Resins");
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy"));
    (void)snprintf(id, sizeof id, "%s",
                   json_string_value(json_object_get(json_object_get(room->view, "sticker"), "id")));
    (void)room_act(room, "sticker-forget", json_pack("{s:s}", "sticker", id));
    (void)room_scan(room, example);
    room_expect(room, "stop", "idle", "is not a label of this room");
    room_refuses(room, "sticker-forget", json_pack("{s:s}", "sticker", id), FAULT_REFUSED, "nothing to forget");
    room_refuses(room, "sticker-forget", json_pack("{s:s}", "sticker", "sticker-0"), FAULT_REFUSED,
                 "nothing to forget");
    (void)room_act(room, "sticker-entry", entry("North Resins", example, "dmy")); /* and taught again */
    room_expect_booked(room, true);
}

static void a_malformed_entry_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *content, *says;
    } cases[] = {
        {"{}", "'supplier' is missing"},
        {"{\"supplier\":\"X\"}", "'example' is missing"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\"}", "'parts' is missing"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":{}}", "'parts' is missing"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[1]}", "holds something that is no object"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[{\"part\":\"maker\",\"start\":0,\"length\":1}]}",
         "not one of item, lot"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[{\"part\":\"text\",\"start\":0,\"length\":1}]}",
         "not one of item, lot"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[{\"part\":\"lot\",\"start\":-1,\"length\":1}]}",
         "'start' is not a whole number"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[{\"part\":\"lot\",\"start\":2,\"length\":9}]}", "example"},
        {"{\"supplier\":\"X\",\"example\":\"A "
         "1\",\"parts\":[{\"part\":\"lot\",\"start\":2,\"length\":1,\"order\":\"dym\"}]}",
         "'order' is 'dym'"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"parts\":[],\"pattern\":\"\"}", "say one of them"},
        {"{\"supplier\":\"X\",\"example\":\"A 1\",\"pattern\":\"nonsense\"}", "line 1"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, "sticker-entry", json_loads(cases[i].content, 0, NULL), FAULT_INPUT, cases[i].says);
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_refuses(room, "sticker-entry", entry("X", example, "dmy"), FAULT_REFUSED, "a storekeeper enters");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_sticker_that_was_taught_is_received_by_a_scan),
        IN_ROOM(a_scanner_may_send_an_identifier_and_a_line_end),
        IN_ROOM(a_sticker_counts_only_with_a_delivery_of_its_supplier),
        IN_ROOM(a_sticker_that_stops_matching_says_where),
        IN_ROOM(two_patterns_with_two_answers_are_asked_about),
        IN_ROOM(a_trial_keeps_nothing_and_a_date_order_is_never_guessed),
        IN_ROOM(a_pattern_may_be_written_and_must_read_its_example),
        IN_ROOM(a_forgotten_pattern_reads_nothing_any_more),
        IN_ROOM(a_malformed_entry_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/sticker_entry", tests, room_group_setup, room_group_teardown);
}
