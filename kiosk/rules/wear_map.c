#include "kiosk/rules/wear_map.h"

#include <math.h>

struct grid {
    size_t rows, columns;
    double *cells;
};

static bool grid_make(struct arena *arena, size_t rows, size_t columns, struct grid *grid, struct rule_fault *fault)
{
    *grid = (struct grid){rows, columns, arena_take(arena, rows * columns, sizeof *grid->cells)};
    if (!grid->cells)
        rule_fault_memory(fault);
    return grid->cells;
}

/* --- the map --- */

static bool damage_of(const struct wear_map_case *asked, const struct damage_hours *run, const char *key,
                      double *damage, struct rule_fault *fault)
{
    const struct damage_hours *rating = damage_rating(asked->ratings, asked->rating_count, run->class);
    if (!rating)
        return rule_fault_set(fault, RULE_CONFLICT, key, "class '%.60s' is not among the ratings: rate it", run->class);
    *damage = run->hours / rating->hours;
    return true;
}

/* `last`: of each cell the last job, counted from 1, that had it. */
static bool wear(const struct wear_map_case *asked, size_t index, struct arena *arena, struct grid *map, size_t *last,
                 struct rule_fault *fault)
{
    const struct wear_job *job = &asked->jobs[index];
    double damage = 0;
    if (!damage_of(asked, &job->run, rule_text(arena, "jobs.%zu.class", index), &damage, fault))
        return false;
    for (size_t i = 0; i < job->cell_count; i++) {
        const struct wear_cell cell = job->cells[i];
        const bool inside = cell.row >= 0 && cell.row < asked->rows && cell.column >= 0 && cell.column < asked->columns;
        const size_t at = inside ? (size_t)cell.row * map->columns + (size_t)cell.column : 0;
        if (inside && last[at] != index + 1) {
            last[at] = index + 1;
            map->cells[at] += damage;
            continue;
        }
        return rule_fault_set(
            fault, inside ? RULE_DUPLICATE : RULE_RANGE, rule_text(arena, "jobs.%zu.cells.%zu", index, i),
            inside ? "cell [%lld, %lld] stands twice in job %zu: give it once"
                   : "cell [%lld, %lld] of job %zu is outside the map: rows and columns are counted from 0",
            (long long)cell.row, (long long)cell.column, index);
    }
    return true;
}

static bool wear_all(const struct wear_map_case *asked, struct arena *arena, struct grid *map, struct rule_fault *fault)
{
    size_t *last = arena_take(arena, map->rows * map->columns, sizeof *last);
    if (!last)
        return rule_fault_memory(fault);
    for (size_t i = 0; i < asked->job_count; i++) {
        const size_t mark = arena_mark(arena);
        if (!wear(asked, i, arena, map, last, fault))
            return false;
        arena_release(arena, mark);
    }
    return true;
}

static bool sum_up(const struct grid *map, struct wear_map_answer *answer, struct rule_fault *fault)
{
    const size_t count = map->rows * map->columns;
    double sum = 0;
    size_t worst = 0;
    for (size_t i = 0; i < count; i++) {
        sum += map->cells[i];
        answer->max = fmax(answer->max, map->cells[i]);
    }
    if (isinf(sum))
        return rule_fault_set(fault, RULE_RANGE, "jobs",
                              "the hours are too many for the hours rated: check the units of both");
    while (map->cells[worst] < answer->max - RULE_SLACK)
        worst++;
    answer->map = map->cells;
    answer->mean = sum / (double)count;
    answer->max_cell = (struct wear_cell){(int64_t)(worst / map->columns), (int64_t)(worst % map->columns)};
    return true;
}

/* --- the best place --- */

/* Largest of every `width` neighbours of `count` values that stand `stride` apart: a queue of those that may still
 * become the largest, in falling order, so that each value is looked at twice at most. */
static void slide_max(const double *in, size_t count, size_t stride, size_t width, double *out, size_t *queue)
{
    size_t first = 0, end = 0;
    for (size_t i = 0; i < count; i++) {
        while (end > first && in[queue[end - 1] * stride] <= in[i * stride])
            end--;
        queue[end++] = i;
        first += queue[first] + width <= i;
        if (i + 1 >= width)
            out[(i + 1 - width) * stride] = in[queue[first] * stride];
    }
}

static void slide_sum(const double *in, size_t count, size_t stride, size_t width, double *out, double *sums)
{
    for (size_t i = 0; i < count; i++)
        sums[i + 1] = sums[i] + in[i * stride];
    for (size_t i = 0; i + width <= count; i++)
        out[i * stride] = sums[i + width] - sums[i];
}

