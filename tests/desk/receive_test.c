#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/catalogue.h"
#include "tests/desk/room.h"

/* Receiving by the maker's code. Identifiers 01 GTIN, 17 expiry (day 00 = last of the month), 10 lot, 30 count: GS1
 * General Specifications, section 3; symbology identifier ]d2: ISO/IEC 16022 with FNC1 first, ISO/IEC 15424. What is
 * held and who completes it: common practice, no source. */

static const json_t *proposal(const struct room *room)
{
    return json_object_get(room->view, "proposal");
}

static const char *said(const struct room *room, const char *key)
{
    const char *value = json_string_value(json_object_get(proposal(room), key));
    return value ? value : "(null)";
}

static int64_t number(const struct room *room, const char *key)
{
    return json_integer_value(json_object_get(proposal(room), key));
}

/* A Flint cartridge of this lot with so many days left, typed with brackets. */
static void scan_flint(struct room *room, const char *lot, int days)
{
    char code[80], day[7];
    room_gs1_day(room, days, day);
    (void)snprintf(code, sizeof code, "(01)09506000135007(17)%s(10)%s", day, lot);
    (void)room_scan(room, code);
}

enum { RECEIPT_UNITS = 200 };
struct received {
    char serials[RECEIPT_UNITS][SERIAL_SIZE];
    size_t count;
};

static bool collect(const struct unit *unit, void *context)
{
    struct received *received = context;
    assert_true(received->count < RECEIPT_UNITS);
    (void)snprintf(received->serials[received->count++], SERIAL_SIZE, "%s", unit->serial);
    return true;
}

static struct received units_of(struct room *room, const char *item, const char *lot)
{
    struct received received = {.count = 0};
    assert_true(unit_each_of_lot(room->reader, item, lot, "", INT64_MAX, collect, &received, NULL));
    return received;
}

static void a_scanned_gs1_code_proposes_item_lot_expiry_and_quantity(void **state)
{
    struct room *room = *state;
    static const char code[] = "0109506000135007"
                               "17270200" /* February 2027, month only */
                               "10FL-77\x1D"
                               "304";
    room_open_delivery(room);
    (void)room_scan_bytes(room, code, sizeof code - 1, "]d2");
    room_expect(room, "go", "receipt", "Receive 4 × Flint cartridge, lot FL-77?");
    assert_string_equal(said(room, "item"), "FLINT");
    assert_string_equal(said(room, "lot"), "FL-77");
    assert_string_equal(said(room, "expires"), "2027-02-28"); /* GS1 General Specifications: day 00 */
    assert_true(json_is_true(json_object_get(proposal(room), "day_was_00")));
    assert_int_equal(number(room, "quantity"), 4);
    assert_true(json_is_null(json_object_get(proposal(room), "hold")));
    room_expect_booked(room, false);
    room_expect_key(room, "YES", true);
}

static void the_same_typed_with_brackets_proposes_the_same(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77(30)4");
    room_expect(room, "go", "receipt", "Receive 4 × Flint cartridge, lot FL-77?");
    assert_string_equal(said(room, "expires"), "2027-02-15");
    assert_false(json_is_true(json_object_get(proposal(room), "day_was_00")));
    assert_int_equal(number(room, "quantity"), 4);
}

static void scanning_the_same_code_again_counts_up_and_another_lot_is_asked_about(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    for (int i = 1; i <= 3; i++) {
        scan_flint(room, "FL-77", 300);
        assert_int_equal(number(room, "quantity"), i);
    }
    scan_flint(room, "FL-78", 300);
    room_expect(room, "stop", "receipt", "contradicts what was scanned before");
    assert_int_equal(number(room, "quantity"), 3);
    (void)room_press(room, "OTHER");
    assert_int_equal(number(room, "quantity"), 1);
    assert_string_equal(said(room, "lot"), "FL-78");
}

