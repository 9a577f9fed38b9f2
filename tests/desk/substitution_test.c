#include "kiosk/ledger/substitutions.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Revision 3 of Flint may come where 2 is wanted: at a check-out, a pour, a job's ticket. Common practice, no source.
 */

static json_t *entry(json_t *until, const char *wanted, const char *given)
{
    return json_pack("{s:s,s:s,s:s,s:o}", "resin", "Flint", "wanted", wanted, "given", given, "until", until);
}

/* 3 for 2, until `days` from today. */
static void let_3_stand_in(struct room *room, int days)
{
    (void)room_act(room, "substitution-entry", entry(room_day(room, days), "2", "3"));
    room_expect_booked(room, true);
}

static void at_another_counter_end_it(struct room *room)
{
    char counter[COUNTER_SIZE];
    memcpy(counter, room->counter, sizeof counter);
    (void)snprintf(room->counter, sizeof room->counter, "back");
    (void)room_act(room, "substitution-end", json_pack("{s:s,s:s,s:s}", "resin", "Flint", "wanted", "2", "given", "3"));
    room_expect(room, "go", "idle", "Flint revision 3 no longer stands in for 2");
    memcpy(room->counter, counter, sizeof counter);
}

static struct substitution row_of(struct room *room, const char *wanted, const char *given)
{
    struct substitution row = {.resin = "Flint"};
    bool found;
    (void)snprintf(row.wanted, sizeof row.wanted, "%s", wanted);
    (void)snprintf(row.given, sizeof row.given, "%s", given);
    assert_true(substitution_load(room->reader, &row, &found, NULL));
    if (!found)
        row.version = 0;
    return row;
}

/* ---- entering ---- */

static void a_storekeeper_enters_it_with_a_pin_and_ends_it_without(void **state)
{
    struct room *room = *state;
    room->approver[0] = '\0';
    room_refuses(room, "substitution-entry", entry(room_day(room, 30), "2", "3"), FAULT_APPROVAL,
                 "needs a storekeeper's PIN");
    (void)snprintf(room->approver, sizeof room->approver, "%s", room->maren);
    let_3_stand_in(room, 30);
    room_expect(room, "go", "idle", "Flint revision 3 may come where 2 is wanted, until 2026-04-01");
    struct substitution row = row_of(room, "2", "3");
    assert_string_equal(row.approver, room->maren);
    assert_int_equal(row.until, room_today(room) + 30);
    assert_int_equal(room_movements(room, MOVEMENT_APPROVAL), 1);
    assert_int_equal(row_of(room, "3", "2").version, 0);
    room->approver[0] = '\0';
    at_another_counter_end_it(room);
    row = row_of(room, "2", "3");
    assert_true(row.ended);
    assert_int_equal(row.until, room_today(room));
    room_refuses(room, "substitution-end", json_pack("{s:s,s:s,s:s}", "resin", "Flint", "wanted", "2", "given", "3"),
                 FAULT_REFUSED, "none to end");
}

static void what_makes_no_sense_is_not_entered(void **state)
{
    struct room *room = *state;
    room_refuses(room, "substitution-entry", entry(room_day(room, 30), "2", "2"), FAULT_INPUT, "say two revisions");
    room_refuses(room, "substitution-entry", entry(room_day(room, 30), "2", "9"), FAULT_INPUT,
                 "no item here is Flint revision 9");
    room_refuses(room, "substitution-entry", entry(room_day(room, -1), "2", "3"), FAULT_INPUT,
                 "2026-03-01, which is past");
    room_refuses(room, "substitution-entry", entry(json_null(), "2", "3"), FAULT_INPUT, "'until' is missing");
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    room_refuses(room, "substitution-entry", entry(room_day(room, 30), "2", "3"), FAULT_REFUSED,
                 "a storekeeper says which revision stands in");
    room_refuses(room, "substitution-end", json_pack("{s:s,s:s,s:s}", "resin", "Flint", "wanted", "2", "given", "3"),
                 FAULT_REFUSED, "a storekeeper says which revision stands in");
}

/* A revision that is wanted may be older than the catalogue. */
static void what_is_wanted_needs_no_item(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "substitution-entry", entry(room_day(room, 0), "1", "2"));
    room_expect_booked(room, true);
}

/* ---- at a check-out ---- */

static void go_together(struct room *room, const char *one, const char *two)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, one);
    (void)room_scan(room, two);
    (void)room_scan_printer(room, "CAPSTAN");
}

static void a_cartridge_goes_with_a_vat_of_the_revision_it_stands_in_for(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint3);
    room_expect(room, "go", "check-out", "may go");
    room_expect_reason(room, "substituted", "Flint: revision 3 stands in for 2 until 2026-04-01 (approved by Maren)");
    (void)room_scan(room, "CAPSTAN");
    room_expect_reason(room, "substituted", "approved by Maren");
    (void)room_press(room, "UNKNOWN"); /* how much the job needs */
    room_expect(room, "go", "idle", "Booked");
    room_expect_booked(room, true);
    room_expect_reason(room, "substituted", "approved by Maren"); /* said once more with what was booked */
    assert_int_equal(room_unit(room, room->flint3).status, UNIT_OUT);
}

