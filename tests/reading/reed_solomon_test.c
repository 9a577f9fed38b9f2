#include "labels/reading/reed_solomon.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

static void fill(const struct symbol_size *size, uint64_t *seed, uint8_t *codewords)
{
    for (int i = 0; i < size->data; i++)
        codewords[i] = (uint8_t)random_next(seed);
    reed_solomon_extend(size, codewords);
}

/* The check words of published symbols stand in published_test.c. */

/* Spoils `count` different words of one block. */
static void spoil(const struct symbol_size *size, int block, int count, uint64_t *seed, uint8_t *codewords)
{
    const int length = (size->data + size->check - block + size->blocks - 1) / size->blocks;
    uint8_t taken[255] = {0};
    for (int done = 0; done < count;) {
        const int place = random_below(seed, length);
        if (taken[place])
            continue;
        taken[place] = 1;
        codewords[block + place * size->blocks] ^= (uint8_t)(1 + random_below(seed, 255));
        done++;
    }
}

static void corrects_every_block_up_to_its_bound(void **state)
{
    uint64_t seed = 16022;
    (void)state;
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        uint8_t right[SYMBOL_CODEWORDS], words[SYMBOL_CODEWORDS];
        for (int round = 0; round < (size->blocks > 1 ? 2 : 20); round++) {
            fill(size, &seed, right);
            memcpy(words, right, sizeof words);
            for (int block = 0; block < size->blocks; block++)
                spoil(size, block, reed_solomon_bound(size), &seed, words);
            assert_int_equal(reed_solomon_correct(size, NULL, NULL, words), reed_solomon_bound(size) * size->blocks);
            assert_memory_equal(words, right, (size_t)size->data + (size_t)size->check);
        }
    }
}

static void refuses_one_error_more_than_the_bound_and_leaves_the_words_alone(void **state)
{
    uint64_t seed = 20261101;
    (void)state;
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        uint8_t words[SYMBOL_CODEWORDS], before[SYMBOL_CODEWORDS];
        for (int round = 0; round < 20; round++) {
            const int block = random_below(&seed, size->blocks);
            fill(size, &seed, words);
            spoil(size, block, reed_solomon_bound(size) + 1, &seed, words);
            memcpy(before, words, sizeof words);
            assert_int_equal(reed_solomon_correct(size, NULL, NULL, words), -1);
            assert_memory_equal(words, before, (size_t)size->data + (size_t)size->check);
        }
    }
}

static void counts_nothing_changed_in_a_clean_symbol(void **state)
{
    uint64_t seed = 7;
    (void)state;
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        uint8_t words[SYMBOL_CODEWORDS];
        fill(symbol_size_at(i), &seed, words);
        assert_int_equal(reed_solomon_correct(symbol_size_at(i), NULL, NULL, words), 0);
    }
}

static int count_random_accepted(const struct symbol_size *size, int tries, uint64_t *seed)
{
    int accepted = 0;
    for (int i = 0; i < tries; i++) {
        uint8_t words[SYMBOL_CODEWORDS];
        for (int k = 0; k < size->data + size->check; k++)
            words[k] = (uint8_t)(random_next(seed) >> 8);
        accepted += reed_solomon_correct(size, NULL, NULL, words) >= 0;
    }
    return accepted;
}

/* The header gives 1.9e-9 for 10x10: of a million random vectors 0.002 are expected to pass, two or more practically
 * never. (A corrector that does not look at the syndromes again passes about half of them.) */
static void random_words_are_not_taken_for_a_symbol(void **state)
{
    uint64_t seed = 1;
    (void)state;
    const int tries = 1000000, accepted = count_random_accepted(symbol_size_find(10, 10), tries, &seed);
    printf("random 10x10 vectors accepted: %d of %d\n", accepted, tries);
    assert_true(accepted <= 1);
    assert_int_equal(count_random_accepted(symbol_size_find(12, 12), 100000, &seed), 0);
    assert_int_equal(count_random_accepted(symbol_size_find(14, 14), 100000, &seed), 0);
    assert_int_equal(count_random_accepted(symbol_size_find(22, 22), 20000, &seed), 0);
}

/* Erasures first, and as many errors besides as the two unused check words leave. */
static void corrects_erasures_and_errors_together(void **state)
{
    uint64_t seed = 9001;
    (void)state;
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        const int check = size->check / size->blocks;
        for (int round = 0; round < (size->blocks > 1 ? 3 : 30); round++) {
            uint8_t right[SYMBOL_CODEWORDS], words[SYMBOL_CODEWORDS], erased[SYMBOL_CODEWORDS] = {0};
            const int erasures = 1 + random_below(&seed, check - 2), errors = (check - 2 - erasures) / 2;
            const int block = random_below(&seed, size->blocks);
            fill(size, &seed, right);
            memcpy(words, right, sizeof words);
            spoil(size, block, erasures + errors, &seed, words);
            int wrong = 0;
            for (int k = block; k < size->data + size->check; k += size->blocks)
                if (words[k] != right[k] && ++wrong <= erasures)
                    erased[k] = 1;
            assert_int_equal(reed_solomon_correct(size, erased, NULL, words), erasures + errors);
            assert_memory_equal(words, right, (size_t)size->data + (size_t)size->check);
        }
    }
}

