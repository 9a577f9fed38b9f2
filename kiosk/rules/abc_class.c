#include "kiosk/rules/abc_class.h"

#include <math.h>
#include <string.h>

/* An item on its way: the place it will have, and what else decides its class. */
struct ranked {
    struct abc_place place;
    bool critical;
};

static int by_value_then_id(const void *a, const void *b)
{
    const struct ranked *one = a, *two = b;
    if (one->place.value != two->place.value)
        return one->place.value > two->place.value ? -1 : 1;
    return strcmp(one->place.id, two->place.id);
}

static struct ranked *rank(const struct abc_class_case *asked, struct arena *arena)
{
    struct ranked *items = arena_take(arena, asked->item_count, sizeof *items);
    if (!items)
        return NULL;
    for (size_t i = 0; i < asked->item_count; i++) {
        const struct abc_item *item = &asked->items[i];
        items[i].place = (struct abc_place){.id = item->id, .value = item->annual_use * item->unit_cost};
        items[i].critical = item->critical;
    }
    return rule_sort(arena, items, asked->item_count, sizeof *items, by_value_then_id) ? items : NULL;
}

static enum abc_letter letter_of(const struct abc_class_case *asked, bool critical, double before)
{
    if (critical || before < asked->cut_a - RULE_PROBABILITY_SLACK)
        return ABC_A;
    return before < asked->cut_b - RULE_PROBABILITY_SLACK ? ABC_B : ABC_C;
}

static void classify(const struct abc_class_case *asked, const struct ranked *ranked, struct abc_place *places,
                     struct abc_class_answer *answer)
{
    double before = 0;
    for (size_t i = 0; i < asked->item_count; i++) {
        places[i] = ranked[i].place;
        places[i].share = places[i].value / answer->total;
        places[i].letter = letter_of(asked, ranked[i].critical, before / answer->total);
        before += places[i].value;
        places[i].cumulative = before / answer->total;
        answer->in_class[places[i].letter]++;
    }
    answer->counts_per_year = 0;
    for (int letter = ABC_A; letter < ABC_LETTERS; letter++)
        answer->counts_per_year += (double)answer->in_class[letter] * asked->counts_per_year[letter];
    answer->counts_per_day = answer->counts_per_year / asked->working_days;
}

static void say_nothing_is_used(const struct abc_class_case *asked, const struct ranked *ranked,
                                struct abc_place *places, struct arena *arena, struct abc_class_answer *answer)
{
    const char *why = asked->item_count > 0 ? "nothing of any item is used that costs something: give the year's use "
                                              "and the price"
                                            : "there are no items: give them";
    for (size_t i = 0; i < asked->item_count; i++) {
        places[i] = ranked[i].place;
        places[i].share = places[i].cumulative = RULE_NULL;
        places[i].letter = ABC_LETTERS;
    }
    rule_set_unknown(&answer->said, "items", why);
    rule_set_unknown(&answer->said, "counts_per_year", why);
    rule_set_unknown(&answer->said, "counts_per_day", why);
    answer->said.sentence = rule_text(arena, "The classes are not known: %s.", why);
}

bool abc_class(const struct abc_class_case *asked, struct arena *arena, struct abc_class_answer *answer,
               struct rule_fault *fault)
{
    *answer = (struct abc_class_answer){.said = {.method = "ABC by value used a year, cumulated before the item"},
                                        .counts_per_year = RULE_NULL,
                                        .counts_per_day = RULE_NULL};
    if (asked->cut_a > asked->cut_b)
        return rule_fault_set(fault, RULE_RANGE, "cut_b",
                              "class B ends at %g of the total, before class A does (%g): "
                              "cut_b must be at least cut_a",
                              asked->cut_b, asked->cut_a);
    struct abc_place *places = arena_take(arena, asked->item_count, sizeof *places);
    const struct ranked *ranked = rank(asked, arena);
    if (!places || !ranked)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->item_count; i++)
        answer->total += ranked[i].place.value;
    if (!isfinite(answer->total))
        return rule_fault_set(fault, RULE_RANGE, "items",
                              "the values of the items are too large to be summed: look "
                              "for a number that was typed wrong");
    answer->items = places;
    if (answer->total <= 0) {
        say_nothing_is_used(asked, ranked, places, arena, answer);
        return true;
    }
    classify(asked, ranked, places, answer);
    answer->said.sentence =
        rule_text(arena, "%lld items are A, %lld B, %lld C: %.0f counts a year, %.1f a working day.",
                  (long long)answer->in_class[ABC_A], (long long)answer->in_class[ABC_B],
                  (long long)answer->in_class[ABC_C], answer->counts_per_year, answer->counts_per_day);
    return true;
}