/* Largest and sum under a footprint, for each origin at which it fits: along the rows, then along the columns. */
static bool look_under(const struct grid *map, size_t rows, size_t columns, struct arena *arena, struct grid *max,
                       struct grid *sum, struct rule_fault *fault)
{
    struct grid along_max, along_sum;
    const size_t longest = map->rows > map->columns ? map->rows : map->columns;
    size_t *queue = arena_take(arena, longest, sizeof *queue);
    double *sums = arena_take(arena, longest + 1, sizeof *sums);
    if (!queue || !sums || !grid_make(arena, map->rows, map->columns, &along_max, fault) ||
        !grid_make(arena, map->rows, map->columns, &along_sum, fault) ||
        !grid_make(arena, map->rows, map->columns, max, fault) ||
        !grid_make(arena, map->rows, map->columns, sum, fault)) {
        rule_fault_memory(fault);
        return false;
    }
    for (size_t row = 0; row < map->rows; row++) {
        const size_t at = row * map->columns;
        slide_max(map->cells + at, map->columns, 1, columns, along_max.cells + at, queue);
        slide_sum(map->cells + at, map->columns, 1, columns, along_sum.cells + at, sums);
    }
    for (size_t column = 0; column + columns <= map->columns; column++) {
        slide_max(along_max.cells + column, map->rows, map->columns, rows, max->cells + column, queue);
        slide_sum(along_sum.cells + column, map->rows, map->columns, rows, sum->cells + column, sums);
    }
    return true;
}

/* The least maximum first, then the least sum of those that have it, then the first of those: so a chain of values each
 * within the slack of the next cannot lead astray. */
static size_t best_origin(const struct grid *max, const struct grid *sum, size_t rows, size_t columns)
{
    double least_max = INFINITY, least_sum = INFINITY;
    for (size_t row = 0; row < rows; row++)
        for (size_t column = 0; column < columns; column++)
            least_max = fmin(least_max, max->cells[row * max->columns + column]);
    for (size_t row = 0; row < rows; row++)
        for (size_t column = 0; column < columns; column++)
            if (max->cells[row * max->columns + column] <= least_max + RULE_SLACK)
                least_sum = fmin(least_sum, sum->cells[row * max->columns + column]);
    for (size_t row = 0; row < rows; row++)
        for (size_t column = 0; column < columns; column++) {
            const size_t at = row * max->columns + column;
            if (max->cells[at] <= least_max + RULE_SLACK && sum->cells[at] <= least_sum + RULE_SLACK)
                return at;
        }
    return 0;
}

static bool find_best(const struct wear_map_case *asked, const struct grid *map, struct arena *arena,
                      struct wear_map_answer *answer, struct rule_fault *fault)
{
    struct grid max = {0}, sum = {0};
    double damage = 0;
    if (!damage_of(asked, &asked->place_run, "place.class", &damage, fault))
        return false;
    if (asked->place_rows > asked->rows || asked->place_columns > asked->columns) {
        rule_set_unknown(&answer->said, "best",
                         "the job is larger than the map, so it fits nowhere: turn it or take a larger vat");
        return true;
    }
    const size_t rows = (size_t)asked->place_rows, columns = (size_t)asked->place_columns;
    if (!look_under(map, rows, columns, arena, &max, &sum, fault))
        return false;
    const size_t at = best_origin(&max, &sum, map->rows - rows + 1, map->columns - columns + 1);
    answer->has_best = true;
    answer->best.origin = (struct wear_cell){(int64_t)(at / map->columns), (int64_t)(at % map->columns)};
    answer->best.max_after = max.cells[at] + damage;
    answer->best.sum_after = sum.cells[at] + damage * (double)(rows * columns);
    return isfinite(answer->best.sum_after) ||
           rule_fault_set(fault, RULE_RANGE, "place.hours",
                          "the hours are too many for the hours rated: check the units of both");
}

static const char *sentence_of(const struct wear_map_answer *answer, struct arena *arena)
{
    const char *worst =
        rule_text(arena, "The most worn spot, row %lld column %lld counted from 0, has used %.3g %% of its life",
                  (long long)answer->max_cell.row, (long long)answer->max_cell.column, 100 * answer->max);
    if (!answer->has_best)
        return rule_text(arena, "%s%s.", worst, answer->said.unknown_count > 0 ? "; the job fits nowhere" : "");
    return rule_text(arena,
                     "%s; put the job with its first corner at row %lld column %lld: the spot under it most "
                     "worn will then have used %.3g %%.",
                     worst, (long long)answer->best.origin.row, (long long)answer->best.origin.column,
                     100 * answer->best.max_after);
}

bool wear_map(const struct wear_map_case *asked, struct arena *arena, struct wear_map_answer *answer,
              struct rule_fault *fault)
{
    struct grid map;
    *answer = (struct wear_map_answer){.said = {.method = "linear damage sum of each cell (Palmgren, Miner)"}};
    if (asked->rows > WEAR_MAP_CELLS / asked->columns)
        return rule_fault_set(fault, RULE_RANGE, "rows", "the map would have more than %d cells: take larger cells",
                              WEAR_MAP_CELLS);
    if (!grid_make(arena, (size_t)asked->rows, (size_t)asked->columns, &map, fault) ||
        !wear_all(asked, arena, &map, fault) || !sum_up(&map, answer, fault) ||
        (asked->has_place && !find_best(asked, &map, arena, answer, fault)))
        return false;
    answer->said.sentence = sentence_of(answer, arena);
    return true;
}
