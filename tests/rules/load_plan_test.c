#include "kiosk/rules/load_plan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* The oracle is written from the definition and knows none of the rule's ways: every set of containers is tried, scored
 * by the whole objective, and the best is kept. What the rule says must be the same in every field. */

enum { MOST = 32, ROOM = 64 * 1024 * 1024 };
static unsigned char *memory;

/* --- the oracle --- */

struct score {
    int64_t keys[6 + MOST]; /* smaller is better, from the first on */
    int count;
    char ids[MOST * 8]; /* sorted, each of the same length and ended with a blank */
    uint64_t set;
    int64_t sum, slack, sealed, size, partials, dreg;
};

static int32_t last_day(const struct load_cartridge *one)
{
    return rule_has_day(one->open_until) && one->open_until.number < one->expires.number ? one->open_until.number
                                                                                         : one->expires.number;
}

static int by_text(const void *a, const void *b)
{
    return strcmp(*(const char *const *)a, *(const char *const *)b);
}

static void write_ids(const struct load_plan_case *asked, struct score *score)
{
    const char *ids[MOST] = {NULL};
    size_t count = 0;
    for (size_t i = 0; i < asked->cartridge_count; i++)
        if (score->set >> i & 1)
            ids[count++] = asked->cartridges[i].id;
    qsort(ids, count, sizeof *ids, by_text);
    score->ids[0] = '\0';
    for (size_t i = 0; i < count; i++) {
        const size_t length = strlen(score->ids);
        (void)snprintf(score->ids + length, sizeof score->ids - length, "%s ", ids[i]);
    }
}

/* Of one day, earliest first: how many are taken. Negative, for larger is better. */
static void add_expiries(const struct load_plan_case *asked, struct score *score)
{
    for (int32_t day = INT32_MIN;;) {
        int32_t next = INT32_MAX;
        int64_t taken = 0;
        for (size_t i = 0; i < asked->cartridge_count; i++) {
            const int32_t last = last_day(&asked->cartridges[i]);
            if (last > day && last < next)
                next = last;
        }
        if (next == INT32_MAX)
            return;
        for (size_t i = 0; i < asked->cartridge_count; i++)
            taken += (score->set >> i & 1) && last_day(&asked->cartridges[i]) == next;
        score->keys[score->count++] = -taken;
        day = next;
    }
}

/* False: the set is no minimal cover. */
static bool score_of(const struct load_plan_case *asked, uint64_t set, struct score *score)
{
    int64_t least = INT64_MAX, opened = 0;
    *score = (struct score){.set = set};
    for (size_t i = 0; i < asked->cartridge_count; i++) {
        const struct load_cartridge *one = &asked->cartridges[i];
        opened += one->opened;
        if (!(set >> i & 1))
            continue;
        score->size++;
        score->sum += one->usable_ml;
        score->sealed += !one->opened;
        least = one->usable_ml < least ? one->usable_ml : least;
    }
    score->slack = score->sum - asked->need_ml;
    if (score->slack < 0 || score->sum - least >= asked->need_ml)
        return false;
    score->dreg = score->slack > 0 && score->slack < asked->dreg_ml ? score->slack : 0;
    score->partials = opened + score->sealed - score->size + (score->slack > 0);
    int64_t *keys = score->keys;
    keys[score->count++] = score->size > asked->slots ? score->size - asked->slots : 0;
    keys[score->count++] = score->sealed;
    if (asked->objective == LOAD_PARTIALS)
        keys[score->count++] = score->partials;
    if (asked->objective == LOAD_BEST_FIT) {
        keys[score->count++] = score->dreg;
        keys[score->count++] = score->slack;
    }
    add_expiries(asked, score);
    if (asked->objective != LOAD_PARTIALS)
        keys[score->count++] = score->partials;
    if (asked->objective != LOAD_BEST_FIT) {
        keys[score->count++] = score->dreg;
        keys[score->count++] = score->slack;
    }
    return true;
}

static bool is_better(const struct load_plan_case *asked, struct score *a, struct score *b)
{
    for (int i = 0; i < a->count; i++)
        if (a->keys[i] != b->keys[i])
            return a->keys[i] < b->keys[i];
    write_ids(asked, a);
    write_ids(asked, b);
    return strcmp(a->ids, b->ids) < 0;
}

