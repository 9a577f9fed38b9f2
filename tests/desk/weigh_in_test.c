#include "kiosk/desk/weigh_in.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/movement_detail.h"
#include "tests/desk/room.h"

/* A resin of 1.12 g/ml (invented). Mass over density with buoyancy as the rule "weigh" has it (JCGM 100; OIML R 111-1):
 * 560 g are 560 / 1.12 x (1 - 0.0012/8) / (1 - 0.0012/1.12) = 500.46 ml, by hand. */

static void enter_density(struct room *room)
{
    room_act(room, "item-entry",
             json_pack("{s:s,s:s,s:s,s:s,s:s,s:i,s:f}", "code", "FLINT", "letter", "C", "name", "Flint cartridge",
                       "resin", "Flint", "revision", "2", "content_ml", 1000, "density_g_ml", 1.12));
}

static json_t *weight(const char *unit, double gross, double tare)
{
    json_t *content = json_pack("{s:s,s:f}", "unit", unit, "gross_g", gross);
    if (tare > 0)
        json_object_set_new(content, "tare_g", json_real(tare));
    return content;
}

static void weight_and_books_that_agree_are_fused(void **state)
{
    struct room *room = *state;
    enter_density(room);
    room_act(room, "amount", json_pack("{s:s,s:i}", "unit", room->flint, "amount_ml", 490));
    room_act(room, "weigh", weight(room->flint, 710, 150));
    room_expect_booked(room, true);
    const struct unit unit = room_unit(room, room->flint);
    assert_in_range(unit.amount_ul, 499900, 500460); /* nearly the weight's: the books are worth 10 ml, it 1.5 */
    assert_int_equal(unit.tare_dg, 1500);
    assert_false(unit.estimated);
    /* the tare is known from now on */
    room_act(room, "weigh", weight(room->flint, 598, 0));
    room_expect(room, "ask", "idle", "400 ml are in");
}

static void weight_against_the_books_is_asked_about_and_told(void **state)
{
    struct room *room = *state;
    enter_density(room);
    room_act(room, "weigh", weight(room->flint, 710, 150)); /* 1000 ml by the books */
    room_expect(room, "ask", "idle", "500 ml are in");
    room_expect_reason(room, "weight-differs", "1000 ml by the books");
    room_expect_booked(room, false);
    json_t *content = weight(room->flint, 710, 150);
    json_object_set_new(content, "confirm", json_true());
    room_act(room, "weigh", content);
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->flint).amount_ul, 500461); /* the weight's alone */
    assert_true(room_question(room, "weight-differs") > 0);
}

static void what_cannot_be_is_a_stop(void **state)
{
    struct room *room = *state;
    enter_density(room);
    room_act(room, "weigh", weight(room->flint, 100, 150));
    room_expect_reason(room, "weight", "less than the empty container");
    room_act(room, "weigh", weight(room->flint, 3000, 150));
    room_expect_reason(room, "weight", "more than the 1000 ml it can hold");
    json_t *content = weight(room->flint, 3000, 150);
    json_object_set_new(content, "confirm", json_true());
    room_act(room, "weigh", content);
    room_expect_booked(room, false);
}

static void what_is_not_known_is_said(void **state)
{
    struct room *room = *state;
    room_refuses(room, "weigh", weight(room->flint, 710, 150), FAULT_REFUSED, "no density is entered for FLINT");
    enter_density(room);
    room_refuses(room, "weigh", weight(room->flint, 710, 0), FAULT_REFUSED, "weighs when empty is not known");
    room_refuses(room, "weigh", weight(room->vat_empty, 710, 150), FAULT_REFUSED, "empty by the books");
    room_refuses(room, "weigh", json_pack("{s:s}", "unit", room->flint), FAULT_INPUT, "'gross_g' is missing");
    room_refuses(room, "weigh", weight("C999999X", 710, 150), FAULT_MISSING, "is not known here");
}

static void an_empty_one_says_its_tare(void **state)
{
    struct room *room = *state;
    enter_density(room);
    json_t *content = weight(room->vat_empty, 812.5, 0);
    json_object_set_new(content, "empty", json_true());
    room_act(room, "weigh", content);
    room_expect_booked(room, true);
    assert_int_equal(room_unit(room, room->vat_empty).tare_dg, 8125);
    room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_empty, "amount_ml", 300));
    room_act(room, "weigh", weight(room->vat_empty, 812.5 + 336, 0));
    room_expect_booked(room, true);
    assert_in_range(room_unit(room, room->vat_empty).amount_ul, 299000, 301000);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(weight_and_books_that_agree_are_fused),
        IN_ROOM(weight_against_the_books_is_asked_about_and_told),
        IN_ROOM(what_cannot_be_is_a_stop),
        IN_ROOM(what_is_not_known_is_said),
        IN_ROOM(an_empty_one_says_its_tare),
    };
    return cmocka_run_group_tests_name("desk/weigh_in", tests, room_group_setup, room_group_teardown);
}
