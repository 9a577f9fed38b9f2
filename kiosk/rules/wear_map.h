#ifndef KIOSK_RULES_WEAR_MAP_H
#define KIOSK_RULES_WEAR_MAP_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/damage_sum.h"
#include "kiosk/rules/rule.h"

/* Where a vat's film is worn: the damage sum (damage_sum.h) of each cell of a grid over the film, from the parts that
 * stood on it. The life used is that of the worst cell, so a job is best placed where it leaves the cells under it
 * least worn. Own derivation from Palmgren and Miner's rule; cells are taken to wear independently. */

enum { WEAR_MAP_CELLS = 1 << 20 }; /* most of a map: a film of 1 m by 1 m in millimetres */

struct wear_cell {
    int64_t row, column; /* from 0 */
};

struct wear_job {
    struct damage_hours run;
    const struct wear_cell *cells; /* under the part, each once */
    size_t cell_count;
};

struct wear_map_case {
    int64_t rows, columns;              /* >= 1 */
    const struct damage_hours *ratings; /* hours > 0; each class once, every class of a job among them */
    size_t rating_count;
    const struct wear_job *jobs;
    size_t job_count;
    bool has_place; /* where to put one more job of so many rows and columns? It is not turned. */
    int64_t place_rows, place_columns;
    struct damage_hours place_run;
};

struct wear_best {
    struct wear_cell origin;     /* its first row and column */
    double max_after, sum_after; /* under the job, when it is done */
};

struct wear_map_answer {
    struct rule_said said;
    const double *map; /* rows of columns */
    double max, mean;
    struct wear_cell max_cell; /* lowest row, then column, of those with it */
    bool has_best;             /* false: not asked for, or it does not fit, and `said` tells that one */
    struct wear_best best;     /* least max_after, then sum_after, then row, then column */
};

/* RULE_RANGE: a cell outside, too many cells, or damage that no number holds; RULE_DUPLICATE: a cell twice in a job;
 * RULE_CONFLICT: a class that is not rated. */
bool wear_map(const struct wear_map_case *asked, struct arena *arena, struct wear_map_answer *answer,
              struct rule_fault *fault);

#endif
