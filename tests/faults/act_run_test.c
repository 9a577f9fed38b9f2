#include "tests/faults/act_run.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/desk.h"
#include "tests/faults/act_run_day.h"
#include "tests/support/ledger_fixture.h"

/* The day that the fault points run through: is it the same every time, and does it hold what it should? */

static void send(struct act_run *run, int number)
{
    struct fault fault = {FAULT_NONE, ""};
    if (!act_run_send(run, number, &fault))
        fail_msg("act %d (%s): %s", number, act_run_kind(number), fault.text);
}

static void open_run(struct act_run *run)
{
    struct fault fault = {FAULT_NONE, ""};
    if (!act_run_open(run, &fault))
        fail_msg("%s", fault.text);
}

static void must_hold(const struct ledger_fixture *fixture, int answered, int doubtful, int expected)
{
    char sentence[ACT_RUN_SENTENCE] = "";
    int held = -1;
    if (!act_run_check(fixture->address, answered, doubtful, &held, sentence, sizeof sentence))
        fail_msg("%s", sentence);
    assert_int_equal(held, expected);
}

static void the_day_is_the_same_every_time_row_by_row_and_hash_by_hash(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct act_run *run = act_run_create(fixture->address);
    open_run(run);
    must_hold(fixture, 0, 0, 0);
    for (int i = 0; i < ACT_RUN_LENGTH; i++)
        send(run, i);
    act_run_destroy(run);
    must_hold(fixture, ACT_RUN_LENGTH, 0, ACT_RUN_LENGTH);
}

/* The refused acts behind them leave nothing, so they count as there. */
static int with_refused(int acts)
{
    while (acts < ACT_RUN_LENGTH && !act_run_is_kept(acts))
        acts++;
    return acts;
}

static void restarts_repeats_and_groups_change_nothing(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct act_run *run = act_run_create(fixture->address);
    bool answered[40];
    struct fault faults[40];
    open_run(run);
    for (int first = 0; first < ACT_RUN_LENGTH; first += 40) {
        const int count = ACT_RUN_LENGTH - first < 40 ? ACT_RUN_LENGTH - first : 40;
        act_run_send_group(run, first, count, answered, faults);
        for (int i = 0; i < count; i++)
            if (!answered[i])
                fail_msg("act %d (%s): %s", first + i, act_run_kind(first + i), faults[i].text);
        act_run_close(run);
        must_hold(fixture, first + count, 0, first + count);
        open_run(run);
        send(run, first + count - 1);
        must_hold(fixture, first, 50, with_refused(first + count));
    }
    act_run_destroy(run);
}

static void one_act_too_many_one_missing_or_one_byte_changed_is_seen(void **state)
{
    const struct ledger_fixture *fixture = *state;
    char sentence[ACT_RUN_SENTENCE] = "";
    struct act_run *run = act_run_create(fixture->address);
    open_run(run);
    for (int i = 0; i < 40; i++)
        send(run, i);
    act_run_destroy(run);
    assert_false(act_run_check(fixture->address, 41, 5, NULL, sentence, sizeof sentence));
    assert_non_null(strstr(sentence, "act 40 (scan) was answered and is not there"));
    assert_false(act_run_check(fixture->address, 35, 2, NULL, sentence, sizeof sentence));
    assert_non_null(strstr(sentence, "40 acts are there; only 35 were answered"));
    must_hold(fixture, 36, 10, 40);
}

/* docs/faults.md says how much that is. */
static void expect_on_page(const char *what, int count)
{
    static char text[20000];
    char words[80];
    FILE *page = fopen(SOURCE_ROOT "/docs/faults.md", "r");
    assert_non_null(page);
    text[fread(text, 1, sizeof text - 1, page)] = '\0';
    (void)fclose(page);
    (void)snprintf(words, sizeof words, "%d %s", count, what);
    if (!strstr(text, words))
        fail_msg("docs/faults.md does not say '%s'", words);
}

static void the_day_holds_every_kind_of_act_answered_and_booked(void **state)
{
    const struct ledger_fixture *fixture = *state;
    struct act_run *run = act_run_create(fixture->address);
    int refused = 0, silent = 0, long_groups = 0;
    for (const struct act_kind *kind = desk_acts; kind->kind; kind++) {
        bool done = false;
        for (int i = 0; i < ACT_RUN_LENGTH; i++)
            done = done || (strcmp(act_run_kind(i), kind->kind) == 0 &&
                            (act_run_movements(i) > 0 || strcmp(kind->kind, "delivery-resume") == 0 ||
                             strcmp(kind->kind, "pin-tried") == 0)); /* these two book nothing */
        if (!done)
            fail_msg("the day books no act of kind %s", kind->kind);
    }
    for (int i = 0; i < ACT_RUN_LENGTH; i++) {
        refused += !act_run_is_kept(i);
        silent += act_run_is_kept(i) && act_run_movements(i) == 0;
        long_groups += act_run_movements(i) >= 4;
    }
    printf("%d acts: %d refused, %d that book nothing, %d of four movements or more, %d movements\n", ACT_RUN_LENGTH,
           refused, silent, long_groups, (int)act_run_head(ACT_RUN_LENGTH));
    expect_on_page("acts", ACT_RUN_LENGTH);
    expect_on_page("movements", (int)act_run_head(ACT_RUN_LENGTH));
    expect_on_page("refused on purpose", refused);
    assert_true(refused >= 10 && silent >= 20 && long_groups >= 10);
    act_run_destroy(run);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, ledger_fixture_setup, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(the_day_is_the_same_every_time_row_by_row_and_hash_by_hash),
        TEST(restarts_repeats_and_groups_change_nothing),
        TEST(one_act_too_many_one_missing_or_one_byte_changed_is_seen),
        TEST(the_day_holds_every_kind_of_act_answered_and_booked),
    };
    return cmocka_run_group_tests_name("faults/act_run", tests, NULL, NULL);
}
