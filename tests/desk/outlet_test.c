#include "kiosk/desk/hold.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/reason_scenes.h"

/* A cartridge's outlet, and the cautions at the moment they are of use. Common practice, no source. */

/* One Flint cartridge that came with a delivery, its label proved. */
static void receive(struct room *room, char serial[SERIAL_SIZE])
{
    room_open_delivery(room);
    scene_receive_flint(room, "FL-9", 1, serial);
    static const char *const states[] = {"sent", "printed"};
    for (size_t i = 0; i < 2; i++)
        (void)room_act(room, "print-mark", json_pack("{s:s,s:i,s:s}", "unit", serial, "number", 1, "state", states[i]));
    (void)room_scan(room, serial);
    (void)room_scan(room, "A01");
    (void)room_press(room, "DONE");
}

static struct question the_claim(struct room *room)
{
    struct question question = {.seq = 0};
    bool found = false;
    assert_true(question_load(room->reader, room_question(room, "supplier-claim"), &question, &found, NULL));
    assert_true(found);
    return question;
}

static void an_outlet_that_does_not_open_is_held_and_claimed_by_two_scans(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    receive(room, serial);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, serial);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZOUTLET-STUCK\x1e\x04");
    room_expect(room, "go", "idle", "its outlet does not open");
    assert_string_equal(room_unit(room, serial).hold, "outlet-stuck");
    const struct question claim = the_claim(room);
    assert_string_equal(claim.unit, serial);
    assert_non_null(strstr(claim.note, "does not open: item FLINT, lot FL-9."));
    assert_non_null(strstr(claim.note, "It came with delivery "));
    assert_non_null(strstr(claim.note, ": claim it there."));
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    assert_string_equal(room_unit(room, serial).hold, "");
    assert_int_equal(room_question(room, "supplier-claim"), 0);
}

/* Found out in the printer: scanned there it proposes its way back. */
static void one_that_leaks_in_the_printer_has_a_key(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->flint);
    room_expect_key(room, "OUTLET-LEAKS", true);
    (void)room_press(room, "OUTLET-LEAKS");
    room_expect(room, "ask", "check-in", "Scan your badge to put this on hold");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "OUTLET-LEAKS");
    assert_string_equal(room_unit(room, room->flint).hold, "outlet-leaks");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
    assert_non_null(strstr(the_claim(room).note, "leaks: item FLINT, lot FL-1. It was taken on"));
}

static void a_script_says_it_as_the_reason_of_a_hold(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "outlet-leaks"));
    assert_int_equal(room_question(room, "supplier-claim"), 0); /* a vat has none */
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    assert_int_equal(room_question(room, "supplier-claim"), 0);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "outlet-leaks"));
    assert_true(room_question(room, "supplier-claim") > 0);
}

static void the_card_needs_one_cartridge(void **state)
{
    struct room *room = *state;
    (void)room_press(room, "OUTLET-STUCK");
    room_expect(room, NULL, "idle", "Scan the one cartridge whose outlet it is");
    (void)room_scan(room, room->vat_flint);
    room_expect_key(room, "OUTLET-STUCK", false);
    (void)room_press(room, "OUTLET-STUCK");
    room_expect(room, NULL, "check-out", "Scan the one cartridge whose outlet it is");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
}

static bool is_said(struct room *room, const char *words)
{
    size_t i;
    json_t *prompt;
    json_array_foreach(json_object_get(room->view, "prompts"), i, prompt)
    {
        if (strstr(json_string_value(prompt), words))
            return true;
    }
    return false;
}

static void the_first_opening_is_looked_at_and_a_vent_is_closed(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint);
    assert_true(is_said(room, "gentle press of a gloved finger"));
    (void)room_press(room, "NO");
    (void)room_act(room, "pour",
                   json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_flint, "amount_ml", 10));
    (void)room_scan(room, room->flint);
    assert_false(is_said(room, "gentle press of a gloved finger")); /* it was opened for that */
    assert_true(is_said(room, "Uncured resin irritates"));
    assert_false(is_said(room, "Close the vent"));
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint_more, "printer", "CAPSTAN"));
    (void)room_press(room, "NO");
    (void)room_scan(room, room->flint_more);
    assert_true(is_said(room, "Close the vent"));
    assert_false(is_said(room, "Look at the film"));
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_outlet_that_does_not_open_is_held_and_claimed_by_two_scans),
        IN_ROOM(one_that_leaks_in_the_printer_has_a_key),
        IN_ROOM(a_script_says_it_as_the_reason_of_a_hold),
        IN_ROOM(the_card_needs_one_cartridge),
        IN_ROOM(the_first_opening_is_looked_at_and_a_vent_is_closed),
    };
    return cmocka_run_group_tests_name("desk/outlet", tests, room_group_setup, room_group_teardown);
}
