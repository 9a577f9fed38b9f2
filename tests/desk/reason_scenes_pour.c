#include "tests/desk/reason_scenes.h"

/* Pouring, weighing, and what is left in what is retired. */

static void into_a_cartridge(struct room *room)
{
    scene_pour(room, room->vat_flint, room->flint, 100);
}

static void into_a_vat(struct room *room)
{
    scene_pour(room, room->flint, room->vat_flint, 100);
}

static void out_of_an_empty_vat(struct room *room)
{
    scene_pour(room, room->vat_empty, room->vat_flint, 100);
}

/* A bottle of Flint: fresh, or cleaned for what comes out of vats. */
static void take_on_bottle(struct room *room, bool cleaned, char serial[SERIAL_SIZE])
{
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-R", "letter", "R", "name", "Flint bottle", "resin",
                             "Flint", "revision", "2"));
    room_take_on(
        room, "FLINT-R",
        json_pack("{s:s,s:o,s:i}", "lot", "FL-1", "expires", room_day(room, 240), "amount_ml", cleaned ? 0 : 500),
        serial);
    if (cleaned)
        (void)room_act(room, "clean", json_pack("{s:s}", "unit", serial));
}

static void out_of_a_vat_into_a_fresh_bottle(struct room *room)
{
    char bottle[SERIAL_SIZE];
    take_on_bottle(room, false, bottle);
    scene_pour(room, room->vat_flint, bottle, 100);
}

static void out_of_a_vat_into_a_bottle_of_its_own(struct room *room)
{
    char bottle[SERIAL_SIZE];
    take_on_bottle(room, true, bottle);
    scene_pour(room, room->vat_flint, bottle, 100);
}

static void litres_for_millilitres(struct room *room)
{
    scene_pour(room, room->flint, room->vat_flint, 1);
}

static void a_little(struct room *room)
{
    scene_pour(room, room->flint, room->vat_flint, 10);
}

static void one_more_than_there_is(struct room *room)
{
    scene_pour(room, room->flint, room->vat_flint, 1001);
}

static void all_there_is(struct room *room)
{
    scene_pour(room, room->flint, room->vat_flint, 1000);
}

static void fill_small(struct room *room, int ml)
{
    char vat[SERIAL_SIZE];
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-M", "letter", "V", "name", "Marked vat", "content_ml", 300));
    room_take_on(room, "VAT-M", json_pack("{s:s}", "film", "clear"), vat);
    scene_pour(room, room->flint, vat, ml);
}

static void above_the_mark(struct room *room)
{
    fill_small(room, 301);
}

static void up_to_the_mark(struct room *room)
{
    fill_small(room, 300);
}

static void a_vat_with_resin_in_it(struct room *room)
{
    (void)room_act(room, "retire", json_pack("{s:s,s:s}", "unit", room->vat_flint, "reason", "worn"));
}

static void a_vat_that_gives_its_resin_away(struct room *room)
{
    (void)room_act(room, "retire",
                   json_pack("{s:s,s:s,s:s}", "unit", room->vat_flint, "to", room->vat_empty, "reason", "worn"));
}

/* A resin of 1.12 g/ml (invented) in a container of 150 g: 1000 ml weigh 1270 g. */
static void weigh(struct room *room, double gross_g)
{
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s,s:i,s:f}", "code", "FLINT", "letter", "C", "name", "Flint cartridge",
                             "resin", "Flint", "revision", "2", "content_ml", 1000, "density_g_ml", 1.12));
    (void)room_act(room, "weigh", json_pack("{s:s,s:f,s:f}", "unit", room->flint, "gross_g", gross_g, "tare_g", 150.0));
}

static void lighter_than_the_empty_one(struct room *room)
{
    weigh(room, 100);
}

static void half_of_what_the_books_say(struct room *room)
{
    weigh(room, 710);
}

static void what_the_books_say(struct room *room)
{
    weigh(room, 1268);
}

const struct reason_scenes reason_scenes_pour[] = {
    {REASON_NOT_POURED, into_a_cartridge, "is not poured from", into_a_vat, "Booked: 100 ml"},
    {REASON_EMPTY, out_of_an_empty_vat, "is empty by the books", into_a_vat, "Booked: 100 ml"},
    {REASON_RECOVERED, out_of_a_vat_into_a_fresh_bottle, "has been in a vat", out_of_a_vat_into_a_bottle_of_its_own,
     "Booked: 100 ml"},
    {REASON_AMOUNT_UNLIKELY, litres_for_millilitres, "was 1000 ml meant?", a_little, "Booked: 10 ml"},
    {REASON_MORE_THAN_BOOKED, one_more_than_there_is, "more than the 1000 ml", all_there_is, "Booked: 1000 ml"},
    {REASON_OVERFILLED, above_the_mark, "300 ml is full", up_to_the_mark, "Booked: 300 ml"},
    {REASON_STILL_FULL, a_vat_with_resin_in_it, "400 ml are still in", a_vat_that_gives_its_resin_away, "is retired"},
    {REASON_WEIGHT, lighter_than_the_empty_one, "less than the empty container", what_the_books_say, "Booked: C"},
    {REASON_WEIGHT_DIFFERS, half_of_what_the_books_say, "1000 ml by the books", what_the_books_say, "Booked: C"},
    {.comes = NULL},
};
