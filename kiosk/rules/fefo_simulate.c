#include "kiosk/rules/fefo_simulate.h"

#include <math.h>

#include "kiosk/rules/random_draw.h"

#define MOST_STEPS 1e9   /* of one case: some seconds */
enum { DRAW_STEPS = 8 }; /* a draw is as dear as looking at so many lots */

/* Mean and spread as the values come. Welford, Technometrics 4, 1962. */
struct tally {
    double count, mean, squares;
};

static void count_in(struct tally *tally, double value)
{
    const double off = value - tally->mean;
    tally->count++;
    tally->mean += off / tally->count;
    tally->squares += off * (value - tally->mean);
}

static struct fefo_simulated result_of(const struct tally *tally, double grid)
{
    return (struct fefo_simulated){grid * tally->mean, grid * sqrt(tally->squares / (tally->count - 1) / tally->count)};
}

/* A lot while it is played. */
struct player {
    double quantity, expires, arrives;
    struct random_table delay; /* count 0: in time */
    double came, left;         /* in this replication */
    struct tally waste;
    double wasted_times;
};

struct play {
    struct player *players; /* in FEFO order */
    size_t count, first;    /* those before `first` are expired */
    double last_period;
    struct random_table demand, life_left;
    bool by_unit;
    struct random_draw random;
    double unmet, refused; /* in this replication */
    struct tally total_waste, total_unmet, total_refused;
    double steps;
};

/* --- one replication --- */

/* Takes `wanted` in FEFO order from lots that are here and last `life` periods longer than this one. */
static void serve(struct play *play, double period, double wanted, double life)
{
    bool too_old = false;
    for (size_t i = play->first; i < play->count && wanted > 0; i++) {
        struct player *player = &play->players[i];
        play->steps++;
        if (player->left <= 0 || player->came >= period)
            continue;
        if (player->expires < period + life) {
            too_old = true;
            continue;
        }
        const double taken = fmin(wanted, player->left);
        player->left -= taken;
        wanted -= taken;
    }
    play->unmet += wanted;
    play->refused += too_old ? wanted : 0;
}

static void play_period(struct play *play, double period)
{
    while (play->first < play->count && play->players[play->first].expires < period)
        play->first++;
    double wanted = (double)random_table_draw(&play->demand, &play->random);
    play->steps += DRAW_STEPS;
    if (play->by_unit && play->life_left.count > 1) {
        for (; wanted > 0 && play->steps <= MOST_STEPS; wanted--) {
            play->steps += DRAW_STEPS;
            serve(play, period, 1, (double)random_table_draw(&play->life_left, &play->random));
        }
        return;
    }
    serve(play, period, wanted, (double)random_table_draw(&play->life_left, &play->random));
}

static void replicate(struct play *play)
{
    double waste = 0;
    play->first = 0;
    play->unmet = play->refused = 0;
    for (size_t i = 0; i < play->count; i++) {
        struct player *player = &play->players[i];
        player->left = player->quantity;
        player->came = player->arrives;
        if (player->delay.count > 0)
            player->came += (double)random_table_draw(&player->delay, &play->random);
        play->steps += DRAW_STEPS;
    }
    for (double period = 1; period <= play->last_period && play->steps <= MOST_STEPS; period++)
        play_period(play, period);
    for (size_t i = 0; i < play->count; i++) {
        struct player *player = &play->players[i];
        count_in(&player->waste, player->left); /* all have expired by now */
        player->wasted_times += player->left > 0;
        waste += player->left;
    }
    count_in(&play->total_waste, waste);
    count_in(&play->total_unmet, play->unmet);
    count_in(&play->total_refused, play->refused);
}

/* False: too much to play. Most of that can be told before. */
static bool replicate_all(const struct fefo_simulate_case *asked, struct play *play)
{
    const double draws = (double)asked->replications * (play->last_period + (double)play->count);
    if (draws * DRAW_STEPS > MOST_STEPS)
        return false;
    for (int64_t i = 0; i < asked->replications && play->steps <= MOST_STEPS; i++)
        replicate(play);
    return play->steps <= MOST_STEPS;
}

/* --- setting up --- */

static bool set_tables(const struct fefo_simulate_case *asked, struct arena *arena, struct play *play,
                       struct rule_fault *fault)
{
    struct pmf demand;
    if (!demand_over(&asked->model, 1, 0, "model", arena, &demand, fault))
        return false;
    play->by_unit = asked->asked_by == ASKED_BY_UNIT;
    play->random.state = asked->seed;
    play->life_left.count = 1; /* of which nothing is drawn: whatever is there will do */
    if (!random_table_fill(&demand, arena, &play->demand) ||
        (asked->life_left.p && !random_table_fill(&asked->life_left, arena, &play->life_left)))
        return rule_fault_memory(fault);
    return true;
}

