#include "kiosk/rules/match_count.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"
#include "tests/rules/arena_room.h"

/* Worked cases stand in fixtures/compute/match-count.json; here the rule is compared with the plainest way to do the
 * same, loops within loops, on cases drawn at random, and asked about a large room. */

enum { MOST = 40 };
static bool ask(const struct match_count_case *asked, struct match_count_answer *answer, struct rule_fault *fault)
{
    struct arena arena;
    arena_room_begin(&arena);
    *fault = (struct rule_fault){0};
    return match_count(asked, &arena, answer, fault);
}

/* --- units --- */

static const char *const NAMES[] = {"a", "b", "c", "d", "e", "f", "g", "h"};
static const char *const PLACES[] = {"S1", "S10", "S2"};
enum { NAME_COUNT = 8, PLACE_COUNT = 3 };

struct room {
    struct unit_place expected[NAME_COUNT], scans[MOST];
    const char *disposed[NAME_COUNT], *finished[PLACE_COUNT];
    struct match_count_case asked;
};

static void draw_units(struct room *room, uint64_t *random)
{
    struct match_units_case *units = &room->asked.units;
    *room = (struct room){0};
    for (int i = 0; i < NAME_COUNT; i++) {
        const int what = random_below(random, 4);
        const char *place = PLACES[random_below(random, PLACE_COUNT)];
        if (what < 2)
            room->expected[units->expected_count++] = (struct unit_place){NAMES[NAME_COUNT - 1 - i], place};
        else if (what == 2)
            room->disposed[units->disposed_count++] = NAMES[NAME_COUNT - 1 - i];
    }
    for (units->scan_count = 0; units->scan_count < (size_t)random_below(random, 12); units->scan_count++)
        room->scans[units->scan_count] =
            (struct unit_place){NAMES[random_below(random, NAME_COUNT)], PLACES[random_below(random, PLACE_COUNT)]};
    for (int i = 0; i < PLACE_COUNT; i++)
        if (random_below(random, 2))
            room->finished[units->finished_count++] = PLACES[i];
    units->expected = room->expected;
    units->disposed = room->disposed;
    units->scans = room->scans;
    units->finished = room->finished;
    units->all_finished = random_below(random, 3) == 0;
}

/* What the contract says of one id, read literally. */
static bool result_by_hand(const struct match_units_case *asked, const char *id, enum unit_result *result,
                           const char **expected, const char **found)
{
    int places = 0;
    bool disposed = false, finished = asked->all_finished;
    *expected = *found = NULL;
    for (int k = 0; k < PLACE_COUNT; k++) {
        bool here = false;
        for (size_t i = 0; i < asked->scan_count; i++)
            here = here || (strcmp(asked->scans[i].id, id) == 0 && strcmp(asked->scans[i].place, PLACES[k]) == 0);
        places += here;
        *found = here ? PLACES[k] : *found;
    }
    for (size_t i = 0; i < asked->disposed_count; i++)
        disposed = disposed || strcmp(asked->disposed[i], id) == 0;
    for (size_t i = 0; i < asked->expected_count; i++)
        if (strcmp(asked->expected[i].id, id) == 0)
            *expected = asked->expected[i].place;
    for (size_t i = 0; *expected && i < asked->finished_count; i++)
        finished = finished || strcmp(asked->finished[i], *expected) == 0;
    if (places == 0 && !*expected)
        return false;
    *result = places > 1                       ? UNIT_DUPLICATE
              : disposed                       ? UNIT_GHOST
              : !*expected                     ? UNIT_UNKNOWN
              : places == 0                    ? finished ? UNIT_MISSING : UNIT_NOT_COUNTED
              : strcmp(*found, *expected) == 0 ? UNIT_OK
                                               : UNIT_MISPLACED;
    return true;
}

static void units_are_what_the_plain_way_says(void **state)
{
    uint64_t random = 1;
    int64_t seen[UNIT_RESULTS] = {0}, hints = 0;
    (void)state;
    for (int round = 0; round < 3000; round++) {
        struct room room;
        struct match_count_answer answer;
        struct rule_fault fault;
        size_t at = 0, hint = 0;
        enum unit_result results[NAME_COUNT];
        const char *expected[NAME_COUNT], *found[NAME_COUNT];
        bool listed[NAME_COUNT];
        draw_units(&room, &random);
        assert_true(ask(&room.asked, &answer, &fault));
        for (int i = 0; i < NAME_COUNT; i++) {
            listed[i] = result_by_hand(&room.asked.units, NAMES[i], &results[i], &expected[i], &found[i]);
            if (!listed[i])
                continue;
            const struct matched_unit *unit = &answer.units.units[at++];
            assert_string_equal(unit->id, NAMES[i]);
            assert_int_equal(unit->result, results[i]);
            assert_ptr_equal(unit->expected_place, expected[i]);
            for (size_t k = 1; k < unit->found_count; k++)
                assert_true(strcmp(unit->found_places[k - 1], unit->found_places[k]) < 0);
            seen[results[i]]++;
        }
        assert_int_equal(answer.units.unit_count, at);
        for (int i = 0; i < NAME_COUNT; i++)
            for (int k = 0; k < NAME_COUNT; k++)
                if (listed[i] && listed[k] && results[i] == UNIT_MISSING && results[k] == UNIT_MISPLACED &&
                    strcmp(expected[i], found[k]) == 0) {
                    assert_string_equal(answer.units.hints[hint].missing, NAMES[i]);
                    assert_string_equal(answer.units.hints[hint].found, NAMES[k]);
                    assert_string_equal(answer.units.hints[hint++].place, expected[i]);
                }
        assert_int_equal(answer.units.hint_count, hint);
        hints += (int64_t)hint;
    }
    for (int i = 0; i < UNIT_RESULTS; i++)
        assert_true(seen[i] > 100);
    assert_true(hints > 100);
}

