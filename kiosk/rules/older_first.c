#include "kiosk/rules/older_first.h"

#include <assert.h>
#include <string.h>

#include "kiosk/rules/job_need.h"
#include "kiosk/rules/load_plan.h"
#include "kiosk/rules/shelf_life.h"

enum { ALL = CHECK_OUT_UNITS + OLDER_FIRST_STORED };

bool older_first_usable(const struct check_out_thing *thing, bool labelled, int64_t amount_ul, struct day today,
                        const char *printer)
{
    return thing->in && !thing->gone && labelled && thing->hold[0] == '\0' && amount_ul != 0 && thing->has_expires &&
           shelf_life_of(thing->expires, today, RULE_NO_COUNT).expired == TRUTH_NO &&
           (!printer || check_out_fits(thing->fits, printer));
}

/* ---- who goes first ---- */

struct candidate {
    const struct older_first_one *one;
    size_t asked; /* its place among those asked for; ALL: it stands in storage */
    size_t pick;  /* its place in the plan; ALL: it is in none */
};

struct candidates {
    struct candidate list[ALL];
    size_t count;
};

static void collect(const struct older_first_case *asked, struct candidates *all)
{
    all->count = 0;
    for (size_t i = 0; i < asked->asked_count; i++)
        all->list[all->count++] = (struct candidate){&asked->asked[i], i, ALL};
    for (size_t i = 0; i < asked->stored_count; i++)
        all->list[all->count++] = (struct candidate){&asked->stored[i], ALL, ALL};
}

/* Of one day, what was asked for goes first. */
static int compare(const void *one, const void *two)
{
    const struct candidate *a = one, *b = two;
    if (a->pick != b->pick)
        return a->pick < b->pick ? -1 : 1;
    if (a->one->use_by.number != b->one->use_by.number)
        return a->one->use_by.number < b->one->use_by.number ? -1 : 1;
    if (a->asked != b->asked)
        return a->asked < b->asked ? -1 : 1;
    return strcmp(a->one->serial, b->one->serial);
}

static int64_t sure_ml(const struct older_first_one *one)
{
    return one->amount_ul == OLDER_FIRST_UNKNOWN ? 0 : job_need_sure_ml(one->amount_ul, one->estimated);
}

/* Who has one in hand that is enough is not sent for two. */
static int64_t slots_of(const struct older_first_case *asked, int64_t need_ml)
{
    return asked->asked_count == 1 && sure_ml(&asked->asked[0]) >= need_ml ? 1 : asked->slots;
}

static bool can_be_planned(const struct older_first_case *asked)
{
    for (size_t i = 0; i < asked->asked_count; i++)
        if (asked->asked[i].amount_ul == OLDER_FIRST_UNKNOWN)
            return false;
    return asked->need_ul != OLDER_FIRST_UNKNOWN && asked->need_ul > 0;
}

static void plan(const struct older_first_case *asked, struct arena *arena, struct candidates *all)
{
    struct load_cartridge cartridges[ALL];
    struct load_plan_answer answer;
    struct rule_fault fault;
    if (!can_be_planned(asked))
        return;
    const int64_t need_ml = job_need_most_ml(asked->need_ul);
    if (need_ml > OLDER_FIRST_NEED_ML)
        return;
    for (size_t i = 0; i < all->count; i++) {
        const struct older_first_one *one = all->list[i].one;
        cartridges[i] = (struct load_cartridge){.id = one->serial,
                                                .usable_ml = sure_ml(one),
                                                .expires = one->use_by,
                                                .open_until = RULE_NO_DAY,
                                                .opened = one->opened};
    }
    if (!load_plan(&(struct load_plan_case){.need_ml = need_ml,
                                            .slots = slots_of(asked, need_ml),
                                            .job_end = asked->job_end,
                                            .objective = LOAD_FEFO,
                                            .cartridges = cartridges,
                                            .cartridge_count = all->count},
                   arena, &answer, &fault) ||
        !answer.possible)
        return;
    for (size_t i = 0; i < answer.pick_count; i++)
        for (size_t j = 0; j < all->count; j++)
            if (strcmp(answer.picks[i].id, all->list[j].one->serial) == 0)
                all->list[j].pick = i;
}

/* ---- the answer ---- */

/* The latest of those asked for that were not chosen and have nobody before them yet; NULL: none. */
static const struct candidate *latest_to_wait(const struct candidates *all, size_t chosen,
                                              const struct older_first_answer *answer)
{
    const struct candidate *latest = NULL;
    for (size_t i = chosen; i < all->count; i++) {
        const struct candidate *each = &all->list[i];
        if (each->asked != ALL && !answer->instead[each->asked] &&
            (!latest || each->one->use_by.number > latest->one->use_by.number))
            latest = each;
    }
    return latest;
}

static int by_day(const void *one, const void *two)
{
    const struct candidate *a = one, *b = two;
    return (a->one->use_by.number > b->one->use_by.number) - (a->one->use_by.number < b->one->use_by.number);
}

void older_first(const struct older_first_case *asked, struct arena *arena, struct older_first_answer *answer)
{
    struct candidates all;
    assert(asked->asked_count <= CHECK_OUT_UNITS && asked->stored_count <= OLDER_FIRST_STORED && asked->slots >= 1);
    *answer = (struct older_first_answer){{NULL}};
    collect(asked, &all);
    plan(asked, arena, &all);
    if (!rule_sort(arena, all.list, all.count, sizeof *all.list, compare) ||
        !rule_sort(arena, all.list, asked->asked_count, sizeof *all.list, by_day))
        return;
    for (size_t i = 0; i < asked->asked_count; i++) { /* the oldest before the latest */
        const struct candidate *latest = latest_to_wait(&all, asked->asked_count, answer);
        if (!latest)
            return;
        if (all.list[i].asked == ALL && all.list[i].one->use_by.number < latest->one->use_by.number)
            answer->instead[latest->asked] = all.list[i].one;
    }
}

void older_first_judge(const struct older_first_case *asked, const struct older_first_answer *answer,
                       struct verdict_list *list)
{
    char older_day[CALENDAR_DATE_SIZE], day[CALENDAR_DATE_SIZE];
    for (size_t i = 0; i < asked->asked_count; i++) {
        const struct older_first_one *older = answer->instead[i], *one = &asked->asked[i];
        if (!older)
            continue;
        verdict_add(list, REASON_OLDER_FIRST, one->serial, "An older %s %s%s: %s, use by %s (%s: %s).", asked->resin,
                    older->place[0] ? "stands at " : "is not put away yet", older->place, older->serial,
                    calendar_write_date(older->use_by, older_day), asked->asked_count == 1 ? "this one" : one->serial,
                    calendar_write_date(one->use_by, day));
    }
}
