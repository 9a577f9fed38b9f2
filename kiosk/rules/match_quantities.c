#include "kiosk/rules/match_quantities.h"

#include <string.h>

#include "labels/basics/steady_sort.h"
#include "labels/basics/text.h"

/* All that is said of keys, in one list: sorted, what belongs to a key stands together. Found comes before the
 * movements, as it says up to which instant they count. */
enum mention_kind { EXPECTED, FOUND, MOVED };
struct mention {
    struct stock_key key;
    enum mention_kind kind;
    int64_t quantity;
    bool has_at;
    struct instant at;
    size_t index; /* in the list it is from */
};

/* A key and what is left of its difference; `rank` is its place among all keys. */
struct line {
    struct stock_key key;
    int64_t difference;
    size_t rank;
};

/* Part of a difference that is explained: from and to are ranks. */
struct pair {
    size_t from, to;
    int64_t quantity;
};

static int compare_keys(const struct stock_key *one, const struct stock_key *two)
{
    int way = strcmp(one->item, two->item);
    if (way == 0)
        way = strcmp(one->lot, two->lot);
    return way != 0 ? way : strcmp(one->place, two->place);
}

static int by_key_kind(const void *a, const void *b)
{
    const struct mention *one = a, *two = b;
    const int way = compare_keys(&one->key, &two->key);
    return way != 0 ? way : (one->kind > two->kind) - (one->kind < two->kind);
}

static int by_item_place(const void *a, const void *b)
{
    const struct line *one = a, *two = b;
    const int way = strcmp(one->key.item, two->key.item);
    return way != 0 ? way : strcmp(one->key.place, two->key.place);
}

static int by_ranks(const void *a, const void *b)
{
    const struct pair *one = a, *two = b;
    if (one->from != two->from)
        return one->from < two->from ? -1 : 1;
    return (one->to > two->to) - (one->to < two->to);
}

static struct mention *gather(const struct match_quantities_case *asked, struct arena *arena, size_t *count)
{
    *count = asked->expected_count + asked->found_count + asked->movement_count;
    struct mention *all = arena_take(arena, *count, sizeof *all), spare;
    uint32_t *order = arena_take(arena, *count, sizeof *order);
    if (!all || !order)
        return NULL;
    struct mention *next = all;
    for (size_t i = 0; i < asked->expected_count; i++)
        *next++ = (struct mention){asked->expected[i].key, EXPECTED, asked->expected[i].quantity, .index = i};
    for (size_t i = 0; i < asked->found_count; i++) {
        const struct counted_quantity *found = &asked->found[i];
        *next++ = (struct mention){found->key, FOUND, found->quantity, found->has_at, found->at, i};
    }
    for (size_t i = 0; i < asked->movement_count; i++) {
        const struct stock_movement *movement = &asked->movements[i];
        *next++ = (struct mention){movement->key, MOVED, movement->change, true, movement->at, i};
    }
    steady_sort(all, *count, sizeof *all, by_key_kind, order, &spare);
    return all;
}

static bool add(int64_t *sum, int64_t more, struct rule_fault *fault)
{
    return !__builtin_add_overflow(*sum, more, sum) ||
           rule_fault_set(fault, RULE_RANGE, "",
                          "the quantities are too large to be summed: look for a number that was "
                          "typed wrong");
}

static bool say_twice(const struct mention *mention, struct rule_fault *fault)
{
    const char *list = mention->kind == EXPECTED ? "expected_quantities" : "found_quantities";
    char path[48], item[40], lot[40], place[40];
    struct builder builder;
    builder_init(&builder, path, sizeof path);
    builder_addf(&builder, "%s.%zu", list, mention->index);
    return rule_fault_set(
        fault, RULE_DUPLICATE, path, "item '%s', lot '%s', place '%s' stands twice in '%s': each may be there once",
        text_show(span_of(mention->key.item), item, sizeof item), text_show(span_of(mention->key.lot), lot, sizeof lot),
        text_show(span_of(mention->key.place), place, sizeof place), list);
}

/* One line out of the mentions of one key. */
static bool make_line(const struct mention *of_key, size_t count, struct line *line, struct rule_fault *fault)
{
    const struct mention *found = NULL;
    int64_t expected = 0;
    for (size_t i = 0; i < count; i++) {
        const struct mention *mention = &of_key[i];
        if (mention->kind != MOVED && i > 0 && mention[-1].kind == mention->kind)
            return say_twice(mention, fault);
        if (mention->kind == FOUND) {
            found = mention;
            continue;
        }
        const bool later = mention->kind == MOVED && found && found->has_at && mention->at.ms > found->at.ms;
        if (!later && !add(&expected, mention->quantity, fault))
            return false;
    }
    line->key = of_key->key;
    line->difference = found ? found->quantity : 0;
    return expected > INT64_MIN && add(&line->difference, -expected, fault);
}

