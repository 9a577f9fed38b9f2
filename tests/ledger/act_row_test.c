#include "kiosk/ledger/act_row.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/ledger_room.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

static struct act_row make(const char *id, const char *kind, const char *counter, int64_t last_seq)
{
    struct act_row row = {.at_ms = INT64_C(1771070400000), .first_seq = last_seq, .last_seq = last_seq};
    assert_true(span_copy(span_of(id), row.id, sizeof row.id));
    assert_true(span_copy(span_of(kind), row.kind, sizeof row.kind));
    assert_true(span_copy(span_of(counter), row.counter, sizeof row.counter));
    memset(row.digest, 0xA7, sizeof row.digest);
    return row;
}

static void store(struct ledger *ledger, const struct act_row *row, const char *answer)
{
    struct fault fault = {0};
    if (!ledger_begin(ledger, &fault) || !act_row_store(ledger, row, answer, &fault) || !ledger_commit(ledger, &fault))
        fail_msg("%s", fault.text);
}

static void an_act_and_its_answer_come_back(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct act_row row = make("act-00000001", "receive", "front", 5), read = {.undone = true};
    char *answer = NULL;
    bool found = false;
    memcpy(row.person, "H0000015", sizeof "H0000015");
    row.first_seq = 3;
    store(ledger, &row, "{\"said\":\"Grün\"}");
    assert_true(act_row_find(ledger, "act-00000001", &read, &answer, &found, NULL));
    assert_true(found);
    assert_string_equal(answer, "{\"said\":\"Grün\"}");
    free(answer);
    assert_string_equal(read.id, row.id);
    assert_string_equal(read.kind, "receive");
    assert_string_equal(read.counter, "front");
    assert_string_equal(read.person, "H0000015");
    assert_memory_equal(read.digest, row.digest, HASH_BYTES);
    assert_true(read.at_ms == row.at_ms && read.first_seq == 3 && read.last_seq == 5 && !read.undone);
    assert_true(act_row_find(ledger, "act-00000001", &read, NULL, &found, NULL));
    assert_true(found);
}

static void an_unknown_act_is_not_found(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct act_row read = {.at_ms = 9};
    char *answer = NULL;
    bool found = true;
    assert_true(act_row_find(ledger, "act-00000009", &read, &answer, &found, NULL));
    assert_false(found);
    assert_null(answer);
    assert_true(read.at_ms == 9);
}

static void the_same_id_is_stored_once(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct act_row row = make("act-00000001", "receive", "front", 5);
    struct fault fault = {0};
    store(ledger, &row, "{}");
    assert_true(ledger_begin(ledger, NULL));
    assert_false(act_row_store(ledger, &row, "{}", &fault));
    assert_int_equal(fault.code, FAULT_CONFLICT);
    ledger_rollback(ledger);
}