static bool set_players(const struct fefo_simulate_case *asked, const struct fefo_lot *sorted, struct arena *arena,
                        struct play *play, struct rule_fault *fault)
{
    play->count = asked->lot_count;
    play->players = arena_take(arena, play->count, sizeof *play->players);
    if (!play->players)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < play->count; i++) {
        const struct fefo_simulate_lot *lot = &asked->lots[sorted[i].place];
        play->players[i] = (struct player){
            .quantity = sorted[i].quantity, .expires = sorted[i].expires, .arrives = (double)lot->arrives_period};
        if (lot->delay.p && !random_table_fill(&lot->delay, arena, &play->players[i].delay))
            return rule_fault_memory(fault);
        play->last_period = fmax(play->last_period, sorted[i].expires);
    }
    return true;
}

static struct fefo_lot *plain_lots(const struct fefo_simulate_case *asked, struct arena *arena)
{
    struct fefo_lot *plain = arena_take(arena, asked->lot_count, sizeof *plain);
    for (size_t i = 0; plain && i < asked->lot_count; i++)
        plain[i] = asked->lots[i].lot;
    return plain ? fefo_sort(plain, asked->lot_count, arena) : NULL;
}

/* --- the answer --- */

static bool fill(const struct fefo_simulate_case *asked, const struct play *play, struct arena *arena,
                 struct fefo_simulate_answer *answer, struct rule_fault *fault)
{
    struct fefo_simulated *waste = arena_take(arena, play->count, sizeof *waste);
    double *p_waste = arena_take(arena, play->count, sizeof *p_waste);
    if (!waste || !p_waste)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < play->count; i++) {
        waste[i] = result_of(&play->players[i].waste, asked->grid);
        p_waste[i] = play->players[i].wasted_times / play->total_waste.count;
    }
    answer->waste = waste;
    answer->p_waste = p_waste;
    answer->total = result_of(&play->total_waste, asked->grid);
    answer->unmet = result_of(&play->total_unmet, asked->grid);
    answer->refused = result_of(&play->total_refused, asked->grid);
    return true;
}

static void say_unknown(struct fefo_simulate_answer *answer)
{
    static const char *const keys[] = {
        "total_expected_waste", "total_se", "expected_unmet", "unmet_se", "expected_refused", "refused_se", "lots"};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        rule_set_unknown(&answer->said, keys[i], "no demand model is known: give 'model'");
    answer->total = answer->unmet = answer->refused = (struct fefo_simulated){RULE_NULL, RULE_NULL};
    answer->said.sentence = "Nobody knows what will expire unused, for no demand is known.";
}

static void say(double stock, struct arena *arena, struct fefo_simulate_answer *answer)
{
    const char *old = answer->refused.mean > 0 ? rule_text(arena, ", %s of it because what is there is too old",
                                                           rule_number(arena, answer->refused.mean))
                                               : "";
    const char *unmet = answer->unmet.mean > 0 ? rule_text(arena, " About %s of the demand finds nothing%s.",
                                                           rule_number(arena, answer->unmet.mean), old)
                                               : "";
    answer->said.sentence = rule_text(arena, "About %s of %s will expire unused (standard error %s).%s",
                                      rule_number(arena, answer->total.mean), rule_number(arena, stock),
                                      rule_number(arena, answer->total.se), unmet);
}

bool fefo_simulate(const struct fefo_simulate_case *asked, struct arena *arena, struct fefo_simulate_answer *answer,
                   struct rule_fault *fault)
{
    struct fefo_lot *sorted = plain_lots(asked, arena);
    struct play play = {0};
    *answer = (struct fefo_simulate_answer){.lots = sorted, .lot_count = asked->lot_count};
    answer->said.method = rule_text(arena, "simulation by period, %lld replications, SplitMix64 from seed %llu",
                                    (long long)asked->replications, (unsigned long long)asked->seed);
    if (!sorted)
        return rule_fault_memory(fault);
    if (!fefo_to_cells(sorted, asked->lot_count, asked->grid, "lots", arena, fault))
        return false;
    if (asked->lot_count > 0 && asked->model.kind == DEMAND_NONE) {
        say_unknown(answer);
        return true;
    }
    if ((asked->lot_count > 0 && !set_tables(asked, arena, &play, fault)) ||
        !set_players(asked, sorted, arena, &play, fault))
        return false;
    if (!replicate_all(asked, &play))
        return rule_fault_set(fault, RULE_RANGE, "replications",
                              "so many replications of so many periods and lots take too long: ask for fewer, or for "
                              "longer periods or a coarser grid");
    if (!fill(asked, &play, arena, answer, fault))
        return false;
    say(asked->grid * fefo_total(sorted, asked->lot_count), arena, answer);
    return true;
}