static void it_does_not_go_the_other_way(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    let_3_stand_in(room, 30);
    room_take_on(room, "VAT-S",
                 json_pack("{s:s,s:s,s:i,s:o}", "resin", "FLINT3", "lot", "VT-3", "amount_ml", 300, "expires",
                           room_day(room, 90)),
                 vat);
    go_together(room, vat, room->flint);
    room_expect(room, "stop", "check-out", "revision");
    room_expect_reason(room, "other-revision", "");
    room_expect_no_reason(room, "substituted");
    room_expect_booked(room, false);
}

static void without_a_row_it_is_a_stop(void **state)
{
    struct room *room = *state;
    go_together(room, room->vat_flint, room->flint3);
    room_expect(room, "stop", "check-out", "holds revision");
    room_expect_reason(room, "other-revision", "");
    room_expect_booked(room, false);
}

static void it_counts_through_its_last_day_and_not_the_day_after(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 1);
    room_pass(room, 24L * 60 * 60); /* its last day */
    (void)room_act(room, "check-out",
                   json_pack("{s:[s,s],s:s}", "units", room->vat_flint, room->flint3, "printer", "CAPSTAN"));
    room_expect_reason(room, "substituted", "until 2026-03-03");
    room_expect_no_reason(room, "other-revision");
    (void)room_act(room, "undo", json_object());
    room_pass(room, 24L * 60 * 60);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s,s],s:s}", "units", room->vat_flint, room->flint3, "printer", "CAPSTAN"));
    room_expect(room, "stop", "check-out", "");
    room_expect_reason(room, "other-revision", "The substitution ended on 2026-03-03.");
    room_expect_no_reason(room, "substituted");
}

static void what_was_ended_meanwhile_stops(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, room->flint3);
    room_expect(room, "go", "check-out", "may go");
    at_another_counter_end_it(room);
    (void)room_scan_printer(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "ended on 2026-03-02");
    room_expect_booked(room, false);
}

static void an_unconfirmed_clock_asks(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    room_distrust_clock(room);
    go_together(room, room->vat_flint, room->flint3);
    room_expect(room, "ask", "check-out", "");
    room_expect_reason(room, "substitution-clock", "clock is not confirmed: Flint revision 3 stands in for 2");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

/* ---- at a pour ---- */

static json_t *pour_of(const char *from, const char *to)
{
    return json_pack("{s:s,s:s,s:i}", "from", from, "to", to, "amount_ml", 100);
}

static void a_vat_topped_up_with_it_goes_on_as_the_revision_it_held(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    (void)room_act(room, "pour", pour_of(room->flint3, room->vat_flint));
    room_expect(room, "go", "idle", "Booked: 100 ml");
    room_expect_reason(room, "substituted", "stands in for 2");
    const struct unit vat = room_unit(room, room->vat_flint);
    assert_string_equal(vat.resin, "FLINT");
    assert_string_equal(vat.lot, "");
    room_expect_content(room, room->vat_flint, "400000:FLINT:VT-1 100000:FLINT3:FN-1");
    (void)room_act(room, "pour", pour_of(room->flint, room->vat_flint)); /* of 2, as before */
    room_expect(room, "go", "idle", "Booked");
    room_expect_no_reason(room, "substituted");
}

static void a_pour_the_other_way_or_without_a_row_is_a_stop(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    (void)room_act(room, "pour", pour_of(room->flint3, room->vat_flint));
    room_expect_reason(room, "other-revision", "");
    room_expect_booked(room, false);
    let_3_stand_in(room, 30);
    room_take_on(room, "VAT-S",
                 json_pack("{s:s,s:s,s:i,s:o}", "resin", "FLINT3", "lot", "VT-3", "amount_ml", 300, "expires",
                           room_day(room, 90)),
                 vat);
    (void)room_act(room, "pour", pour_of(room->flint, vat));
    room_expect(room, "stop", "idle", "");
    room_expect_reason(room, "other-revision", "");
    room_expect_booked(room, false);
}

/* The one that comes has the code that sorts first: it is not what the mix goes as. */
static void a_clean_vat_takes_over_as_what_the_mix_goes(void **state)
{
    struct room *room = *state;
    char fresh[SERIAL_SIZE];
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "AFLINT", "letter", "C", "name",
                             "Flint cartridge, newest", "resin", "Flint", "revision", "4"));
    room_take_on(room, "AFLINT",
                 json_pack("{s:s,s:o,s:i}", "lot", "FL-4", "expires", room_day(room, 90), "amount_ml", 1000), fresh);
    (void)room_act(room, "substitution-entry", entry(room_day(room, 30), "2", "4"));
    (void)room_act(room, "pour", pour_of(fresh, room->vat_flint));
    room_expect_content(room, room->vat_flint, "100000:AFLINT:FL-4 400000:FLINT:VT-1");
    (void)room_act(room, "pour", json_pack("{s:s,s:s,s:b}", "from", room->vat_flint, "to", room->vat_empty, "all", 1));
    room_expect_booked(room, true);
    room_expect_content(room, room->vat_empty, "100000:AFLINT:FL-4 400000:FLINT:VT-1");
    assert_string_equal(room_unit(room, room->vat_empty).resin, "FLINT");
}

