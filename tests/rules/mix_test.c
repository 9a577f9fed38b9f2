#include "kiosk/rules/mix.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

enum { LOTS = 5, VESSELS = 7, JOBS = 4, EVENTS = 200, ROOM = 8 * 1024 * 1024 };
static unsigned char memory[ROOM];
static const char *const lot_ids[LOTS] = {"L4", "L0", "L3", "L1", "L2"};
static const char *const vessel_ids[VESSELS] = {"v6", "v1", "v3", "v0", "v5", "v2", "v4"};
static const char *const job_ids[JOBS] = {"j2", "j0", "j3", "j1"};

struct play {
    struct mix_lot lots[LOTS];
    struct mix_content contents[VESSELS];
    struct mix_container containers[VESSELS];
    struct mix_event events[EVENTS];
    struct mix_case asked;
};

static void start(struct play *play)
{
    memset(play, 0, sizeof *play);
    for (int i = 0; i < LOTS; i++)
        play->lots[i] = (struct mix_lot){lot_ids[i], {20000 + 10 * i}, NULL};
    for (int i = 0; i < VESSELS; i++)
        play->containers[i] = (struct mix_container){.id = vessel_ids[i], .open_until = RULE_NO_DAY};
    play->asked = (struct mix_case){play->lots, LOTS, play->containers, VESSELS, play->events, 0};
}

static void fill(struct play *play, int vessel, int lot, double ml)
{
    play->contents[vessel] = (struct mix_content){lot_ids[lot], ml};
    play->containers[vessel].contents = &play->contents[vessel];
    play->containers[vessel].content_count = 1;
}

static void add(struct play *play, enum mix_act act, int from, int to, double ml)
{
    struct mix_event *event = &play->events[play->asked.event_count++];
    *event = (struct mix_event){.act = act, .from = vessel_ids[from], .ml = ml};
    if (act == MIX_POUR)
        event->to = vessel_ids[to];
    if (act == MIX_USE)
        event->job = job_ids[to];
}

static void ask(const struct play *play, struct mix_answer *answer)
{
    struct arena arena;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!mix(&play->asked, &arena, answer, &fault))
        fail_msg("%s", fault.text);
}

static const struct mix_holder *holder(const struct mix_holder *list, size_t count, const char *id)
{
    for (size_t i = 0; i < count; i++)
        if (strcmp(list[i].id, id) == 0)
            return &list[i];
    fail_msg("no %s", id);
    return NULL;
}

/* -1: not present */
static double part(const struct mix_holder *holder, const char *lot)
{
    for (size_t i = 0; i < holder->share_count; i++)
        if (strcmp(holder->shares[i].lot, lot) == 0)
            return holder->shares[i].ml;
    return -1;
}

/* Halves of powers of two are whole numbers: the oracle counts in integers and the answer must be equal, not near. */
static void halves_are_exact(void **state)
{
    uint64_t seed = 11;
    (void)state;
    for (int turn = 0; turn < 200; turn++) {
        struct play play;
        struct mix_answer answer;
        int64_t held[VESSELS][LOTS] = {{0}};
        bool present[VESSELS][LOTS] = {{false}};
        start(&play);
        for (int i = 0; i < LOTS; i++) {
            held[i][i] = (int64_t)1 << 44;
            present[i][i] = true;
            fill(&play, i, i, (double)held[i][i] / (1 << 16));
        }
        for (int i = 0; i < 40; i++) {
            const int from = random_below(&seed, VESSELS), to = random_below(&seed, VESSELS);
            int64_t total = 0;
            for (int k = 0; k < LOTS; k++)
                total += held[from][k];
            if (from == to || total == 0)
                continue;
            add(&play, MIX_POUR, from, to, (double)total / 2 / (1 << 16));
            for (int k = 0; k < LOTS; k++) {
                assert_int_equal(held[from][k] & 1, 0);
                held[from][k] /= 2;
                held[to][k] += held[from][k];
                present[to][k] = present[to][k] || present[from][k];
            }
        }
        ask(&play, &answer);
        for (int i = 0; i < VESSELS; i++)
            for (int k = 0; k < LOTS; k++) {
                const double ml = part(holder(answer.containers, VESSELS, vessel_ids[i]), lot_ids[k]);
                assert_true(ml == (present[i][k] ? (double)held[i][k] / (1 << 16) : -1));
            }
    }
}

/* Any events, with vessels emptied to the last drop and cleaned. */
static void make_any(uint64_t *seed, struct play *play, int events)
{
    double total[VESSELS] = {0};
    start(play);
    for (int i = 0; i < VESSELS - 1; i++) {
        total[i] = 1 + random_below(seed, 100000) / 100.0;
        fill(play, i, random_below(seed, LOTS), total[i]);
    }
    for (int i = 0; i < events; i++) {
        const int from = random_below(seed, VESSELS), to = random_below(seed, VESSELS), act = random_below(seed, 3);
        const bool all = random_below(seed, 4) == 0;
        const double ml = all ? total[from] : total[from] * random_below(seed, 1000) / 1000;
        if (total[from] == 0 && act == 0)
            add(play, MIX_CLEAN, from, 0, 0);
        if (ml == 0 || (act == MIX_POUR && from == to))
            continue;
        add(play, (enum mix_act)act, from, act == MIX_USE ? to % JOBS : to, ml);
        total[from] = all ? 0 : total[from] - ml;
        if (act == MIX_POUR)
            total[to] += ml;
    }
}