static void yes_books_units_serials_receipts_and_labels(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const int64_t receipts = room_movements(room, MOVEMENT_RECEIPT);
    scan_flint(room, "FL-77", 300);
    (void)room_press_quantity(room, "YES", 60);
    room_expect(room, "go", "proof", "Received 60 × Flint cartridge. The labels are coming out");
    room_expect_booked(room, true);
    room_expect_undo(room, "Maren: receipt of 60 things");
    const struct received received = units_of(room, "FLINT", "FL-77");
    assert_int_equal(received.count, 60);
    assert_int_equal(room_movements(room, MOVEMENT_RECEIPT), receipts + 60);
    for (size_t i = 0; i < received.count; i++) {
        const struct unit unit = room_unit(room, received.serials[i]);
        const char check = unit.serial[strlen(unit.serial) - 1];
        assert_true(check != 'I' && check != 'O'); /* eyes take them for 1 and 0 */
        assert_int_equal(unit.status, UNIT_IN);
        assert_string_equal(unit.hold, "");
        assert_string_equal(unit.place, "");
        assert_int_equal(unit.expires, room_today(room) + 300);
        assert_int_equal(unit.amount_ul, 1000000); /* as the catalogue says */
        assert_false(unit.labelled);
        assert_int_equal(room_print(room, unit.serial, "", 1).state, PRINT_WAITING);
        assert_string_equal(room_print(room, unit.serial, "", 1).label_template, "cartridge");
    }
}

static void the_content_of_the_code_wins_over_the_catalogue(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77(3153)000500"); /* 3153: litres, three decimals */
    assert_int_equal(number(room, "amount_ml"), 500);
    (void)room_press(room, "YES");
    assert_int_equal(room_unit(room, units_of(room, "FLINT", "FL-77").serials[0]).amount_ul, 500000);
}

static void nobody_receives_without_a_badge(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "delivery-open", json_pack("{s:s}", "supplier", "North Resins"));
    scan_flint(room, "FL-77", 20);
    (void)room_press(room, "YES");
    room_expect(room, "ask", "receipt", "Scan your badge to receive this");
    room_expect_booked(room, false);
    (void)room_scan(room, room->maren);
    room_expect(room, "ask", "receipt", "Receive 1 × Flint cartridge"); /* what speaks against it is in sight again */
    room_expect_reason(room, "short-dated", "Only 20 days");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

static void an_unknown_item_is_made_provisional_and_its_units_are_held(void **state)
{
    struct room *room = *state;
    struct item item;
    bool found = false;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7(30)3");
    room_expect(room, "ask", "receipt", "Receive 3 × Item 09506000135069");
    room_expect_reason(room, "provisional", "not in the catalogue yet");
    assert_true(json_is_null(json_object_get(proposal(room), "item")));
    assert_true(json_is_true(json_object_get(proposal(room), "provisional")));
    assert_string_equal(said(room, "hold"), "provisional");
    (void)room_press(room, "YES");
    assert_true(item_load(room->reader, "NEW-1", &item, &found, NULL) && found);
    assert_true(item.provisional);
    assert_string_equal(item.gtin, "09506000135069");
    const struct received received = units_of(room, "NEW-1", "RW-7");
    assert_int_equal(received.count, 3);
    for (size_t i = 0; i < received.count; i++)
        assert_string_equal(room_unit(room, received.serials[i]).hold, "provisional");
}

static json_t *rowan_entry(void)
{
    return json_pack("{s:s,s:s,s:s,s:s,s:s,s:s,s:i}", "code", "NEW-1", "letter", "C", "name", "Rowan cartridge",
                     "resin", "Rowan", "revision", "1", "gtin", "09506000135069", "content_ml", 1000);
}

static void a_storekeeper_completes_the_item_and_its_units_are_released(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7(30)2");
    (void)room_press(room, "YES");
    const struct received received = units_of(room, "NEW-1", "RW-7");
    room_refuses(room, "release", json_pack("{s:s}", "unit", received.serials[0]), FAULT_REFUSED,
                 "complete item NEW-1 instead");
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_refuses(room, "item-entry", rowan_entry(), FAULT_REFUSED, "a storekeeper enters");
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    (void)room_act(room, "item-entry", rowan_entry());
    room_expect(room, "go", "proof", "2 things of it are released");
    for (size_t i = 0; i < received.count; i++)
        assert_string_equal(room_unit(room, received.serials[i]).hold, "");
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-8"); /* from now on it is known */
    room_expect(room, "go", "receipt", "Receive 1 × Rowan cartridge");
}

