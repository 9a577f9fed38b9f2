#include "kiosk/desk/overrule.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_detail.h"
#include "tests/desk/reason_scenes.h"

/* A storekeeper lets a stop go, with the PIN. What may be overruled is common practice of the trade, no source. */

static void approved_by(struct room *room, const char *badge)
{
    (void)snprintf(room->approver, sizeof room->approver, "%s", badge);
}

static void acts_as(struct room *room, const char *badge)
{
    (void)snprintf(room->person, sizeof room->person, "%s", badge);
}

/* What the newest movement of this kind says was overruled, and by whom; "" nothing. */
static void expect_overruled(struct room *room, const char *serial, enum movement_kind kind, const char *codes,
                             const char *approver)
{
    struct movement movement;
    char said[100] = "", who[SERIAL_SIZE] = "";
    bool found = false;
    json_t *detail = NULL;
    assert_true(ledger_last_of_unit(room->reader, serial, kind, &movement, &found, NULL));
    assert_true(found && movement_detail_read(movement.detail, &detail, NULL));
    assert_true(movement_detail_text(detail, "overruled", said, sizeof said, NULL));
    assert_true(movement_detail_text(detail, "approver", who, sizeof who, NULL));
    json_decref(detail);
    assert_string_equal(said, codes);
    assert_string_equal(who, approver);
}

static void stop_the_expired_one(struct room *room)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "expired");
}

static json_t *press_of(const char *word)
{
    return json_pack("{s:s}", "word", word);
}

static json_t *check_out(const char *serial)
{
    return json_pack("{s:[s],s:s,s:b}", "units", serial, "printer", "CAPSTAN", "overrule", 1);
}

static json_t *pour(const char *from, const char *to)
{
    return json_pack("{s:s,s:s,s:i,s:b}", "from", from, "to", to, "amount_ml", 100, "overrule", 1);
}

static void with_the_pin_it_is_booked_and_said_so(void **state)
{
    struct room *room = *state;
    stop_the_expired_one(room);
    room_expect_key(room, "OVERRULE", true);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "go", "idle", "to Capstan. A storekeeper overruled: expired.");
    room_expect_booked(room, true);
    const struct unit unit = room_unit(room, room->flint_old);
    assert_int_equal(unit.status, UNIT_OUT);
    assert_string_equal(unit.holder, room->tobias);
    expect_overruled(room, room->flint_old, MOVEMENT_CHECK_OUT, "expired", room->maren);
    assert_int_equal(room_movements(room, MOVEMENT_APPROVAL), 1);
    assert_int_equal(room_question(room, NULL), 0);                   /* who would be asked has decided */
    assert_true(json_is_null(json_object_get(room->view, "person"))); /* the group is closed */
}

static void without_it_nothing_changes(void **state)
{
    struct room *room = *state;
    approved_by(room, "");
    stop_the_expired_one(room);
    room_refuses(room, "press", press_of("OVERRULE"), FAULT_APPROVAL,
                 "a storekeeper overrules a stop (expired): it needs a storekeeper's PIN");
    approved_by(room, room->jarl);
    room_refuses(room, "press", press_of("OVERRULE"), FAULT_APPROVAL, "is none: ask one for the PIN");
    acts_as(room, room->tobias);
    approved_by(room, "");
    room_refuses(room, "check-out", check_out(room->flint_old), FAULT_APPROVAL, "(expired)");
    (void)room_press(room, "YES"); /* is no answer to a stop */
    room_expect(room, "stop", "check-out", "expired");
    room_expect_key(room, "OVERRULE", true);
    approved_by(room, room->maren);
    (void)room_press(room, "OVERRULE");
    room_expect_booked(room, true);
}

static void a_card_has_no_pin(void **state)
{
    struct room *room = *state;
    approved_by(room, "");
    stop_the_expired_one(room);
    (void)room_scan(room, "[)>\x1e"
                          "06\x1dZOVERRULE\x1e\x04");
    room_expect(room, "stop", "check-out", "press the key 'Storekeeper overrules' on the page");
    room_expect_key(room, "OVERRULE", true);
    room_expect_booked(room, false);
    (void)room_press(room, "NO");
    (void)room_press(room, "OVERRULE");
    room_expect(room, NULL, "idle", "Nothing is stopped here");
}

