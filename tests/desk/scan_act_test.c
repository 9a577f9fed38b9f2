#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* What a scan means now. Form 06 envelopes: ISO/IEC 15434; data identifiers S, L, Z: ANSI MH10.8.2. */

static void scan_label(struct room *room, const struct unit_label *label)
{
    char bytes[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    assert_true(unit_label_write(label, bytes, &length, NULL));
    (void)room_scan_bytes(room, bytes, length, "]d1");
}

static void scan_card(struct room *room, const char *card)
{
    char bytes[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    assert_true(card_label_write(card, bytes, &length, NULL));
    (void)room_scan_bytes(room, bytes, length, "]d1");
}

static void scan_place(struct room *room, const char *place)
{
    char bytes[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    assert_true(place_label_write(place, bytes, &length, NULL));
    (void)room_scan_bytes(room, bytes, length, "]d1");
}

static struct unit_label label_of(const char *serial)
{
    struct unit_label label = {.serial = ""};
    (void)snprintf(label.serial, sizeof label.serial, "%s", serial);
    return label;
}

static void the_main_job_goes_by_printed_labels_alone(void **state)
{
    struct room *room = *state;
    const struct unit_label badge = label_of(room->tobias), vat = label_of(room->vat_flint);
    scan_label(room, &badge);
    room_expect(room, NULL, "idle", "Tobias is here");
    scan_label(room, &vat);
    room_expect(room, "go", "check-out", "may go");
    scan_place(room, "CAPSTAN-1");
    room_expect(room, "ask", "check-out", "How much resin");
    scan_card(room, "UNKNOWN");
    room_expect_booked(room, true);
    scan_label(room, &badge);
    scan_label(room, &vat);
    scan_card(room, "FILM-CLEAR");
    scan_card(room, "250ML");
    scan_place(room, "B01");
    room_expect(room, "go", "idle", "is back, at B01");
    scan_card(room, "UNDO");
    room_expect(room, "go", "idle", "Taken back: Tobias: check-in");
}

static void a_serial_may_be_typed_in_either_case(void **state)
{
    struct room *room = *state;
    char typed[SERIAL_SIZE];
    for (size_t i = 0; i < sizeof typed; i++)
        typed[i] = (char)(room->flint[i] >= 'A' ? room->flint[i] + 'a' - 'A' : room->flint[i]);
    (void)room_scan(room, typed);
    room_expect(room, "go", "check-out", "may go");
}

static void cards_and_badges_in_a_photograph_do_not_count(void **state)
{
    struct room *room = *state;
    char card[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_fogged);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "check-out", "was fogged");
    assert_true(card_label_write("YES", card, &length, NULL));
    (void)room_act(room, "scan", json_pack("{s:s%,s:s}", "text", card, length, "source", "picture"));
    room_expect(room, "stop", "check-out", "A card in a photograph does not count");
    room_expect_booked(room, false);
    (void)room_scan_picture(room, room->jarl);
    room_expect(room, "stop", "check-out", "A badge in a photograph does not count");
    assert_string_equal(json_string_value(json_object_get(json_object_get(room->view, "person"), "serial")),
                        room->tobias);
}

static void a_thing_in_a_photograph_counts(void **state)
{
    struct room *room = *state;
    (void)room_scan_picture(room, room->flint);
    room_expect(room, "go", "check-out", "may go");
}

static void what_is_no_label_of_ours_is_said_to_be_none(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, "SN-12345/ab");
    room_expect(room, "stop", "idle", "'SN-12345/ab' is not a label of this room");
    room_expect_reason(room, "not-ours", "");
    scan_place(room, "Z99");
    room_expect(room, "stop", "idle", "Place Z99 is not known here");
    char badge[SERIAL_SIZE];
    assert_true(serial_write('H', 500, badge) || serial_write('H', 501, badge));
    (void)room_scan(room, badge);
    room_expect(room, "stop", "idle", "Badge H");
    room_expect_reason(room, "unknown", badge);
}

static void unreadable_scans_say_what_is_wrong_and_book_nothing(void **state)
{
    struct room *room = *state;
    static const char *const texts[] = {
        "(01)09506000135008(10)FL-77",  /* wrong check digit */
        "(01)09506000135007(17)261399", /* no such month */
        "C0000018C0000018",             /* two in one, or a serial that cannot be */
        "",
    };
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        (void)room_scan(room, texts[i]);
        room_expect(room, "stop", "idle", "");
        room_expect_booked(room, false);
        assert_true(strlen(json_string_value(json_object_get(room->view, "title"))) > 15);
    }
}