/* --- quantities --- */

struct stock {
    struct counted_quantity expected[27], found[27];
    struct stock_movement movements[MOST];
    int64_t difference[27]; /* by hand, of key number k; 3 items, lots, places each, in the order of keys */
    bool named[27];
    struct match_count_case asked;
};

static struct stock_key key_of(int k)
{
    static const char *const items[] = {"R1", "R2", "gloves"}, *const lots[] = {"", "LA", "LB"};
    return (struct stock_key){items[k / 9], lots[k / 3 % 3], PLACES[k % 3]};
}

static void draw_stock(struct stock *stock, uint64_t *random)
{
    struct match_quantities_case *asked = &stock->asked.quantities;
    struct instant found_at[27];
    bool has_at[27] = {false};
    *stock = (struct stock){0};
    for (int k = 26; k >= 0; k--) {
        if (random_below(random, 2)) {
            stock->expected[asked->expected_count++] = (struct counted_quantity){key_of(k), random_below(random, 9)};
            stock->difference[k] -= stock->expected[asked->expected_count - 1].quantity;
            stock->named[k] = true;
        }
        if (random_below(random, 2)) {
            has_at[k] = random_below(random, 2);
            found_at[k].ms = random_below(random, 10);
            stock->found[asked->found_count++] =
                (struct counted_quantity){key_of(k), random_below(random, 9), has_at[k], found_at[k]};
            stock->difference[k] += stock->found[asked->found_count - 1].quantity;
            stock->named[k] = true;
        }
    }
    for (int i = random_below(random, MOST); i > 0; i--) {
        const int k = random_below(random, 27), change = random_below(random, 7) - 3, at = random_below(random, 10);
        stock->movements[asked->movement_count++] = (struct stock_movement){key_of(k), change, {at}};
        stock->named[k] = true;
        if (!has_at[k] || at <= found_at[k].ms)
            stock->difference[k] -= change;
    }
    asked->expected = stock->expected;
    asked->found = stock->found;
    asked->movements = stock->movements;
}

static bool pair_by_hand(int stage, int a, int b)
{
    return a / 9 == b / 9 && (stage != 1 || a / 3 == b / 3) && (stage != 2 || a % 3 == b % 3);
}

static bool is_key(const struct stock_key *key, int k)
{
    const struct stock_key other = key_of(k);
    return strcmp(key->item, other.item) == 0 && strcmp(key->lot, other.lot) == 0 &&
           strcmp(key->place, other.place) == 0;
}

static void quantities_are_paired_as_the_plain_way_does(void **state)
{
    uint64_t random = 2;
    size_t stages[4] = {0};
    (void)state;
    for (int round = 0; round < 3000; round++) {
        struct stock stock;
        struct match_count_answer answer;
        struct rule_fault fault;
        size_t move = 0, rest = 0;
        int64_t lines = 0, exact = 0, net = 0, gross = 0;
        draw_stock(&stock, &random);
        assert_true(ask(&stock.asked, &answer, &fault));
        for (int k = 0; k < 27; k++) {
            lines += stock.named[k];
            exact += stock.named[k] && stock.difference[k] == 0;
            net += stock.difference[k];
            gross += llabs(stock.difference[k]);
        }
        assert_true(answer.quantities.lines == lines && answer.quantities.exact == exact);
        assert_true(answer.quantities.net == net && answer.quantities.gross == gross);
        for (int stage = 1; stage <= 3; stage++)
            for (int a = 0; a < 27; a++)
                for (int b = 0; b < 27; b++) {
                    const int64_t quantity =
                        -stock.difference[a] < stock.difference[b] ? -stock.difference[a] : stock.difference[b];
                    if (quantity <= 0 || !pair_by_hand(stage, a, b))
                        continue;
                    const struct stock_move *is = &answer.quantities.moves[move++];
                    assert_true(is->stage == stage && is->quantity == quantity && is_key(&is->from, a) &&
                                is_key(&is->to, b));
                    stock.difference[a] += quantity;
                    stock.difference[b] -= quantity;
                    stages[stage]++;
                }
        assert_int_equal(answer.quantities.move_count, move);
        for (int k = 0; k < 27; k++)
            if (stock.difference[k] != 0) {
                const struct stock_difference *is = &answer.quantities.unexplained[rest++];
                assert_true(is->difference == stock.difference[k] && is_key(&is->key, k));
            }
        assert_int_equal(answer.quantities.unexplained_count, rest);
    }
    assert_true(stages[1] > 1000 && stages[2] > 1000 && stages[3] > 1000);
}