static struct line *make_lines(const struct mention *all, size_t count, struct arena *arena,
                               struct match_quantities_answer *answer, struct rule_fault *fault)
{
    struct line *lines = arena_take(arena, count, sizeof *lines);
    if (!lines) {
        (void)rule_fault_memory(fault);
        return NULL;
    }
    size_t at = 0;
    for (size_t i = 0, of_key = 1; i < count; i += of_key, at++) {
        for (of_key = 1; i + of_key < count && compare_keys(&all[i].key, &all[i + of_key].key) == 0;)
            of_key++;
        if (!make_line(&all[i], of_key, &lines[at], fault))
            return NULL;
        const int64_t difference = lines[at].difference;
        if (difference == INT64_MIN || !add(&answer->net, difference, fault) ||
            !add(&answer->gross, difference < 0 ? -difference : difference, fault))
            return NULL;
        lines[at].rank = at;
        answer->exact += difference == 0;
    }
    answer->lines = (int64_t)at;
    return lines;
}

/* --- pairing --- */

static bool can_pair(int stage, const struct stock_key *one, const struct stock_key *two)
{
    return strcmp(one->item, two->item) == 0 && (stage != 1 || strcmp(one->lot, two->lot) == 0) &&
           (stage != 2 || strcmp(one->place, two->place) == 0);
}

/* Within a group whose lines all pair with each other, taking each shortage in turn and for it each surplus in turn is
 * one walk with two fingers. Returns how many pairs came out. */
static size_t pair_group(struct line *group, size_t count, struct pair *pairs)
{
    size_t made = 0, over = 0;
    for (size_t i = 0; i < count; i++) {
        while (group[i].difference < 0) {
            while (over < count && group[over].difference <= 0)
                over++;
            if (over == count)
                return made;
            const int64_t short_by = -group[i].difference, over_by = group[over].difference;
            const int64_t quantity = short_by < over_by ? short_by : over_by;
            group[i].difference += quantity;
            group[over].difference -= quantity;
            pairs[made++] = (struct pair){group[i].rank, group[over].rank, quantity};
        }
    }
    return made;
}

/* Room for what pairing needs, as large as it can become: each pair settles a shortage or a surplus for good, so that
 * over all stages there are fewer pairs than lines. */
struct pairing {
    struct line *lines; /* by key */
    struct line *open;  /* those that are not settled, sorted for the stage */
    size_t line_count, open_count;
    struct pair *pairs;
    uint32_t *order;
    struct stock_move *moves;
    size_t move_count;
};

static void pair_stage(struct pairing *pairing, int stage)
{
    struct line spare_line;
    struct pair spare_pair;
    size_t made = 0;
    pairing->open_count = 0;
    for (size_t i = 0; i < pairing->line_count; i++)
        if (pairing->lines[i].difference != 0)
            pairing->open[pairing->open_count++] = pairing->lines[i];
    if (stage == 2) /* by key they stand together already for the other two; steady: within a place they stay so */
        steady_sort(pairing->open, pairing->open_count, sizeof *pairing->open, by_item_place, pairing->order,
                    &spare_line);
    for (size_t i = 0, count = 1; i < pairing->open_count; i += count) {
        struct line *group = &pairing->open[i];
        for (count = 1; i + count < pairing->open_count && can_pair(stage, &group->key, &group[count].key);)
            count++;
        made += pair_group(group, count, pairing->pairs + made);
    }
    for (size_t i = 0; i < pairing->open_count; i++)
        pairing->lines[pairing->open[i].rank].difference = pairing->open[i].difference;
    steady_sort(pairing->pairs, made, sizeof *pairing->pairs, by_ranks, pairing->order, &spare_pair);
    for (size_t i = 0; i < made; i++) {
        const struct pair *pair = &pairing->pairs[i];
        pairing->moves[pairing->move_count++] =
            (struct stock_move){stage, pairing->lines[pair->from].key, pairing->lines[pair->to].key, pair->quantity};
    }
}

static bool explain(struct line *lines, struct arena *arena, struct match_quantities_answer *answer)
{
    const size_t count = (size_t)answer->lines;
    struct pairing pairing = {.lines = lines,
                              .line_count = count,
                              .open = arena_take(arena, count, sizeof *pairing.open),
                              .pairs = arena_take(arena, count, sizeof *pairing.pairs),
                              .order = arena_take(arena, count, sizeof *pairing.order),
                              .moves = arena_take(arena, count, sizeof *pairing.moves)};
    struct stock_difference *rest = arena_take(arena, count, sizeof *rest);
    if (!pairing.open || !pairing.pairs || !pairing.order || !pairing.moves || !rest)
        return false;
    for (int stage = 1; stage <= 3; stage++)
        pair_stage(&pairing, stage);
    for (size_t i = 0; i < count; i++)
        if (lines[i].difference != 0)
            rest[answer->unexplained_count++] = (struct stock_difference){lines[i].key, lines[i].difference};
    answer->moves = pairing.moves;
    answer->move_count = pairing.move_count;
    answer->unexplained = rest;
    return true;
}

bool match_quantities(const struct match_quantities_case *asked, struct arena *arena,
                      struct match_quantities_answer *answer, struct rule_fault *fault)
{
    size_t count = 0;
    *answer = (struct match_quantities_answer){0};
    const struct mention *all = gather(asked, arena, &count);
    struct line *lines = all ? make_lines(all, count, arena, answer, fault) : NULL;
    if (!lines)
        return rule_fault_memory(fault); /* a fault that is set already stays */
    return explain(lines, arena, answer) || rule_fault_memory(fault);
}
