#include "tests/pictures/kinds.h"

#include <math.h>
#include <string.h>

#include "tests/pictures/exact.h"
#include "tests/pictures/ground.h"
#include "tests/reading/random.h"

/* zint's numbers of the sizes that our labels have: 16 x 16 to 26 x 26, 32 x 32, 8 x 32, 12 x 26 to 16 x 48. */
static const int shop_sizes[] = {4, 5, 6, 7, 7, 7, 8, 8, 9, 10, 26, 27, 28, 29, 30};
enum { SHOP_SIZES = sizeof shop_sizes / sizeof *shop_sizes, SHOP_SQUARES = 10 };

/* A plain label of the shop: the kinds change what they are about. */
static struct stage_wish plain_label(struct stage *stage, double module_least, double module_most, double tilt_most)
{
    return (struct stage_wish){
        .label = {.dark = (int)stage_between(stage, 20, 50), .light = (int)stage_between(stage, 190, 225), .quiet = 2},
        .pose = {.x = stage->camera.width / 2.0 + stage_between(stage, -30, 30),
                 .y = stage->camera.height / 2.0 + stage_between(stage, -20, 20),
                 .module = stage_between(stage, module_least, module_most),
                 .degrees = stage_between(stage, 0, 360),
                 .tilt = stage_between(stage, 0, tilt_most),
                 .tilt_towards = stage_between(stage, 0, 360)},
        .size = shop_sizes[random_below(&stage->random, SHOP_SIZES)],
        .apart = 10,
        .tries = 60};
}

/* The light of a lit room, a lens that is nearly in focus, a sensor at low gain, a phone's JPEG. */
static void take(struct stage *stage, double gaussian_most, double noise_most)
{
    struct camera *camera = &stage->camera;
    const struct camera_light light = {.right = stage_between(stage, -0.12, 0.12),
                                       .down = stage_between(stage, -0.12, 0.12),
                                       .corner = stage_between(stage, 0, 0.2)};
    const double gaussian = stage_between(stage, 0.5, gaussian_most), defocus = stage_between(stage, 0, 0.8);
    const double read = stage_between(stage, 1, noise_most);
    const int quality = 80 + random_below(&stage->random, 16);
    stage->failed |= !camera_light(camera, &light) || !camera_lens(camera, gaussian, defocus);
    camera_sensor(camera, read, 0.04);
    stage->failed |= !camera_jpeg(camera, quality);
}

/* 12 to 60 labels with modules of 4 to 10 pixels, any rotation, up to 20 degrees of tilt. */
static void make_shelf(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    const int labels = shelf->labels ? shelf->labels : 12 + random_below(&stage->random, 49);
    ground_shelf(stage);
    /* many labels on one picture are seen from farther away */
    const double share = sqrt((double)stage->camera.width * stage->camera.height / (labels > 0 ? labels : 1));
    const double most = fmax(4.5, fmin(10, share / 56));
    for (int i = 0; i < labels; i++) {
        struct stage_wish wish = plain_label(stage, 4, most, 20);
        for (int smaller = 0; smaller < 4 && !stage_put(stage, &wish); smaller++) {
            wish.pose.module = fmax(4, wish.pose.module * 0.8);
            wish.size = shop_sizes[random_below(&stage->random, SHOP_SQUARES / 2)];
        }
    }
    take(stage, 0.9, 3);
}

static void make_frame(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    ground_shelf(stage);
    struct stage_wish wish = plain_label(stage, 5, 9, 20);
    if (!stage_put(stage, &wish)) { /* a large one fits in the middle only */
        wish.tries = 0;
        stage_put(stage, &wish);
    }
    take(stage, 1, 4);
}

/* A shelf's edge, cases without labels, cables and shadows. */
static void make_empty(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    ground_shelf(stage);
    ground_cables(stage, 3 + random_below(&stage->random, 6));
    const struct camera_light shadow = {.shadow = stage_between(stage, 0.2, 0.6),
                                        .shadow_x = stage_between(stage, 0, stage->camera.width),
                                        .shadow_y = stage_between(stage, 0, stage->camera.height),
                                        .shadow_degrees = stage_between(stage, 0, 360),
                                        .shadow_width = stage_between(stage, 4, 60)};
    stage->failed |= !camera_light(&stage->camera, &shadow);
    take(stage, 1, 4);
}