static bool try_all(const struct load_plan_case *asked, struct score *best)
{
    bool found = false;
    for (uint64_t set = 1; set < (uint64_t)1 << asked->cartridge_count; set++) {
        struct score score = {0};
        if (score_of(asked, set, &score) && (!found || is_better(asked, &score, best))) {
            *best = score;
            found = true;
        }
    }
    return found;
}

/* --- cases --- */

struct stock {
    struct load_cartridge cartridges[MOST];
    char ids[MOST][8];
};

struct kind {
    int most;    /* containers */
    int largest; /* ml */
    int unit;    /* amounts are multiples of it */
    int days;    /* different ones, about */
    int slots;   /* at most */
    int sealed;  /* of ten */
};

static void make_case(uint64_t *seed, const struct kind *kind, struct stock *stock, struct load_plan_case *asked)
{
    int64_t sum = 0;
    *asked = (struct load_plan_case){
        .cartridges = stock->cartridges,
        .cartridge_count = (size_t)(kind->most - random_below(seed, kind->most) * random_below(seed, 10) / 10)};
    for (size_t i = 0; i < asked->cartridge_count; i++) {
        struct load_cartridge *one = &stock->cartridges[i];
        (void)snprintf(stock->ids[i], sizeof stock->ids[i], "k%c%02zu", 'a' + random_below(seed, 4), i);
        *one = (struct load_cartridge){.id = stock->ids[i], .open_until = RULE_NO_DAY};
        one->usable_ml = (int64_t)kind->unit * (random_below(seed, kind->largest) + 1);
        one->expires.number = 20000 + random_below(seed, kind->days);
        one->opened = random_below(seed, 10) >= kind->sealed;
        if (one->opened && random_below(seed, 2))
            one->open_until.number = 20000 + random_below(seed, kind->days);
        sum += one->usable_ml;
    }
    asked->need_ml = random_below(seed, (int)sum) + 1;
    asked->slots = random_below(seed, kind->slots) + 1;
    asked->dreg_ml = random_below(seed, 3) == 0 ? 0 : random_below(seed, kind->largest * kind->unit);
    asked->job_end.number = 20000;
}

static void check_same(const struct load_plan_case *asked, const struct load_plan_answer *answer, struct score *best)
{
    char ids[MOST * 8] = "";
    int64_t taken = 0;
    write_ids(asked, best);
    const char *sorted[MOST] = {NULL};
    assert_int_equal(answer->pick_count, best->size);
    for (size_t i = 0; i < answer->pick_count; i++) {
        sorted[i] = answer->picks[i].id;
        assert_true(answer->picks[i].take_ml > 0);
        taken += answer->picks[i].take_ml;
    }
    qsort(sorted, answer->pick_count, sizeof *sorted, by_text);
    for (size_t i = 0; i < answer->pick_count; i++) {
        const size_t length = strlen(ids);
        (void)snprintf(ids + length, sizeof ids - length, "%s ", sorted[i]);
    }
    if (strcmp(ids, best->ids) != 0)
        fail_msg("objective %d, need %d, slots %d: %s, but %sis better", (int)asked->objective, (int)asked->need_ml,
                 (int)asked->slots, ids, best->ids);
    assert_int_equal(taken, asked->need_ml);
    assert_int_equal(answer->total_ml, best->sum);
    assert_int_equal(answer->slack_ml, best->slack);
    assert_int_equal(answer->changes, best->keys[0]);
    assert_int_equal(answer->sealed_opened, best->sealed);
    assert_int_equal(answer->partials_after, best->partials);
    assert_int_equal(answer->dreg_left_ml, best->dreg);
    assert_int_equal(answer->shortage_ml, 0);
}

static void ask(const struct load_plan_case *asked, struct load_plan_answer *answer)
{
    struct arena arena;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, ROOM);
    if (!load_plan(asked, &arena, answer, &fault))
        fail_msg("%s", fault.text);
}

static void compare_many(const struct kind *kind, int cases, uint64_t seed)
{
    for (int i = 0; i < cases; i++) {
        struct stock stock;
        struct load_plan_case asked;
        make_case(&seed, kind, &stock, &asked);
        for (int objective = LOAD_PARTIALS; objective <= LOAD_BEST_FIT; objective++) {
            struct load_plan_answer answer;
            struct score best = {0};
            asked.objective = (enum load_objective)objective;
            ask(&asked, &answer);
            assert_true(answer.possible);
            assert_true(try_all(&asked, &best));
            check_same(&asked, &answer, &best);
        }
    }
}