static void what_nobody_overrules_is_refused_with_its_sentence(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_oak);
    (void)room_scan(room, room->flint_old); /* expired, and another resin */
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "");
    room_expect_reason(room, "expired", "");
    room_expect_key(room, "OVERRULE", false);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "stop", "check-out", "holds Flint, but");
    room_expect_booked(room, false);
    acts_as(room, room->tobias);
    room_refuses(room, "pour", pour(room->oak, room->vat_flint), FAULT_REFUSED, "nobody overrules this: C");
    room_refuses(room, "pour", pour(room->oak, room->vat_flint), FAULT_REFUSED, "resins are never mixed");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    room_refuses(room, "check-out", check_out(room->flint), FAULT_REFUSED, "is already out");
}

static void a_role_is_not_overruled(void **state)
{
    struct room *room = *state;
    char receiver[SERIAL_SIZE];
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Ines", "role", "receiver"));
    (void)snprintf(receiver, sizeof receiver, "%s", json_string_value(json_object_get(room->view, "serial")));
    acts_as(room, receiver);
    room_refuses(room, "check-out", check_out(room->flint), FAULT_REFUSED, "takes things to a printer");
    (void)room_scan(room, receiver);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "CAPSTAN");
    room_expect_key(room, "OVERRULE", false);
}

static void a_hold_is_not_released_by_it(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "dirty"));
    acts_as(room, room->tobias);
    (void)room_act(room, "check-out", check_out(room->flint));
    room_expect_booked(room, true);
    expect_overruled(room, room->flint, MOVEMENT_CHECK_OUT, "on-hold", room->maren);
    assert_string_equal(room_unit(room, room->flint).hold, "dirty");
}

static void an_item_that_nobody_completed_is_not_let_through(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    scene_receive_unknown(room, serial);
    room_refuses(room, "check-out", check_out(serial), FAULT_REFUSED, "its item is not completed yet");
}

static void each_thing_of_a_group_keeps_its_own_reasons(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, "CAPSTAN");
    (void)room_press(room, "OVERRULE");
    room_expect(room, "go", "idle", "Booked: 2 things to Capstan. A storekeeper overruled: expired.");
    expect_overruled(room, room->flint_old, MOVEMENT_CHECK_OUT, "expired", room->maren);
    expect_overruled(room, room->vat_flint, MOVEMENT_CHECK_OUT, "", "");
}

static void what_came_up_meanwhile_is_looked_at_first(void **state)
{
    struct room *room = *state;
    stop_the_expired_one(room);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint_old, "reason", "leaking"));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    (void)room_press(room, "OVERRULE");
    room_expect(room, "stop", "check-out", "on hold: leaking");
    room_expect_booked(room, false);
    room_restart(room); /* the reasons on the screen outlive it */
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "OVERRULE");
    room_expect_booked(room, true);
    expect_overruled(room, room->flint_old, MOVEMENT_CHECK_OUT, "on-hold expired", room->maren);
}

static void a_stop_that_went_away_needs_nobody(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "dirty"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    (void)snprintf(room->counter, sizeof room->counter, "front");
    const int64_t approvals = room_movements(room, MOVEMENT_APPROVAL);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "ask", "check-out", "How much resin");
    room_expect_booked(room, false);
    assert_int_equal(room_movements(room, MOVEMENT_APPROVAL), approvals);
}

static void somebody_has_to_do_it(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->flint_old);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "ask", "check-out", "Scan the printer it goes to first");
    (void)room_scan(room, "CAPSTAN");
    (void)room_press(room, "OVERRULE");
    room_expect(room, "ask", "check-out", "Scan your badge to take this");
    room_expect_booked(room, false);
    (void)room_scan(room, room->jarl);
    room_expect(room, "stop", "check-out", "expired");
    (void)room_press(room, "OVERRULE");
    assert_string_equal(room_unit(room, room->flint_old).holder, room->jarl);
}

static void undo_takes_it_back(void **state)
{
    struct room *room = *state;
    stop_the_expired_one(room);
    (void)room_press(room, "OVERRULE");
    room_expect_undo(room, "Tobias: check-out of");
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint_old).status, UNIT_IN);
    assert_int_equal(room_movements(room, MOVEMENT_APPROVAL), 1); /* that she approved it stays said */
}

static void a_pour_is_overruled_at_the_counter_once_the_amount_is_said(void **state)
{
    struct room *room = *state;
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->flint_old);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "POUR");
    room_expect(room, "stop", "pour", "expired");
    room_expect_key(room, "TAKEN", true);
    room_expect_key(room, "OVERRULE", true);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "ask", "pour", "Say how much, or 'nobody knows', first");
    (void)room_press(room, "100ML");
    room_expect(room, "stop", "pour", "expired");
    (void)room_press(room, "OVERRULE");
    room_expect(room, "go", "idle", "100 ml from");
    expect_overruled(room, room->flint_old, MOVEMENT_POUR, "expired", room->maren);
    room_expect_content(room, room->vat_empty, "100000:FLINT:FL-9");
    assert_int_equal(room_question(room, NULL), 0);
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    room_expect_content(room, room->vat_empty, "");
}

