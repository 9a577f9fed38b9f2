#include "tests/pictures/stage.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "tests/reading/random.h"

enum { STAGE_OUTLINES = 512 };

bool stage_open(struct stage *stage, int width, int height, double focal, int grey, uint64_t random)
{
    *stage = (struct stage){.random = random,
                            .symbols = calloc(STAGE_SYMBOLS, sizeof *stage->symbols),
                            .outlines = calloc(STAGE_OUTLINES, sizeof *stage->outlines)};
    const bool camera = camera_open(&stage->camera, width, height, focal, grey, random);
    return camera && stage->symbols && stage->outlines;
}

void stage_close(struct stage *stage)
{
    camera_close(&stage->camera);
    free(stage->symbols);
    free(stage->outlines);
    stage->symbols = NULL;
    stage->outlines = NULL;
}

double stage_between(struct stage *stage, double least, double most)
{
    return least + (most - least) * (random_next(&stage->random) / 4294967296.0);
}

static struct stage_outline outline_of(const struct panel *panel, const struct camera_map *map)
{
    struct stage_outline outline;
    for (int i = 0; i < 4; i++)
        camera_point(map, i == 1 || i == 2 ? panel->width : 0, i >= 2 ? panel->height : 0, outline.corner[i]);
    return outline;
}

/* Is there a side of `a` with all of `b` beyond it, `gap` away? (Separating axes; the corners go clockwise.) */
static bool a_side_parts(const struct stage_outline *a, const struct stage_outline *b, double gap)
{
    for (int i = 0; i < 4; i++) {
        const double *from = a->corner[i], *to = a->corner[(i + 1) % 4];
        const double dx = to[0] - from[0], dy = to[1] - from[1], length = sqrt(dx * dx + dy * dy);
        double least = 1e9;
        for (int k = 0; k < 4; k++)
            least = fmin(least, (dy * (b->corner[k][0] - from[0]) - dx * (b->corner[k][1] - from[1])) / length);
        if (least >= gap)
            return true;
    }
    return false;
}

static bool in_picture(const struct stage *stage, const struct stage_outline *outline, double apart)
{
    for (int i = 0; i < 4; i++)
        if (outline->corner[i][0] < apart || outline->corner[i][1] < apart ||
            outline->corner[i][0] > stage->camera.width - 1 - apart ||
            outline->corner[i][1] > stage->camera.height - 1 - apart)
            return false;
    return true;
}

static bool stands_free(const struct stage *stage, const struct stage_outline *outline, double apart)
{
    if (!in_picture(stage, outline, apart))
        return false;
    for (size_t i = 0; i < stage->outline_count; i++)
        if (!a_side_parts(outline, &stage->outlines[i], apart) && !a_side_parts(&stage->outlines[i], outline, apart))
            return false;
    return true;
}

static int samples_for(double module)
{
    return module < 6 ? 4 : module < 12 ? 3 : 2;
}

void stage_panel(struct stage *stage, const struct panel *panel, const struct camera_map *map, bool solid)
{
    camera_draw(&stage->camera, panel, map, 3);
    if (solid && stage->outline_count < STAGE_OUTLINES)
        stage->outlines[stage->outline_count++] = outline_of(panel, map);
}

void stage_note(struct stage *stage, const struct content *content, const struct camera_map *map, double x, double y,
                const struct stage_wish *wish)
{
    if (stage->count == STAGE_SYMBOLS)
        return;
    struct stage_symbol *symbol = &stage->symbols[stage->count++];
    memcpy(symbol->bytes, content->bytes, content->length);
    symbol->length = content->length;
    symbol->size = content->symbol.size;
    const double wide = symbol->size->columns * PANEL_TEXELS, high = symbol->size->rows * PANEL_TEXELS;
    /* lower left, upper left, upper right, lower right; of a mirrored one the L's corner is on the lower right */
    const double places[4][2] = {{x, y + high}, {x, y}, {x + wide, y}, {x + wide, y + high}};
    symbol->module = 1e9;
    for (int i = 0; i < 4; i++)
        camera_point(map, places[(i + 3 * wish->mirrored) % 4][0], places[(i + 3 * wish->mirrored) % 4][1],
                     symbol->corners[i]);
    for (int i = 0; i < 4; i++) {
        const double *a = symbol->corners[i], *b = symbol->corners[(i + 1) % 4];
        const bool along_rows = (i + wish->mirrored) % 2 == 1;
        const double side = sqrt((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1]));
        symbol->module = fmin(symbol->module, side / (along_rows ? symbol->size->columns : symbol->size->rows));
    }
    symbol->degrees = wish->pose.degrees;
    symbol->tilt = wish->pose.tilt;
    symbol->quiet = wish->label.quiet;
    symbol->mirrored = wish->mirrored;
    symbol->inverted = wish->label.dark > wish->label.light;
}

/* Looks for a place; true: the pose and the map are those of one. */
static bool find_place(struct stage *stage, const struct panel *panel, const struct stage_wish *wish,
                       struct camera_pose *pose, struct camera_map *map)
{
    const bool fixed = wish->tries == 0;
    for (int i = 0; i < (fixed ? 40 : wish->tries); i++) {
        if (fixed) {
            pose->module *= i > 0 ? 0.95 : 1;
        } else {
            pose->x = stage_between(stage, 0, stage->camera.width);
            pose->y = stage_between(stage, 0, stage->camera.height);
        }
        *map = camera_aim(&stage->camera, panel, pose);
        const struct stage_outline outline = outline_of(panel, map);
        if (fixed ? in_picture(stage, &outline, wish->apart) : stands_free(stage, &outline, wish->apart))
            return true;
    }
    return false;
}

bool stage_put(struct stage *stage, const struct stage_wish *wish)
{
    struct content content;
    struct panel panel = {0};
    int x = 0, y = 0;
    struct panel_label label = wish->label;
    const bool made = content_make(&content, wish->size, &stage->random);
    for (int i = 0; made && i < 4; i++)
        label.line[i] = content.line[i];
    if (!made || !panel_create_label(&panel, &label, &content.symbol, &x, &y)) {
        stage->failed = true;
        return false;
    }
    if (wish->mirrored) {
        panel_mirror(&panel);
        x = panel.width - x - content.symbol.size->columns * PANEL_TEXELS;
    }
    struct camera_pose pose = wish->pose;
    struct camera_map map;
    const bool placed = stage->outline_count < STAGE_OUTLINES && find_place(stage, &panel, wish, &pose, &map);
    if (placed) {
        camera_draw(&stage->camera, &panel, &map, samples_for(pose.module));
        stage->outlines[stage->outline_count++] = outline_of(&panel, &map);
        stage_note(stage, &content, &map, x, y, wish);
    }
    panel_clear(&panel);
    return placed;
}