static void the_next_unknown_code_is_another_item_and_the_same_code_the_same(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7");
    (void)room_press(room, "YES");
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-8");
    assert_string_equal(said(room, "item"), "NEW-1");
    assert_string_equal(said(room, "hold"), "provisional"); /* still nobody completed it */
    (void)room_press(room, "YES");
    (void)room_scan(room, "(01)09506000135076(17)270215(10)XX-1");
    (void)room_press(room, "YES");
    assert_int_equal(units_of(room, "NEW-1", "RW-8").count, 1);
    assert_int_equal(units_of(room, "NEW-2", "XX-1").count, 1);
}

static void expired_stock_is_received_and_held(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_flint(room, "FL-66", -1);
    room_expect(room, "ask", "receipt", "Receive 1 ×");
    room_expect_reason(room, "short-dated", "This expired");
    assert_string_equal(said(room, "hold"), "expired");
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "on hold: expired");
    assert_string_equal(room_unit(room, units_of(room, "FLINT", "FL-66").serials[0]).hold, "expired");
}

static void short_dated_stock_is_received_and_held(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_flint(room, "FL-66", 89); /* 90 are asked for */
    room_expect_reason(room, "short-dated", "Only 89 days");
    (void)room_press(room, "YES");
    assert_string_equal(room_unit(room, units_of(room, "FLINT", "FL-66").serials[0]).hold, "short-dated");
    scan_flint(room, "FL-67", 90);
    room_expect(room, "go", "receipt", "Receive 1 ×");
    assert_true(json_is_null(json_object_get(proposal(room), "hold")));
}

static void with_no_delivery_open_the_kiosk_asks(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->maren);
    scan_flint(room, "FL-77", 300);
    room_expect(room, "ask", "idle", "Nothing of this lot is in stock: is it a new delivery?");
    room_expect_reason(room, "no-delivery", "");
    room_expect_key(room, "DELIVERY", true);
    room_expect_key(room, "YES", false);
    scan_flint(room, "FL-1", 240);
    room_expect(room, "ask", "idle", "stands on 2 units in stock: scan our label");
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
}

static void the_key_delivery_opens_one_and_proposes_what_was_scanned(void **state)
{
    struct room *room = *state;
    scan_flint(room, "FL-77", 300);
    (void)room_press(room, "DELIVERY");
    room_expect(room, "ask", "idle", "Scan your badge");
    room_expect_booked(room, false);
    (void)room_scan(room, room->maren);
    room_expect_key(room, "DELIVERY", true);
    (void)room_press(room, "DELIVERY");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?");
    room_expect_booked(room, true);
    assert_non_null(json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id")));
    (void)room_press(room, "DELIVERY");
    room_expect(room, "go", "receipt", "open already");
    room_expect_booked(room, false);
    assert_int_equal(room_movements(room, MOVEMENT_DELIVERY_OPEN), 1);
}

static void quantities_beyond_the_limit_are_refused(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77(30)99999999");
    (void)room_press(room, "YES");
    room_expect(room, "ask", "receipt", "99999999 is not a quantity for one receipt (1 to 10000)");
    room_expect_booked(room, false);
    room_refuses(room, "press", json_pack("{s:s,s:i}", "word", "YES", "quantity", 10001), FAULT_INPUT,
                 "from 1 to 10000");
    room_refuses(room, "press", json_pack("{s:s,s:i}", "word", "YES", "quantity", 0), FAULT_INPUT, "from 1 to 10000");
    (void)room_press_quantity(room, "YES", 2); /* corrected */
    room_expect_booked(room, true);
    assert_int_equal(units_of(room, "FLINT", "FL-77").count, 2);
}

static void two_hundred_at_once_are_booked_whole_and_taken_back_whole(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_flint(room, "FL-77", 300);
    (void)room_press_quantity(room, "YES", 200);
    room_expect_booked(room, true);
    assert_int_equal(units_of(room, "FLINT", "FL-77").count, 200);
    (void)room_press(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Maren: receipt of 200 things");
    assert_int_equal(units_of(room, "FLINT", "FL-77").count, 0);
}

static void a_code_without_an_item_is_not_received(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(10)FL-77(17)270215");
    room_expect(room, "ask", "receipt", "Lot FL-77, but of which item?");
    room_expect_reason(room, "no-item", "no item");
    room_expect_key(room, "YES", false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    room_expect_reason(room, "no-item", "no item");
}

static void without_a_delivery_a_code_without_an_item_means_nothing(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, "(10)FL-77(17)270215");
    room_expect_reason(room, "not-ours", "names no item");
    room_expect_booked(room, false);
}

static void a_delivery_closed_elsewhere_is_not_received_into(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    char delivery[DELIVERY_SIZE];
    (void)snprintf(delivery, sizeof delivery, "%s",
                   json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id")));
    scan_flint(room, "FL-77", 300);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "delivery-close", json_pack("{s:s}", "delivery", delivery));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "YES");
    room_expect(room, "ask", "idle", "closed meanwhile");
    room_expect_booked(room, false);
    scan_flint(room, "FL-77", 300);
    room_expect(room, "ask", "idle", "is it a new delivery?");
}

static void another_counter_goes_on_with_an_open_delivery(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    json_t *content = json_pack("{s:O}", "delivery", json_object_get(json_object_get(room->view, "delivery"), "id"));
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "delivery-resume", content);
    room_expect_booked(room, false);
    scan_flint(room, "FL-77", 300);
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge");
    room_refuses(room, "delivery-resume", json_pack("{s:s}", "delivery", "D-99999"), FAULT_MISSING, "not open");
}