static void an_erased_word_that_was_right_is_not_counted_as_changed(void **state)
{
    const struct symbol_size *size = symbol_size_find(22, 22);
    uint8_t right[SYMBOL_CODEWORDS], words[SYMBOL_CODEWORDS], erased[SYMBOL_CODEWORDS] = {0};
    uint64_t seed = 3;
    (void)state;
    fill(size, &seed, right);
    memcpy(words, right, sizeof words);
    erased[4] = erased[40] = 1;
    words[4] ^= 0x55;
    words[17] ^= 1;
    assert_int_equal(reed_solomon_correct(size, erased, NULL, words), 2);
    assert_memory_equal(words, right, (size_t)size->data + (size_t)size->check);
}

static void two_check_words_are_never_used_up_by_erasures(void **state)
{
    (void)state;
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        const int check = size->check / size->blocks;
        uint64_t seed = 77;
        uint8_t words[SYMBOL_CODEWORDS], before[SYMBOL_CODEWORDS], erased[SYMBOL_CODEWORDS] = {0};
        fill(size, &seed, words);
        for (int k = 0; k < check - 1; k++)
            erased[k * size->blocks] = 1;
        words[0] ^= 9;
        memcpy(before, words, sizeof words);
        assert_int_equal(reed_solomon_correct(size, erased, NULL, words), -1);
        assert_memory_equal(words, before, (size_t)size->data + (size_t)size->check);
    }
}

/* The header's figures, and a count of random words. */
static void the_chance_is_that_of_the_header_and_of_counting(void **state)
{
    (void)state;
    static const struct {
        int length, check, errors, erasures;
        double chance;
    } cases[] = {{8, 5, 1, 0, 1.9e-9},   {8, 5, 2, 0, 1.7e-6},    {12, 7, 2, 0, 6e-11},   {12, 7, 3, 0, 5e-8},
                 {18, 10, 5, 0, 7.8e-9}, {24, 12, 6, 0, 4.8e-10}, {50, 20, 10, 0, 8e-15}, {8, 5, 0, 3, 1.53e-5}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const double chance = reed_solomon_chance(cases[i].length, cases[i].check, cases[i].errors, cases[i].erasures);
        if (fabs(chance / cases[i].chance - 1) > 0.06)
            fail_msg("case %d: %g, not %g", (int)i, chance, cases[i].chance);
    }
    /* 10x10 with three erasures: two check words are left, 1.5e-5; of 2 million 30.5 are expected (sd 5.5) */
    const struct symbol_size *size = symbol_size_find(10, 10);
    const uint8_t erased[8] = {1, 1, 1};
    uint64_t seed = 5;
    int accepted = 0;
    for (int i = 0; i < 2000000; i++) {
        uint8_t words[8];
        for (int k = 0; k < 8; k++)
            words[k] = (uint8_t)(random_next(&seed) >> 8);
        accepted += reed_solomon_correct(size, erased, NULL, words) >= 0;
    }
    assert_in_range(accepted, 10, 52);
}

static void what_is_risked_never_comes_to_more_than_was_allowed(void **state)
{
    uint64_t seed = 11;
    double risk = 1e-6, before = risk;
    int full = 0, none = 0;
    (void)state;
    const struct symbol_size *size = symbol_size_find(14, 14);
    for (int i = 0; i < 20000; i++) {
        uint8_t words[SYMBOL_CODEWORDS], right[SYMBOL_CODEWORDS];
        fill(size, &seed, right);
        memcpy(words, right, sizeof words);
        spoil(size, 0, reed_solomon_bound(size), &seed, words);
        const int corrected = reed_solomon_correct(size, NULL, &risk, words);
        full += corrected == reed_solomon_bound(size);
        none += corrected < 0;
        assert_true(risk > 0 && risk <= before);
        before = risk;
    }
    assert_in_range(full, 20, 200); /* 7.8e-9 each, while a sixty-fourth of what is left allows it */
    assert_int_equal(full + none, 20000);
    uint8_t clean[SYMBOL_CODEWORDS];
    fill(size, &seed, clean);
    assert_int_equal(reed_solomon_correct(size, NULL, &risk, clean), 0); /* a clean symbol still reads */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(corrects_every_block_up_to_its_bound),
        cmocka_unit_test(refuses_one_error_more_than_the_bound_and_leaves_the_words_alone),
        cmocka_unit_test(counts_nothing_changed_in_a_clean_symbol),
        cmocka_unit_test(random_words_are_not_taken_for_a_symbol),
        cmocka_unit_test(corrects_erasures_and_errors_together),
        cmocka_unit_test(an_erased_word_that_was_right_is_not_counted_as_changed),
        cmocka_unit_test(two_check_words_are_never_used_up_by_erasures),
        cmocka_unit_test(the_chance_is_that_of_the_header_and_of_counting),
        cmocka_unit_test(what_is_risked_never_comes_to_more_than_was_allowed),
    };
    return cmocka_run_group_tests_name("reading/reed_solomon", tests, NULL, NULL);
}
