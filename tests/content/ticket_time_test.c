#include "labels/content/ticket_time.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* the instants: GNU date 9.1, date -u -d TEXT +%s */
static void reads_days_and_minutes_with_their_offset(void **state)
{
    static const struct {
        const char *text, *words, *compact;
        int64_t seconds;
    } cases[] = {
        {"2026-11-26T18:30Z", "26 Nov 18:30 UTC", "202611261830", 1795717800},
        {"2026-11-26T18:30:59Z", "26 Nov 18:30 UTC", "202611261830", 1795717800},
        {"2026-11-26T18:30:00.250Z", "26 Nov 18:30 UTC", "202611261830", 1795717800},
        {"2026-11-26T19:30+01:00", "26 Nov 19:30", "202611261830", 1795717800},
        {"2026-12-31T20:00-05:30", "31 Dec 20:00", "202701010130", 1798767000},
        {"2027-01-01T00:15+13:45", "1 Jan 00:15", "202612311030", 1798713000},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct ticket_time time, again;
        struct instant instant = {0};
        struct fault fault = {FAULT_NONE, ""};
        char words[TICKET_TIME_WORDS_SIZE], compact[TICKET_TIME_COMPACT_SIZE];
        if (!ticket_time_read(span_of(cases[i].text), &time, &fault))
            fail_msg("%s", fault.text);
        assert_string_equal(ticket_time_words(&time, words), cases[i].words);
        assert_string_equal(ticket_time_compact(&time, compact), cases[i].compact);
        assert_true(ticket_time_instant(&time, &instant));
        assert_int_equal(instant.ms, cases[i].seconds * 1000);
        assert_true(ticket_time_read_compact(span_of(compact), &again, &fault));
        again = ticket_time_of(instant, time.offset_minutes);
        assert_int_equal(again.day.number, time.day.number);
        assert_int_equal(again.minute, time.minute);
    }
}

static void a_day_alone_is_no_instant(void **state)
{
    struct ticket_time time;
    struct instant instant = {7};
    char words[TICKET_TIME_WORDS_SIZE], compact[TICKET_TIME_COMPACT_SIZE];
    (void)state;
    assert_true(ticket_time_read(span_of("2026-11-26"), &time, NULL));
    assert_string_equal(ticket_time_words(&time, words), "26 Nov 2026");
    assert_string_equal(ticket_time_compact(&time, compact), "20261126");
    assert_false(ticket_time_instant(&time, &instant));
    assert_int_equal(instant.ms, 7);
}

static void what_is_no_end_is_refused_and_leaves_the_time_alone(void **state)
{
    static const char *const refused[] = {"",
                                          "soon",
                                          "2026-02-30",
                                          "26.11.2026",
                                          "2026-11-26T",
                                          "2026-11-26T18:30",
                                          "2026-11-26 18:30Z",
                                          "2026-11-26T24:30Z",
                                          "2026-11-26T18:61Z",
                                          "2026-11-26T18:30:Z",
                                          "2026-11-26T18:30:00.Z",
                                          "2026-11-26T18:30+1:00",
                                          "2026-11-26T18:30+15:00",
                                          "2026-11-26T18:30+14:30",
                                          "2026-11-26T18:30Z."};
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        struct ticket_time time = {.minute = 7};
        struct fault fault = {FAULT_NONE, ""};
        if (ticket_time_read(span_of(refused[i]), &time, &fault))
            fail_msg("'%s' was read", refused[i]);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(time.minute, 7);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_days_and_minutes_with_their_offset),
        cmocka_unit_test(a_day_alone_is_no_instant),
        cmocka_unit_test(what_is_no_end_is_refused_and_leaves_the_time_alone),
    };
    return cmocka_run_group_tests_name("content/ticket_time", tests, NULL, NULL);
}
