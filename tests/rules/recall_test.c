#include "kiosk/rules/recall.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

enum { ROOM = 64 * 1024 * 1024 };
static unsigned char *memory;

/* --- the walk, against taint carried through all movements one by one --- */

enum { VESSELS = 40, JOBS = 30, MOVES = 400 };

struct moves {
    struct recall_edge edges[MOVES]; /* in the order of time, with gaps */
    int64_t from[MOVES];
    int count;
    int64_t asked; /* calls of next */
};

static bool next_move(void *context, int64_t container, int64_t sequence, struct recall_edge *edge)
{
    struct moves *moves = context;
    moves->asked++;
    for (int i = 0; i < moves->count; i++)
        if (moves->from[i] == container && moves->edges[i].sequence > sequence) {
            *edge = moves->edges[i];
            return true;
        }
    return false;
}

static void make_moves(uint64_t *seed, struct moves *moves, int vessels)
{
    *moves = (struct moves){.count = 1 + random_below(seed, MOVES)};
    int64_t sequence = random_below(seed, 5);
    for (int i = 0; i < moves->count; i++) {
        const int act = random_below(seed, 10);
        struct recall_edge *edge = &moves->edges[i];
        sequence += 2 + random_below(seed, 5);
        edge->sequence = sequence;
        edge->act = act < 6 ? RECALL_POUR : act < 8 ? RECALL_USE : RECALL_CLEAN;
        moves->from[i] = 1000 - random_below(seed, vessels);
        edge->to = edge->act == RECALL_USE ? random_below(seed, JOBS) : 1000 - random_below(seed, vessels);
    }
}

struct taint {
    bool held[VESSELS], ever[VESSELS], jobs[JOBS];
};

static void carry(const struct moves *moves, const struct recall_start *starts, size_t start_count, struct taint *taint)
{
    size_t start = 0;
    *taint = (struct taint){0};
    for (int i = 0; i <= moves->count; i++) {
        for (; start < start_count && (i == moves->count || starts[start].sequence < moves->edges[i].sequence); start++)
            taint->held[1000 - starts[start].container] = taint->ever[1000 - starts[start].container] = true;
        if (i == moves->count)
            return;
        const int64_t from = 1000 - moves->from[i], to = moves->edges[i].to;
        if (!taint->held[from])
            continue;
        if (moves->edges[i].act == RECALL_CLEAN)
            taint->held[from] = false;
        else if (moves->edges[i].act == RECALL_USE)
            taint->jobs[to] = true;
        else
            taint->held[1000 - to] = taint->ever[1000 - to] = true;
    }
}

static void is_what_carrying_the_taint_through_all_moves_finds(void **state)
{
    static struct moves moves;
    uint64_t seed = 21;
    (void)state;
    for (int turn = 0; turn < 3000; turn++) {
        const int vessels = 3 + random_below(&seed, VESSELS - 2);
        struct recall_start starts[4] = {{0}};
        const size_t start_count = 1 + (size_t)random_below(&seed, 4);
        struct recall_reach reach;
        struct taint taint, found = {0};
        struct arena arena;
        arena_init(&arena, memory, ROOM);
        make_moves(&seed, &moves, vessels);
        for (size_t i = 0; i < start_count; i++) {
            starts[i].container = 1000 - random_below(&seed, vessels);
            starts[i].sequence = (i > 0 ? starts[i - 1].sequence : -1) + random_below(&seed, 300);
            for (int k = 0; k < moves.count; k++) /* no two things at once */
                starts[i].sequence += starts[i].sequence == moves.edges[k].sequence;
        }
        carry(&moves, starts, start_count, &taint);
        assert_true(recall_reach_init(&reach, VESSELS + JOBS, &arena));
        assert_true(recall_walk(&reach, starts, start_count, next_move, &moves));
        for (size_t i = 0; i < reach.count; i++) {
            const struct recall_place *place = &reach.places[i];
            if (place->job)
                found.jobs[place->number] = place->present;
            else
                found.ever[1000 - place->number] = true;
            if (!place->job)
                found.held[1000 - place->number] = place->present;
        }
        assert_memory_equal(&found, &taint, sizeof taint);
    }
}

/* A store of many chains, of which one is asked for: the walk must not look at the others. */
enum { CHAINS = 20000, LINKS = 8 };

static bool next_link(void *context, int64_t container, int64_t sequence, struct recall_edge *edge)
{
    ++*(int64_t *)context;
    const int64_t link = container % LINKS, time = container / LINKS + link * CHAINS + 1;
    if (time <= sequence)
        return false;
    *edge = (struct recall_edge){time, link + 1 < LINKS ? RECALL_POUR : RECALL_USE,
                                 link + 1 < LINKS ? container + 1 : container / LINKS, 0.5};
    return true;
}

