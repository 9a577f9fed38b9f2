#include "tests/desk/reason_scenes.h"

#include <stdio.h>

/* Makers' codes and what they propose to receive. Flint's GTIN is 09506000135007 in this room; 90 days are asked for.
 */

#define FLINT         "(01)09506000135007"
#define OUTER_OF_FOUR "(00)095060001343520017(02)09506000135007(37)4(10)FL-77(17)270215"

static void scan_dated(struct room *room, int days)
{
    char code[60], day[7];
    room_open_delivery(room);
    room_gs1_day(room, days, day);
    (void)snprintf(code, sizeof code, FLINT "(10)FL-66(17)%s", day);
    (void)room_scan(room, code);
}

static void an_item_that_is_not_in_the_catalogue(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7");
}

static void an_item_of_the_catalogue(struct room *room)
{
    scan_dated(room, 300);
}

static void a_day_too_few(struct room *room)
{
    scan_dated(room, 89);
}

static void just_enough_days(struct room *room)
{
    scan_dated(room, 90);
}

static void a_code_without_a_delivery(struct room *room)
{
    (void)room_scan(room, room->maren);
    (void)room_scan(room, FLINT "(17)270215(10)FL-77");
}

static void a_code_with_a_delivery(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, FLINT "(17)270215(10)FL-77");
}

/* Lot and date alone: what they belong to stood in another code, or was lost on the way. */
static void scan_lot_code(struct room *room)
{
    static const char code[] = "17270215"
                               "10FL-77";
    (void)room_scan_bytes(room, code, sizeof code - 1, "]C1");
}

static void a_lot_code_alone(struct room *room)
{
    room_open_delivery(room);
    scan_lot_code(room);
}

static void a_lot_code_beside_its_item(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan_bytes(room, "9506000135007", 13, "]E0");
    scan_lot_code(room);
}

static void two_lots_on_one_carton(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    (void)room_scan(room, FLINT "(10)FL-78(17)270215");
}

static void one_lot_twice(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
    (void)room_scan(room, FLINT "(10)FL-77(17)270215");
}

static void a_pack_beside_an_outer_carton(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, OUTER_OF_FOUR);
    (void)room_scan(room, FLINT "(10)FL-77(17)270215(21)A1");
}

static void an_outer_carton_alone(struct room *room)
{
    room_open_delivery(room);
    (void)room_scan(room, OUTER_OF_FOUR);
}

/* ---- stickers of plain text ---- */

static void teach(struct room *room, const char *dates)
{
    char pattern[120];
    (void)snprintf(pattern, sizeof pattern,
                   "item 1 to 8 of 9 A \"-\"\ntext \" LOT \"\nlot 1 to 8 of 9 A\ntext \" EXP \"\nexpires \"%s\"\n",
                   dates);
    (void)room_act(room, "sticker-entry",
                   json_pack("{s:s,s:s,s:s}", "supplier", "North Resins", "example",
                             "FLINT-1L LOT RS24117B EXP 05.06.2027", "pattern", pattern));
}

static void scan_sticker(struct room *room, const char *text)
{
    room_open_delivery(room);
    teach(room, "dd.mm.yyyy");
    teach(room, "mm.dd.yyyy");
    (void)room_scan(room, text);
}

static void a_date_that_may_be_read_in_two_ways(struct room *room)
{
    scan_sticker(room, "FLINT-1L LOT RS24117B EXP 05.06.2027");
}

static void a_date_of_one_way_only(struct room *room)
{
    scan_sticker(room, "FLINT-1L LOT RS24117B EXP 31.01.2027");
}

const struct reason_scenes reason_scenes_receipt[] = {
    {REASON_PROVISIONAL, an_item_that_is_not_in_the_catalogue, "not in the catalogue yet", an_item_of_the_catalogue,
     "Receive 1 ×"},
    {REASON_SHORT_DATED, a_day_too_few, "Only 89 days", just_enough_days, "Receive 1 ×"},
    {REASON_NO_DELIVERY, a_code_without_a_delivery, "is it a new delivery?", a_code_with_a_delivery, "Receive 1 ×"},
    {REASON_DOUBTFUL_SCAN, a_lot_code_alone, "scan the other code", a_lot_code_beside_its_item, "Receive 1 ×"},
    {REASON_NO_ITEM, a_lot_code_alone, "but no item", a_lot_code_beside_its_item, "Receive 1 ×"},
    {REASON_CODES_DIFFER, two_lots_on_one_carton, "lot: FL-77", one_lot_twice, "Receive 2 ×"},
    {REASON_PART_OF_CARTON, a_pack_beside_an_outer_carton, "part of the 4", an_outer_carton_alone, "Receive 4 ×"},
    {REASON_TWO_READINGS, a_date_that_may_be_read_in_two_ways, "use by 2027-05-06", a_date_of_one_way_only,
     "Receive 1 ×"},
    {.comes = NULL},
};
