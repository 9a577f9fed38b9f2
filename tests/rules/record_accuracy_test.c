#include "kiosk/rules/record_accuracy.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>
#include <gsl/gsl_cdf.h>

#include "tests/reading/random.h"

/* Published values and the contract stand in fixtures/compute/record-accuracy.json; here is what holds for any case. */

enum { ROOM = 1 << 20 };
static unsigned char memory[ROOM];

static bool ask(const struct record_accuracy_case *asked, struct record_accuracy_answer *answer,
                struct rule_fault *fault)
{
    struct arena arena;
    arena_init(&arena, memory, sizeof memory);
    *fault = (struct rule_fault){0};
    return record_accuracy(asked, &arena, answer, fault);
}

static struct record_accuracy_case counted(int64_t all, int64_t wrong, int64_t population)
{
    return (struct record_accuracy_case){.counted = all, .wrong = wrong, .confidence = 0.95, .population = population};
}

/* Every number of wrong ones in all is tried with GSL 2.7's hypergeometric distribution. */
static void most_wrong_is_found_by_trying_all(void **state)
{
    uint64_t random = 41;
    (void)state;
    for (int round = 0; round < 400; round++) {
        const int population = 1 + random_below(&random, 60), all = 1 + random_below(&random, population),
                  wrong = random_below(&random, all + 1);
        struct record_accuracy_case asked = counted(all, wrong, population);
        struct record_accuracy_answer answer;
        struct rule_fault fault;
        asked.confidence = 0.5 + random_below(&random, 499) / 1000.0;
        int most = 0;
        for (int try = wrong; try <= population - (all - wrong); try++) {
            const double p = wrong >= try || wrong >= all
                                 ? 1
                                 : gsl_cdf_hypergeometric_P((unsigned)wrong, (unsigned)try,
                                                            (unsigned)(population - try), (unsigned)all);
            if (p > 1 - asked.confidence + 1e-12)
                most = try;
        }
        assert_true(ask(&asked, &answer, &fault));
        assert_int_equal(answer.most_wrong, most);
        assert_true(answer.accuracy_at_least == 1 - (double)most / population);
    }
}

static void limits_enclose_and_tighten(void **state)
{
    (void)state;
    for (int64_t n = 1; n < 2000; n = n * 2 + 1)
        for (int64_t wrong = 0; wrong <= n; wrong += 1 + n / 5) {
            const struct record_accuracy_case asked = counted(n, wrong, n),
                                              four_times = counted(4 * n, 4 * wrong, 8 * n);
            struct record_accuracy_answer answer = {0}, more = {0};
            struct rule_fault fault;
            assert_true(ask(&asked, &answer, &fault) && ask(&four_times, &more, &fault));
            assert_true(answer.lower <= answer.lower_one_sided && answer.lower_one_sided <= answer.accuracy &&
                        answer.accuracy <= answer.upper && answer.lower >= 0 && answer.upper <= 1);
            assert_true(more.upper - more.lower < answer.upper - answer.lower);
            assert_int_equal(answer.most_wrong, wrong); /* all were counted */
            assert_true(more.accuracy_at_least >=
                        more.lower_one_sided - 1e-9); /* half of all is counted: better known */
        }
}

static void records_count_in_any_order(void **state)
{
    enum { RECORDS = 50 };
    uint64_t random = 7;
    struct counted_record records[RECORDS], mixed[RECORDS];
    struct record_accuracy_answer answer, other;
    struct rule_fault fault;
    double net = 0, gross = 0;
    int accurate = 0;
    (void)state;
    for (int i = 0; i < RECORDS; i++) {
        const double expected = random_below(&random, 100), over = random_below(&random, 9) - 4,
                     near = random_below(&random, 4);
        records[i] = (struct counted_record){"", expected, expected + over, near, 0, 2};
        mixed[i] = records[i];
        net += over;
        gross += fabs(over);
        accurate += fabs(over) <= near;
    }
    for (int i = RECORDS - 1; i > 0; i--) {
        const int k = random_below(&random, i + 1);
        const struct counted_record moved = mixed[i];
        mixed[i] = mixed[k];
        mixed[k] = moved;
    }
    struct record_accuracy_case asked = {.has_records = true,
                                         .records = records,
                                         .record_count = RECORDS,
                                         .confidence = 0.9,
                                         .population = RULE_NO_COUNT};
    assert_true(ask(&asked, &answer, &fault));
    asked.records = mixed;
    assert_true(ask(&asked, &other, &fault));
    assert_true(answer.net == net && answer.gross == gross && answer.net_value == 2 * net &&
                answer.gross_value == 2 * gross && answer.accurate == accurate && answer.counted == RECORDS);
    assert_true(other.net == net && other.gross == gross && other.accurate == accurate && other.lower == answer.lower);
}

static void what_makes_no_sense_is_refused_here_too(void **state)
{
    const struct record_accuracy_case wrong = counted(3, 4, RULE_NO_COUNT), few = counted(3, 1, 2);
    struct record_accuracy_case both = counted(3, 1, RULE_NO_COUNT);
    struct record_accuracy_answer answer;
    struct rule_fault fault;
    (void)state;
    both.has_two_counts = true;
    both.first = 5;
    both.second = 2;
    both.both = 3;
    assert_false(ask(&wrong, &answer, &fault));
    assert_int_equal(fault.code, RULE_CONFLICT);
    assert_false(ask(&few, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    assert_false(ask(&both, &answer, &fault));
    assert_string_equal(fault.key, "two_counts.both");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(most_wrong_is_found_by_trying_all),
        cmocka_unit_test(limits_enclose_and_tighten),
        cmocka_unit_test(records_count_in_any_order),
        cmocka_unit_test(what_makes_no_sense_is_refused_here_too),
    };
    return cmocka_run_group_tests_name("rules/record_accuracy", tests, NULL, NULL);
}
