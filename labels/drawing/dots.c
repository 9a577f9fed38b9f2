#include "labels/drawing/dots.h"

#include <assert.h>
#include <stdlib.h>

bool dots_init(int width, int height, int dpi, struct dots *dots, struct fault *fault)
{
    if (dpi < DOTS_DPI_MIN || dpi > DOTS_DPI_MAX)
        return fault_set(fault, FAULT_INPUT, "%d dots per inch is outside %d to %d: give the printer's own resolution",
                         dpi, DOTS_DPI_MIN, DOTS_DPI_MAX);
    if (width < 1 || height < 1 || width > DOTS_SIDE_MAX || height > DOTS_SIDE_MAX)
        return fault_set(fault, FAULT_INPUT, "a label of %d x %d dots is outside 1 to %d dots a side", width, height,
                         DOTS_SIDE_MAX);
    const size_t stride = ((size_t)width + 7) / 8;
    uint8_t *rows = calloc((size_t)height, stride);
    if (!rows)
        return fault_set(fault, FAULT_STORAGE, "no memory for a label of %d x %d dots", width, height);
    *dots = (struct dots){width, height, stride, rows, dpi};
    return true;
}

void dots_clear(struct dots *dots)
{
    free(dots->rows);
    *dots = (struct dots){0};
}

bool dots_get(const struct dots *dots, int x, int y)
{
    if (x < 0 || y < 0 || x >= dots->width || y >= dots->height)
        return false;
    return (dots->rows[(size_t)y * dots->stride + (size_t)x / 8] >> (7 - x % 8)) & 1;
}

bool dots_place(struct dots *dots, int right, int down, int width, int height, struct fault *fault)
{
    struct dots moved = {.rows = NULL};
    if (right == 0 && down == 0 && width == dots->width && height == dots->height)
        return true;
    if (!dots_init(width, height, dots->dpi, &moved, fault))
        return false;
    assert(moved.rows);
    for (int y = 0; y < dots->height; y++)
        for (int x = 0; x < dots->width; x++) {
            if (!dots_get(dots, x, y))
                continue;
            const int to_x = x + right, to_y = y + down;
            if (to_x < 0 || to_y < 0 || to_x >= width || to_y >= height) {
                dots_clear(&moved);
                return fault_set(fault, FAULT_INPUT,
                                 "moved by %d dots to the right and %d down, at this printer's size, the label would "
                                 "lose ink: calibrate the printer anew, or give the template a wider margin",
                                 right, down);
            }
            moved.rows[(size_t)to_y * moved.stride + (size_t)to_x / 8] |= (uint8_t)(0x80 >> (to_x % 8));
        }
    dots_clear(dots);
    *dots = moved;
    return true;
}

int dots_of_um(int um, int dpi)
{
    return (int)(((int64_t)um * dpi + 12700) / 25400);
}