static void is_the_best_of_all_sets(void **state)
{
    static const struct kind kinds[] = {
        {10, 600, 1, 60, 10, 4}, /* a print room */
        {10, 12, 1, 4, 4, 5},    /* small numbers: many ties */
        {10, 6, 1, 1, 10, 3},    /* one day for all: slack and ids decide */
        {10, 30, 1, 3, 3, 0},    /* all opened */
        {10, 30, 1, 3, 12, 10},  /* all sealed */
        {9, 40, 25, 5, 5, 3},    /* a common unit of which the need is no multiple */
        {10, 200, 1, 2, 12, 2},  /* no lack of slots */
        {6, 3, 100000, 3, 4, 3}, /* amounts far larger than their number of values */
    };
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        compare_many(&kinds[i], 1200, 1000 + i);
}

static void is_the_best_of_all_sets_of_more_containers(void **state)
{
    static const struct kind kinds[] = {{15, 400, 1, 20, 15, 3}, {15, 20, 1, 3, 15, 1}, {15, 9, 1, 1, 15, 0}};
    (void)state;
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        compare_many(&kinds[i], 60, 2000 + i);
}

/* --- a second oracle, for more containers than all sets of which can be tried --- */

/* By falling amounts; of all sets of so many containers with the same sum, short of the need, the best by sealed ones,
 * expiries and ids is kept, for whatever completes one completes the other. Nothing in it is like the rule's way. */
struct labels {
    const struct load_plan_case *asked;
    int by_amount[MOST], by_id[MOST], by_day[MOST];
    uint64_t *sets; /* [containers][sum]; 0: none */
};

static const struct load_plan_case *sorting; /* qsort's callback has no argument of its own */

static int compare_amounts(const void *a, const void *b)
{
    const struct load_cartridge *one = &sorting->cartridges[*(const int *)a],
                                *two = &sorting->cartridges[*(const int *)b];
    return one->usable_ml != two->usable_ml ? (one->usable_ml < two->usable_ml) - (one->usable_ml > two->usable_ml)
                                            : strcmp(one->id, two->id);
}

static int compare_ids(const void *a, const void *b)
{
    return strcmp(sorting->cartridges[*(const int *)a].id, sorting->cartridges[*(const int *)b].id);
}

static int compare_days(const void *a, const void *b)
{
    const int32_t one = last_day(&sorting->cartridges[*(const int *)a]),
                  two = last_day(&sorting->cartridges[*(const int *)b]);
    return (one > two) - (one < two);
}

static void sort_labels(struct labels *labels)
{
    const size_t count = labels->asked->cartridge_count;
    for (size_t i = 0; i < count; i++)
        labels->by_amount[i] = labels->by_id[i] = labels->by_day[i] = (int)i;
    sorting = labels->asked;
    qsort(labels->by_amount, count, sizeof(int), compare_amounts);
    qsort(labels->by_id, count, sizeof(int), compare_ids);
    qsort(labels->by_day, count, sizeof(int), compare_days);
}

static bool is_better_label(const struct labels *labels, uint64_t a, uint64_t b)
{
    const struct load_cartridge *all = labels->asked->cartridges;
    const int count = (int)labels->asked->cartridge_count;
    int sealed = 0, more = 0;
    for (int i = 0; i < count; i++)
        sealed += all[i].opened ? 0 : (int)(a >> i & 1) - (int)(b >> i & 1);
    if (sealed != 0)
        return sealed < 0;
    for (int i = 0; i < count; i++) {
        const int at = labels->by_day[i];
        more += (int)(a >> at & 1) - (int)(b >> at & 1);
        if (more != 0 && (i + 1 == count || last_day(&all[labels->by_day[i + 1]]) != last_day(&all[at])))
            return more > 0;
    }
    for (int i = 0; i < count; i++)
        if ((a ^ b) >> labels->by_id[i] & 1)
            return a >> labels->by_id[i] & 1;
    return false;
}

