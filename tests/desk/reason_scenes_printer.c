#include "tests/desk/reason_scenes.h"

/* What speaks against a thing in this printer, beside what is in it, for this job. CAPSTAN has one slot, SEXTANT two.
 */

static void oak_beside_a_vat_of_flint(struct room *room)
{
    scene_take(room, room->vat_flint, room->oak, "CAPSTAN");
}

static void flint_beside_a_vat_of_flint(struct room *room)
{
    scene_take_unknown(room, room->vat_flint, room->flint, "CAPSTAN");
}

static void revision_three_beside_a_vat_of_two(struct room *room)
{
    scene_take(room, room->vat_flint, room->flint3, "CAPSTAN");
}

static void let_three_stand_in(struct room *room)
{
    (void)room_act(
        room, "substitution-entry",
        json_pack("{s:s,s:s,s:s,s:o}", "resin", "Flint", "wanted", "2", "given", "3", "until", room_day(room, 30)));
}

static void three_that_stands_in_for_two(struct room *room)
{
    let_three_stand_in(room);
    revision_three_beside_a_vat_of_two(room);
}

static void three_that_stood_in_for_two(struct room *room)
{
    let_three_stand_in(room);
    (void)room_act(room, "substitution-end", json_pack("{s:s,s:s,s:s}", "resin", "Flint", "wanted", "2", "given", "3"));
    revision_three_beside_a_vat_of_two(room);
}

static void three_that_stands_in_until_a_day_nobody_vouches_for(struct room *room)
{
    let_three_stand_in(room);
    room_distrust_clock(room);
    revision_three_beside_a_vat_of_two(room);
}

static void flint_and_oak_side_by_side(struct room *room)
{
    scene_take(room, room->flint, room->oak, "SEXTANT");
}

static void flint_and_flint_side_by_side(struct room *room)
{
    scene_take_unknown(room, room->flint, room->flint_more, "SEXTANT");
}

static void a_cartridge_for_other_printers(struct room *room)
{
    scene_take(room, room->chalk, NULL, "CAPSTAN");
}

static void a_cartridge_for_this_printer(struct room *room)
{
    scene_take_unknown(room, room->chalk, NULL, "HALYARD");
}

static void take_second_vat_to(struct room *room, const char *printer)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    scene_take_unknown(room, room->vat_empty, NULL, printer);
}

static void a_second_vat(struct room *room)
{
    take_second_vat_to(room, "CAPSTAN");
}

static void a_vat_for_each_printer(struct room *room)
{
    take_second_vat_to(room, "HALYARD");
}

static void two_cartridges_and_one_slot(struct room *room)
{
    scene_take(room, room->flint, room->flint_more, "CAPSTAN");
}

/* ---- how much the job needs ---- */

static void a_vat_where_no_job_runs(struct room *room)
{
    scene_take(room, room->vat_flint, NULL, "CAPSTAN");
}

static void a_cartridge_where_a_job_runs(struct room *room)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    scene_take(room, room->flint, NULL, "CAPSTAN");
}

static void more_than_the_vat_holds(struct room *room)
{
    scene_take(room, room->vat_flint, NULL, "CAPSTAN"); /* 400 ml */
    (void)room_press(room, "500ML");
}

static void less_than_the_vat_holds(struct room *room)
{
    scene_take(room, room->vat_flint, NULL, "CAPSTAN");
    (void)room_press(room, "250ML");
}

static void a_vat_with_nobody_knows_how_much(struct room *room)
{
    char vat[SERIAL_SIZE];
    room_take_on(
        room, "VAT-S",
        json_pack("{s:s,s:s,s:o,s:s}", "resin", "FLINT", "lot", "VT-9", "expires", room_day(room, 90), "film", "clear"),
        vat);
    scene_take(room, vat, NULL, "CAPSTAN");
    (void)room_press(room, "250ML");
}

const struct reason_scenes reason_scenes_printer[] = {
    {REASON_OTHER_RESIN, oak_beside_a_vat_of_flint, "holds Oak, but", flint_beside_a_vat_of_flint, "Booked: 2 things"},
    {REASON_OTHER_REVISION, revision_three_beside_a_vat_of_two, "revision 3", flint_beside_a_vat_of_flint,
     "Booked: 2 things"},
    {REASON_SUBSTITUTED, three_that_stands_in_for_two, "stands in for 2 until", three_that_stood_in_for_two,
     "The substitution ended on"},
    {REASON_SUBSTITUTION_CLOCK, three_that_stands_in_until_a_day_nobody_vouches_for, "Flint revision 3 stands in for 2",
     three_that_stands_in_for_two, "How much resin"},
    {REASON_CARTRIDGES_DIFFER, flint_and_oak_side_by_side, "holds Oak, but", flint_and_flint_side_by_side,
     "Booked: 2 things"},
    {REASON_DOES_NOT_FIT, a_cartridge_for_other_printers, "does not fit Capstan", a_cartridge_for_this_printer,
     "Booked: Chalk cartridge"},
    {REASON_PRINTER_HAS_VAT, a_second_vat, "Capstan already has vat", a_vat_for_each_printer, "Booked: Small vat"},
    {REASON_NO_FREE_SLOT, two_cartridges_and_one_slot, "takes 1 cartridge;", flint_and_flint_side_by_side,
     "Booked: 2 things"},
    {REASON_NEED_UNKNOWN, a_vat_where_no_job_runs, "How much resin", a_cartridge_where_a_job_runs,
     "Booked: Flint cartridge"},
    {REASON_TOO_LITTLE, more_than_the_vat_holds, "hold 400 ml by the books", less_than_the_vat_holds,
     "Booked: Small vat"},
    {REASON_PERHAPS_TOO_LITTLE, a_vat_with_nobody_knows_how_much, "nobody knows", less_than_the_vat_holds,
     "Booked: Small vat"},
    {.comes = NULL},
};