static void the_longest_answer_fits_and_a_longer_one_is_refused(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct act_row row = make("act-00000001", "receive", "front", 5);
    struct act_row read;
    struct fault fault = {0};
    char *answer = malloc(ACT_ANSWER_SIZE + 1), *back = NULL;
    bool found = false;
    assert_non_null(answer);
    memset(answer, 'x', ACT_ANSWER_SIZE);
    answer[ACT_ANSWER_SIZE] = '\0';
    assert_true(ledger_begin(ledger, NULL));
    assert_false(act_row_store(ledger, &row, answer, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    ledger_rollback(ledger);
    answer[ACT_ANSWER_SIZE - 1] = '\0';
    store(ledger, &row, answer);
    assert_true(act_row_find(ledger, row.id, &read, &back, &found, NULL));
    assert_string_equal(back, answer);
    free(back);
    free(answer);
}

static void the_last_act_of_a_counter_is_one_that_can_be_undone(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct act_row rows[] = {
        make("act-00000001", "receive", "front", 5), make("act-00000002", "check-out", "front", 8),
        make("act-00000003", "undo", "front", 9),    make("act-00000004", "scan", "front", MOVEMENT_NULL),
        make("act-00000005", "receive", "back", 20),
    };
    struct act_row read = {.id = ""};
    bool found = false;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        store(ledger, &rows[i], "{}");
    assert_true(act_row_last(ledger, "front", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.id, "act-00000002");
    assert_true(ledger_begin(ledger, NULL));
    assert_true(act_row_mark_undone(ledger, "act-00000002", NULL));
    assert_true(ledger_commit(ledger, NULL));
    assert_true(act_row_last(ledger, "front", &read, &found, NULL));
    assert_string_equal(read.id, "act-00000001");
    assert_true(act_row_last(ledger, "nowhere", &read, &found, NULL));
    assert_false(found);
}

static void an_act_that_is_not_known_cannot_be_undone(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    assert_true(ledger_begin(ledger, NULL));
    assert_false(act_row_mark_undone(ledger, "act-00000009", &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    ledger_rollback(ledger);
}

static bool count_acts(const struct act_row *row, const char *answer, void *context)
{
    int *count = context;
    char expected[ACT_ID_SIZE];
    (void)snprintf(expected, sizeof expected, "act-%08d", *count);
    assert_string_equal(row->id, expected);
    assert_string_equal(answer, "{}");
    return ++*count != 230;
}

static void all_acts_are_walked_over_several_pages_until_told_to_stop(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    int count = 0;
    assert_true(ledger_begin(ledger, NULL));
    for (int i = 0; i < 250; i++) {
        char id[ACT_ID_SIZE];
        (void)snprintf(id, sizeof id, "act-%08d", i);
        const struct act_row row = make(id, "receive", "front", i + 1);
        assert_true(act_row_store(ledger, &row, "{}", NULL));
    }
    assert_true(ledger_commit(ledger, NULL));
    assert_true(act_row_each(ledger, count_acts, &count, NULL));
    assert_int_equal(count, 230);
}

static bool note_answer(const struct act_row *row, const char *answer, void *context)
{
    char *kept = context; /* one letter an act: a answer, - none */
    (void)row;
    kept[strlen(kept)] = answer[0] ? 'a' : '-';
    return true;
}

static const char *kept_answers(struct ledger *ledger, char kept[16])
{
    memset(kept, 0, 16);
    assert_true(act_row_each(ledger, note_answer, kept, NULL));
    return kept;
}

#define MONTH_MS (ACT_ANSWER_DAYS * INT64_C(86400000))

static int64_t forget(struct ledger *ledger, int64_t before_ms, int64_t kept)
{
    struct fault fault = {0};
    int64_t forgotten = -1;
    if (!ledger_begin(ledger, &fault) ||
        !act_row_forget_answers(ledger, before_ms + MONTH_MS, kept, &forgotten, &fault) ||
        !ledger_commit(ledger, &fault))
        fail_msg("%s", fault.text);
    return forgotten;
}

static void old_answers_are_forgotten_but_the_newest_and_the_acts_stay(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct act_row read;
    char *answer = NULL, kept[16];
    bool found = false;
    for (int i = 0; i < 10; i++) {
        char id[ACT_ID_SIZE];
        (void)snprintf(id, sizeof id, "act-%08d", i);
        struct act_row row = make(id, "receive", "front", i + 1);
        row.at_ms = 1000 + i;
        store(ledger, &row, "{}");
    }
    assert_int_equal(forget(ledger, 1000, 0), 0);
    assert_int_equal(forget(ledger, 1003, 0), 3);
    assert_string_equal(kept_answers(ledger, kept), "---aaaaaaa");
    assert_int_equal(forget(ledger, 9999, 5), 2);
    assert_string_equal(kept_answers(ledger, kept), "-----aaaaa");
    assert_int_equal(forget(ledger, 9999, 0), 5);
    assert_int_equal(forget(ledger, 9999, 0), 0);
    assert_true(act_row_find(ledger, "act-00000009", &read, &answer, &found, NULL));
    assert_true(found && read.last_seq == 10);
    assert_string_equal(answer, "");
    free(answer);
    struct act_row fresh = make("act-00000010", "receive", "front", 11); /* numbers go on, as if nothing were gone */
    store(ledger, &fresh, "{}");
    assert_string_equal(kept_answers(ledger, kept), "----------a");
}

static void an_answer_from_the_future_is_in_nobodys_way(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    static const int64_t days[] = {4000, 1, 400}; /* the clock was wrong, then set right */
    char kept[16];
    for (int i = 0; i < 3; i++) {
        char id[ACT_ID_SIZE];
        (void)snprintf(id, sizeof id, "act-%08d", i);
        struct act_row row = make(id, "receive", "front", i + 1);
        row.at_ms = days[i] * INT64_C(86400000);
        store(ledger, &row, "{}");
    }
    assert_int_equal(forget(ledger, 380 * INT64_C(86400000), 0), 2); /* it is day 410 */
    assert_string_equal(kept_answers(ledger, kept), "--a");
}

static void answers_are_forgotten_a_few_at_a_time(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    assert_true(ledger_begin(ledger, NULL));
    for (int i = 0; i < ACT_ANSWERS_AT_ONCE + 20; i++) {
        char id[ACT_ID_SIZE];
        (void)snprintf(id, sizeof id, "act-%08d", i);
        struct act_row row = make(id, "receive", "front", i + 1);
        assert_true(act_row_store(ledger, &row, "{}", NULL));
    }
    assert_true(ledger_commit(ledger, NULL));
    assert_int_equal(forget(ledger, INT64_C(4000000000000), 0), ACT_ANSWERS_AT_ONCE);
    assert_int_equal(forget(ledger, INT64_C(4000000000000), 0), 20);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(an_act_and_its_answer_come_back),
        WITH_LEDGER(an_unknown_act_is_not_found),
        WITH_LEDGER(the_same_id_is_stored_once),
        WITH_LEDGER(the_longest_answer_fits_and_a_longer_one_is_refused),
        WITH_LEDGER(the_last_act_of_a_counter_is_one_that_can_be_undone),
        WITH_LEDGER(an_act_that_is_not_known_cannot_be_undone),
        WITH_LEDGER(all_acts_are_walked_over_several_pages_until_told_to_stop),
        WITH_LEDGER(old_answers_are_forgotten_but_the_newest_and_the_acts_stay),
        WITH_LEDGER(an_answer_from_the_future_is_in_nobodys_way),
        WITH_LEDGER(answers_are_forgotten_a_few_at_a_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
