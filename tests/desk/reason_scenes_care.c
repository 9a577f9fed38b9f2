#include "tests/desk/reason_scenes.h"

#include <stdio.h>

/* What is looked after: film, surface, rest. */

static void enter_small_vat(struct room *room)
{
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-S", "letter", "V", "name", "Small vat", "inspect_hours", 10));
}

static void a_film_that_nobody_has_seen_for_ten_hours(struct room *room)
{
    enter_small_vat(room);
    scene_take_unknown(room, room->vat_flint, NULL, "CAPSTAN");
}

static void a_film_that_was_looked_at(struct room *room)
{
    enter_small_vat(room);
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", room->vat_flint, "film", "clear"));
    scene_take_unknown(room, room->vat_flint, NULL, "CAPSTAN");
}

static void stand(struct room *room, int hours)
{
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s,s:i}", "code", "FLINT", "letter", "C", "name", "Flint cartridge",
                             "resin", "Flint", "revision", "2", "stir_days", 3));
    scene_pour(room, room->flint, room->vat_flint, 100);
    room_pass(room, (int64_t)hours * 60 * 60);
    scene_take_unknown(room, room->vat_flint, NULL, "CAPSTAN");
}

static void a_resin_that_stood_for_three_days(struct room *room)
{
    stand(room, 72);
}

static void a_resin_that_stood_an_hour_less(struct room *room)
{
    stand(room, 71);
}

/* A platform whose surface lasts a hundred hours. */
static void platform(struct room *room, int hours, char serial[SERIAL_SIZE])
{
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "PLATE", "letter", "P", "name", "Platform", "surface_hours", 100));
    room_take_on(room, "PLATE", json_pack("{s:i}", "hours", hours), serial);
}

static void a_surface_that_did_its_hours(struct room *room)
{
    char serial[SERIAL_SIZE];
    platform(room, 100, serial);
    scene_take_unknown(room, serial, NULL, "CAPSTAN");
}

static void a_surface_that_was_renewed(struct room *room)
{
    char serial[SERIAL_SIZE];
    platform(room, 100, serial);
    (void)room_act(room, "surface-renewed", json_pack("{s:s}", "unit", serial));
    scene_take_unknown(room, serial, NULL, "CAPSTAN");
}

static void take_scratched(struct room *room, bool smoothed)
{
    char serial[SERIAL_SIZE];
    platform(room, 1, serial);
    (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", serial, "surface", "scratched"));
    (void)room_act(room, "release", json_pack("{s:s}", "unit", serial));
    if (smoothed)
        (void)room_act(room, "inspect", json_pack("{s:s,s:s}", "unit", serial, "surface", "fine"));
    scene_take_unknown(room, serial, NULL, "CAPSTAN");
}

static void a_scratched_surface_that_was_released(struct room *room)
{
    take_scratched(room, false);
}

static void a_scratched_surface_that_is_fine_again(struct room *room)
{
    take_scratched(room, true);
}

/* The vat in hand, and the tray of one of the two. */
static void scan_with_tray_of(struct room *room, const char *vat)
{
    char tray[SERIAL_SIZE];
    const json_t *answer = room_act(room, "pair", json_pack("{s:s}", "unit", vat));
    (void)snprintf(tray, sizeof tray, "%s", json_string_value(json_object_get(answer, "serial")));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_scan(room, tray);
}

static void the_tray_of_another_vat(struct room *room)
{
    scan_with_tray_of(room, room->vat_oak);
}

static void the_tray_of_the_same_vat(struct room *room)
{
    scan_with_tray_of(room, room->vat_flint);
}

const struct reason_scenes reason_scenes_care[] = {
    {REASON_INSPECTION_DUE, a_film_that_nobody_has_seen_for_ten_hours, "every 10 h is asked", a_film_that_was_looked_at,
     "Booked: Small vat"},
    {REASON_STIR_DUE, a_resin_that_stood_for_three_days, "has stood for 3 days; it is stirred after 3",
     a_resin_that_stood_an_hour_less, "Booked: Small vat"},
    {REASON_SURFACE_WORN, a_surface_that_did_its_hours, "has run 100 h; it lasts 100 h", a_surface_that_was_renewed,
     "Booked: Platform"},
    {REASON_SURFACE_SCRATCHED, a_scratched_surface_that_was_released, "parts come off harder",
     a_scratched_surface_that_is_fine_again, "Booked: Platform"},
    {REASON_OTHER_TRAY, the_tray_of_another_vat, "which is in your hand?", the_tray_of_the_same_vat, "may go"},
    {.comes = NULL},
};