/* ---- a worn vat ---- */

static void the_fresh_vat_takes_what_stands_in_for_its_own(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    room_take_on(room, "VAT-S",
                 json_pack("{s:s,s:s,s:i,s:o}", "resin", "FLINT3", "lot", "VT-3", "amount_ml", 100, "expires",
                           room_day(room, 90)),
                 vat);
    let_3_stand_in(room, 30);
    (void)room_act(room, "retire", json_pack("{s:s,s:s,s:s}", "unit", vat, "to", room->vat_flint, "reason", "worn"));
    room_expect(room, "go", "idle", "is retired");
    room_expect_reason(room, "substituted", "stands in for 2");
}

/* ---- a job's ticket ---- */

static json_t *ticket(const char *revision)
{
    return json_pack("{s:s,s:s,s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1", "resin", "Flint", "revision", revision);
}

static void put_a_vat_of_3_into_capstan(struct room *room)
{
    char vat[SERIAL_SIZE];
    room_take_on(room, "VAT-S",
                 json_pack("{s:s,s:s,s:i,s:o}", "resin", "FLINT3", "lot", "VT-3", "amount_ml", 300, "expires",
                           room_day(room, 90)),
                 vat);
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", vat, "printer", "CAPSTAN", "confirm", 1));
    room_expect_booked(room, true);
}

static void a_ticket_that_asks_for_2_is_printed_with_3(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    put_a_vat_of_3_into_capstan(room);
    (void)room_act(room, "job-start", ticket("2"));
    room_expect(room, "go", "idle", "job KQ-1 runs");
    room_expect_reason(room, "substituted", "stands in for 2");
    assert_int_equal(room_question(room, "job-other-resin"), 0);
}

static void a_ticket_without_a_row_or_the_other_way_is_a_question(void **state)
{
    struct room *room = *state;
    let_3_stand_in(room, 30);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    (void)room_act(room, "job-start", ticket("3")); /* and 2 is in it */
    room_expect_no_reason(room, "substituted");
    assert_true(room_question(room, "job-other-resin") > 0);
}

static void a_ticket_after_the_last_day_is_a_question_that_says_so(void **state)
{
    struct room *room = *state;
    struct question row;
    bool found;
    let_3_stand_in(room, 0);
    put_a_vat_of_3_into_capstan(room);
    room_pass(room, 24L * 60 * 60);
    (void)room_act(room, "job-start", ticket("2"));
    const int64_t question = room_question(room, "job-other-resin");
    assert_true(question > 0);
    assert_true(question_load(room->reader, question, &row, &found, NULL) && found);
    assert_non_null(strstr(row.note, "The substitution ended on 2026-03-02."));
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_storekeeper_enters_it_with_a_pin_and_ends_it_without),
        IN_ROOM(what_makes_no_sense_is_not_entered),
        IN_ROOM(what_is_wanted_needs_no_item),
        IN_ROOM(a_cartridge_goes_with_a_vat_of_the_revision_it_stands_in_for),
        IN_ROOM(it_does_not_go_the_other_way),
        IN_ROOM(without_a_row_it_is_a_stop),
        IN_ROOM(it_counts_through_its_last_day_and_not_the_day_after),
        IN_ROOM(what_was_ended_meanwhile_stops),
        IN_ROOM(an_unconfirmed_clock_asks),
        IN_ROOM(a_vat_topped_up_with_it_goes_on_as_the_revision_it_held),
        IN_ROOM(a_pour_the_other_way_or_without_a_row_is_a_stop),
        IN_ROOM(a_clean_vat_takes_over_as_what_the_mix_goes),
        IN_ROOM(the_fresh_vat_takes_what_stands_in_for_its_own),
        IN_ROOM(a_ticket_that_asks_for_2_is_printed_with_3),
        IN_ROOM(a_ticket_without_a_row_or_the_other_way_is_a_question),
        IN_ROOM(a_ticket_after_the_last_day_is_a_question_that_says_so),
    };
    return cmocka_run_group_tests_name("desk/substitution", tests, room_group_setup, room_group_teardown);
}
