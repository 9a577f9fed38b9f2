#include "tests/desk/reason_scenes.h"

/* What speaks for another thing: an older one in storage, and the end of the job. Now is 2026-03-02, 09:00 UTC. */

static void flint(struct room *room, int days, char serial[SERIAL_SIZE])
{
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-0", "expires", room_day(room, days)), serial);
}

static void a_newer_one_while_an_older_one_stands_there(struct room *room)
{
    char older[SERIAL_SIZE];
    flint(room, 20, older);
    scene_take_unknown(room, room->flint, NULL, "CAPSTAN");
}

static void one_of_two_of_the_same_day(struct room *room)
{
    scene_take_unknown(room, room->flint, NULL, "CAPSTAN"); /* another of its lot stands beside it */
}

static void take_for_a_job_until_the_fifth(struct room *room, int days)
{
    char serial[SERIAL_SIZE];
    flint(room, days, serial);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "ends", "2026-03-05T06:00:00Z"));
    scene_take(room, serial, NULL, "CAPSTAN");
}

static void resin_until_the_fourth(struct room *room)
{
    take_for_a_job_until_the_fifth(room, 2);
}

static void resin_until_the_fifth(struct room *room)
{
    take_for_a_job_until_the_fifth(room, 3);
}

static void take_with_three_hours_left(struct room *room, const char *ends)
{
    char vat[SERIAL_SIZE];
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-R", "letter", "V", "name", "Rated vat", "life_hours", 120));
    room_take_on(room, "VAT-R", json_pack("{s:s,s:i}", "film", "clear", "hours", 117), vat);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "ends", ends));
    scene_take(room, vat, NULL, "CAPSTAN");
}

static void a_film_of_three_hours_for_seven(struct room *room)
{
    take_with_three_hours_left(room, "2026-03-02T16:00:00Z");
}

static void a_film_of_three_hours_for_two(struct room *room)
{
    take_with_three_hours_left(room, "2026-03-02T11:00:00Z");
}

const struct reason_scenes reason_scenes_job[] = {
    {REASON_OLDER_FIRST, a_newer_one_while_an_older_one_stands_there, "An older Flint stands at A01",
     one_of_two_of_the_same_day, "Booked: Flint cartridge"},
    {REASON_EXPIRES_IN_JOB, resin_until_the_fourth, "until 2026-03-04, and the job ends on 2026-03-05",
     resin_until_the_fifth, "Booked: Flint cartridge"},
    {REASON_LIFE_ENDS, a_film_of_three_hours_for_seven, "3 h of its rated 120 h left; the job ends in 7 h",
     a_film_of_three_hours_for_two, "Booked: Rated vat"},
    {.comes = NULL},
};