static void a_shelf_says_what_stands_there(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, "b01");
    room_expect(room, NULL, "idle", "B01: 5 units stand here");
    (void)room_scan(room, "A02");
    room_expect(room, NULL, "idle", "A02: 0 units stand here");
    for (int i = 0; i < UNIT_IN_PLACE_MOST; i++) /* a crowded one is counted so far and no farther */
        (void)room_act(room, "take-on", json_pack("{s:s,s:s}", "item", "OAK", "place", "A02"));
    (void)room_scan(room, "A02");
    room_expect(room, NULL, "idle", "A02: at least 100 units stand here");
}

static void a_printer_in_the_middle_of_receiving_changes_nothing(void **state)
{
    struct room *room = *state;
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "ask", "receipt", "finish what you are at first");
    (void)room_press(room, "YES");
    room_expect(room, "go", "proof", "Received 1 ×");
}

static void a_card_that_means_nothing_now_says_so(void **state)
{
    struct room *room = *state;
    scan_card(room, "250ML");
    room_expect(room, NULL, "idle", "250ML says nothing here");
    scan_card(room, "YES");
    room_expect(room, NULL, "idle", "Nothing is asked just now");
    scan_card(room, "TAKEN");
    room_expect(room, "ask", "idle", "Scan what was taken first");
    scan_card(room, "HOLD");
    room_expect(room, NULL, "idle", "Scan what goes on hold first");
    room_expect_booked(room, false);
}

static void malformed_scans_and_presses_are_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *kind, *content, *says;
    } cases[] = {
        {"scan", "{}", "say the scan once"},
        {"scan", "{\"text\":\"A01\",\"bytes\":\"413031\"}", "say the scan once"},
        {"scan", "{\"bytes\":\"413031\",\"text\":5}", "say the scan once"},
        {"scan", "{\"bytes\":\"413031\",\"text\":null}", "say the scan once"},
        {"scan", "{\"text\":5}", "say the scan once"},
        {"scan", "{\"bytes\":\"41303\"}", "'bytes' is not hex"},
        {"scan", "{\"bytes\":\"4Z\"}", "'bytes' is not hex"},
        {"scan", "{\"text\":\"A01\",\"source\":\"photo\"}", "'source' is 'photo', not one of scanner, typed, picture"},
        {"scan", "{\"text\":\"A01\",\"symbology\":\"datamatrix\"}", "'symbology' is longer"},
        {"scan", "{\"txt\":\"A01\"}", "'txt' is not known here: known are bytes, text"},
        {"press", "{}", "'word' is missing"},
        {"press", "{\"word\":\"YES!\"}", "'word' may hold only"},
        {"press", "{\"word\":\"YES\",\"quantity\":\"3\"}", "'quantity' is not a whole number"},
        {"press", "{\"word\":\"YES\",\"count\":3}", "'count' is not known here"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, cases[i].kind, json_loads(cases[i].content, 0, NULL), FAULT_INPUT, cases[i].says);
    room->counter[0] = '\0';
    room_refuses(room, "scan", json_pack("{s:s}", "text", "A01"), FAULT_INPUT, "'counter' is missing");
    room_refuses(room, "press", json_pack("{s:s}", "word", "YES"), FAULT_INPUT, "'counter' is missing");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(the_main_job_goes_by_printed_labels_alone),
        IN_ROOM(a_serial_may_be_typed_in_either_case),
        IN_ROOM(cards_and_badges_in_a_photograph_do_not_count),
        IN_ROOM(a_thing_in_a_photograph_counts),
        IN_ROOM(what_is_no_label_of_ours_is_said_to_be_none),
        IN_ROOM(unreadable_scans_say_what_is_wrong_and_book_nothing),
        IN_ROOM(a_shelf_says_what_stands_there),
        IN_ROOM(a_printer_in_the_middle_of_receiving_changes_nothing),
        IN_ROOM(a_card_that_means_nothing_now_says_so),
        IN_ROOM(malformed_scans_and_presses_are_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/scan_act", tests, room_group_setup, room_group_teardown);
}
