#include "kiosk/rules/wear_map.h"

#include <math.h>

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"
#include "kiosk/cases/damage_hours.h"

/* [row, column]. What is far outside need only stay outside; the rule tells those from the map's own. */
static bool read_cell(const json_t *pair, struct wear_cell *cell)
{
    const json_t *row = json_array_get(pair, 0), *column = json_array_get(pair, 1);
    const double r = json_number_value(row), c = json_number_value(column);
    if (json_array_size(pair) != 2 || !json_is_number(row) || !json_is_number(column) || r != floor(r) || c != floor(c))
        return false;
    cell->row = (int64_t)fmax(-1, fmin(r, WEAR_MAP_CELLS));
    cell->column = (int64_t)fmax(-1, fmin(c, WEAR_MAP_CELLS));
    return true;
}

static void read_cells(struct case_in *in, struct wear_job *job)
{
    const json_t *list = case_list(in, "cells", &job->cell_count);
    struct wear_cell *cells = case_room(in, job->cell_count, sizeof *cells);
    job->cells = cells;
    for (size_t i = 0; case_good(in) && i < job->cell_count; i++)
        if (!read_cell(json_array_get(list, i), &cells[i]))
            case_fail(in, RULE_TYPE, rule_text(in->arena, "cells.%zu", i),
                      "'%scells.%zu' must be a pair of whole numbers, [row, column]", in->path, i);
}

static const struct wear_job *read_jobs(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"class", "hours", "cells", NULL};
    const json_t *list = case_list(in, "jobs", count);
    struct wear_job *jobs = case_room(in, *count, sizeof *jobs);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "jobs", list, i, keys);
        jobs[i].run.class = case_text(&item, "class");
        jobs[i].run.hours = case_number(&item, "hours", CASE_NOT_NEGATIVE);
        read_cells(&item, &jobs[i]);
    }
    return jobs;
}

static void read_place(struct case_in *in, struct wear_map_case *asked)
{
    static const char *const keys[] = {"rows", "columns", "class", "hours", NULL};
    struct case_in place;
    asked->has_place = case_has(in, "place");
    if (!asked->has_place)
        return;
    case_open_under(&place, in, "place", keys);
    asked->place_rows = case_count(&place, "rows", 1, INT64_MAX);
    asked->place_columns = case_count(&place, "columns", 1, INT64_MAX);
    asked->place_run.class = case_text(&place, "class");
    asked->place_run.hours = case_number(&place, "hours", CASE_NOT_NEGATIVE);
}

static json_t *cell_pair(struct wear_cell cell)
{
    return json_pack("[I, I]", (json_int_t)cell.row, (json_int_t)cell.column);
}

static void put_best(json_t *out, const struct wear_map_answer *answer)
{
    if (!answer->has_best) {
        case_put_null(out, "best");
        return;
    }
    json_t *best = json_object();
    case_put(out, "best", best);
    case_put_count(best, "row", answer->best.origin.row);
    case_put_count(best, "column", answer->best.origin.column);
    case_put_number(best, "max_after", answer->best.max_after);
    case_put_number(best, "sum_after", answer->best.sum_after);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"rows", "columns", "ratings", "jobs", "place", NULL};
    struct wear_map_case asked = {0};
    struct wear_map_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.rows = case_count(&in, "rows", 1, INT64_MAX);
    asked.columns = case_count(&in, "columns", 1, INT64_MAX);
    asked.ratings = damage_ratings_read(&in, &asked.rating_count);
    asked.jobs = read_jobs(&in, &asked.job_count);
    read_place(&in, &asked);
    if (!case_good(&in) || !wear_map(&asked, arena, &answer, fault))
        return false;
    json_t *map = case_put_list(out, "map");
    for (int64_t row = 0; row < asked.rows; row++)
        case_add_numbers(case_put_row(map), answer.map + row * asked.columns, (size_t)asked.columns);
    case_put_number(out, "max", answer.max);
    case_put(out, "max_cell", cell_pair(answer.max_cell));
    case_put_number(out, "mean", answer.mean);
    put_best(out, &answer);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case wear_map_rule = {"wear-map", compute};
