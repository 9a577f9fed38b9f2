#include "kiosk/rules/match_units.h"

#include <string.h>

#include "kiosk/rules/names.h"
#include "labels/basics/text.h"

/* All that is said of ids, in one list: sorted, what belongs to an id stands together. */
enum mention_kind { EXPECTED, DISPOSED, SCANNED };
struct mention {
    const char *id, *place; /* of DISPOSED no place */
    enum mention_kind kind;
    size_t index; /* in the list it is from */
};

static int by_id_kind_place(const void *a, const void *b)
{
    const struct mention *one = a, *two = b;
    const int way = strcmp(one->id, two->id);
    if (way != 0)
        return way;
    if (one->kind != two->kind)
        return one->kind < two->kind ? -1 : 1;
    return one->kind == DISPOSED ? 0 : strcmp(one->place, two->place);
}

static int by_place(const void *a, const void *b)
{
    const struct unit_place *one = a, *two = b;
    return strcmp(one->place, two->place);
}

static struct mention *gather(const struct match_units_case *asked, struct arena *arena, size_t *count)
{
    *count = asked->expected_count + asked->disposed_count + asked->scan_count;
    struct mention *all = arena_take(arena, *count, sizeof *all);
    if (!all)
        return NULL;
    struct mention *next = all;
    for (size_t i = 0; i < asked->expected_count; i++)
        *next++ = (struct mention){asked->expected[i].id, asked->expected[i].place, EXPECTED, i};
    for (size_t i = 0; i < asked->disposed_count; i++)
        *next++ = (struct mention){asked->disposed[i], NULL, DISPOSED, i};
    for (size_t i = 0; i < asked->scan_count; i++)
        *next++ = (struct mention){asked->scans[i].id, asked->scans[i].place, SCANNED, i};
    return rule_sort(arena, all, *count, sizeof *all, by_id_kind_place) ? all : NULL;
}

/* The finished places. */
struct places {
    bool all;
    struct names names;
};

static bool find_finished(const struct match_units_case *asked, struct arena *arena, struct places *places)
{
    *places = (struct places){.all = asked->all_finished};
    return places->all ||
           names_init(&places->names, asked->finished, asked->finished_count, sizeof *asked->finished, arena);
}

static bool is_finished(const struct places *places, const char *place)
{
    return places->all || names_find(&places->names, place) != NAMES_NONE;
}

static enum unit_result result_of(const struct matched_unit *unit, bool disposed, const struct places *finished)
{
    if (unit->found_count > 1)
        return UNIT_DUPLICATE;
    if (disposed)
        return UNIT_GHOST;
    if (!unit->expected_place)
        return UNIT_UNKNOWN;
    if (unit->found_count == 0)
        return is_finished(finished, unit->expected_place) ? UNIT_MISSING : UNIT_NOT_COUNTED;
    return strcmp(unit->found_places[0], unit->expected_place) == 0 ? UNIT_OK : UNIT_MISPLACED;
}

/* Nobody can be expected twice, disposed of twice, or both. Names the later of the two mentions. */
static bool clash(const struct mention *one, const struct mention *two, struct rule_fault *fault)
{
    char key[40], shown[60];
    struct builder builder;
    const size_t later = one->kind == two->kind && one->index > two->index ? one->index : two->index;
    builder_init(&builder, key, sizeof key);
    builder_addf(&builder, two->kind == EXPECTED ? "expected.%zu.id" : "disposed.%zu", later);
    text_show(span_of(two->id), shown, sizeof shown);
    if (one->kind != two->kind)
        return rule_fault_set(fault, RULE_CONFLICT, key,
                              "'%s' is expected in a place and disposed of as well: it can be but one of them", shown);
    return rule_fault_set(fault, RULE_DUPLICATE, key, "'%s' stands twice in '%s': each may be there once", shown,
                          two->kind == EXPECTED ? "expected" : "disposed");
}

