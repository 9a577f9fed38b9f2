#include "kiosk/desk/calibrate.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/print_looks.h"
#include "tests/desk/room.h"

/* Dots by hand: 203 dpi has 25.4 / 203 = 0.12512 mm a dot. What acts do is our own rule. */

static struct label_printer printer_of(struct room *room, const char *name)
{
    struct label_printer row = {.device = ""};
    bool found = false;
    assert_true(label_printer_load(room->reader, name, &row, &found, NULL));
    assert_true(found);
    return row;
}

static void what_was_measured_becomes_whole_dots(void **state)
{
    static const struct {
        double left, top;
        int dpi, right, down;
    } cases[] = {{5, 5, 203, 0, 0},
                 {4, 6, 203, 8, -8} /* 1 mm is 7.99 dots */,
                 {5.06, 4.94, 203, 0, 0} /* 0.48 */,
                 {5.07, 4.93, 203, -1, 1} /* 0.56 */,
                 {3.5, 5, 300, 18, 0} /* 17.7 */,
                 {14.9, 5, 600, -234, 0}};
    struct room *room = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        (void)room_act(room, "calibrate",
                       json_pack("{s:s,s:i,s:f,s:f}", "printer", "label-printer", "dpi", cases[i].dpi, "left_mm",
                                 cases[i].left, "top_mm", cases[i].top));
        const struct label_printer row = printer_of(room, "label-printer");
        if (row.shift_right != cases[i].right || row.shift_down != cases[i].down)
            fail_msg("case %zu: %lld, %lld", i, (long long)row.shift_right, (long long)row.shift_down);
        assert_true(row.module_dots == MOVEMENT_NULL);
    }
}

static void a_stretch_that_came_out_long_is_what_labels_are_drawn_for(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "calibrate",
                   json_pack("{s:s,s:i,s:i,s:f,s:i,s:f,s:i}", "printer", "label-printer", "dpi", 203, "stretch_mm", 40,
                             "came_out_mm", 40.4, "stretch_down_mm", 10, "came_out_down_mm", 9.9, "module_dots", 3));
    room_expect(room, "go", "idle", "comes out 1.00 % long across, 1.00 % short down");
    (void)room_act(room, "calibrate",
                   json_pack("{s:s,s:i,s:f}", "printer", "label-printer", "dpi", 203, "left_mm", 4.0));
    struct label_printer row = printer_of(room, "label-printer");
    assert_int_equal(row.size_across, 101000);
    assert_int_equal(row.size_down, 99000);
    assert_true(row.stretch_um == MOVEMENT_NULL);
    assert_int_equal(row.module_dots, 3); /* what was not measured this time stays */
    assert_int_equal(row.shift_right, 8); /* 1.05 mm in dots of 0.12637 mm are 8.3 */
    (void)room_act(
        room, "calibrate",
        json_pack("{s:s,s:i,s:i,s:f}", "printer", "label-printer", "dpi", 300, "stretch_mm", 40, "came_out_mm", 40.0));
    row = printer_of(room, "label-printer");
    assert_int_equal(row.size_down, 100000); /* at another resolution it is another printer */
    assert_int_equal(row.shift_right, 0);
    assert_true(row.module_dots == MOVEMENT_NULL);
}

/* Line 5 of a print that is 4 % long lies at 5.2 mm where the printer is not off at all. */
static void line_5_is_expected_where_the_printers_own_millimetres_put_it(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "calibrate",
                   json_pack("{s:s,s:i,s:f,s:f,s:i,s:f,s:i,s:f}", "printer", "label-printer", "dpi", 203, "left_mm",
                             5.2, "top_mm", 4.8, "stretch_mm", 40, "came_out_mm", 41.6, "stretch_down_mm", 20,
                             "came_out_down_mm", 19.2));
    struct label_printer row = printer_of(room, "label-printer");
    assert_int_equal(row.shift_right, 0);
    assert_int_equal(row.shift_down, 0);
    (void)room_act(
        room, "calibrate",
        json_pack("{s:s,s:i,s:f,s:f}", "printer", "label-printer", "dpi", 203, "left_mm", 6.2, "top_mm", 4.0));
    row = printer_of(room, "label-printer");
    assert_int_equal(row.shift_right, -8); /* 1 mm in dots of 0.13013 mm are 7.7 */
    assert_int_equal(row.shift_down, 7);   /* 0.8 mm in dots of 0.12012 mm are 6.7 */
}

static void what_makes_no_sense_is_a_sentence(void **state)
{
    struct room *room = *state;
    room_refuses(room, "calibrate", json_pack("{s:s,s:i,s:f}", "printer", "p", "dpi", 203, "left_mm", 16.0),
                 FAULT_INPUT, "left edge");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i,s:i}", "printer", "p", "dpi", 203, "stretch_mm", 40),
                 FAULT_INPUT, "go together");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i,s:f}", "printer", "p", "dpi", 203, "came_out_down_mm", 10.0),
                 FAULT_INPUT, "of the left ruler two numbers go together");
    room_refuses(room, "calibrate",
                 json_pack("{s:s,s:i,s:i,s:f}", "printer", "p", "dpi", 203, "stretch_mm", 40, "came_out_mm", 42.1),
                 FAULT_INPUT, "more than 5 % off: measure again");
    room_refuses(
        room, "calibrate",
        json_pack("{s:s,s:i,s:i,s:f}", "printer", "p", "dpi", 203, "stretch_down_mm", 20, "came_out_down_mm", 18.9),
        FAULT_INPUT, "20 mm of the left ruler that came out 18.9 mm long");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i}", "printer", "p", "dpi", 20), FAULT_INPUT, "dpi");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i}", "printer", "A B", "dpi", 203), FAULT_INPUT, "printer");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i,s:i}", "printer", "p", "dpi", 203, "module_dots", 1),
                 FAULT_INPUT, "module_dots");
    room_refuses(room, "calibrate", json_pack("{s:s,s:i,s:i}", "printer", "p", "dpi", 203, "moduel_dots", 3),
                 FAULT_INPUT, "moduel_dots");
}

static void a_technician_may_not(void **state)
{
    struct room *room = *state;
    memcpy(room->person, room->tobias, sizeof room->person);
    room_refuses(room, "calibrate", json_pack("{s:s,s:i}", "printer", "p", "dpi", 203), FAULT_REFUSED, "storekeeper");
    room_refuses(room, "label-baseline", json_pack("{s:s}", "printer", "p"), FAULT_REFUSED, "storekeeper");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)
    const struct CMUnitTest tests[] = {
        TEST(what_was_measured_becomes_whole_dots),
        TEST(a_stretch_that_came_out_long_is_what_labels_are_drawn_for),
        TEST(line_5_is_expected_where_the_printers_own_millimetres_put_it),
        TEST(what_makes_no_sense_is_a_sentence),
        TEST(a_technician_may_not),
    };
    return cmocka_run_group_tests_name("desk/calibrate", tests, room_group_setup, room_group_teardown);
}