/* Somebody untrained under a storekeeper's eyes, and what is asked besides is answered with it. */
static void who_is_not_trained_may_be_watched(void **state)
{
    struct room *room = *state;
    (void)room_act(
        room, "person-entry",
        json_pack("{s:s,s:s,s:s,s:[]}", "name", "Jarl", "role", "technician", "serial", room->jarl, "training"));
    acts_as(room, room->jarl);
    (void)room_act(room, "pour", pour(room->flint3, room->vat_fogged));
    room_expect_booked(room, true);
    expect_overruled(room, room->flint3, MOVEMENT_POUR, "other-revision not-trained", room->maren);
    (void)room_act(
        room, "retire",
        json_pack("{s:s,s:s,s:b,s:b}", "unit", room->vat_empty, "reason", "worn", "overrule", 1, "confirm", 1));
    room_expect_booked(room, true);
    expect_overruled(room, room->vat_empty, MOVEMENT_RETIRE, "not-trained", room->maren);
    room_refuses(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "worn"), FAULT_REFUSED,
                 "this needs the training 'retire'");
}

static void a_retirement_is_overruled_at_the_counter(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "recall"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "RETIRE");
    room_expect(room, "stop", "retire", "on hold: recall");
    room_expect_key(room, "OVERRULE", true);
    (void)room_press(room, "OVERRULE");
    room_expect(room, "go", "idle", "Deface its labels. A storekeeper overruled: on-hold.");
    expect_overruled(room, room->vat_flint, MOVEMENT_RETIRE, "on-hold", room->maren);
    assert_string_equal(room_unit(room, room->vat_flint).heir, room->vat_empty);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_oak);
    (void)room_press(room, "RETIRE");
    room_expect_reason(room, "still-full", "");
    room_expect_key(room, "OVERRULE", false); /* the resin would be gone from the books */
    (void)room_press(room, "OVERRULE");
    room_expect(room, "stop", "retire", "400 ml are still in");
    room_expect_booked(room, false);
}

static void a_script_overrules_a_stop_and_nothing_else(void **state)
{
    struct room *room = *state;
    acts_as(room, room->tobias);
    (void)room_act(room, "check-out", check_out(room->vat_fogged)); /* only asked about */
    room_expect(room, "ask", "check-out", "fogged");
    room_expect_booked(room, false);
    (void)room_act(room, "check-out", check_out(room->flint)); /* nothing speaks against it */
    room_expect_booked(room, true);
    expect_overruled(room, room->flint, MOVEMENT_CHECK_OUT, "", "");
    assert_int_equal(room_movements(room, MOVEMENT_APPROVAL), 0);
    json_t *both = check_out(room->flint_old), *poured = pour(room->flint_old, room->vat_empty);
    json_object_set_new(both, "taken", json_true());
    json_object_set_new(poured, "taken", json_true());
    room_refuses(room, "check-out", both, FAULT_INPUT, "say one of them");
    room_refuses(room, "pour", poured, FAULT_INPUT, "say one of them");
    acts_as(room, "");
    room_refuses(room, "check-out", check_out(room->flint_old), FAULT_INPUT, "nobody is signed in");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(with_the_pin_it_is_booked_and_said_so),
        IN_ROOM(without_it_nothing_changes),
        IN_ROOM(a_card_has_no_pin),
        IN_ROOM(what_nobody_overrules_is_refused_with_its_sentence),
        IN_ROOM(a_role_is_not_overruled),
        IN_ROOM(a_hold_is_not_released_by_it),
        IN_ROOM(an_item_that_nobody_completed_is_not_let_through),
        IN_ROOM(each_thing_of_a_group_keeps_its_own_reasons),
        IN_ROOM(what_came_up_meanwhile_is_looked_at_first),
        IN_ROOM(a_stop_that_went_away_needs_nobody),
        IN_ROOM(somebody_has_to_do_it),
        IN_ROOM(undo_takes_it_back),
        IN_ROOM(a_pour_is_overruled_at_the_counter_once_the_amount_is_said),
        IN_ROOM(who_is_not_trained_may_be_watched),
        IN_ROOM(a_retirement_is_overruled_at_the_counter),
        IN_ROOM(a_script_overrules_a_stop_and_nothing_else),
    };
    return cmocka_run_group_tests_name("desk/overrule", tests, room_group_setup, room_group_teardown);
}
