#include "labels/reading/border.h"

#include <endian.h>
#include <string.h>

enum { DIRECTIONS = 8 };
enum { EAST, SOUTH_EAST, SOUTH, SOUTH_WEST, WEST, NORTH_WEST, NORTH, NORTH_EAST };
/* What the table says: the step's x + 1 in bits 0 and 1, its y + 1 in bits 2 and 3, its direction in 4 to 6, and which
 * edges are passed. */
enum { PASSES_WEST = 8, PASSES_EAST = 9, LONELY = 10 /* bits */, AROUND = 512 };

static const int8_t steps_of[DIRECTIONS][2] = {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}};
/* Bits of the 3 x 3 pixels around, row by row. */
static const uint8_t bit_of[DIRECTIONS] = {5, 8, 7, 6, 3, 0, 1, 2};

/* From `from` on, clockwise, the first dark neighbour; the light ones looked at before it are on this border. */
static uint16_t find_next(int from, unsigned around)
{
    unsigned passed = 0;
    for (int i = 0; i < DIRECTIONS; i++) {
        const int direction = (from + i) % DIRECTIONS;
        if (around >> bit_of[direction] & 1) {
            const unsigned dx = (unsigned)(steps_of[direction][0] + 1), dy = (unsigned)(steps_of[direction][1] + 1);
            return (uint16_t)(passed | dx | dy << 2 | (unsigned)direction << 4);
        }
        if (direction == WEST)
            passed |= 1U << PASSES_WEST;
        if (direction == EAST)
            passed |= 1U << PASSES_EAST;
    }
    return (uint16_t)(passed | 1U << LONELY);
}

void border_table_fill(struct border_table *table)
{
    for (int from = 0; from < DIRECTIONS; from++)
        for (unsigned around = 0; around < AROUND; around++)
            table->next[from * AROUND + (int)around] = find_next(from, around);
}

void border_begin(struct border_walk *walk, const struct border_table *table, const struct mask *mask,
                  uint8_t *seen_left, uint8_t *seen_right, struct border_point *points, int least)
{
    const size_t size = mask->stride * ((size_t)mask->height + 2);
    walk->table = table;
    walk->mask = mask;
    walk->seen_left = seen_left;
    walk->seen_right = seen_right;
    walk->points = points;
    walk->least = least;
    walk->x = walk->y = 0;
    walk->steps = 0;
    memset(seen_left, 0, size);
    memset(seen_right, 0, size);
}

/* Pixels x - 1 to x + 1. */
static unsigned three(const uint8_t *row, int x)
{
    uint16_t bits;
    memcpy(&bits, row + ((x - 1) >> 3), sizeof bits);
    return (unsigned)le16toh(bits) >> ((x - 1) & 7) & 7;
}

/* Returns the number of points; the first BORDER_POINTS are stored. `from`: where to look first, a light neighbour. */
static int64_t follow(struct border_walk *walk, int x, int y, unsigned from)
{
    const ptrdiff_t stride = (ptrdiff_t)walk->mask->stride, down[3] = {-stride, 0, stride};
    const uint16_t *table = walk->table->next;
    const uint8_t *row = mask_row(walk->mask, y);
    uint8_t *left = walk->seen_left + (row - walk->mask->bytes), *right = walk->seen_right + (row - walk->mask->bytes);
    struct border_point *points = walk->points;
    const int start_x = x, start_y = y;
    unsigned at = from * AROUND, first = DIRECTIONS;
    int64_t count = 0;
    for (;;) {
        const unsigned around = three(row - stride, x) | three(row, x) << 3 | three(row + stride, x) << 6;
        const unsigned step = table[at + around];
        /* no branch: which edges are passed changes from step to step, and a wrong guess costs more than two stores */
        left[x >> 3] |= (uint8_t)((step >> PASSES_WEST & 1) << (x & 7));
        right[x >> 3] |= (uint8_t)((step >> PASSES_EAST & 1) << (x & 7));
        if (x == start_x && y == start_y) {
            const unsigned direction = step >> 4 & 7;
            if (direction == first) /* round */
                return count;
            first = first == DIRECTIONS ? direction : first;
        }
        if (count < BORDER_POINTS)
            points[count] = (struct border_point){(int16_t)x, (int16_t)y};
        count++;
        if (step >> LONELY & 1)
            return count;
        x += (int)(step & 3) - 1;
        y += (int)(step >> 2 & 3) - 1;
        const ptrdiff_t offset = down[step >> 2 & 3];
        row += offset;
        left += offset;
        right += offset;
        at = (((step >> 4) + 5) & 7) * AROUND; /* clockwise behind the pixel just left */
    }
}

