#include "kiosk/program/read_explain.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/program/explain_paint.h"

enum {
    PATH_SIZE = 4096,
    MOST_GRIDS = 60, /* grids drawn; explain.txt has all of them */
};
static const double GRID_WORTH = 0.6; /* part of the finder that must be right for a grid to be drawn */

struct read_explain {
    struct explain listener;
    const char *folder;
    const struct grey *picture;
    FILE *text;
    struct paint borders, corners, tracks; /* of the level at hand */
    struct outline_corner *found;          /* the level's corners */
    size_t found_count;
    int factor;
    size_t corner;  /* at hand, counted from 0 */
    int sizes_here; /* tried of it */
    int pictures, grids, borders_seen;
    int ends[EXPLAIN_UNTRIED + 1];
    int corners_seen, clocked, findered; /* candidates that came so far: any, with a size, with a right finder */
    struct fault fault;                  /* the first that could not be written */
    char name[64];                       /* of the PNG written last */
};

/* --- writing --- */

static void keep(struct read_explain *explain, const struct fault *fault)
{
    if (explain->fault.code == FAULT_NONE)
        explain->fault = *fault;
}

static void write_and_clear(struct read_explain *explain, struct paint *paint, const char *what, int factor)
{
    char path[PATH_SIZE];
    struct fault fault = {0};
    const int length =
        factor ? snprintf(explain->name, sizeof explain->name, "%03d-%s-%d.png", explain->pictures + 1, what, factor)
               : snprintf(explain->name, sizeof explain->name, "%03d-%s.png", explain->pictures + 1, what);
    if (length < 0 || (size_t)snprintf(path, sizeof path, "%s/%s", explain->folder, explain->name) >= sizeof path)
        (void)fault_set(&fault, FAULT_INPUT, "the name of the folder is too long: choose another");
    else if (paint_write(paint, path, &fault))
        explain->pictures++;
    if (fault.code != FAULT_NONE)
        keep(explain, &fault);
    paint_clear(paint);
}

/* --- what the reader tells --- */

static void end_level(struct read_explain *explain)
{
    if (explain->factor == 0)
        return;
    write_and_clear(explain, &explain->tracks, "tracks", explain->factor);
    explain->factor = 0;
}

static void on_level(void *context, const struct explain_level *level)
{
    struct read_explain *explain = context;
    struct paint paint = {0};
    end_level(explain);
    explain->factor = level->factor;
    explain->borders_seen = 0;
    fprintf(explain->text, "\nlevel %d: %d x %d pixels\n", level->factor, level->picture->width,
            level->picture->height);
    (void)paint_init_limits(&paint, level->mask, level->limits);
    write_and_clear(explain, &paint, "limits", level->factor);
    (void)paint_init_mask(&paint, level->mask, false);
    write_and_clear(explain, &paint, "mask", level->factor);
    (void)paint_init_mask(&explain->borders, level->mask, true);
    (void)paint_init_grey(&explain->corners, level->picture, true);
    (void)paint_init_grey(&explain->tracks, level->picture, true);
}

static void on_border(void *context, const struct border *border, bool has_corner)
{
    struct read_explain *explain = context;
    const enum paint_colour colour = has_corner ? PAINT_RED : border->hole ? PAINT_BLUE : PAINT_ORANGE;
    explain->borders_seen++;
    for (int i = 0; i < border->count; i++)
        paint_dot(&explain->borders, border->points[i].x, border->points[i].y, colour);
}

static void on_corners(void *context, const struct outline_corner *corners, size_t count)
{
    struct read_explain *explain = context;
    explain->found_count = 0;
    if (count > 0) {
        struct outline_corner *found = realloc(explain->found, count * sizeof *found);
        if (found) {
            memcpy(found, corners, count * sizeof *found);
            explain->found = found;
            explain->found_count = count;
        }
    }
    explain->corners_seen += (int)count;
    for (size_t i = 0; i < count; i++) {
        paint_line(&explain->corners, corners[i].before, corners[i].corner, PAINT_GREEN);
        paint_line(&explain->corners, corners[i].corner, corners[i].after, PAINT_VIOLET);
        paint_number(&explain->corners, corners[i].corner, i + 1, PAINT_RED);
    }
    write_and_clear(explain, &explain->borders, "borders", explain->factor);
    write_and_clear(explain, &explain->corners, "corners", explain->factor);
    fprintf(explain->text, "  %d borders looked at, %zu corners of an L (%s)\n", explain->borders_seen, count,
            explain->name);
}