/* --- large --- */

enum { UNITS = 100000 };
static char unit_ids[UNITS][12], unit_places[UNITS / 100][12];
static struct unit_place expected[UNITS], scans[UNITS];

static void name_all(void)
{
    for (int i = 0; i < UNITS; i++)
        (void)snprintf(unit_ids[i], sizeof unit_ids[i], "U%06d", i);
    for (int i = 0; i < UNITS / 100; i++)
        (void)snprintf(unit_places[i], sizeof unit_places[i], "P%04d", i);
}

/* A hundred units in each of a thousand places; each place's first stands in the next one. Scanned from the back. */
static void a_hundred_thousand_scans(void **state)
{
    struct match_count_case asked = {
        .units = {
            .expected = expected, .expected_count = UNITS, .scans = scans, .scan_count = UNITS, .all_finished = true}};
    struct match_count_answer answer;
    struct rule_fault fault;
    (void)state;
    name_all();
    for (int i = 0; i < UNITS; i++) {
        expected[i] = (struct unit_place){unit_ids[i], unit_places[i / 100]};
        scans[UNITS - 1 - i] =
            (struct unit_place){unit_ids[i], unit_places[(i / 100 + (i % 100 == 0)) % (UNITS / 100)]};
    }
    assert_true(ask(&asked, &answer, &fault));
    assert_int_equal(answer.units.unit_count, UNITS);
    assert_int_equal(answer.units.results[UNIT_MISPLACED], UNITS / 100);
    assert_int_equal(answer.units.results[UNIT_OK], UNITS - UNITS / 100);
    assert_non_null(answer.units.hints);
    assert_int_equal(answer.units.hint_count, 0); /* nothing is missing */
}

/* One place holds half of what is expected elsewhere, its own are gone: 25 * 10^8 pairs that say nothing. */
static void hints_without_end_are_unknown(void **state)
{
    struct match_count_case asked = {.units = {.expected = expected,
                                               .expected_count = UNITS,
                                               .scans = scans,
                                               .scan_count = UNITS / 2,
                                               .all_finished = true}};
    struct match_count_answer answer;
    struct rule_fault fault;
    (void)state;
    name_all();
    for (int i = 0; i < UNITS; i++) {
        expected[i] = (struct unit_place){unit_ids[i], unit_places[i % 2]};
        if (i % 2)
            scans[i / 2] = (struct unit_place){unit_ids[i], unit_places[0]};
    }
    assert_true(ask(&asked, &answer, &fault));
    assert_int_equal(answer.units.results[UNIT_MISSING], UNITS / 2);
    assert_int_equal(answer.units.results[UNIT_MISPLACED], UNITS / 2);
    assert_null(answer.units.hints);
    assert_int_equal(answer.said.unknown_count, 1);
    assert_string_equal(answer.said.unknown[0].key, "hints");
}

/* One item and lot that is short by one in every other place and over in the others. */
static void a_hundred_thousand_lines(void **state)
{
    static struct counted_quantity ledger[UNITS], found[UNITS];
    struct match_count_case asked = {
        .quantities = {.expected = ledger, .expected_count = UNITS, .found = found, .found_count = UNITS}};
    struct match_count_answer answer;
    struct rule_fault fault;
    (void)state;
    name_all();
    for (int i = 0; i < UNITS; i++) {
        const struct stock_key key = {"gloves", "", unit_ids[i]};
        ledger[i] = (struct counted_quantity){key, 5};
        found[UNITS - 1 - i] = (struct counted_quantity){key, i % 2 ? 6 : 4};
    }
    assert_true(ask(&asked, &answer, &fault));
    assert_true(answer.quantities.net == 0 && answer.quantities.gross == UNITS);
    assert_int_equal(answer.quantities.move_count, UNITS / 2);
    assert_int_equal(answer.quantities.unexplained_count, 0);
}

static void sums_that_leave_64_bits_are_a_fault(void **state)
{
    static const struct stock_movement movements[] = {{{"g", "", "S1"}, INT64_MAX, {0}}, {{"g", "", "S1"}, 1, {0}}};
    static const struct counted_quantity lowest[] = {{{"g", "", "S1"}, INT64_MIN}};
    const struct match_count_case above = {.quantities = {.movements = movements, .movement_count = 2}},
                                  below = {.quantities = {.expected = lowest, .expected_count = 1}};
    struct match_count_answer answer;
    struct rule_fault fault;
    (void)state;
    assert_false(ask(&above, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    assert_false(ask(&below, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(units_are_what_the_plain_way_says),
        cmocka_unit_test(quantities_are_paired_as_the_plain_way_does),
        cmocka_unit_test(a_hundred_thousand_scans),
        cmocka_unit_test(hints_without_end_are_unknown),
        cmocka_unit_test(a_hundred_thousand_lines),
        cmocka_unit_test(sums_that_leave_64_bits_are_a_fault),
    };
    return cmocka_run_group_tests_name("rules/match_count", tests, arena_room_set_up, arena_room_tear_down);
}
