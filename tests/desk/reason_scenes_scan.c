#include "tests/desk/reason_scenes.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

/* What a scan is, and whether its label is on the right thing. */

static void a_serial_of_no_unit(struct room *room)
{
    char serial[SERIAL_SIZE];
    assert_true(serial_write('C', 4711, serial) || serial_write('C', 4712, serial));
    (void)room_scan(room, serial);
}

static void a_serial_of_a_unit(struct room *room)
{
    (void)room_scan(room, room->flint);
}

static void a_text_of_no_label(struct room *room)
{
    (void)room_scan(room, "SN-12345/ab");
}

static void a_shelf(struct room *room)
{
    (void)room_scan(room, "A02");
}

static void a_wrong_check_digit(struct room *room)
{
    (void)room_scan(room, "(01)09506000135008(10)FL-1");
}

static void the_right_check_digit(struct room *room)
{
    (void)room_scan(room, "(01)09506000135007(10)FL-1");
}

static void a_vat_that_was_retired(struct room *room)
{
    (void)room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    (void)room_scan(room, room->vat_empty);
}

static void a_vat_whose_retirement_was_taken_back(struct room *room)
{
    (void)room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_empty, "reason", "worn"));
    (void)room_act(room, "undo", json_object());
    (void)room_scan(room, room->vat_empty);
}

/* ---- which label belongs on which thing ---- */

static void label_on_lot(struct room *room, const char *lot_in_the_hand)
{
    char one[SERIAL_SIZE], two[SERIAL_SIZE];
    room_open_delivery(room);
    scene_receive_flint(room, "FL-77", 1, one);
    scene_receive_flint(room, "FL-78", 1, two);
    if (lot_in_the_hand)
        (void)room_scan(room, lot_in_the_hand);
    (void)room_scan(room, two);
}

static void the_label_of_another_lot(struct room *room)
{
    label_on_lot(room, "(01)09506000135007(17)270215(10)FL-77");
}

static void the_label_of_its_own_lot(struct room *room)
{
    label_on_lot(room, "(01)09506000135007(17)270215(10)FL-78");
}

static void a_label_where_two_lots_wait(struct room *room)
{
    label_on_lot(room, NULL);
}

static void a_label_where_one_lot_waits(struct room *room)
{
    char serial[SERIAL_SIZE];
    room_open_delivery(room);
    scene_receive_flint(room, "FL-77", 2, serial);
    (void)room_scan(room, serial);
}

/* ---- a label that is lost ---- */

static void relabel(struct room *room, const char *serial)
{
    (void)room_act(room, "relabel", json_pack("{s:s,s:b}", "unit", serial, "confirm", 1));
}

/* The first scan of it opens the question, too. */
static void a_label_that_was_given_up(struct room *room)
{
    relabel(room, room->flint);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->flint);
}

static void a_label_that_was_given_up_by_mistake(struct room *room)
{
    relabel(room, room->flint);
    (void)room_act(room, "undo", json_object());
    (void)room_scan(room, room->flint);
}

static void look_for_one_of_two(struct room *room, const char *seen)
{
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:i}", "units", room->flint_more, "printer", "SEXTANT", "need_ml", 10));
    (void)room_press(room, "LABEL-LOST");
    (void)room_scan(room, "A01");
    (void)room_scan(room, "(01)09506000135007(10)FL-1");
    if (seen)
        (void)room_scan(room, seen);
}

static void one_of_the_kind_is_out(struct room *room)
{
    look_for_one_of_two(room, NULL);
}

static void the_one_that_is_out_was_seen(struct room *room)
{
    look_for_one_of_two(room, room->flint_more);
}

static void a_new_serial_without_a_yes(struct room *room)
{
    (void)room_act(room, "relabel", json_pack("{s:s}", "unit", room->flint));
}

static void a_new_serial_with_a_yes(struct room *room)
{
    relabel(room, room->flint);
}

const struct reason_scenes reason_scenes_scan[] = {
    {REASON_UNKNOWN, a_serial_of_no_unit, "no such unit is in the ledger", a_serial_of_a_unit, "may go"},
    {REASON_NOT_OURS, a_text_of_no_label, "is not a label of this room", a_shelf, "0 units stand here"},
    {REASON_UNREADABLE, a_wrong_check_digit, "check", the_right_check_digit, "stands on 2 units in stock"},
    {REASON_GONE, a_vat_that_was_retired, "is no longer in service", a_vat_whose_retirement_was_taken_back, "may go"},
    {REASON_LABEL_SWAPPED, the_label_of_another_lot, "is for lot FL-78", the_label_of_its_own_lot, "is proved"},
    {REASON_PROVE_FIRST, a_label_where_two_lots_wait, "several lots", a_label_where_one_lot_waits, "is proved"},
    {REASON_ALARMED, a_label_that_was_given_up, "was given up as lost on 2026-03-02: its thing is now",
     a_label_that_was_given_up_by_mistake, "may go"},
    {REASON_ALSO_OUT, one_of_the_kind_is_out, "it may have come back unbooked", the_one_that_is_out_was_seen,
     "It must be"},
    {REASON_LABEL_IN_HAND, a_new_serial_without_a_yes, "is its label surely gone?", a_new_serial_with_a_yes,
     "from now on"},
    {.comes = NULL},
};
