#include "labels/drawing/dots.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

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

static void put(uint8_t *byte, uint8_t bits, bool black)
{
    *byte = black ? (uint8_t)(*byte | bits) : (uint8_t)(*byte & ~bits);
}

/* From dot `from` up to, not including, `to`. */
static void fill_row(uint8_t *row, int from, int to, bool black)
{
    const int first = from / 8, last = to / 8;
    const uint8_t start = (uint8_t)(0xFF >> from % 8), end = (uint8_t) ~(0xFF >> to % 8);
    if (first == last) {
        put(&row[first], start & end, black);
        return;
    }
    put(&row[first], start, black);
    memset(row + first + 1, black ? 0xFF : 0, (size_t)(last - first - 1));
    if (end)
        put(&row[last], end, black);
}

static int between(int least, int value, int most)
{
    return value < least ? least : value > most ? most : value;
}

void dots_fill(struct dots *dots, int x, int y, int width, int height, bool black)
{
    const int left = between(0, x, dots->width), right = between(left, x + width, dots->width);
    const int top = between(0, y, dots->height), bottom = between(top, y + height, dots->height);
    for (int row = top; row < bottom && right > left; row++)
        fill_row(dots->rows + (size_t)row * dots->stride, left, right, black);
}

/* Eight dots of a stamp, `shift` dots right of byte `at` of a row. */
static void put_eight(const struct dots *dots, uint8_t *row, int at, int shift, uint8_t eight, bool black)
{
    const int last = (int)dots->stride - 1;
    const uint8_t inside = (uint8_t)(0xFF << (7 - (dots->width - 1) % 8)); /* bits past the width stay 0 */
    const uint8_t parts[] = {(uint8_t)(eight >> shift), (uint8_t)(eight << (8 - shift))};
    for (int i = 0; i < 2; i++, at++)
        if (at >= 0 && at <= last)
            put(&row[at], at == last ? parts[i] & inside : parts[i], black);
}

void dots_put(struct dots *dots, const struct dots *stamp, int x, int y, bool black)
{
    const int shift = (x % 8 + 8) % 8, first = (x - shift) / 8;
    const int top = between(0, -y, stamp->height), bottom = between(top, dots->height - y, stamp->height);
    for (int row = top; row < bottom; row++) {
        const uint8_t *from = stamp->rows + (size_t)row * stamp->stride;
        uint8_t *to = dots->rows + (size_t)(y + row) * dots->stride;
        for (size_t i = 0; i < stamp->stride; i++)
            if (from[i])
                put_eight(dots, to, first + (int)i, shift, from[i], black);
    }
}

int dots_of_um(int um, int dpi)
{
    return (int)(((int64_t)um * dpi + 12700) / 25400);
}
