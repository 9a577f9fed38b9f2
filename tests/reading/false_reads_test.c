#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "labels/reading/module_matrix.h"
#include "labels/reading/reader.h"
#include "labels/reading/reed_solomon.h"
#include "tests/reading/random.h"

/* Random modules are not taken for a symbol. 10x10 is the size that comes nearest to it: it has the fewest check words.
 * A million matrices; AMBERSHELF_TEST_LONG=1 makes it a hundred million. */

enum { SIDE = 10, MODULES = SIDE * SIDE };

static int64_t tries(void)
{
    const char *wanted = getenv("AMBERSHELF_TEST_LONG");
    return wanted && strcmp(wanted, "1") == 0 ? 100 * 1000 * 1000 : 1000 * 1000;
}

static void fill(uint64_t *seed, uint8_t *modules)
{
    for (int i = 0; i < MODULES; i += 32) {
        const uint32_t bits = random_next(seed);
        for (int k = 0; k < 32 && i + k < MODULES; k++)
            modules[i + k] = bits >> k & 1;
    }
}

/* Whole matrices, finder and all: what is taken has nine tenths of the finder right, which one random matrix in nine
 * million has, and its words fit besides, which one in five hundred million has: none is expected. */
static void whole_random_matrices_are_not_accepted(void **state)
{
    const struct symbol_size *size = symbol_size_find(SIDE, SIDE);
    static struct reader_symbol symbol;
    uint8_t modules[MODULES];
    uint64_t seed = 101010;
    int64_t finders = 0, accepted = 0;
    (void)state;
    for (int64_t i = 0; i < tries(); i++) {
        double finder = 0;
        fill(&seed, modules);
        accepted += module_matrix_accept(size, modules, NULL, NULL, &finder, &symbol);
        finders += finder >= 0.9;
    }
    printf("%lld random 10x10: %lld with a finder, %lld accepted\n", (long long)tries(), (long long)finders,
           (long long)accepted);
    assert_int_equal(accepted, 0);
}

/* The words alone, without a look at the finder: by reed_solomon_chance 1.9e-9 each, less for those whose decodation is
 * illegal. More than 5 where 0.19 are expected at most would come once in 18 million runs (Poisson). */
static void random_words_are_accepted_as_seldom_as_computed(void **state)
{
    const struct symbol_size *size = symbol_size_find(SIDE, SIDE);
    uint8_t words[8];
    uint64_t seed = 1010;
    int64_t accepted = 0;
    (void)state;
    for (int64_t i = 0; i < tries(); i++) {
        const uint32_t first = random_next(&seed), second = random_next(&seed);
        memcpy(words, &first, sizeof first);
        memcpy(words + sizeof first, &second, sizeof second);
        accepted += reed_solomon_correct(size, NULL, NULL, words) >= 0;
    }
    const double expected = (double)tries() * reed_solomon_chance(8, 5, reed_solomon_bound(size), 0);
    printf("%lld random words of 10x10: %lld accepted, %.2f expected\n", (long long)tries(), (long long)accepted,
           expected);
    assert_true(expected < 0.2);
    assert_true(accepted <= 5);
}

/* A right symbol whose finder is damaged, module after module: accepted down to nine tenths of the finder where there
 * are few check words, to three quarters elsewhere, and not one module further. */
static void a_symbol_needs_its_finder(void **state)
{
    static struct reader_symbol symbol;
    static uint8_t modules[SYMBOL_MODULES];
    (void)state;
    for (size_t s = 0; s < SYMBOL_SIZES; s++) {
        const struct symbol_size *size = symbol_size_at(s);
        const double least = size->check <= 7 ? 0.9 : 0.75;
        uint8_t words[SYMBOL_CODEWORDS];
        double finder = 0;
        int of = 0, wrong = 0;
        memset(words, 'A' + 1, sizeof words);
        reed_solomon_extend(size, words);
        module_matrix_write(size, words, modules);
        const int right = module_matrix_finder_right(size, modules, &of);
        assert_int_equal(right, of);
        for (int k = 0; k < size->rows * size->columns; k++) {
            if (symbol_size_finder_at(size, k / size->columns, k % size->columns) < 0)
                continue;
            const bool accepted = module_matrix_accept(size, modules, NULL, NULL, &finder, &symbol);
            assert_true(accepted == (of - wrong >= least * of));
            assert_true(finder == (double)(of - wrong) / of);
            modules[k] ^= 1;
            wrong++;
        }
    }
}

/* A right finder, random modules inside, some said to be unsure, under the risk of one picture: however long it is
 * tried, the sum of the chances stays below READER_RISK, so that not one is expected in a million pictures. */
static void random_modules_in_a_finder_stay_within_the_risk(void **state)
{
    const struct symbol_size *sizes[] = {symbol_size_find(10, 10), symbol_size_find(12, 12), symbol_size_find(8, 18),
                                         symbol_size_find(14, 14), symbol_size_find(16, 16), symbol_size_find(22, 22)};
    static struct reader_symbol symbol;
    static uint8_t modules[SYMBOL_MODULES], unsure[SYMBOL_MODULES];
    uint64_t seed = 777;
    int accepted = 0;
    double risk = READER_RISK;
    (void)state;
    for (int64_t i = 0; i < tries() / 100; i++) {
        const struct symbol_size *size = sizes[i % 6];
        const int doubt = random_below(&seed, 6);
        for (int k = 0; k < size->rows * size->columns; k++) {
            const int wanted = symbol_size_finder_at(size, k / size->columns, k % size->columns);
            modules[k] = (uint8_t)(wanted >= 0 ? wanted : random_below(&seed, 2));
            unsure[k] = wanted < 0 && random_below(&seed, 100) < doubt;
        }
        if (i % 1000 == 0)
            risk = READER_RISK; /* the next picture */
        double finder = 0;
        accepted += module_matrix_accept(size, modules, unsure, &risk, &finder, &symbol);
        assert_true(risk >= 0);
    }
    assert_int_equal(accepted, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(whole_random_matrices_are_not_accepted),
        cmocka_unit_test(random_words_are_accepted_as_seldom_as_computed),
        cmocka_unit_test(a_symbol_needs_its_finder),
        cmocka_unit_test(random_modules_in_a_finder_stay_within_the_risk),
    };
    return cmocka_run_group_tests_name("reading/false_reads", tests, NULL, NULL);
}