/* Received = held + in jobs + wasted, for each lot; and what holders say adds up. Mathematics of the trade: matter is
 * neither made nor lost. */
static void every_lot_balances(void **state)
{
    uint64_t seed = 12;
    (void)state;
    for (int turn = 0; turn < 300; turn++) {
        struct play play;
        struct mix_answer answer;
        make_any(&seed, &play, 90);
        ask(&play, &answer);
        assert_int_equal(answer.balance_count, LOTS);
        for (size_t i = 0; i < LOTS; i++) {
            const struct mix_balance *balance = &answer.balance[i];
            double held = 0, used = 0;
            for (size_t k = 0; k < answer.container_count; k++)
                held += fmax(0, part(&answer.containers[k], balance->lot));
            for (size_t k = 0; k < answer.job_count; k++)
                used += fmax(0, part(&answer.jobs[k], balance->lot));
            assert_true(fabs(balance->received_ml - balance->held_ml - balance->used_ml - balance->wasted_ml) < 1e-6);
            assert_true(fabs(balance->held_ml - held) < 1e-9 && fabs(balance->used_ml - used) < 1e-9);
        }
        for (size_t k = 0; k < answer.container_count; k++) {
            double sum = 0;
            for (size_t i = 0; i < answer.containers[k].share_count; i++)
                sum += answer.containers[k].shares[i].fraction;
            assert_true(answer.containers[k].total_ml > 0 ? fabs(sum - 1) < 1e-12 : sum == 0);
        }
    }
}

static void lists_are_by_id_and_the_order_of_the_case_does_not_matter(void **state)
{
    uint64_t seed = 13;
    struct play play;
    struct mix_answer answer;
    double before[VESSELS];
    (void)state;
    make_any(&seed, &play, 90);
    ask(&play, &answer);
    for (size_t i = 0; i < VESSELS; i++) {
        before[i] = answer.containers[i].total_ml;
        assert_true(i == 0 || strcmp(answer.containers[i - 1].id, answer.containers[i].id) < 0);
        for (size_t k = 1; k < answer.containers[i].share_count; k++)
            assert_true(strcmp(answer.containers[i].shares[k - 1].lot, answer.containers[i].shares[k].lot) < 0);
    }
    for (size_t i = 0; i < VESSELS / 2; i++) {
        const struct mix_container swap = play.containers[i];
        play.containers[i] = play.containers[VESSELS - 1 - i];
        play.containers[VESSELS - 1 - i] = swap;
    }
    ask(&play, &answer);
    for (size_t i = 0; i < VESSELS; i++)
        assert_true(answer.containers[i].total_ml == before[i]);
}

/* A vat that is topped up for ever: it never gets younger, common practice, no source. */
static void topping_up_does_not_better_the_expiry(void **state)
{
    struct play play;
    struct mix_answer answer;
    (void)state;
    start(&play);
    fill(&play, 0, 0, 800);
    fill(&play, 1, 4, 10000);
    for (int i = 0; i < 50; i++) {
        add(&play, MIX_USE, 0, 0, 200);
        add(&play, MIX_POUR, 1, 0, 200);
    }
    ask(&play, &answer);
    const struct mix_holder *vat = holder(answer.containers, VESSELS, vessel_ids[0]);
    assert_int_equal(vat->expires.number, 20000);
    assert_true(fabs(part(vat, lot_ids[0]) - 800 * pow(0.75, 50)) < 1e-9);
}

static void a_full_arena_is_a_fault(void **state)
{
    uint64_t seed = 14;
    struct play play;
    (void)state;
    make_any(&seed, &play, 90);
    bool good = false;
    size_t size = 16;
    for (; !good && size < sizeof memory; size += 97) {
        struct mix_answer answer;
        struct arena arena;
        struct rule_fault fault = {0};
        arena_init(&arena, memory, size);
        good = mix(&play.asked, &arena, &answer, &fault);
        assert_int_equal(fault.code, good ? RULE_GOOD : RULE_RANGE);
    }
    assert_true(good && size > 2000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(halves_are_exact),
        cmocka_unit_test(every_lot_balances),
        cmocka_unit_test(lists_are_by_id_and_the_order_of_the_case_does_not_matter),
        cmocka_unit_test(topping_up_does_not_better_the_expiry),
        cmocka_unit_test(a_full_arena_is_a_fault),
    };
    return cmocka_run_group_tests_name("rules/mix", tests, NULL, NULL);
}
