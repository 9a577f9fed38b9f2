#include "tests/pictures/ground.h"

#include <math.h>

#include "tests/reading/random.h"

static int among(struct stage *stage, int least, int most)
{
    return least + random_below(&stage->random, most - least + 1);
}

/* Grey that differs by up to `depth` from texel to texel. */
static void grain(struct stage *stage, struct panel *panel, int depth)
{
    for (size_t i = 0; i < (size_t)panel->width * (size_t)panel->height; i++) {
        const int grey = panel->texels[i] + random_below(&stage->random, 2 * depth + 1) - depth;
        panel->texels[i] = (uint8_t)(grey < 0 ? 0 : grey > 255 ? 255 : grey);
    }
}

/* As a wall behind everything: `texel` pixels a texel, turned a little, larger than the picture. */
static void hang_up(struct stage *stage, const struct panel *panel, double texel, double degrees, double tilt)
{
    const struct camera_pose pose = {.x = (stage->camera.width - 1) / 2.0,
                                     .y = (stage->camera.height - 1) / 2.0,
                                     .module = texel * PANEL_TEXELS,
                                     .degrees = degrees,
                                     .tilt = tilt,
                                     .tilt_towards = stage_between(stage, 0, 360)};
    const struct camera_map map = camera_aim(&stage->camera, panel, &pose);
    camera_draw(&stage->camera, panel, &map, 1);
}

static bool create_wall(struct stage *stage, struct panel *panel, double texel, int grey)
{
    const int width = (int)(stage->camera.width / texel * 1.35), height = (int)(stage->camera.height / texel * 1.5);
    stage->failed |= !panel_create(panel, width, height, grey);
    return !stage->failed;
}

void ground_plain(struct stage *stage)
{
    struct panel wall;
    if (create_wall(stage, &wall, 3, among(stage, 60, 150))) {
        grain(stage, &wall, 6);
        hang_up(stage, &wall, 3, stage_between(stage, 0, 3), 0);
    }
    panel_clear(&wall);
}

static void draw_case(struct stage *stage, struct panel *wall, int x, int y, int width, int height)
{
    const int grey = among(stage, 40, 165);
    panel_box(wall, x, y, width, height, grey);
    panel_box(wall, x, y, width, 2, grey + among(stage, 5, 40));               /* the lid catches light */
    panel_box(wall, x, y + height / 4, width, 1, grey - among(stage, 10, 35)); /* its seam */
    panel_box(wall, x + width - 1, y, 1, height, grey / 2);
    if (random_below(&stage->random, 2)) /* a handle */
        panel_box(wall, x + width / 3, y + height / 10, width / 3, height / 14 + 1, grey / 2);
}

void ground_shelf(struct stage *stage)
{
    const double texel = stage->camera.width / 1000.0;
    struct panel wall;
    if (!create_wall(stage, &wall, texel, 45)) {
        panel_clear(&wall);
        return;
    }
    const int board = among(stage, 150, 260);
    for (int y = among(stage, 20, 100); y < wall.height; y += board) {
        const int tall = board - among(stage, 20, 50);
        for (int x = -among(stage, 0, 80); x < wall.width;) {
            const int width = among(stage, 70, 200), high = tall - among(stage, 0, 40);
            draw_case(stage, &wall, x, y - high, width, high);
            x += width + among(stage, 1, 14);
        }
        const int edge = among(stage, 110, 200);
        panel_box(&wall, 0, y, wall.width, 12, edge);
        panel_box(&wall, 0, y, wall.width, 1, edge + 40);
        panel_box(&wall, 0, y + 12, wall.width, 4, 25);
    }
    grain(stage, &wall, 5);
    hang_up(stage, &wall, texel, stage_between(stage, -3, 3), stage_between(stage, 0, 6));
    panel_clear(&wall);
}

void ground_text(struct stage *stage)
{
    struct panel page;
    const int paper = among(stage, 190, 230), ink = among(stage, 20, 60);
    if (!create_wall(stage, &page, 1.5, paper)) {
        panel_clear(&page);
        return;
    }
    int letter = 10;
    for (int y = 10; y < page.height; y += letter * 3 / 2) {
        if (random_below(&stage->random, 5) == 0) /* a new paragraph, a table or a heading */
            letter = among(stage, 7, 30);
        char words[64];
        for (int x = 10; x < page.width;) {
            const int count = among(stage, 2, 12);
            for (int i = 0; i < count; i++)
                words[i] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-EEAIHL"[random_below(&stage->random, 43)];
            words[count] = '\0';
            x = panel_letters(&page, x, y, letter, words, ink) + letter / 2;
        }
        if (random_below(&stage->random, 12) == 0) /* rules, as forms have them */
            panel_box(&page, 20, y + letter + letter / 4, page.width - 40, 2, ink);
        if (random_below(&stage->random, 25) == 0)
            panel_box(&page, among(stage, 0, page.width), y, 2, among(stage, 100, 400), ink);
    }
    hang_up(stage, &page, 1.5, stage_between(stage, 0, 360), stage_between(stage, 0, 15));
    panel_clear(&page);
}

/* Each a chain of short strokes that turns slowly. */
void ground_cables(struct stage *stage, int count)
{
    for (int i = 0; i < count; i++) {
        double at[2] = {stage_between(stage, 0, stage->camera.width), stage_between(stage, 0, stage->camera.height)};
        double step[2] = {stage_between(stage, -20, 20), stage_between(stage, -20, 20)};
        const double width = stage_between(stage, 3, 16), turn = stage_between(stage, -0.06, 0.06);
        const int grey = among(stage, 15, 230);
        for (int k = 0; k < 80; k++) {
            const double to[2] = {at[0] + step[0], at[1] + step[1]};
            camera_stroke(&stage->camera, at, to, width, grey);
            at[0] = to[0];
            at[1] = to[1];
            const double x = step[0] - turn * step[1], y = step[1] + turn * step[0];
            step[0] = x;
            step[1] = y;
        }
    }
}