static bool try_labels(const struct load_plan_case *asked, struct score *best)
{
    struct labels labels = {.asked = asked};
    bool found = false;
    const int count = (int)asked->cartridge_count;
    const int64_t need = asked->need_ml;
    sort_labels(&labels);
    labels.sets = calloc((size_t)(count + 1) * (size_t)need, sizeof *labels.sets);
    assert_non_null(labels.sets);
    for (int i = 0; i < count; i++) {
        const int item = labels.by_amount[i];
        const int64_t ml = asked->cartridges[item].usable_ml;
        for (int taken = i; taken >= 0; taken--)
            for (int64_t sum = 0; sum < need; sum++) {
                uint64_t set = labels.sets[taken * need + sum];
                if (set == 0 && (taken > 0 || sum > 0))
                    continue;
                set |= (uint64_t)1 << item;
                struct score score = {0};
                if (sum + ml >= need) {
                    assert_true(score_of(asked, set, &score));
                    if (!found || is_better(asked, &score, best))
                        *best = score;
                    found = true;
                } else {
                    uint64_t *kept = &labels.sets[(taken + 1) * need + sum + ml];
                    *kept = *kept == 0 || is_better_label(&labels, set, *kept) ? set : *kept;
                }
            }
    }
    free(labels.sets);
    return found;
}

static void is_what_labels_of_sums_find_for_thirty(void **state)
{
    static const struct kind kinds[] = {
        {30, 90, 1, 12, 30, 0}, {30, 60, 1, 4, 30, 5}, {24, 40, 3, 1, 24, 2}, {30, 100, 1, 40, 12, 3}};
    uint64_t seed = 3000;
    (void)state;
    for (size_t i = 0; i < 4 * sizeof kinds / sizeof *kinds; i++) {
        struct stock stock;
        struct load_plan_case asked;
        make_case(&seed, &kinds[i % 4], &stock, &asked);
        asked.need_ml = asked.need_ml > 900 ? 900 - random_below(&seed, 300) : asked.need_ml;
        for (int objective = LOAD_PARTIALS; objective <= LOAD_BEST_FIT; objective++) {
            struct load_plan_answer answer;
            struct score best = {0};
            asked.objective = (enum load_objective)objective;
            ask(&asked, &answer);
            assert_true(try_labels(&asked, &best));
            check_same(&asked, &answer, &best);
        }
    }
}

/* Nothing but the set is asked for: the order in which the stock is listed must not show. */
static void the_order_of_the_list_does_not_matter(void **state)
{
    static const struct kind kind = {28, 40, 1, 5, 12, 3};
    uint64_t seed = 4000;
    (void)state;
    for (int i = 0; i < 60; i++) {
        struct stock stock;
        struct load_plan_case asked;
        struct load_plan_answer answer;
        char picks[2][MOST * 20];
        make_case(&seed, &kind, &stock, &asked);
        asked.objective = (enum load_objective)(i % 3);
        for (int turn = 0; turn < 2; turn++) {
            picks[turn][0] = '\0';
            ask(&asked, &answer);
            for (size_t k = 0; k < answer.pick_count; k++) {
                const size_t length = strlen(picks[turn]);
                (void)snprintf(picks[turn] + length, sizeof *picks - length, "%s %d,", answer.picks[k].id,
                               (int)answer.picks[k].take_ml);
            }
            for (size_t k = asked.cartridge_count; k > 1; k--) { /* Fisher, Yates 1938 */
                const size_t other = (size_t)random_below(&seed, (int)k);
                const struct load_cartridge swap = stock.cartridges[k - 1];
                stock.cartridges[k - 1] = stock.cartridges[other];
                stock.cartridges[other] = swap;
            }
        }
        assert_string_equal(picks[0], picks[1]);
    }
}

static void says_so_when_a_table_does_not_fit(void **state)
{
    static const struct kind kind = {30, 50000000, 1, 30, 3, 0};
    uint64_t seed = 5000;
    struct stock stock;
    struct load_plan_case asked;
    struct load_plan_answer answer;
    struct rule_fault fault = {0};
    struct arena arena;
    (void)state;
    make_case(&seed, &kind, &stock, &asked);
    assert_true(asked.cartridge_count > 16); /* with fewer all sets are tried */
    asked.need_ml = 100000007;
    arena_init(&arena, memory, 1024 * 1024);
    assert_false(load_plan(&asked, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_the_best_of_all_sets),
        cmocka_unit_test(is_the_best_of_all_sets_of_more_containers),
        cmocka_unit_test(is_what_labels_of_sums_find_for_thirty),
        cmocka_unit_test(the_order_of_the_list_does_not_matter),
        cmocka_unit_test(says_so_when_a_table_does_not_fit),
    };
    memory = malloc(ROOM);
    const int failed = memory ? cmocka_run_group_tests_name("rules/load_plan", tests, NULL, NULL) : 1;
    free(memory);
    return failed;
}