static void a_vat_needs_no_date(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135045");
    room_expect(room, "go", "receipt", "Receive 1 × Small vat?");
    (void)room_press(room, "YES");
    const struct received received = units_of(room, "VAT-S", "");
    assert_int_equal(received.count, 2); /* an empty one stood here */
    const struct unit vat = room_unit(room, received.serials[1]);
    assert_int_equal(vat.minutes, 0);
    assert_int_equal(vat.amount_ul, MOVEMENT_NULL);
    assert_string_equal(room_print(room, vat.serial, "", 1).label_template, "vat-case");
}

/* ---- the acts of a script or a form ---- */

static void typed_stock_is_received_without_a_code(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    const char *delivery = json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id"));
    json_t *content = json_pack("{s:s,s:s,s:s,s:i,s:s}", "delivery", delivery, "item", "oak", "lot", "ok-5", "quantity",
                                2, "hold", "damaged-pack");
    json_object_set_new(content, "expires", room_day(room, 300));
    (void)room_act(room, "receive", content);
    room_expect(room, "go", "proof", "Received 2 × Oak cartridge, on hold: damaged-pack");
    const struct received received = units_of(room, "OAK", "OK-5");
    assert_int_equal(received.count, 2);
    assert_string_equal(room_unit(room, received.serials[1]).hold, "damaged-pack");
    assert_int_equal(room_unit(room, received.serials[1]).expires, room_today(room) + 300);
}

static void a_malformed_receive_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    char delivery[DELIVERY_SIZE];
    (void)snprintf(delivery, sizeof delivery, "%s",
                   json_string_value(json_object_get(json_object_get(room->view, "delivery"), "id")));
    const struct {
        const char *key;
        json_t *value; /* NULL: the key is left out */
        enum fault_code code;
        const char *says;
    } cases[] = {
        {"delivery", NULL, FAULT_INPUT, "'delivery' is missing"},
        {"delivery", json_string("D-0"), FAULT_MISSING, "delivery 'D-0' is not open"},
        {"item", NULL, FAULT_INPUT, "'item' is missing"},
        {"item", json_string("GRANITE1"), FAULT_MISSING, "item 'GRANITE1' is not in the catalogue"},
        {"item", json_string("MUCH-TOO-LONG"), FAULT_INPUT, "'item' is longer than 8 bytes"},
        {"lot", json_string("A B"), FAULT_INPUT, "'lot' may hold only"},
        {"lot", json_string("A\xC3\x9F"), FAULT_INPUT, "see its character 2"},
        {"expires", json_string("soon"), FAULT_INPUT, "'expires'"},
        {"expires", json_integer(20260302), FAULT_INPUT, "'expires' is not a date"},
        {"quantity", NULL, FAULT_INPUT, "'quantity' is missing"},
        {"quantity", json_integer(0), FAULT_INPUT, "'quantity' is not a whole number from 1 to 10000"},
        {"quantity", json_real(1.5), FAULT_INPUT, "'quantity' is not a whole number"},
        {"quantity", json_string("2"), FAULT_INPUT, "'quantity' is not a whole number"},
        {"hold", json_string("Ask Maren"), FAULT_INPUT, "'hold' is a keyword"},
        {"quantitty", json_integer(1), FAULT_INPUT, "'quantitty' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        json_t *content = json_pack("{s:s,s:s,s:i}", "delivery", delivery, "item", "OAK", "quantity", 1);
        if (cases[i].value)
            json_object_set_new(content, cases[i].key, cases[i].value);
        else
            json_object_del(content, cases[i].key);
        room_refuses(room, "receive", content, cases[i].code, cases[i].says);
    }
}

