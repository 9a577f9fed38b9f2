#include "labels/reading/border.h"

#include <endian.h>
#include <string.h>

enum { DIRECTIONS = 8, AROUND = 512 };
enum { EAST, SOUTH_EAST, SOUTH, SOUTH_WEST, WEST, NORTH_WEST, NORTH, NORTH_EAST };
/* A 5 x 5 neighbourhood is held with its rows so many bits apart, so that five rows fit in a word and each, loaded as
 * two bytes at any of eight bits, needs no more than these. */
enum { PITCH = 12, ROW_BITS = (1 << PITCH) - 1 };
/* What the table says of a step: in bits 0 to 5 how far to shift the 5 x 5 pixels around here for the 3 x 3 around
 * there; which edges are passed; in bits 9 to 11 the direction to look in first from there. */
enum { SHIFT = 63, PASSES_WEST = 6, PASSES_EAST = 7, LONELY = 8 /* bits */, FROM = 7 * AROUND };

static const int8_t steps_of[DIRECTIONS][2] = {{1, 0}, {1, 1}, {0, 1}, {-1, 1}, {-1, 0}, {-1, -1}, {0, -1}, {1, -1}};
/* Bits of the 3 x 3 pixels around, row by row. */
static const uint8_t bit_of[DIRECTIONS] = {5, 8, 7, 6, 3, 0, 1, 2};

static int shift_of(int direction)
{
    return PITCH * (steps_of[direction][1] + 1) + steps_of[direction][0] + 1;
}

/* From `from` on, clockwise, the first dark neighbour; the light ones looked at before it are on this border. */
static uint16_t find_next(int from, unsigned around)
{
    unsigned passed = 0;
    for (int i = 0; i < DIRECTIONS; i++) {
        const int direction = (from + i) % DIRECTIONS;
        if (around >> bit_of[direction] & 1) {
            const unsigned behind = (unsigned)(direction + 5) % DIRECTIONS; /* clockwise behind the pixel just left */
            return (uint16_t)(passed | (unsigned)shift_of(direction) | behind * AROUND);
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

void border_begin(struct border_walk *walk, const struct border_table *table, const struct mask *mask, uint8_t *seen,
                  struct border_point *points, int least)
{
    walk->table = table;
    walk->mask = mask;
    walk->seen = seen;
    walk->points = points;
    walk->least = least;
    walk->x = walk->y = 0;
    walk->steps = 0;
    for (int i = 0; i < DIRECTIONS; i++) {
        struct border_stride *stride = &walk->strides[shift_of(i)];
        stride->bits = steps_of[i][1] * (int64_t)mask->stride * 8 + steps_of[i][0];
        stride->place = steps_of[i][1] * 65536 + steps_of[i][0];
    }
    memset(seen, 0, mask->stride * (size_t)(mask->height + 2 * MASK_ROWS));
}

static uint64_t row_bits(const uint8_t *row)
{
    uint16_t bits;
    memcpy(&bits, row, sizeof bits);
    return le16toh(bits) & ROW_BITS;
}

/* The 5 x 5 pixels around a bit of the mask, PITCH bits a row. */
static uint64_t window(const uint8_t *bytes, ptrdiff_t stride, int64_t bit)
{
    const uint8_t *row = bytes + ((bit - 2) >> 3);
    const uint64_t rows = row_bits(row - 2 * stride) | row_bits(row - stride) << PITCH | row_bits(row) << 2 * PITCH |
                          row_bits(row + stride) << 3 * PITCH | row_bits(row + 2 * stride) << 4 * PITCH;
    return rows >> ((bit - 2) & 7);
}

/* Returns the number of points; the first BORDER_POINTS are stored. `from`: where to look first, a light neighbour.
 *
 * Each step hangs on the one before, so what counts is the way from one to the next: the pixels around the next place
 * are on their way from memory (window) while this step is looked up, and are shifted into place when it is known. And
 * there is no branch: which edges are passed changes from step to step, and a wrong guess costs more than a store. */
static int64_t follow(struct border_walk *walk, int x, int y, unsigned from)
{
    const ptrdiff_t stride = (ptrdiff_t)walk->mask->stride;
    const uint8_t *bytes = walk->mask->bytes;
    const uint16_t *table = walk->table->next;
    const struct border_stride *strides = walk->strides;
    struct border_point *points = walk->points;
    const int64_t start = ((mask_row(walk->mask, y) - bytes) << 3) + x;
    int64_t bit = start, count = 0;
    int32_t place = y * 65536 + x;
    unsigned at = from * AROUND, first = UINT32_MAX;
    uint64_t around = window(bytes, stride, bit) >> (PITCH + 1);
    for (;;) {
        const uint64_t near = window(bytes, stride, bit);
        const unsigned step =
            table[at + (around & 7) + (around >> (PITCH - 3) & 0x38) + (around >> (2 * PITCH - 6) & 0x1C0)];
        uint8_t *passed = walk->seen + (bit >> 5) * 4;
        uint64_t edges;
        memcpy(&edges, passed, sizeof edges);
        edges |= htole64((uint64_t)(step >> PASSES_WEST & 3) << (bit & 31));
        memcpy(passed, &edges, sizeof edges);
        if (bit == start) {
            const unsigned next = step & FROM;
            if (next == first) /* round */
                return count;
            first = first == UINT32_MAX ? next : first;
        }
        if (count < BORDER_POINTS)
            points[count] = (struct border_point){(int16_t)place, (int16_t)(place >> 16)};
        count++;
        if (step >> LONELY & 1)
            return count;
        around = near >> (step & SHIFT);
        at = step & FROM;
        bit += strides[step & SHIFT].bits;
        place += strides[step & SHIFT].place;
    }
}

static uint64_t word_at(const uint8_t *bytes)
{
    uint64_t word;
    memcpy(&word, bytes, sizeof word);
    return le64toh(word); /* pixel 0 is bit 0 */
}

/* Edges between dark and light that nobody has passed yet: bit i is the one on the left of pixel i. */
static uint64_t open_edges(const struct border_walk *walk, size_t at)
{
    const uint8_t *bytes = walk->mask->bytes;
    const uint64_t dark = word_at(bytes + at);
    return (dark ^ (dark << 1 | bytes[at - 1] >> 7)) & ~word_at(walk->seen + at);
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
        const size_t line = (size_t)(mask_row(mask, walk->y) - mask->bytes);
        while (walk->x <= mask->width) { /* a row has an edge more than pixels */
            const size_t at = line + (size_t)(walk->x >> 6) * 8;
            const uint64_t open = open_edges(walk, at) & ~UINT64_C(0) << (walk->x & 63);
            if (!open) {
                walk->x = (walk->x | 63) + 1;
                continue;
            }
            walk->x = (walk->x & ~63) + __builtin_ctzll(open);
            const bool hole = !mask_bit(mask, walk->x, walk->y); /* the edge is the right one of the pixel before */
            const int64_t count = follow(walk, walk->x - hole, walk->y, hole ? SOUTH_EAST : NORTH_WEST);
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
