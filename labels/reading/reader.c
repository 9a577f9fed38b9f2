#include "labels/reading/reader.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "labels/basics/steady_sort.h"
#include "labels/reading/candidate.h"
#include "labels/reading/carton.h"
#include "labels/reading/explain.h"
#include "labels/reading/grid_sample.h"
#include "labels/reading/halve.h"
#include "labels/reading/mask.h"
#include "labels/reading/outline.h"
#include "labels/reading/track.h"

_Static_assert((int)READER_SYMBOLS <= (int)OUTLINE_CORNERS, "places enough for sorting either");

enum {
    LEAST_SIDE = 8,     /* pixels: the narrowest symbol has 8 modules */
    MOST_SIDE = 16384,  /* pixels */
    LEVELS = 3,         /* the picture itself, half and quarter of its size */
    STEPS_A_PIXEL = 48, /* the bound on work, with STEPS_AT_ALL more for small pictures */
    STEPS_AT_ALL = 8 * 1000 * 1000,
};
static const int64_t MOST_PIXELS = 64 * 1000 * 1000;

struct reader {
    enum mask_way way;
    uint8_t *halves, *bits, *tiles; /* bits: the mask's, and as many for the edges passed */
    size_t halves_size, bits_size, tiles_size;
    uint32_t *rows;
    size_t rows_size;
    struct carton_scanner *cartons; /* made when first asked for */
    bool wants_cartons;
    const struct explain *explain; /* the caller's, or NULL */
    uint8_t *limits;               /* for it alone */
    size_t limits_size;
    struct border_table table;
    struct border_walk walk;
    struct border_point *points;
    struct outline_corner *corners;
    uint32_t order[OUTLINE_CORNERS]; /* for sorting, and so is spare */
    struct reader_symbol *symbols, spare;
    size_t count;
};

/* One picture's work. */
struct work {
    struct reader *reader;
    const struct grey *picture;
    struct effort effort;
    int64_t bound;
    bool cut_short;
};

struct reader *reader_create(void)
{
    struct reader *reader = calloc(1, sizeof *reader);
    if (!reader)
        return NULL;
    reader->points = malloc(BORDER_POINTS * sizeof *reader->points);
    reader->corners = malloc(OUTLINE_CORNERS * sizeof *reader->corners);
    reader->symbols = malloc(READER_SYMBOLS * sizeof *reader->symbols);
    reader->way = MASK_BEST;
    border_table_fill(&reader->table);
    if (reader->points && reader->corners && reader->symbols)
        return reader;
    reader_destroy(reader);
    return NULL;
}

void reader_destroy(struct reader *reader)
{
    if (!reader)
        return;
    free(reader->halves);
    free(reader->bits);
    free(reader->tiles);
    free(reader->limits);
    free(reader->rows);
    carton_scanner_destroy(reader->cartons);
    free(reader->points);
    free(reader->corners);
    free(reader->symbols);
    free(reader);
}

void reader_set_way(struct reader *reader, enum mask_way way)
{
    assert(reader && mask_way_runs(way));
    reader->way = way;
}

bool reader_set_cartons(struct reader *reader, bool wanted, struct fault *fault)
{
    if (wanted && !reader->cartons)
        reader->cartons = carton_scanner_create();
    if (wanted && !reader->cartons)
        return fault_set(fault, FAULT_STORAGE, "no memory to look for bar codes: close other programs");
    reader->wants_cartons = wanted;
    return true;
}

void reader_set_explain(struct reader *reader, const struct explain *explain)
{
    reader->explain = explain;
}

/* Makes room, keeping nothing of the content. */
static bool grow(void *pointer, size_t *size, size_t wanted)
{
    void **memory = pointer;
    if (*size >= wanted)
        return true;
    free(*memory);
    *memory = malloc(wanted);
    *size = *memory ? wanted : 0;
    return *memory != NULL;
}

