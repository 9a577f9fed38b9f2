#include "kiosk/rules/load_plan.h"

#include <assert.h>
#include <string.h>

/* Amounts are whole numbers that a double holds exactly, in all too: JSON has no others. */
static const int64_t MOST_ML = (int64_t)1 << 53;
enum { MOST_CARTRIDGES = 100000, MOST_ELIGIBLE = 2000 };

/* --- who may be taken --- */

static bool is_other(const char *wanted, const char *stated)
{
    return wanted && (!stated || strcmp(wanted, stated) != 0);
}

/* The first reason against a cartridge; NULL: none. */
static const char *reason_against(const struct load_plan_case *asked, const struct load_cartridge *cartridge)
{
    if (is_other(asked->resin, cartridge->resin))
        return "resin";
    if (is_other(asked->revision, cartridge->revision))
        return "revision";
    if (cartridge->held)
        return "held";
    if (cartridge->reserved)
        return "reserved";
    if (cartridge->expires.number < asked->job_end.number)
        return "expired";
    if (rule_has_day(cartridge->open_until) && cartridge->open_until.number < asked->job_end.number)
        return "open-life";
    return cartridge->usable_ml <= 0 ? "empty" : NULL;
}

static int32_t last_day(const struct load_cartridge *cartridge)
{
    return rule_has_day(cartridge->open_until) && cartridge->open_until.number < cartridge->expires.number
               ? cartridge->open_until.number
               : cartridge->expires.number;
}

/* --- putting in order --- */

struct ranked {
    const struct load_cartridge *cartridge;
    const char *reason; /* against it */
    int32_t day;
    uint32_t id; /* place among all by id */
};

struct ready {
    struct ranked *all, *eligible; /* by id; by day, then id */
    struct load_item *items;       /* of the eligible */
    size_t count, eligible_count;
    int32_t days; /* how many different ones */
    int64_t available, opened;
};

static int by_id(const void *a, const void *b)
{
    return strcmp(((const struct ranked *)a)->cartridge->id, ((const struct ranked *)b)->cartridge->id);
}

static int by_day(const void *a, const void *b) /* steady: those of one day stay by id */
{
    const struct ranked *one = a, *two = b;
    return (one->day > two->day) - (one->day < two->day);
}

static int in_draw_order(const void *a, const void *b)
{
    const struct ranked *one = a, *two = b;
    const int64_t ml = one->cartridge->usable_ml, other = two->cartridge->usable_ml;
    return one->day != two->day ? by_day(a, b) : ml != other ? (ml > other) - (ml < other) : by_id(a, b);
}

static bool add_up(const struct load_plan_case *asked, struct ready *ready, struct rule_fault *fault)
{
    for (size_t i = 0; i < ready->count; i++) {
        struct ranked *one = &ready->all[i];
        one->id = (uint32_t)i;
        one->reason = reason_against(asked, one->cartridge);
        one->day = last_day(one->cartridge);
        if (one->reason)
            continue;
        if (one->cartridge->usable_ml > MOST_ML - ready->available)
            return rule_fault_memory(fault);
        ready->available += one->cartridge->usable_ml;
        ready->opened += one->cartridge->opened;
        ready->eligible[ready->eligible_count++] = *one;
    }
    return true;
}

static bool make_ready(const struct load_plan_case *asked, struct arena *arena, struct ready *ready,
                       struct rule_fault *fault)
{
    *ready = (struct ready){.count = asked->cartridge_count};
    if (ready->count > MOST_CARTRIDGES) {
        (void)rule_fault_memory(fault);
        return false;
    }
    ready->all = arena_take(arena, ready->count, sizeof *ready->all);
    ready->eligible = arena_take(arena, ready->count, sizeof *ready->eligible);
    ready->items = arena_take(arena, ready->count, sizeof *ready->items);
    if (!ready->all || !ready->eligible || !ready->items)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < ready->count; i++)
        ready->all[i].cartridge = &asked->cartridges[i];
    if (!rule_sort(arena, ready->all, ready->count, sizeof *ready->all, by_id))
        return rule_fault_memory(fault);
    if (!add_up(asked, ready, fault))
        return false;
    if (ready->eligible_count > MOST_ELIGIBLE)
        return rule_fault_set(
            fault, RULE_RANGE, "cartridges",
            "%zu containers may be used, and %d at most can be compared: name fewer, the oldest first",
            ready->eligible_count, MOST_ELIGIBLE);
    if (!rule_sort(arena, ready->eligible, ready->eligible_count, sizeof *ready->eligible, by_day))
        return rule_fault_memory(fault);
    for (size_t i = 0; i < ready->eligible_count; i++) {
        const struct ranked *one = &ready->eligible[i];
        if (i == 0 || one->day != one[-1].day)
            ready->days++;
        ready->items[i] =
            (struct load_item){one->cartridge->usable_ml, (uint32_t)ready->days - 1, one->id, !one->cartridge->opened};
    }
    return true;
}

/* --- the answer --- */

static bool list_excluded(const struct ready *ready, struct arena *arena, struct load_plan_answer *answer)
{
    struct load_excluded *list = arena_take(arena, ready->count - ready->eligible_count, sizeof *list);
    assert(ready->all);
    if (!list)
        return false;
    for (size_t i = 0; i < ready->count; i++)
        if (ready->all[i].reason)
            list[answer->excluded_count++] = (struct load_excluded){ready->all[i].cartridge->id, ready->all[i].reason};
    answer->excluded = list;
    return true;
}