static void it_costs_what_is_reached(void **state)
{
    struct recall_reach reach;
    struct arena arena;
    int64_t calls = 0;
    const struct recall_start start = {(int64_t)777 * LINKS, 0, 1000};
    (void)state;
    arena_init(&arena, memory, ROOM);
    assert_true(recall_reach_init(&reach, LINKS + 1, &arena));
    assert_true(recall_walk(&reach, &start, 1, next_link, &calls));
    assert_int_equal(reach.count, LINKS + 1);
    assert_int_equal(calls, 2 * LINKS);
    for (size_t i = 0; i < reach.count; i++) /* halves of halves; the last one's half is in the job */
        assert_true(reach.places[i].ml == ldexp(1000, i < LINKS ? -(int)i - 1 : -LINKS));
    assert_true(recall_reach_init(&reach, LINKS, &arena)); /* no room for the job */
    assert_false(recall_walk(&reach, &start, 1, next_link, &calls));
}

static void reaches_a_whole_store(void **state)
{
    struct recall_reach reach;
    struct arena arena;
    int64_t calls = 0;
    struct recall_start *starts = calloc(CHAINS, sizeof *starts);
    (void)state;
    assert_non_null(starts);
    for (int64_t i = 0; i < CHAINS; i++)
        starts[i].container = i * LINKS;
    arena_init(&arena, memory, ROOM);
    assert_true(recall_reach_init(&reach, (size_t)CHAINS * (LINKS + 1), &arena));
    assert_true(recall_walk(&reach, starts, CHAINS, next_link, &calls));
    assert_int_equal(reach.count, CHAINS * (LINKS + 1));
    free(starts);
}

/* --- the rule: what mix says is present, is what the walk reaches --- */

static bool has(const struct mix_holder *holder, const char *lot, double *ml)
{
    for (size_t i = 0; i < holder->share_count; i++)
        if (strcmp(holder->shares[i].lot, lot) == 0) {
            *ml = holder->shares[i].ml;
            return true;
        }
    return false;
}

static size_t compare_lists(const struct mix_holder *holders, size_t count, const char *lot,
                            const struct recall_amount *amounts, size_t amount_count)
{
    size_t found = 0;
    for (size_t i = 0; i < count; i++) {
        double ml = 0;
        if (!has(&holders[i], lot, &ml))
            continue;
        assert_true(found < amount_count);
        assert_string_equal(amounts[found].id, holders[i].id);
        assert_true(fabs(amounts[found].ml - ml) < 1e-9);
        found++;
    }
    return found;
}

static void reaches_where_the_lot_is_present_by_mix(void **state)
{
    enum { TANKS = 6, LOTS = 3, EVENTS = 60 };
    static const char *const ids[TANKS] = {"f", "b", "d", "a", "e", "c"}, *const lots[LOTS] = {"L2", "L0", "L1"};
    uint64_t seed = 31;
    (void)state;
    for (int turn = 0; turn < 500; turn++) {
        struct mix_lot all[LOTS];
        struct mix_content contents[TANKS];
        struct mix_container tanks[TANKS];
        struct mix_event events[EVENTS];
        double total[TANKS];
        struct recall_case asked = {{all, LOTS, tanks, TANKS, events, 0}, lots[random_below(&seed, LOTS)]};
        for (int i = 0; i < LOTS; i++)
            all[i] = (struct mix_lot){lots[i], {20000}, NULL};
        for (int i = 0; i < TANKS; i++) {
            total[i] = i < LOTS ? 1024 : 0;
            contents[i] = (struct mix_content){lots[i % LOTS], 1024};
            tanks[i] = (struct mix_container){ids[i], &contents[i], i < LOTS, RULE_NO_DAY};
        }
        for (int i = 0; i < EVENTS; i++) {
            const int from = random_below(&seed, TANKS), to = random_below(&seed, TANKS);
            const int act = total[from] == 0 ? MIX_CLEAN : random_below(&seed, 3);
            if (act == MIX_POUR && from == to)
                continue;
            const double ml = random_below(&seed, 2) ? total[from] : total[from] / 2;
            struct mix_event *event = &events[asked.mix.event_count++];
            *event = (struct mix_event){(enum mix_act)act, ids[from], act == MIX_POUR ? ids[to] : NULL,
                                        act == MIX_USE ? ids[to] : NULL, act == MIX_CLEAN ? 0 : ml};
            total[from] -= act == MIX_CLEAN ? 0 : ml;
            total[to] += act == MIX_POUR ? ml : 0;
            if (total[from] < 1e-3 && total[from] > 0)
                break;
        }
        struct arena arena;
        struct rule_fault fault = {0};
        struct mix_answer present;
        struct recall_answer answer;
        arena_init(&arena, memory, ROOM);
        assert_true(mix(&asked.mix, &arena, &present, &fault));
        assert_true(recall(&asked, &arena, &answer, &fault));
        assert_int_equal(compare_lists(present.containers, TANKS, asked.lot, answer.containers, answer.container_count),
                         answer.container_count);
        assert_int_equal(compare_lists(present.jobs, present.job_count, asked.lot, answer.jobs, answer.job_count),
                         answer.job_count);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(is_what_carrying_the_taint_through_all_moves_finds),
        cmocka_unit_test(it_costs_what_is_reached),
        cmocka_unit_test(reaches_a_whole_store),
        cmocka_unit_test(reaches_where_the_lot_is_present_by_mix),
    };
    memory = malloc(ROOM);
    const int failed = memory ? cmocka_run_group_tests_name("rules/recall", tests, NULL, NULL) : 1;
    free(memory);
    return failed;
}