static uint64_t word_at(const uint8_t *bytes)
{
    uint64_t word;
    memcpy(&word, bytes, sizeof word);
    return le64toh(word); /* pixel 0 is bit 0 */
}

/* Dark pixels with a light one on their left (right) whose edge nobody has passed yet. */
static uint64_t open_left(const struct border_walk *walk, size_t at)
{
    const uint8_t *bytes = walk->mask->bytes;
    const uint64_t dark = word_at(bytes + at);
    return dark & ~(dark << 1 | bytes[at - 1] >> 7) & ~word_at(walk->seen_left + at);
}

static uint64_t open_right(const struct border_walk *walk, size_t at)
{
    const uint8_t *bytes = walk->mask->bytes;
    const uint64_t dark = word_at(bytes + at);
    return dark & ~(dark >> 1 | (uint64_t)bytes[at + 8] << 63) & ~word_at(walk->seen_right + at);
}

static void turn_round(struct border_point *points, int64_t count)
{
    for (int64_t i = 0, k = count - 1; i < k; i++, k--) {
        const struct border_point kept = points[i];
        points[i] = points[k];
        points[k] = kept;
    }
}

static void show(const struct border_walk *walk, int64_t count, bool hole, struct border *border)
{
    *border = (struct border){.points = walk->points, .count = (int)count, .hole = hole};
    int left = INT16_MAX, right = 0, top = INT16_MAX, bottom = 0;
    for (int64_t i = 0; i < count; i++) {
        const int x = walk->points[i].x, y = walk->points[i].y;
        left = x < left ? x : left;
        right = x > right ? x : right;
        top = y < top ? y : top;
        bottom = y > bottom ? y : bottom;
    }
    border->left = left;
    border->right = right;
    border->top = top;
    border->bottom = bottom;
}

bool border_next(struct border_walk *walk, struct border *border)
{
    const struct mask *mask = walk->mask;
    for (; walk->y < mask->height; walk->y++, walk->x = 0) {
        const size_t line = (size_t)(walk->y + 1) * mask->stride + MASK_PAD;
        while (walk->x < mask->width) {
            const size_t at = line + (size_t)(walk->x >> 6) * 8;
            if (!word_at(mask->bytes + at)) {
                walk->x = (walk->x | 63) + 1;
                continue;
            }
            const uint64_t ahead = ~UINT64_C(0) << (walk->x & 63);
            const uint64_t outer = open_left(walk, at) & ahead, inner = open_right(walk, at) & ahead;
            if (!(outer | inner)) {
                walk->x = (walk->x | 63) + 1;
                continue;
            }
            const int bit = __builtin_ctzll(outer | inner);
            const bool hole = !(outer >> bit & 1);
            walk->x = (walk->x & ~63) + bit; /* the other edge of this pixel may be open still */
            const int64_t count = follow(walk, walk->x, walk->y, hole ? SOUTH_EAST : NORTH_WEST);
            walk->steps += count;
            if (count >= walk->least && count <= BORDER_POINTS) {
                if (hole) /* it was followed with its light on the left */
                    turn_round(walk->points, count);
                show(walk, count, hole, border);
                return true;
            }
        }
    }
    return false;
}