static void on_corner(void *context, size_t index)
{
    struct read_explain *explain = context;
    explain->corner = index;
    explain->sizes_here = 0;
    if (index >= explain->found_count)
        return;
    const struct outline_corner *corner = &explain->found[index];
    fprintf(explain->text,
            "  corner %zu at %.1f, %.1f: legs of %.1f and %.1f pixels, module about %.1f, %s, score %.1f\n", index + 1,
            corner->corner[0], corner->corner[1],
            hypot(corner->before[0] - corner->corner[0], corner->before[1] - corner->corner[1]),
            hypot(corner->after[0] - corner->corner[0], corner->after[1] - corner->corner[1]), corner->module,
            corner->light ? "light on dark" : "dark on light", corner->score);
}

static void on_track(void *context, const struct track_way *way, const struct track *track)
{
    struct read_explain *explain = context;
    fprintf(explain->text, "    tracks, runs up to %.1f modules, legs %.1f longer: ", way->longest_run, way->beyond);
    if (!track) {
        fputs("none\n", explain->text);
        return;
    }
    fprintf(explain->text, "%d modules across, %d up\n", track->across, track->up);
    double corners[4][2];
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++) /* back onto the level: pixel centres at whole coordinates */
            corners[i][k] = (track->quad.corners[i][k] + 0.5) / explain->factor - 0.5;
    paint_quad(&explain->tracks, corners, PAINT_BLUE);
    paint_number(&explain->tracks, corners[0], explain->corner + 1, PAINT_RED);
}

static void on_size(void *context, const struct explain_size *size)
{
    struct read_explain *explain = context;
    explain->clocked++;
    explain->sizes_here++;
    fprintf(explain->text, "      size %dx%d: clock tracks %.2f, %s\n", size->size->rows, size->size->columns,
            size->clock, size->fits ? "edges fitted" : "edges not seen on all sides");
}

static void on_grid(void *context, const struct explain_grid *seen)
{
    static const char *const limits[GRID_THRESHOLDS] = {"one limit", "local limits", "sharpened"};
    struct read_explain *explain = context;
    fprintf(explain->text, "        grid %dx%d, %s, ", seen->size->rows, seen->size->columns,
            seen->thorough ? "long look" : "glance");
    if (seen->end == EXPLAIN_PALE) {
        fprintf(explain->text, "too pale: dark %.0f, light %.0f\n", seen->grid->dark, seen->grid->light);
        return;
    }
    explain->findered += seen->end != EXPLAIN_FINDER;
    fprintf(explain->text, "%s: %.0f %% of the finder right, %.0f %% wanted, %s", limits[seen->threshold],
            100 * seen->finder, 100 * seen->wanted,
            seen->end == EXPLAIN_FINDER      ? "too few"
            : seen->end == EXPLAIN_CODEWORDS ? "but more codewords wrong than can be corrected"
                                             : "read");
    struct paint paint;
    if (explain->grids < MOST_GRIDS && seen->finder >= GRID_WORTH && paint_init_grid(&paint, explain->picture, seen)) {
        explain->grids++;
        write_and_clear(explain, &paint, "grid", 0);
        fprintf(explain->text, " (%s)", explain->name);
    }
    fputc('\n', explain->text);
}

static void on_end(void *context, enum explain_end end, const struct reader_symbol *symbol)
{
    static const char *const words[] = {
        [EXPLAIN_READ] = "read",
        [EXPLAIN_KNOWN] = "inside of a symbol that is read already",
        [EXPLAIN_AGAIN] = "read, as a symbol that is read already",
        [EXPLAIN_NO_TRACK] = "given up: no clock tracks where the legs end",
        [EXPLAIN_NO_GRID] = "given up: no grid reads",
        [EXPLAIN_UNTRIED] = "not tried: the bound on work was reached",
    };
    struct read_explain *explain = context;
    explain->ends[end]++;
    const bool no_size = end == EXPLAIN_NO_GRID && explain->sizes_here == 0;
    fprintf(explain->text, "    %s", no_size ? "given up: no size of symbol has clock tracks here" : words[end]);
    if (symbol)
        fprintf(explain->text, ": %s, %dx%d, %d codewords corrected%s%s", symbol->symbology, symbol->rows,
                symbol->columns, symbol->corrected, symbol->mirrored ? ", mirrored" : "",
                symbol->inverted ? ", light on dark" : "");
    fputc('\n', explain->text);
}

/* --- begin and end --- */

static bool is_empty(const char *folder, struct fault *fault)
{
    DIR *stream = opendir(folder);
    if (!stream)
        return fault_set(fault, FAULT_INPUT, "'%s' cannot be opened as a folder (%s): choose another", folder,
                         strerror(errno));
    const struct dirent *entry = NULL;
    bool empty = true;
    while (empty && (entry = readdir(stream)))
        empty = strcmp(entry->d_name, ".") == 0 || strcmp(entry->d_name, "..") == 0;
    (void)closedir(stream);
    return empty ||
           fault_set(fault, FAULT_INPUT,
                     "the folder '%s' has files in it, which --explain would mix with its own: name a new one", folder);
}