static bool make_room(struct reader *reader, const struct grey *picture)
{
    const size_t halves = (size_t)(picture->width / 2) * (size_t)(picture->height / 2);
    const size_t quarters = (size_t)(picture->width / 4) * (size_t)(picture->height / 4);
    return grow(&reader->halves, &reader->halves_size, halves + quarters) &&
           grow(&reader->bits, &reader->bits_size, 2 * mask_bytes_size(picture->width, picture->height)) &&
           grow(&reader->tiles, &reader->tiles_size, mask_tiles_size(picture->width)) &&
           (!reader->explain ||
            grow(&reader->limits, &reader->limits_size, mask_limits_size(picture->width, picture->height))) &&
           grow(&reader->rows, &reader->rows_size, (2 * (size_t)picture->height + 2) * sizeof *reader->rows);
}

static bool is_known(const struct reader *reader, double x, double y)
{
    for (size_t i = 0; i < reader->count; i++)
        if (quad_holds(reader->symbols[i].corners, x, y))
            return true;
    return false;
}

static void middle_of(const double corners[4][2], double middle[2])
{
    for (int k = 0; k < 2; k++)
        middle[k] = (corners[0][k] + corners[1][k] + corners[2][k] + corners[3][k]) / 4;
}

static enum explain_end try_corner(struct work *work, const struct mask *mask, const struct outline_corner *corner,
                                   int factor)
{
    struct reader *reader = work->reader;
    const struct explain *explain = work->effort.explain;
    const double half[2] = {(corner->before[0] + corner->after[0]) / 2, (corner->before[1] + corner->after[1]) / 2};
    if (is_known(reader, half[0] * factor, half[1] * factor)) /* the middle of a parallelogram */
        return EXPLAIN_KNOWN;
    struct reader_symbol *symbol = &reader->symbols[reader->count];
    bool read = false, tracked = false;
    for (int i = 0; i < TRACK_WAYS && !read; i++) {
        struct track track;
        const bool found = track_find(mask, corner, &track_ways[i], &track, &work->effort.steps);
        if (found)
            track.quad = quad_scaled(&track.quad, factor);
        if (explain)
            explain->track(explain->context, &track_ways[i], found ? &track : NULL);
        if (!found && track.across == 0) /* nothing like a clock track: gaps are not what is wrong */
            break;
        read = found && candidate_read(work->picture, &track, symbol, &work->effort);
        tracked |= found;
    }
    if (!read)
        return tracked ? EXPLAIN_NO_GRID : EXPLAIN_NO_TRACK;
    double middle[2];
    middle_of(symbol->corners, middle);
    if (is_known(reader, middle[0], middle[1]))
        return EXPLAIN_AGAIN;
    reader->count++;
    return EXPLAIN_READ;
}

static void try_corners(struct work *work, const struct mask *mask, const struct outline_store *store, int factor)
{
    const struct explain *explain = work->effort.explain;
    for (size_t i = 0; i < store->count; i++) {
        const struct reader_symbol *symbol = &work->reader->symbols[work->reader->count];
        enum explain_end end = EXPLAIN_UNTRIED;
        const bool over = work->effort.steps > work->bound || work->reader->count == READER_SYMBOLS;
        work->cut_short |= over;
        if (over && !explain)
            return;
        if (explain)
            explain->corner(explain->context, i);
        if (!over)
            end = try_corner(work, mask, &store->corners[i], factor);
        if (explain)
            explain->end(explain->context, end, end == EXPLAIN_READ || end == EXPLAIN_AGAIN ? symbol : NULL);
    }
}

/* What the outlines of a smaller picture are asked before they are looked at. */
struct known_places {
    const struct reader *reader;
    int factor;
};

static bool is_done(const void *context, double x, double y)
{
    const struct known_places *known = context;
    return is_known(known->reader, x * known->factor, y * known->factor);
}

static void search_level(struct work *work, const struct grey *level, int factor)
{
    struct reader *reader = work->reader;
    const size_t size = mask_bytes_size(level->width, level->height);
    const struct explain *explain = work->effort.explain;
    const struct mask mask =
        mask_make_with_limits(level, reader->way, reader->bits, reader->tiles, explain ? reader->limits : NULL);
    struct outline_store store = {
        .rows = reader->rows, .corners = reader->corners, .order = reader->order, .explain = explain};
    const struct known_places known = {reader, factor};
    if (factor > 1) {
        store.is_done = is_done;
        store.context = &known;
    }
    if (explain)
        explain->level(explain->context, &(struct explain_level){level, factor, &mask, reader->limits});
    border_begin(&reader->walk, &reader->table, &mask, reader->bits + size, reader->points, OUTLINE_LEAST_POINTS);
    outline_find_corners(&reader->walk, &store, &work->effort.steps);
    if (explain)
        explain->corners(explain->context, store.corners, store.count);
    try_corners(work, &mask, &store, factor);
    work->cut_short |= store.full;
}