static void deliveries_open_and_close_once(void **state)
{
    struct room *room = *state;
    room_refuses(room, "delivery-open", json_object(), FAULT_INPUT, "'supplier' is missing");
    room_refuses(room, "delivery-open", json_pack("{s:s}", "suplier", "x"), FAULT_INPUT, "'suplier' is not known here");
    (void)room_act(room, "delivery-open", json_pack("{s:s,s:s}", "supplier", "Nörd \"Resins\"", "note", "two cartons"));
    const json_t *delivery = json_object_get(room->view, "delivery");
    assert_string_equal(json_string_value(json_object_get(delivery, "supplier")), "Nörd \"Resins\"");
    json_t *content = json_pack("{s:O}", "delivery", json_object_get(delivery, "id"));
    json_t *again = json_copy(content);
    (void)room_act(room, "delivery-close", content);
    assert_true(json_is_null(json_object_get(room->view, "delivery")));
    room_refuses(room, "delivery-close", again, FAULT_REFUSED, "not open");
    room_refuses(room, "delivery-close", json_pack("{s:s}", "delivery", "D-99999"), FAULT_REFUSED, "not open");
}

static void an_unreadable_scan_does_not_let_yes_receive_by_surprise(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    scan_flint(room, "FL-77", 300);
    (void)room_scan(room, "(01)09506000135008(10)FL-77"); /* wrong check digit */
    room_expect(room, "stop", "receipt", "");
    (void)room_press(room, "YES");
    room_expect(room, "go", "receipt", "Receive 1 × Flint cartridge, lot FL-77?"); /* the proposal is in sight again */
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_scanned_gs1_code_proposes_item_lot_expiry_and_quantity),
        IN_ROOM(the_same_typed_with_brackets_proposes_the_same),
        IN_ROOM(scanning_the_same_code_again_counts_up_and_another_lot_is_asked_about),
        IN_ROOM(yes_books_units_serials_receipts_and_labels),
        IN_ROOM(the_content_of_the_code_wins_over_the_catalogue),
        IN_ROOM(nobody_receives_without_a_badge),
        IN_ROOM(an_unknown_item_is_made_provisional_and_its_units_are_held),
        IN_ROOM(a_storekeeper_completes_the_item_and_its_units_are_released),
        IN_ROOM(the_next_unknown_code_is_another_item_and_the_same_code_the_same),
        IN_ROOM(expired_stock_is_received_and_held),
        IN_ROOM(short_dated_stock_is_received_and_held),
        IN_ROOM(with_no_delivery_open_the_kiosk_asks),
        IN_ROOM(the_key_delivery_opens_one_and_proposes_what_was_scanned),
        IN_ROOM(quantities_beyond_the_limit_are_refused),
        IN_ROOM(two_hundred_at_once_are_booked_whole_and_taken_back_whole),
        IN_ROOM(a_code_without_an_item_is_not_received),
        IN_ROOM(without_a_delivery_a_code_without_an_item_means_nothing),
        IN_ROOM(a_delivery_closed_elsewhere_is_not_received_into),
        IN_ROOM(another_counter_goes_on_with_an_open_delivery),
        IN_ROOM(a_vat_needs_no_date),
        IN_ROOM(an_unreadable_scan_does_not_let_yes_receive_by_surprise),
        IN_ROOM(typed_stock_is_received_without_a_code),
        IN_ROOM(a_malformed_receive_is_refused_with_a_sentence),
        IN_ROOM(deliveries_open_and_close_once),
    };
    return cmocka_run_group_tests_name("desk/receive", tests, room_group_setup, room_group_teardown);
}