static bool list_picks(const struct ready *ready, const struct load_choice *choice, struct arena *arena,
                       struct load_plan_answer *answer)
{
    struct load_pick *picks = arena_take(arena, (size_t)choice->size, sizeof *picks);
    struct ranked *drawn = arena_take(arena, (size_t)choice->size, sizeof *drawn);
    if (!picks || !drawn)
        return false;
    for (size_t i = 0; i < ready->eligible_count; i++)
        if (choice->taken[i])
            drawn[answer->pick_count++] = ready->eligible[i];
    if (!rule_sort(arena, drawn, answer->pick_count, sizeof *drawn, in_draw_order))
        return false;
    for (size_t i = 0; i < answer->pick_count; i++)
        picks[i] = (struct load_pick){drawn[i].cartridge->id, drawn[i].cartridge->usable_ml};
    picks[answer->pick_count - 1].take_ml -= choice->slack;
    answer->picks = picks;
    return true;
}

static const char *number_of(struct arena *arena, int64_t count, const char *one, const char *several)
{
    return rule_text(arena, "%lld %s", (long long)count, count == 1 ? one : several);
}

static const char *sentence_of(const struct load_plan_case *asked, const struct load_plan_answer *answer,
                               struct arena *arena)
{
    const struct load_pick *last = &answer->picks[answer->pick_count - 1];
    const char *what = answer->pick_count == 1
                           ? rule_text(arena, "Load %s", last->id)
                           : rule_text(arena, "Load %zu containers, %s first", answer->pick_count, answer->picks[0].id);
    const char *changes =
        answer->changes == 0
            ? rule_text(arena, "no change during the job")
            : rule_text(arena, "%s during the job, for there %s: have the next one ready before the start",
                        number_of(arena, answer->changes, "change", "changes"),
                        asked->slots == 1 ? "is one slot"
                                          : rule_text(arena, "are %lld slots", (long long)asked->slots));
    const char *sealed = answer->sealed_opened == 0
                             ? ""
                             : rule_text(arena, "; %lld sealed to be opened", (long long)answer->sealed_opened);
    const char *left = answer->slack_ml == 0
                           ? "nothing is left in it"
                           : rule_text(arena, "%lld ml stay in %s%s", (long long)answer->slack_ml, last->id,
                                       answer->dreg_left_ml > 0 ? ", too little to use" : "");
    return rule_text(arena, "%s: %s%s; %s.", what, changes, sealed,
                     answer->slack_ml == 0 && answer->pick_count > 1 ? "nothing is left in them" : left);
}

static bool say_possible(const struct load_plan_case *asked, const struct ready *ready,
                         const struct load_choice *choice, struct arena *arena, struct load_plan_answer *answer)
{
    answer->possible = true;
    answer->slack_ml = choice->slack;
    answer->total_ml = asked->need_ml + choice->slack;
    answer->changes = choice->size > asked->slots ? choice->size - asked->slots : 0;
    answer->sealed_opened = choice->sealed;
    answer->partials_after = ready->opened + choice->sealed - choice->size + (choice->slack > 0);
    answer->dreg_left_ml = choice->slack < asked->dreg_ml ? choice->slack : 0;
    if (!list_picks(ready, choice, arena, answer))
        return false;
    answer->said.sentence = sentence_of(asked, answer, arena);
    return true;
}

static void say_short(const struct load_plan_case *asked, struct arena *arena, struct load_plan_answer *answer)
{
    answer->shortage_ml = asked->need_ml - answer->available_ml;
    answer->total_ml = answer->slack_ml = answer->changes = answer->sealed_opened = answer->partials_after =
        answer->dreg_left_ml = RULE_NO_COUNT;
    answer->said.sentence =
        rule_text(arena, "Not enough: %lld ml are needed and %lld ml can be used, %lld ml too little%s. Do not start.",
                  (long long)asked->need_ml, (long long)answer->available_ml, (long long)answer->shortage_ml,
                  answer->excluded_count == 0
                      ? ""
                      : rule_text(arena, " (%s left out)",
                                  number_of(arena, (int64_t)answer->excluded_count, "container is", "containers are")));
}

bool load_plan(const struct load_plan_case *asked, struct arena *arena, struct load_plan_answer *answer,
               struct rule_fault *fault)
{
    static const char *const methods[] = {[LOAD_PARTIALS] = "exact minimal cover, fewest partials first",
                                          [LOAD_FEFO] = "exact minimal cover, earliest expiry first",
                                          [LOAD_BEST_FIT] = "exact minimal cover, best fit first"};
    struct ready ready;
    *answer = (struct load_plan_answer){.said = {.method = methods[asked->objective]}};
    if (asked->need_ml < 1 || asked->need_ml > MOST_ML || asked->slots < 1 || asked->dreg_ml < 0)
        return rule_fault_set(fault, RULE_RANGE, "",
                              "a load plan needs at least one slot, a need from 1 ml up, and "
                              "no less than 0 ml to be too little");
    if (!make_ready(asked, arena, &ready, fault))
        return false;
    answer->available_ml = ready.available;
    if (!list_excluded(&ready, arena, answer))
        return rule_fault_memory(fault);
    if (ready.available < asked->need_ml) {
        say_short(asked, arena, answer);
        return true;
    }
    const struct load_want want = {
        ready.items,     (int32_t)ready.eligible_count, ready.days, asked->need_ml, asked->slots, asked->dreg_ml,
        asked->objective};
    struct load_choice choice;
    if (!load_choose(&want, arena, &choice) || !say_possible(asked, &ready, &choice, arena, answer))
        return rule_fault_memory(fault);
    return true;
}
