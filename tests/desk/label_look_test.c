#include "kiosk/desk/label_look.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/print_looks.h"
#include "tests/desk/room.h"

/* What acts do is our own rule; there is no source. */

struct found {
    struct print_look look; /* the newest */
    int count;
};

static bool keep(const struct print_look *look, void *context)
{
    struct found *found = context;
    if (found->count++ == 0)
        found->look = *look;
    return true;
}

static struct found looks_of(struct room *room, const char *printer)
{
    struct found found = {.count = 0};
    assert_true(print_look_each_newest(room->reader, printer, 100, keep, &found, NULL));
    return found;
}

static json_t *look(const char *unit, int modulation)
{
    return json_pack("{s:s,s:i,s:i,s:i,s:s}", "unit", unit, "pixels", 8000, "modulation", modulation, "fixed", 4,
                     "marks", "31050");
}

static void mark(struct room *room, const char *unit, const char *state)
{
    (void)room_act(room, "print-mark",
                   json_pack("{s:s,s:i,s:s,s:s}", "unit", unit, "number", 1, "state", state, "device", "front-label"));
}

static bool keep_serial(const struct unit *unit, void *context)
{
    assert_true(span_copy(span_of(unit->serial), context, SERIAL_SIZE));
    return true;
}

/* A received cartridge whose label 1 went to the device "front-label". */
static void receive_one(struct room *room, char serial[SERIAL_SIZE])
{
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135007(17)270215(10)FL-77");
    (void)room_press_quantity(room, "YES", 1);
    assert_true(unit_each_of_lot(room->reader, "FLINT", "FL-77", "", 1, keep_serial, serial, NULL));
    mark(room, serial, "sent");
}

static void a_look_goes_to_the_printer_that_made_the_label(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    receive_one(room, serial);
    const json_t *answer =
        room_act(room, "label-look",
                 json_pack("{s:s,s:[o,o]}", "source", "upload", "looks", look(serial, 610), look(serial, 620)));
    assert_int_equal(json_integer_value(json_object_get(answer, "looks")), 2);
    const struct found found = looks_of(room, "front-label");
    assert_int_equal(found.count, 2);
    assert_int_equal(found.look.modulation, 620);
    assert_int_equal(found.look.number, 1);
    assert_string_equal(found.look.unit, serial);
    assert_string_equal(found.look.source, "upload");
    assert_string_equal(found.look.marks, "31050");
    assert_true(found.look.grid == MOVEMENT_NULL);
}

static void labels_that_were_never_printed_here_are_left_out(void **state)
{
    struct room *room = *state;
    const json_t *answer =
        room_act(room, "label-look", json_pack("{s:s,s:[o]}", "source", "upload", "looks", look("V0001236", 610)));
    assert_int_equal(json_integer_value(json_object_get(answer, "looks")), 0);
    room_expect_booked(room, false);
}

static void a_baseline_begins_now_or_at_a_chosen_look(void **state)
{
    struct room *room = *state;
    struct label_printer row;
    char serial[SERIAL_SIZE];
    bool found = false;
    receive_one(room, serial);
    (void)room_act(room, "label-look", json_pack("{s:s,s:[o]}", "source", "upload", "looks", look(serial, 610)));
    const int64_t first = looks_of(room, "front-label").look.seq;
    (void)room_act(room, "label-look", json_pack("{s:s,s:[o]}", "source", "upload", "looks", look(serial, 620)));
    (void)room_act(room, "label-baseline", json_pack("{s:s}", "printer", "front-label"));
    assert_true(label_printer_load(room->reader, "front-label", &row, &found, NULL) && found);
    assert_int_equal(row.baseline_seq, room_seq(room));
    (void)room_act(room, "label-baseline", json_pack("{s:s,s:I}", "printer", "front-label", "from", (json_int_t)first));
    assert_true(label_printer_load(room->reader, "front-label", &row, &found, NULL));
    assert_int_equal(row.baseline_seq, first);
    room_refuses(room, "label-baseline", json_pack("{s:s,s:i}", "printer", "front-label", "from", 1), FAULT_MISSING,
                 "is none of 'front-label'");
}

static void what_makes_no_sense_is_a_sentence(void **state)
{
    struct room *room = *state;
    room_refuses(room, "label-look", json_pack("{s:s,s:[]}", "source", "upload", "looks"), FAULT_INPUT, "1 to 100");
    room_refuses(room, "label-look", json_pack("{s:[o]}", "looks", look("V0001236", 1)), FAULT_INPUT, "source");
    room_refuses(room, "label-look",
                 json_pack("{s:s,s:[{s:s,s:s}]}", "source", "upload", "looks", "unit", "V0001236", "grade", "A"),
                 FAULT_INPUT, "grade");
    room_refuses(room, "label-look", json_pack("{s:s,s:[s]}", "source", "upload", "looks", "V0001236"), FAULT_INPUT,
                 "");
}

int main(void)
{
#define TEST(name) cmocka_unit_test_setup_teardown(name, room_setup, room_teardown)
    const struct CMUnitTest tests[] = {
        TEST(a_look_goes_to_the_printer_that_made_the_label),
        TEST(labels_that_were_never_printed_here_are_left_out),
        TEST(a_baseline_begins_now_or_at_a_chosen_look),
        TEST(what_makes_no_sense_is_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/label_look", tests, room_group_setup, room_group_teardown);
}