static void make_text(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    ground_text(stage);
    take(stage, 0.9, 3);
}

/* Labels on a page full of print, as on a delivery note: many false leads to one true one. */
static void make_note(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    ground_text(stage);
    for (int i = 0; i < 6; i++) {
        const struct stage_wish wish = plain_label(stage, 4, 10, 15);
        stage_put(stage, &wish);
    }
    take(stage, 0.9, 3);
}

/* By turns: every pixel for itself, clumps of a few pixels, black and white. */
static void make_noise(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)shelf;
    struct camera *camera = &stage->camera;
    for (size_t i = 0; i < (size_t)camera->width * (size_t)camera->height; i++)
        camera->pixels[i] = (uint8_t)(random_next(&stage->random) >> 24);
    if (seed % 3 > 0)
        stage->failed |= !camera_lens(camera, 1 + seed % 5 / 2.0, 0);
    for (size_t i = 0; seed % 3 == 2 && i < (size_t)camera->width * (size_t)camera->height; i++)
        camera->pixels[i] = camera->pixels[i] < 128 ? 20 : 220;
}

static void make_one(struct stage *stage, struct stage_wish *wish)
{
    ground_plain(stage);
    wish->tries = 0;
    (void)stage_put(stage, wish);
    take(stage, 0.9, 3);
}

static void make_tilt(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 5, 9, 0);
    wish.pose.tilt = stage_between(stage, 20, 40);
    make_one(stage, &wish);
}

/* Seed by seed round the circle, so that every degree comes up in 360 seeds; the odd half degrees too. */
static void make_rotation(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 4, 8, 0);
    wish.pose.degrees = (double)(seed * 37 % 720) / 2;
    make_one(stage, &wish);
}

static void make_mirrored(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 4, 9, 20);
    wish.mirrored = true;
    make_one(stage, &wish);
}

static void make_inverted(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 4, 9, 20);
    const int dark = wish.label.dark;
    wish.label.dark = wish.label.light;
    wish.label.light = dark;
    make_one(stage, &wish);
}

/* Modules of 2.8 to 3.4 pixels, in focus: thinner ones than this no lens draws. */
static void make_small(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    ground_plain(stage);
    for (int i = 0; i < 6; i++) {
        const struct stage_wish wish = plain_label(stage, 2.8, 3.4, 10);
        stage_put(stage, &wish);
    }
    struct camera *camera = &stage->camera;
    stage->failed |= !camera_lens(camera, stage_between(stage, 0.4, 0.6), 0);
    camera_sensor(camera, stage_between(stage, 1, 2.5), 0.03);
    stage->failed |= !camera_jpeg(camera, 92);
}

/* 20 to 60 pixels a module, as large as the picture holds. */
static void make_large(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 20, 60, 20);
    wish.label.bare = true;
    const bool square = wish.pose.module < 34;
    wish.size = square ? 4 + random_below(&stage->random, 4) : 2 + random_below(&stage->random, 4);
    make_one(stage, &wish);
}

/* A sheet of symbols two modules apart, one module of white around the outermost. */
static void make_tight(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 4, 7, 10);
    wish.label.quiet = 1;
    wish.size = 4 + random_below(&stage->random, 4); /* 16 x 16 to 22 x 22 */
    const int side = 2 * (4 + wish.size) * PANEL_TEXELS, pitch = side + 2 * PANEL_TEXELS;
    const int columns = 3 + random_below(&stage->random, 3), rows = 3 + random_below(&stage->random, 2);
    struct panel sheet;
    if (!panel_create(&sheet, columns * pitch, rows * pitch, wish.label.light)) {
        stage->failed = true;
        return;
    }
    ground_plain(stage);
    wish.pose.module =
        fmin(wish.pose.module, stage->camera.height * 0.95 * PANEL_TEXELS /
                                   sqrt((double)sheet.width * sheet.width + (double)sheet.height * sheet.height));
    const struct camera_map map = camera_aim(&stage->camera, &sheet, &wish.pose);
    for (int i = 0; i < rows * columns; i++) {
        struct content content;
        stage->failed |= !content_make(&content, wish.size, &stage->random);
        const int x = i % columns * pitch + PANEL_TEXELS, y = i / columns * pitch + PANEL_TEXELS;
        panel_symbol(&sheet, x, y, &content.symbol, wish.label.dark, wish.label.light);
        stage_note(stage, &content, &map, x, y, &wish);
    }
    stage_panel(stage, &sheet, &map, true);
    panel_clear(&sheet);
    take(stage, 0.7, 2);
}