static void search(struct work *work)
{
    struct grey levels[LEVELS] = {*work->picture};
    levels[1] = halve(&levels[0], work->reader->way, work->reader->halves);
    levels[2] =
        halve(&levels[1], work->reader->way, work->reader->halves + (size_t)levels[1].width * (size_t)levels[1].height);
    for (int i = 0; i < LEVELS; i++)
        if (levels[i].width >= LEAST_SIDE && levels[i].height >= LEAST_SIDE)
            search_level(work, &levels[i], 1 << i);
}

static int compare_place(const void *a, const void *b)
{
    double one[2], two[2];
    middle_of(((const struct reader_symbol *)a)->corners, one);
    middle_of(((const struct reader_symbol *)b)->corners, two);
    if (one[1] != two[1])
        return one[1] < two[1] ? -1 : 1;
    return (one[0] > two[0]) - (one[0] < two[0]);
}

static int64_t cpu_now(void)
{
    struct timespec now = {0};
    (void)clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (int64_t)now.tv_sec * 1000000000 + now.tv_nsec;
}

static bool check_picture(const struct grey *picture, struct fault *fault)
{
    if (picture->width < LEAST_SIDE || picture->height < LEAST_SIDE || picture->width > MOST_SIDE ||
        picture->height > MOST_SIDE || (int64_t)picture->width * picture->height > MOST_PIXELS)
        return fault_set(
            fault, FAULT_INPUT,
            "a picture of %d x %d pixels cannot be searched for symbols: sides must be %d to %d pixels and "
            "the whole %lld at most",
            picture->width, picture->height, LEAST_SIDE, MOST_SIDE, (long long)MOST_PIXELS);
    if (!picture->pixels)
        return fault_set(fault, FAULT_INPUT, "the picture has no pixels: give it whole");
    if (picture->stride < (size_t)picture->width)
        return fault_set(fault, FAULT_INPUT, "the picture's rows are %zu bytes apart but %d pixels wide: give it whole",
                         picture->stride, picture->width);
    return true;
}

bool reader_read(struct reader *reader, const struct grey *picture, struct reader_result *result, struct fault *fault)
{
    assert(reader && picture && result);
    const int64_t start = cpu_now();
    if (!check_picture(picture, fault))
        return false;
    if (!make_room(reader, picture))
        return fault_set(fault, FAULT_STORAGE, "no memory to search a picture of %d x %d pixels: make it smaller",
                         picture->width, picture->height);
    reader->count = 0;
    const int64_t pixels = (int64_t)picture->width * picture->height;
    struct work work = {.reader = reader,
                        .picture = picture,
                        .effort = {.risk = READER_RISK, .explain = reader->explain},
                        .bound = STEPS_A_PIXEL * pixels + STEPS_AT_ALL};
    search(&work);
    if (reader->wants_cartons &&
        !carton_read(reader->cartons, picture, reader->symbols, READER_SYMBOLS, &reader->count, &work.cut_short, fault))
        return false;
    steady_sort(reader->symbols, reader->count, sizeof reader->spare, compare_place, reader->order, &reader->spare);
    *result = (struct reader_result){reader->symbols, reader->count, work.cut_short, cpu_now() - start};
    return true;
}

bool reader_reflectances(const struct grey *picture, const struct reader_symbol *symbol, float *values)
{
    struct grid grid;
    struct quad quad;
    const struct symbol_size *size = symbol_size_find(symbol->rows, symbol->columns);
    if (!size || !candidate_place(symbol, &quad))
        return false;
    grid_sample(picture, &quad, size, GRID_POINTS, &grid);
    memcpy(values, grid.value, (size_t)size->rows * (size_t)size->columns * sizeof *values);
    return true;
}
