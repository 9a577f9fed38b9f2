#include "kiosk/rules/wear_map.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Against trying every place, cell by cell: brute force, another computation than the rule's sliding windows. */

enum { SIDE = 7, JOBS = 6, TURNS = 1500, ROOM = 1 << 20 };
static unsigned char memory[ROOM];
static const struct damage_hours ratings[] = {{"a", 4}, {"b", 8}};

struct room {
    struct wear_map_case asked;
    struct wear_job jobs[JOBS];
    struct wear_cell cells[JOBS][SIDE * SIDE];
};

/* Eighths, so that sums are exact and ties common. */
static void make(uint64_t *random, struct room *room)
{
    struct wear_map_case *asked = &room->asked;
    *asked = (struct wear_map_case){.rows = 1 + random_below(random, SIDE),
                                    .columns = 1 + random_below(random, SIDE),
                                    .ratings = ratings,
                                    .rating_count = 2,
                                    .jobs = room->jobs,
                                    .job_count = (size_t)random_below(random, JOBS + 1),
                                    .has_place = true,
                                    .place_run = {"b", random_below(random, 3)}};
    asked->place_rows = 1 + random_below(random, (int)asked->rows);
    asked->place_columns = 1 + random_below(random, (int)asked->columns);
    for (size_t j = 0; j < asked->job_count; j++) {
        room->jobs[j] =
            (struct wear_job){{random_below(random, 2) ? "a" : "b", random_below(random, 4)}, room->cells[j], 0};
        for (int64_t r = 0; r < asked->rows; r++)
            for (int64_t c = 0; c < asked->columns; c++)
                if (random_below(random, 3) == 0)
                    room->cells[j][room->jobs[j].cell_count++] = (struct wear_cell){r, c};
    }
}

static struct wear_map_answer ask(const struct wear_map_case *asked)
{
    struct arena arena;
    struct wear_map_answer answer;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!wear_map(asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

static void under(const struct wear_map_case *asked, const double *map, int64_t row, int64_t column, double *max,
                  double *sum)
{
    const double damage = asked->place_run.hours / 8;
    *max = *sum = 0;
    for (int64_t r = row; r < row + asked->place_rows; r++)
        for (int64_t c = column; c < column + asked->place_columns; c++) {
            const double after = map[r * asked->columns + c] + damage;
            *max = fmax(*max, after);
            *sum += after;
        }
}

static void no_place_is_better_than_the_best(void **state)
{
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct room room;
        make(&random, &room);
        const struct wear_map_answer answer = ask(&room.asked);
        double best_max = INFINITY, best_sum = INFINITY;
        struct wear_cell at = {-1, -1};
        for (int64_t r = 0; r + room.asked.place_rows <= room.asked.rows; r++)
            for (int64_t c = 0; c + room.asked.place_columns <= room.asked.columns; c++) {
                double max = 0, sum = 0;
                under(&room.asked, answer.map, r, c, &max, &sum);
                if (max > best_max || (max == best_max && sum >= best_sum))
                    continue;
                best_max = max;
                best_sum = sum;
                at = (struct wear_cell){r, c};
            }
        assert_true(answer.has_best);
        assert_int_equal(answer.best.origin.row, at.row);
        assert_int_equal(answer.best.origin.column, at.column);
        assert_true(fabs(answer.best.max_after - best_max) < 1e-12 && fabs(answer.best.sum_after - best_sum) < 1e-12);
    }
}

/* Conservation: what the map holds is what the jobs brought, each as often as it has cells. */
static void all_damage_is_on_the_map_and_nothing_else(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct room room;
        double brought = 0;
        make(&random, &room);
        const struct wear_map_answer answer = ask(&room.asked);
        const int64_t count = room.asked.rows * room.asked.columns;
        for (size_t j = 0; j < room.asked.job_count; j++)
            brought +=
                (double)room.jobs[j].cell_count * room.jobs[j].run.hours / (room.jobs[j].run.class[0] == 'a' ? 4 : 8);
        assert_true(fabs(answer.mean * (double)count - brought) < 1e-12);
        for (int64_t i = 0; i < count; i++)
            assert_true(answer.map[i] <= answer.max);
        assert_true(answer.map[answer.max_cell.row * room.asked.columns + answer.max_cell.column] == answer.max);
    }
}

static void the_order_of_jobs_does_not_matter(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        static struct room room;
        static double map[SIDE * SIDE];
        make(&random, &room);
        const struct wear_map_answer one = ask(&room.asked);
        memcpy(map, one.map, sizeof *map * (size_t)(room.asked.rows * room.asked.columns));
        for (size_t j = 0; j < room.asked.job_count / 2; j++) {
            const struct wear_job moved = room.jobs[j];
            room.jobs[j] = room.jobs[room.asked.job_count - 1 - j];
            room.jobs[room.asked.job_count - 1 - j] = moved;
        }
        const struct wear_map_answer other = ask(&room.asked);
        assert_memory_equal(map, other.map, sizeof *map * (size_t)(room.asked.rows * room.asked.columns));
        assert_memory_equal(&one.best, &other.best, sizeof one.best);
    }
}

/* The largest map, a job over half of it each way: answered at all, and right where it can be seen at once. */
static void the_largest_map_is_answered(void **state)
{
    enum { LONG = 1024, HUGE_ROOM = 80 * 1024 * 1024 };
    struct arena arena;
    struct wear_map_answer answer;
    struct rule_fault fault = {0};
    void *room = malloc(HUGE_ROOM);
    const struct wear_cell spot = {0, LONG / 2};
    const struct wear_job job = {{"a", 1}, &spot, 1};
    const struct wear_map_case asked = {LONG, LONG, ratings, 2, &job, 1, true, LONG / 2, LONG, {"a", 2}};
    (void)state;
    assert_non_null(room);
    arena_init(&arena, room, HUGE_ROOM);
    assert_true(wear_map(&asked, &arena, &answer, &fault));
    assert_int_equal(answer.best.origin.row, 1);
    assert_true(answer.best.max_after == 0.5);
    arena_init(&arena, room, HUGE_ROOM / 8);
    assert_false(wear_map(&asked, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
    free(room);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(no_place_is_better_than_the_best),
        cmocka_unit_test(all_damage_is_on_the_map_and_nothing_else),
        cmocka_unit_test(the_order_of_jobs_does_not_matter),
        cmocka_unit_test(the_largest_map_is_answered),
    };
    return cmocka_run_group_tests_name("rules/wear_map", tests, NULL, NULL);
}