static void make_many(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    const size_t wanted = shelf->labels > 0 ? (size_t)shelf->labels : shelf->labels < 0 ? 0 : 200;
    ground_shelf(stage);
    for (int tries = 0; stage->count < wanted && tries < 2000; tries++) {
        struct stage_wish wish = plain_label(stage, 4, 6, 15);
        wish.size = 2 + random_below(&stage->random, 5); /* 12 x 12 to 20 x 20 */
        wish.label.bare = random_below(&stage->random, 3) > 0;
        stage_put(stage, &wish);
    }
    take(stage, 0.8, 2.5);
}

/* All 48 sizes, one a seed. */
static void make_sizes(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 4, 6, 10);
    wish.size = 1 + (int)(seed % 48);
    wish.label.bare = true;
    make_one(stage, &wish);
}

/* Light falling off to a third across the picture, and a shadow's edge over the label. */
static void make_light(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf)
{
    (void)seed;
    (void)shelf;
    struct stage_wish wish = plain_label(stage, 5, 9, 15);
    ground_plain(stage);
    wish.tries = 0;
    stage_put(stage, &wish);
    const struct camera_light light = {.right = stage_between(stage, -0.5, 0.2),
                                       .down = stage_between(stage, -0.4, 0.2),
                                       .shadow = stage_between(stage, 0.2, 0.6),
                                       .shadow_x = wish.pose.x + stage_between(stage, -60, 60),
                                       .shadow_y = wish.pose.y + stage_between(stage, -60, 60),
                                       .shadow_degrees = stage_between(stage, 0, 360),
                                       .shadow_width = stage_between(stage, 10, 120)};
    stage->failed |= !camera_light(&stage->camera, &light);
    take(stage, 0.9, 3);
}

typedef void maker(struct stage *stage, uint64_t seed, const struct kinds_shelf *shelf);
static const struct {
    const char *name;
    int width, height;
    maker *make;
} kinds[] = {
    {"shelf", 4000, 3000, make_shelf},      {"frame", 1280, 720, make_frame},
    {"empty", 1280, 720, make_empty},       {"text", 1280, 720, make_text},
    {"page", 4000, 3000, make_text},        {"note", 4000, 3000, make_note},
    {"noise", 1280, 720, make_noise},       {"tilt", 1280, 720, make_tilt},
    {"rotation", 1280, 720, make_rotation}, {"mirrored", 1280, 720, make_mirrored},
    {"inverted", 1280, 720, make_inverted}, {"small", 1280, 720, make_small},
    {"large", 2400, 1800, make_large},      {"tight", 1280, 960, make_tight},
    {"many", 4000, 3000, make_many},        {"sizes", 1600, 1200, make_sizes},
    {"light", 1280, 720, make_light},
};
_Static_assert(sizeof kinds / sizeof *kinds == KINDS, "one maker a kind");

const char *kinds_name(int kind)
{
    return kind >= 0 && kind < KINDS ? kinds[kind].name : NULL;
}

bool kinds_make(const char *name, uint64_t seed, const struct kinds_shelf *shelf, struct stage *stage)
{
    *stage = (struct stage){0};
    for (int i = 0; i < KINDS; i++) {
        if (strcmp(name, kinds[i].name) != 0)
            continue;
        const int width = shelf->width ? shelf->width : kinds[i].width;
        const int height = shelf->height ? shelf->height : kinds[i].height;
        if (!stage_open(stage, width, height, 0.8 * width, 120, exact_seed(seed, name)))
            return false;
        kinds[i].make(stage, seed, shelf);
        return !stage->failed;
    }
    return false;
}
