#include "kiosk/desk/lives.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* How long this room's own vats last, out of what was booked of them. */

static void item(struct room *room)
{
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-X", "letter", "V", "name", "Vat of a life", "life_hours", 48));
}

static void run(struct room *room, const char *unit, int hours)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s,s:b}", "units", unit, "printer", "CAPSTAN", "confirm", 1));
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", unit, "minutes", hours * 60, "place", "B01"));
}

static void retire(struct room *room, const char *unit, const char *reason)
{
    (void)room_act(room, "retire", json_pack("{s:s,s:s,s:b}", "unit", unit, "reason", reason, "confirm", 1));
    assert_int_equal(room_unit(room, unit).status, UNIT_RETIRED);
}

/* One that came with `had` hours on it, ran, and left for `reason` (NULL: serves yet). */
static void live(struct room *room, int had, int hours, const char *reason)
{
    char vat[SERIAL_SIZE];
    room_take_on(room, "VAT-X", json_pack("{s:i}", "hours", had), vat);
    if (hours > had)
        run(room, vat, hours - had);
    if (reason)
        retire(room, vat, reason);
}

static json_t *lives(struct room *room)
{
    json_t *answer = NULL;
    struct fault fault = {.code = FAULT_NONE};
    if (!lives_of_item(room->reader, "VAT-X", &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static int whole(const json_t *answer, const char *key)
{
    return (int)json_integer_value(json_object_get(answer, key));
}

static void expect_quantiles(const json_t *answer, double tenth, double half)
{
    const json_t *list = json_object_get(answer, "quantiles");
    const double found[] = {json_real_value(json_object_get(json_array_get(list, 0), "hours")),
                            json_real_value(json_object_get(json_array_get(list, 1), "hours"))};
    assert_true(found[0] == tenth && found[1] == half);
}

/* The eleven of the maintained group in Miller, Survival Analysis, 1981, as hours of vats: a tenth are gone by 13, half
 * by 31, and 0.184 outlast 48 (the quantiles as printed there; the share is 10/11 x 9/10 x 7/8 x 6/7 x 4/5 x 3/4 x 1/2,
 * by hand). */
static void eleven_lives_of_a_textbook_last_as_it_says(void **state)
{
    static const struct {
        int hours;
        const char *reason;
    } units[] = {{9, "worn"},       {13, "film-damaged"}, {13, "lost"}, {18, "leaking"}, {23, "worn"},  {28, NULL},
                 {31, "scratched"}, {34, "worn"},         {45, NULL},   {48, "worn"},    {161, "empty"}};
    struct room *room = *state;
    item(room);
    for (size_t i = 0; i < sizeof units / sizeof *units; i++)
        live(room, 0, units[i].hours, units[i].reason);
    json_t *answer = lives(room);
    assert_int_equal(whole(answer, "units"), 11);
    assert_int_equal(whole(answer, "ends"), 7);
    assert_int_equal(whole(answer, "left_out"), 0);
    expect_quantiles(answer, 13, 31);
    assert_true(json_real_value(json_object_get(answer, "rated_hours")) == 48);
    const double share = 10. / 11 * 9 / 10 * 7 / 8 * 6 / 7 * 4 / 5 * 3 / 4 * 1 / 2;
    assert_float_equal(json_real_value(json_object_get(answer, "outlast_rated")), share, 1e-12);
    assert_string_equal(json_string_value(json_object_get(answer, "sentence")),
                        "7 of 11 units came to their end; half are gone by 31 hours.");
    json_decref(answer);
}

/* By hand: at 12 h three are watched (the one with 10 h behind it came in time, that with 18 not yet), at 15 two, at 20
 * two. Counted from 0, all four would be there at 12, and a quarter would outlast 48. */
static void one_that_came_with_hours_on_it_enters_late(void **state)
{
    struct room *room = *state;
    item(room);
    live(room, 10, 20, "worn");
    live(room, 0, 15, "worn");
    live(room, 0, 12, "worn");
    live(room, 18, 50, NULL);
    json_t *answer = lives(room);
    assert_int_equal(whole(answer, "units"), 4);
    assert_float_equal(json_real_value(json_object_get(answer, "outlast_rated")), 2. / 3 * 1 / 2 * 1 / 2, 1e-12);
    json_decref(answer);
}

static void what_nobody_knows_the_hours_of_and_what_has_not_run_is_left_out_and_counted(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    item(room);
    room_take_on(room, "VAT-X", NULL, vat);
    live(room, 30, 30, "worn");
    json_t *none = lives(room);
    assert_int_equal(whole(none, "units"), 0);
    assert_int_equal(whole(none, "left_out"), 2);
    assert_true(json_is_null(json_object_get(none, "outlast_rated")));
    assert_string_equal(json_string_value(json_object_get(none, "sentence")),
                        "None has run here yet whose hours are known.");
    json_decref(none);
    live(room, 0, 7, NULL);
    json_t *one = lives(room);
    assert_int_equal(whole(one, "units"), 1);
    assert_int_equal(whole(one, "left_out"), 2);
    assert_int_equal(whole(one, "ends"), 0);
    json_decref(one);
}

static void a_vat_whose_label_was_lost_keeps_its_life(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE], fresh[SERIAL_SIZE];
    item(room);
    room_take_on(room, "VAT-X", json_pack("{s:i}", "hours", 10), vat);
    run(room, vat, 5);
    const json_t *said = room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", vat, "confirm", 1));
    (void)span_copy(span_of(json_string_value(json_object_get(said, "serial"))), fresh, sizeof fresh);
    run(room, fresh, 5);
    retire(room, fresh, "worn");
    live(room, 0, 12, "worn");
    json_t *answer = lives(room);
    assert_int_equal(whole(answer, "units"), 2);
    assert_int_equal(whole(answer, "left_out"), 0);
    assert_int_equal(whole(answer, "ends"), 2);
    json_decref(answer);
}

static void a_retirement_taken_back_is_no_end(void **state)
{
    struct room *room = *state;
    item(room);
    live(room, 0, 12, "worn");
    (void)room_act(room, "undo", json_object());
    json_t *answer = lives(room);
    assert_int_equal(whole(answer, "units"), 1);
    assert_int_equal(whole(answer, "ends"), 0);
    json_decref(answer);
}

static void an_item_that_is_not_known_is_said(void **state)
{
    struct room *room = *state;
    json_t *answer = NULL;
    struct fault fault = {.code = FAULT_NONE};
    assert_false(lives_of_item(room->reader, "NO-SUCH", &answer, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_null(answer);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(eleven_lives_of_a_textbook_last_as_it_says),
        IN_ROOM(one_that_came_with_hours_on_it_enters_late),
        IN_ROOM(what_nobody_knows_the_hours_of_and_what_has_not_run_is_left_out_and_counted),
        IN_ROOM(a_vat_whose_label_was_lost_keeps_its_life),
        IN_ROOM(a_retirement_taken_back_is_no_end),
        IN_ROOM(an_item_that_is_not_known_is_said),
    };
    return cmocka_run_group_tests_name("desk/lives", tests, room_group_setup, room_group_teardown);
}