/* One unit out of the mentions of one id. `found`: room for its places. */
static bool make_unit(const struct mention *of_id, size_t count, const char **found, const struct places *finished,
                      struct matched_unit *unit, struct rule_fault *fault)
{
    bool disposed = false;
    *unit = (struct matched_unit){.id = of_id->id, .found_places = found};
    for (size_t i = 0; i < count; i++) {
        const struct mention *mention = &of_id[i];
        if (mention->kind != SCANNED && i > 0)
            return clash(&of_id[i - 1], mention, fault);
        if (mention->kind == EXPECTED)
            unit->expected_place = mention->place;
        else if (mention->kind == DISPOSED)
            disposed = true;
        else if (unit->found_count == 0 || strcmp(found[unit->found_count - 1], mention->place) != 0)
            found[unit->found_count++] = mention->place;
    }
    unit->result = result_of(unit, disposed, finished);
    return true;
}

/* The units with one result, with their place, by id as they come. */
static struct unit_place *those_that_are(const struct match_units_answer *answer, enum unit_result result,
                                         struct arena *arena, size_t *count)
{
    *count = (size_t)answer->results[result];
    struct unit_place *list = arena_take(arena, *count, sizeof *list), *next = list;
    for (size_t i = 0; list && i < answer->unit_count; i++) {
        const struct matched_unit *unit = &answer->units[i];
        if (unit->result == result)
            *next++ =
                (struct unit_place){unit->id, result == UNIT_MISSING ? unit->expected_place : unit->found_places[0]};
    }
    return list;
}

/* How many of the misplaced ones, sorted by place, stand in a place: from `*first` on. */
static size_t those_in(const struct unit_place *sorted, size_t count, const char *place, size_t *first)
{
    size_t ends[2]; /* where the place begins, and where it is over */
    for (int after = 0; after < 2; after++) {
        size_t low = 0, high = count;
        while (low < high) {
            const size_t middle = low + (high - low) / 2;
            if (strcmp(sorted[middle].place, place) < after)
                low = middle + 1;
            else
                high = middle;
        }
        ends[after] = low;
    }
    *first = ends[0];
    return ends[1] - ends[0];
}

static bool give_hints(struct arena *arena, struct match_units_answer *answer)
{
    size_t missing_count = 0, misplaced_count = 0, first = 0;
    const struct unit_place *missing = those_that_are(answer, UNIT_MISSING, arena, &missing_count);
    struct unit_place *misplaced = those_that_are(answer, UNIT_MISPLACED, arena, &misplaced_count);
    if (!missing || !misplaced || /* the order of ids is kept */
        !rule_sort(arena, misplaced, misplaced_count, sizeof *misplaced, by_place))
        return false;
    for (size_t i = 0; i < missing_count && answer->hint_count <= MATCH_HINTS; i++)
        answer->hint_count += those_in(misplaced, misplaced_count, missing[i].place, &first);
    if (answer->hint_count > MATCH_HINTS) {
        answer->hint_count = 0;
        return true;
    }
    struct unit_hint *hints = arena_take(arena, answer->hint_count, sizeof *hints), *next = hints;
    if (!hints)
        return false;
    for (size_t i = 0; i < missing_count; i++) {
        const size_t found = those_in(misplaced, misplaced_count, missing[i].place, &first);
        for (size_t k = first; k < first + found; k++)
            *next++ = (struct unit_hint){missing[i].id, misplaced[k].id, missing[i].place};
    }
    answer->hints = hints;
    return true;
}

bool match_units(const struct match_units_case *asked, struct arena *arena, struct match_units_answer *answer,
                 struct rule_fault *fault)
{
    size_t count = 0;
    struct places finished;
    *answer = (struct match_units_answer){0};
    const struct mention *all = gather(asked, arena, &count);
    struct matched_unit *units = arena_take(arena, count, sizeof *units);
    const char **found = arena_take(arena, asked->scan_count, sizeof *found);
    if (!all || !units || !found || !find_finished(asked, arena, &finished))
        return rule_fault_memory(fault);
    answer->units = units;
    for (size_t i = 0, of_id = 1; i < count; i += of_id) {
        for (of_id = 1; i + of_id < count && strcmp(all[i].id, all[i + of_id].id) == 0;)
            of_id++;
        struct matched_unit *unit = &units[answer->unit_count];
        if (!make_unit(&all[i], of_id, found, &finished, unit, fault))
            return false;
        if (all[i].kind == DISPOSED && unit->found_count == 0)
            continue;
        found += unit->found_count;
        answer->results[unit->result]++;
        answer->unit_count++;
    }
    return give_hints(arena, answer) || rule_fault_memory(fault);
}