static FILE *open_text(const char *folder, struct fault *fault)
{
    char path[PATH_SIZE];
    if (mkdir(folder, 0777) != 0 && errno != EEXIST) {
        (void)fault_set(fault, FAULT_STORAGE, "the folder '%s' cannot be made (%s): choose another", folder,
                        strerror(errno));
        return NULL;
    }
    if (!is_empty(folder, fault))
        return NULL;
    if ((size_t)snprintf(path, sizeof path, "%s/explain.txt", folder) >= sizeof path) {
        (void)fault_set(fault, FAULT_INPUT, "the name of the folder is too long: choose another");
        return NULL;
    }
    const int file = open(path, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666);
    FILE *text = file >= 0 ? fdopen(file, "w") : NULL;
    if (!text) {
        (void)fault_set(fault, FAULT_STORAGE, "'%s' cannot be written: %s", path, strerror(errno));
        if (file >= 0)
            (void)close(file);
    }
    return text;
}

bool read_explain_begin(const char *folder, const struct grey *picture, struct read_explain **explain,
                        struct fault *fault)
{
    struct read_explain *fresh = calloc(1, sizeof *fresh);
    if (!fresh)
        return fault_set(fault, FAULT_STORAGE, "no memory to explain a picture");
    fresh->folder = folder;
    fresh->picture = picture;
    fresh->listener =
        (struct explain){fresh, on_level, on_border, on_corners, on_corner, on_track, on_size, on_grid, on_end};
    fresh->text = open_text(folder, fault);
    if (!fresh->text) {
        free(fresh);
        return false;
    }
    struct paint paint = {0};
    (void)paint_init_grey(&paint, picture, false);
    write_and_clear(fresh, &paint, "grey", 0);
    fprintf(fresh->text, "picture: %d x %d pixels (%s)\n", picture->width, picture->height, fresh->name);
    *explain = fresh;
    return true;
}

const struct explain *read_explain_listener(struct read_explain *explain)
{
    return &explain->listener;
}

/* How far the best candidate came, and what helps. */
static const char *advice(const struct read_explain *explain)
{
    if (explain->corners_seen == 0)
        return "no corner of an L was found: is the whole solid edge in the picture, sharp, and at least 12 pixels "
               "long? Look at the mask: the L must be one piece there.";
    if (explain->clocked == 0)
        return "corners were found, but no clock tracks that fit a size of symbol: are the two dotted edges in the "
               "picture, with white around them? Look at the tracks.";
    if (explain->findered == 0)
        return "grids were sampled, but their finders were not right: is the label bent, or are modules smaller than 2 "
               "pixels? Look at the red frames in the grids.";
    return "a grid with a right finder was sampled, but more codewords were wrong than the symbol can correct: is it "
           "scratched, stained, or partly in glare? Look at the last grids.";
}

static void sum_up(struct read_explain *explain, const struct reader_result *result)
{
    fprintf(explain->text,
            "\n%d corners: %d read, %d of symbols read already, %d without clock tracks, %d whose grids do not read, "
            "%d not tried\n",
            explain->corners_seen, explain->ends[EXPLAIN_READ],
            explain->ends[EXPLAIN_KNOWN] + explain->ends[EXPLAIN_AGAIN], explain->ends[EXPLAIN_NO_TRACK],
            explain->ends[EXPLAIN_NO_GRID], explain->ends[EXPLAIN_UNTRIED]);
    if (!result) {
        fputs("the picture could not be searched\n", explain->text);
        return;
    }
    fprintf(explain->text, "%zu symbols (%s)\n", result->count, explain->name);
    if (result->count == 0)
        fprintf(explain->text, "%s\n", advice(explain));
}

bool read_explain_end(struct read_explain *explain, const struct reader_result *result, struct fault *fault)
{
    if (!explain)
        return true;
    end_level(explain);
    struct paint paint = {0};
    (void)paint_init_grey(&paint, explain->picture, false);
    for (size_t i = 0; result && i < result->count; i++) {
        paint_quad(&paint, result->symbols[i].corners, PAINT_GREEN);
        paint_number(&paint, result->symbols[i].corners[0], i + 1, PAINT_RED);
    }
    write_and_clear(explain, &paint, "result", 0);
    sum_up(explain, result);
    paint_clear(&explain->borders);
    paint_clear(&explain->corners);
    bool good = ferror(explain->text) == 0;
    good = fclose(explain->text) == 0 && good;
    if (!good && explain->fault.code == FAULT_NONE)
        (void)fault_set(&explain->fault, FAULT_STORAGE, "'%s/explain.txt' cannot be written: make room on the disk",
                        explain->folder);
    if (explain->fault.code != FAULT_NONE)
        good = fault_set(fault, explain->fault.code, "%s", explain->fault.text);
    free(explain->found);
    free(explain);
    return good;
}
