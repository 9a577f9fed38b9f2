#include "kiosk/ledger/desk_rows.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Common practice, no source: what may follow what when a label goes to a printer whose word is only a claim. */

static bool expected(enum print_state from, enum print_state to)
{
    static const char *const steps[] = {
        "waiting>sent",    "waiting>failed",   "waiting>proved",    "sent>waiting",     "sent>printed",
        "sent>failed",     "sent>unknown",     "sent>proved",       "printed>proved",   "printed>failed",
        "printed>unknown", "failed>waiting",   "failed>proved",     "unknown>waiting",  "waiting>withdrawn",
        "sent>withdrawn",  "failed>withdrawn", "withdrawn>waiting", "withdrawn>failed", "withdrawn>proved",
        "unknown>printed", "unknown>failed",   "unknown>proved",
    };
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        const char *arrow = strchr(steps[i], '>');
        const char *word = print_state_word(from);
        if (strlen(word) == (size_t)(arrow - steps[i]) && memcmp(word, steps[i], strlen(word)) == 0 &&
            strcmp(arrow + 1, print_state_word(to)) == 0)
            return true;
    }
    return false;
}

static void every_pair_of_states_is_a_step_or_a_fault_with_both_names(void **state)
{
    (void)state;
    int steps = 0;
    for (int from = 0; from < PRINT_STATES; from++)
        for (int to = 0; to < PRINT_STATES; to++) {
            struct fault fault = {0};
            const bool may = print_state_step((enum print_state)from, (enum print_state)to, &fault);
            if (may != expected((enum print_state)from, (enum print_state)to))
                fail_msg("%s to %s: %d", print_state_word((enum print_state)from),
                         print_state_word((enum print_state)to), may);
            steps += may;
            if (may)
                continue;
            assert_int_equal(fault.code, FAULT_REFUSED);
            assert_non_null(strstr(fault.text, print_state_word((enum print_state)from)));
            assert_non_null(strstr(fault.text, print_state_word((enum print_state)to)));
        }
    assert_int_equal(steps, 23);
}

static void a_proved_label_is_the_end(void **state)
{
    (void)state;
    for (int to = 0; to < PRINT_STATES; to++)
        assert_false(print_state_step(PRINT_PROVED, (enum print_state)to, NULL));
}

static void what_is_no_state_is_a_fault_not_a_crash(void **state)
{
    (void)state;
    assert_false(print_state_step((enum print_state)77, PRINT_SENT, NULL));
    assert_false(print_state_step(PRINT_SENT, (enum print_state) - 1, NULL));
}

static void words_read_back(void **state)
{
    (void)state;
    for (int i = 0; i < PRINT_STATES; i++) {
        enum print_state read = PRINT_STATES;
        assert_true(print_state_read(print_state_word((enum print_state)i), &read));
        assert_int_equal(read, i);
    }
    enum print_state kept = PRINT_SENT;
    assert_false(print_state_read("Proved", &kept));
    assert_int_equal(kept, PRINT_SENT);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_pair_of_states_is_a_step_or_a_fault_with_both_names),
        cmocka_unit_test(a_proved_label_is_the_end),
        cmocka_unit_test(what_is_no_state_is_a_fault_not_a_crash),
        cmocka_unit_test(words_read_back),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
