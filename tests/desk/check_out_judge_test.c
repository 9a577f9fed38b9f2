#include "kiosk/desk/check_out_judge.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* A check-out beside the end of its job, as a ticket or a script says it. Common practice, no source. Now is
 * 2026-03-02, 09:00 UTC. */

static void a_cartridge(struct room *room, int days, char serial[SERIAL_SIZE])
{
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-0", "expires", room_day(room, days)), serial);
}

static void start(struct room *room, const char *printer, const char *ends)
{
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", printer, "ends", ends));
}

static void take(struct room *room, const char *serial, const char *printer)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, serial);
    (void)room_scan_printer(room, printer);
}

static void resin_that_expires_before_the_tickets_end_stops(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    a_cartridge(room, 2, serial);
    start(room, "CAPSTAN", "2026-03-05T00:30:00Z");
    start(room, "HALYARD", "2026-03-04T23:30:00Z");
    take(room, serial, "CAPSTAN");
    room_expect(room, "stop", "check-out", "may be used until 2026-03-04, and the job ends on 2026-03-05.");
    room_expect_reason(room, "expires-in-job", "");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "NO");
    take(room, serial, "HALYARD"); /* ends on its last usable day */
    room_expect_booked(room, true);
}

/* The room's day, not that of the instant: west of Greenwich the job ends a day earlier. */
static void the_end_of_a_job_is_on_the_rooms_day(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    a_cartridge(room, 2, serial);
    start(room, "CAPSTAN", "2026-03-05T00:30:00Z");
    struct clock *zoned = clock_create_system();
    assert_non_null(zoned);
    struct clock *driven = room->desk.clock;
    room->desk.clock = zoned; /* the zone is all that is asked of it here */
    take(room, serial, "CAPSTAN");
    room->desk.clock = driven;
    clock_destroy(zoned);
    room_expect_booked(room, true);
}

static void a_vats_content_and_a_scripts_end_count_too(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    room_take_on(
        room, "VAT-S",
        json_pack("{s:s,s:s,s:o,s:s}", "resin", "FLINT", "lot", "VT-9", "expires", room_day(room, 1), "film", "clear"),
        vat);
    (void)room_act(
        room, "check-out",
        json_pack("{s:[s],s:s,s:o,s:b}", "units", vat, "printer", "CAPSTAN", "ends", room_day(room, 2), "confirm", 1));
    room_expect_reason(room, "expires-in-job", vat);
    room_expect_booked(room, false);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:o}", "units", vat, "printer", "CAPSTAN", "ends", room_day(room, 1)));
    room_expect_booked(room, true);
}

/* A small vat with 117 hours on it and a rating of 120. */
static void worn_vat(struct room *room, int hours, char serial[SERIAL_SIZE])
{
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-R", "letter", "V", "name", "Rated vat", "life_hours", 120));
    room_take_on(room, "VAT-R",
                 json_pack("{s:s,s:s,s:o,s:s,s:i}", "resin", "FLINT", "lot", "VT-9", "expires", room_day(room, 90),
                           "film", "clear", "hours", hours),
                 serial);
}

static void a_film_that_wears_out_during_the_job_is_asked_about_and_yes_takes_it(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    worn_vat(room, 117, vat);
    start(room, "CAPSTAN", "2026-03-02T16:00:00Z");
    start(room, "HALYARD", "2026-03-02T12:00:00Z");
    take(room, vat, "CAPSTAN");
    room_expect(room, "ask", "check-out", "has 3 h of its rated 120 h left; the job ends in 7 h.");
    room_expect_reason(room, "life-ends", vat);
    (void)room_press(room, "NO");
    take(room, vat, "HALYARD"); /* three hours are three hours */
    room_expect_booked(room, true);
    (void)room_scan(room, room->tobias);
    (void)room_press(room, "UNDO");
    take(room, vat, "CAPSTAN");
    (void)room_press(room, "YES");
    room_expect_booked(room, true);
}

static void a_film_past_its_rating_is_asked_about_before_any_printer_is_said(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    worn_vat(room, 121, vat);
    (void)room_scan(room, vat);
    room_expect(room, "ask", "check-out", "has run 121 h of its rated 120 h.");
    (void)room_press(room, "NO");
    (void)room_scan(room, room->vat_flint); /* its item has no rating */
    room_expect(room, "go", "check-out", "may go");
}

/* Of an end that is only a day, so much is sure: it does not come before that day. */
static void a_job_of_days_wears_out_what_has_hours_left(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    worn_vat(room, 80, vat);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:o}", "units", vat, "printer", "CAPSTAN", "ends", room_day(room, 3)));
    room_expect_reason(room, "life-ends", "40 h of its rated 120 h left; the job goes on until 2026-03-05.");
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:o}", "units", vat, "printer", "CAPSTAN", "ends", room_day(room, 2)));
    room_expect_booked(room, true);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    (void)setenv("TZ", "<-03>3", 1); /* the driven clock is in UTC all the same */
    tzset();
    const struct CMUnitTest tests[] = {
        IN_ROOM(resin_that_expires_before_the_tickets_end_stops),
        IN_ROOM(the_end_of_a_job_is_on_the_rooms_day),
        IN_ROOM(a_vats_content_and_a_scripts_end_count_too),
        IN_ROOM(a_film_that_wears_out_during_the_job_is_asked_about_and_yes_takes_it),
        IN_ROOM(a_film_past_its_rating_is_asked_about_before_any_printer_is_said),
        IN_ROOM(a_job_of_days_wears_out_what_has_hours_left),
    };
    return cmocka_run_group_tests_name("desk/check_out_judge", tests, room_group_setup, room_group_teardown);
}
