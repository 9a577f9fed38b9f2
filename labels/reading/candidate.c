#include "labels/reading/candidate.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "labels/reading/edge_fit.h"
#include "labels/reading/grid_sample.h"
#include "labels/reading/module_matrix.h"

enum {
    GUESSES = 3, /* sizes tried in full, best clock tracks first */
};
static const double LEAST_CLOCK = 0.15; /* of the symbol's contrast: less is no clock track */
static const double LEAST_GREY = 8;     /* grey levels between dark and light */
static const double CLOCK_SEEMS = 0.6;  /* what makes a place worth the slow way whose edges cannot be seen */

struct guess {
    const struct symbol_size *size;
    struct quad quad;
    double clock;
    bool seems; /* its finder was nearly right: worth the slow way */
};

static void keep_guess(struct guess *guesses, const struct guess *fresh)
{
    for (int i = 0; i < GUESSES; i++)
        if (fresh->clock > guesses[i].clock) {
            memmove(&guesses[i + 1], &guesses[i], (size_t)(GUESSES - 1 - i) * sizeof *guesses);
            guesses[i] = *fresh;
            return;
        }
}

static bool near(int counted, int modules)
{
    return abs(counted - modules) <= 2 + modules / 4;
}

static void find_guesses(const struct grey *picture, const struct track *track, struct guess *guesses,
                         struct effort *effort)
{
    const struct quad mirrored = quad_mirrored(&track->quad);
    for (size_t i = 0; i < SYMBOL_SIZES; i++) {
        const struct symbol_size *size = symbol_size_at(i);
        for (int behind = 0; behind < (size->rows == size->columns ? 1 : 2); behind++) {
            if (!near(track->across, behind ? size->rows : size->columns) ||
                !near(track->up, behind ? size->columns : size->rows))
                continue;
            struct guess guess = {size, behind ? mirrored : track->quad, 0, false};
            guess.clock = grid_clock(picture, &guess.quad, size);
            effort->steps += 2 * (size->rows + size->columns);
            keep_guess(guesses, &guess);
        }
    }
}

/* What makes a place worth the slow way: three standard deviations more than random modules have right. */
static double finder_seems(const struct symbol_size *size)
{
    int of = 0;
    const uint8_t none[SYMBOL_MODULES] = {0};
    (void)module_matrix_finder_right(size, none, &of);
    return 0.5 + 1.5 / sqrt(of);
}

/* How thoroughly a grid is looked at: points in a module, ways to tell dark from light, and whether modules that are
 * neither may be left out as unknown. */
struct look {
    int points, thresholds;
    bool erases;
};

/* Tells who wants to know, and whether the grid is read. */
static bool tell_grid(const struct effort *effort, struct explain_grid *seen, enum explain_grid_end end)
{
    seen->end = end;
    if (effort->explain)
        effort->explain->grid(effort->explain->context, seen);
    return end == EXPLAIN_GRID_READ;
}

static bool read_grid(const struct grey *picture, const struct quad *quad, const struct symbol_size *size,
                      const struct look *look, struct reader_symbol *symbol, double *finder, struct effort *effort)
{
    struct grid grid;
    uint8_t modules[SYMBOL_MODULES], unsure[SYMBOL_MODULES];
    grid_sample(picture, quad, size, look->points, &grid);
    effort->steps += (int64_t)look->points * size->rows * size->columns;
    struct explain_grid seen = {size, quad, &grid, look->erases, .wanted = module_matrix_finder_wanted(size)};
    if (fabsf(grid.light - grid.dark) < LEAST_GREY)
        return tell_grid(effort, &seen, EXPLAIN_PALE);
    seen.modules = modules;
    for (; seen.threshold < look->thresholds; seen.threshold++) {
        grid_decide(&grid, (enum grid_threshold)seen.threshold, modules, unsure);
        const bool read =
            module_matrix_accept(size, modules, look->erases ? unsure : NULL, &effort->risk, &seen.finder, symbol);
        *finder = fmax(*finder, seen.finder);
        if (read) {
            symbol->inverted = grid.dark > grid.light;
            return tell_grid(effort, &seen, EXPLAIN_GRID_READ);
        }
        (void)tell_grid(effort, &seen, seen.finder < seen.wanted ? EXPLAIN_FINDER : EXPLAIN_CODEWORDS);
    }
    return false;
}

/* Corners of a symbol go clockwise as seen; those of a mirrored one's map go the other way. */
static const int back[4] = {0, 3, 2, 1};

bool candidate_place(const struct reader_symbol *symbol, struct quad *quad)
{
    double corners[4][2];
    for (int i = 0; i < 4; i++)
        memcpy(corners[i], symbol->corners[symbol->mirrored ? back[i] : i], sizeof corners[i]);
    return quad_make(corners, quad);
}

static void set_place(struct reader_symbol *symbol, const struct quad *quad, bool mirrored)
{
    for (int i = 0; i < 4; i++)
        memcpy(symbol->corners[i], quad->corners[mirrored ? back[i] : i], sizeof symbol->corners[i]);
    symbol->mirrored = mirrored;
}

static bool is_mirrored(const struct quad *quad)
{
    const double(*c)[2] = quad->corners;
    return (c[1][0] - c[0][0]) * (c[2][1] - c[1][1]) - (c[1][1] - c[0][1]) * (c[2][0] - c[1][0]) < 0;
}

/* Upright and, where both have the same sides, mirrored. */
static bool read_both_ways(const struct grey *picture, const struct symbol_size *size, struct quad *quad,
                           const struct look *look, struct reader_symbol *symbol, double *finder, struct effort *effort)
{
    for (int behind = 0; behind < (size->rows == size->columns ? 2 : 1); behind++) {
        if (read_grid(picture, quad, size, look, symbol, finder, effort)) {
            (void)edge_fit(picture, size, quad, &effort->steps); /* from a better start than before */
            set_place(symbol, quad, is_mirrored(quad));
            return true;
        }
        *quad = quad_mirrored(quad);
    }
    return false;
}

static const struct look GLANCE = {1, 1, false}, LONG_LOOK = {GRID_POINTS, GRID_THRESHOLDS, true};

bool candidate_read(const struct grey *picture, const struct track *track, struct reader_symbol *symbol,
                    struct effort *effort)
{
    struct guess guesses[GUESSES + 1] = {0}; /* one more, to shift into */
    find_guesses(picture, track, guesses, effort);
    for (int i = 0; i < GUESSES && guesses[i].clock >= LEAST_CLOCK; i++) {
        struct quad quad = guesses[i].quad;
        double finder = 0;
        const bool fits = edge_fit(picture, guesses[i].size, &quad, &effort->steps);
        if (effort->explain)
            effort->explain->size(effort->explain->context,
                                  &(struct explain_size){guesses[i].size, &quad, guesses[i].clock, fits});
        if (read_both_ways(picture, guesses[i].size, &quad, &GLANCE, symbol, &finder, effort))
            return true;
        guesses[i].seems = finder >= finder_seems(guesses[i].size) || (!fits && guesses[i].clock >= CLOCK_SEEMS);
    }
    for (int i = 0; i < GUESSES && guesses[i].clock >= LEAST_CLOCK; i++) {
        struct quad quad = guesses[i].quad;
        double finder = 0;
        if (!guesses[i].seems)
            continue;
        grid_fit(picture, guesses[i].size, &quad, &effort->steps);
        if (read_both_ways(picture, guesses[i].size, &quad, &LONG_LOOK, symbol, &finder, effort))
            return true;
    }
    return false;
}
