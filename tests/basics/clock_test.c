#include "kiosk/basics/clock.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/timex.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>

/* GNU date 9.1: date -u -d 2026-02-14T12:00:00Z +%s = 1771070400 */
static const struct instant NOON = {INT64_C(1771070400000)};

static void a_driven_clock_stands_still_until_driven(void **state)
{
    (void)state;
    struct clock *clock = clock_create_driven(NOON);
    const struct moment first = clock_now(clock), second = clock_now(clock);
    assert_int_equal(first.wall.ms, NOON.ms);
    assert_int_equal(second.wall.ms, NOON.ms);
    assert_int_equal(first.mono_ms, 0);
    assert_true(first.trusted);
    assert_int_equal(first.local_day.number, 20498); /* GNU date 9.1: 2026-02-14 is 20498 days after 1970-01-01 */
    clock_drive(clock, 1500);
    assert_int_equal(clock_now(clock).wall.ms, NOON.ms + 1500);
    assert_int_equal(clock_now(clock).mono_ms, 1500);
    clock_destroy(clock);
}

static void setting_the_wall_leaves_the_monotonic_time_alone(void **state)
{
    (void)state;
    struct clock *clock = clock_create_driven(NOON);
    clock_drive(clock, 100);
    clock_set_wall(clock, (struct instant){NOON.ms - 86400000}, false);
    const struct moment now = clock_now(clock);
    assert_int_equal(now.mono_ms, 100);
    assert_int_equal(now.local_day.number, 20497);
    assert_false(now.trusted);
    clock_destroy(clock);
}

static void a_storekeeper_confirms_what_was_distrusted(void **state)
{
    (void)state;
    struct clock *clock = clock_create_driven(NOON);
    clock_distrust(clock);
    assert_false(clock_now(clock).trusted);
    clock_confirm(clock);
    assert_true(clock_now(clock).trusted);
    clock_distrust(clock); /* seen going back again, after the confirmation */
    assert_false(clock_now(clock).trusted);
    clock_destroy(clock);
}

static void a_day_before_1970_is_not_rounded_towards_it(void **state)
{
    (void)state;
    struct clock *clock = clock_create_driven((struct instant){-1});
    assert_int_equal(clock_now(clock).local_day.number, -1);
    clock_destroy(clock);
}

static void the_system_clock_tells_the_day_of_the_zone(void **state)
{
    /* tz database: Pacific/Kiritimati is UTC+14, Etc/GMT+12 is UTC-12: their days always differ */
    (void)state;
    assert_int_equal(setenv("TZ", "Pacific/Kiritimati", 1), 0);
    struct clock *east = clock_create_system();
    const int32_t day_east = clock_now(east).local_day.number;
    assert_int_equal(setenv("TZ", "Etc/GMT+12", 1), 0);
    struct clock *west = clock_create_system();
    const int32_t day_west = clock_now(west).local_day.number;
    assert_int_equal(unsetenv("TZ"), 0);
    tzset();
    assert_true(day_east > day_west);
    clock_destroy(east);
    clock_destroy(west);
}

static void the_system_clock_follows_the_kernel(void **state)
{
    (void)state;
    struct clock *clock = clock_create_system();
    struct timespec boot = {0}, wall = {0};
    const struct moment now = clock_now(clock);
    assert_int_equal(clock_gettime(CLOCK_BOOTTIME, &boot), 0);
    assert_int_equal(clock_gettime(CLOCK_REALTIME, &wall), 0);
    assert_in_range((int64_t)boot.tv_sec * 1000 + boot.tv_nsec / 1000000 - now.mono_ms, 0, 60000);
    assert_in_range((int64_t)wall.tv_sec * 1000 + wall.tv_nsec / 1000000 - now.wall.ms, 0, 60000);
    struct timex kernel = {0}; /* adjtimex(2): TIME_ERROR or STA_UNSYNC: not synchronised */
    const int answer = adjtimex(&kernel);
    const bool synchronised = answer >= 0 && answer != TIME_ERROR && !(kernel.status & STA_UNSYNC);
    assert_int_equal(now.trusted, synchronised);
    clock_confirm(clock);
    assert_true(clock_now(clock).trusted);
    clock_destroy(clock);
}

static void write_clock_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "we");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void a_file_clock_reads_its_file_and_keeps_the_last_instant(void **state)
{
    (void)state;
    char path[] = "/tmp/ambershelf-clock-XXXXXX";
    const int file = mkstemp(path);
    assert_true(file >= 0);
    assert_int_equal(close(file), 0);
    write_clock_file(path, "2026-02-14T12:00:00Z trusted\n");
    struct clock *clock = clock_create_file(path);
    assert_int_equal(clock_now(clock).wall.ms, NOON.ms);
    assert_true(clock_now(clock).trusted);
    write_clock_file(path, "2026-02-14T12:00:01.250Z\n");
    assert_int_equal(clock_now(clock).wall.ms, NOON.ms + 1250);
    assert_false(clock_now(clock).trusted);
    write_clock_file(path, "tomorrow trusted\n");
    assert_int_equal(clock_now(clock).wall.ms, NOON.ms + 1250);
    assert_false(clock_now(clock).trusted);
    assert_int_equal(unlink(path), 0);
    assert_int_equal(clock_now(clock).wall.ms, NOON.ms + 1250);
    clock_destroy(clock);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_driven_clock_stands_still_until_driven),
        cmocka_unit_test(setting_the_wall_leaves_the_monotonic_time_alone),
        cmocka_unit_test(a_storekeeper_confirms_what_was_distrusted),
        cmocka_unit_test(a_day_before_1970_is_not_rounded_towards_it),
        cmocka_unit_test(the_system_clock_tells_the_day_of_the_zone),
        cmocka_unit_test(the_system_clock_follows_the_kernel),
        cmocka_unit_test(a_file_clock_reads_its_file_and_keeps_the_last_instant),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
