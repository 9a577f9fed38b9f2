#include "tests/pictures/printed_label.h"

#include <math.h>
#include <stddef.h>

#include "tests/pictures/exact.h"

static const double FOCAL = 3200; /* pixels: a telephone's, of its picture's width or so */

static bool on_paper(const struct printed_label *label, double x, double y)
{
    const double r = label->radius_mm;
    const double dx = fmax(r - x, x - (label->width_mm - r)), dy = fmax(r - y, y - (label->height_mm - r));
    if (x < 0 || y < 0 || x > label->width_mm || y > label->height_mm)
        return false;
    return dx <= 0 || dy <= 0 || dx * dx + dy * dy <= r * r;
}

static bool is_black(const struct printed_label *label, double x, double y, double c, double s)
{
    const double dx = x - label->right_mm, dy = y - label->down_mm, dots = label->dpi / 25.4;
    const double column = floor((dx * c + dy * s) / label->size_across * dots);
    const double row = floor((dy * c - dx * s) / label->size_down * dots);
    if (column < 0 || row < 0 || column >= label->columns || row >= label->rows)
        return false;
    return label->black[(size_t)row * (size_t)label->columns + (size_t)column] != 0;
}

bool printed_label_panel(const struct printed_label *label, struct panel *panel)
{
    const int width = (int)((label->width_mm + 2 * label->around_mm) * PRINTED_TEXELS);
    const int height = (int)((label->height_mm + 2 * label->around_mm) * PRINTED_TEXELS);
    double c, s;
    exact_turn(label->turn_degrees, &c, &s);
    if (!panel_create(panel, width, height, label->ground))
        return false;
    for (int row = 0; row < height; row++)
        for (int column = 0; column < width; column++) {
            const double x = (column + 0.5) / PRINTED_TEXELS - label->around_mm;
            const double y = (row + 0.5) / PRINTED_TEXELS - label->around_mm;
            if (on_paper(label, x, y))
                panel->texels[(size_t)row * (size_t)width + (size_t)column] =
                    (uint8_t)(is_black(label, x, y, c, s) ? label->ink : label->paper);
        }
    return true;
}

bool printed_label_shoot(const struct panel *panel, const struct printed_shot *shot, int ground, struct camera *camera)
{
    const double a_texel = shot->pixels_a_mm / PRINTED_TEXELS;
    const int across = (int)(panel->width * a_texel), down = (int)(panel->height * a_texel);
    const int width = shot->width > 0 ? shot->width : across, height = shot->height > 0 ? shot->height : down;
    if (!camera_open(camera, width, height, FOCAL, ground, shot->seed))
        return false;
    const struct camera_pose pose = {(width - 1) / 2.0 + shot->right_px,
                                     (height - 1) / 2.0 + shot->down_px,
                                     a_texel * PANEL_TEXELS,
                                     shot->degrees,
                                     shot->tilt,
                                     shot->tilt_towards};
    const struct camera_map map = camera_aim(camera, panel, &pose);
    camera_draw(camera, panel, &map, 3);
    const struct camera_light light = {.right = shot->light, .down = shot->light / 2};
    bool good = camera_light(camera, &light) && camera_lens(camera, shot->blur, 0);
    camera_sensor(camera, shot->noise, 0.03);
    good = good && (shot->jpeg == 0 || camera_jpeg(camera, shot->jpeg));
    if (!good)
        camera_close(camera);
    return good;
}
