#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>

#include "labels/picture/picture.h"
#include "tests/pictures/printed_label.h"

/* photograph_label DOTS.pgm DPI WIDTH_MM HEIGHT_MM RIGHT_MM DOWN_MM ACROSS DOWN TURN SEED OUT.pgm
 *
 * A raster as a label printer got it, printed by one that has faults, cut to its label, laid on a dark ground and
 * photographed (printed_label.h). RIGHT_MM, DOWN_MM: where its first dot comes out; ACROSS, DOWN: how long 1 does. */

enum { ARGUMENTS = 12, FILE_MOST = 64 * 1024 * 1024, DARK = 128 };

static bool read_dots(const char *path, struct picture *picture)
{
    FILE *file = fopen(path, "rb");
    uint8_t *bytes = malloc(FILE_MOST);
    struct fault fault = {0};
    const size_t length = file && bytes ? fread(bytes, 1, FILE_MOST, file) : 0;
    const bool good = picture_read(bytes, length, &picture_default_limits, picture, &fault);
    if (!good)
        fprintf(stderr, "photograph_label: %s: %s\n", path, fault.text);
    if (file)
        (void)fclose(file);
    free(bytes);
    return good;
}

static uint8_t *black_of(const struct grey *grey)
{
    uint8_t *black = malloc((size_t)grey->width * (size_t)grey->height);
    for (int y = 0; black && y < grey->height; y++)
        for (int x = 0; x < grey->width; x++)
            black[(size_t)y * (size_t)grey->width + (size_t)x] =
                grey->pixels[(size_t)y * grey->stride + (size_t)x] < DARK;
    return black;
}

static bool write_picture(const struct camera *camera, const char *path)
{
    const size_t count = (size_t)camera->width * (size_t)camera->height;
    FILE *file = fopen(path, "wb");
    bool good = file != NULL && fprintf(file, "P5\n%d %d\n255\n", camera->width, camera->height) > 0 &&
                fwrite(camera->pixels, 1, count, file) == count;
    if (file)
        good = fclose(file) == 0 && good;
    return good;
}

static double number(const char *text)
{
    return strtod(text, NULL);
}

int main(int argc, char **argv)
{
    struct picture picture = {0};
    struct panel panel = {0};
    struct camera camera = {0};
    if (argc != ARGUMENTS || !read_dots(argv[1], &picture)) {
        fprintf(stderr,
                "usage: photograph_label DOTS.pgm DPI WIDTH_MM HEIGHT_MM RIGHT_MM DOWN_MM ACROSS DOWN TURN SEED "
                "OUT.pgm\n");
        return 2;
    }
    uint8_t *black = black_of(&picture.grey);
    const struct printed_label label = {.black = black,
                                        .columns = picture.grey.width,
                                        .rows = picture.grey.height,
                                        .dpi = (int)number(argv[2]),
                                        .width_mm = number(argv[3]),
                                        .height_mm = number(argv[4]),
                                        .radius_mm = 1.5,
                                        .right_mm = number(argv[5]),
                                        .down_mm = number(argv[6]),
                                        .size_across = number(argv[7]),
                                        .size_down = number(argv[8]),
                                        .turn_degrees = number(argv[9]),
                                        .ground = 45,
                                        .paper = 210,
                                        .ink = 30,
                                        .around_mm = 8};
    const struct printed_shot shot = {.pixels_a_mm = 30,
                                      .degrees = 2,
                                      .tilt = 3,
                                      .tilt_towards = 40,
                                      .blur = 0.9,
                                      .noise = 2,
                                      .seed = (uint64_t)number(argv[10])};
    const bool shown = black && printed_label_panel(&label, &panel) &&
                       printed_label_shoot(&panel, &shot, label.ground, &camera) && write_picture(&camera, argv[11]);
    if (!shown)
        fprintf(stderr, "photograph_label: no memory, or '%s' cannot be written\n", argv[11]);
    camera_close(&camera);
    panel_clear(&panel);
    free(black);
    picture_clear(&picture);
    return shown ? 0 : 1;
}
