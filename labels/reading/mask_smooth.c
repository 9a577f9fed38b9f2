#include <endian.h>
#include <string.h>

#include "labels/reading/mask.h"

static uint64_t word_at(const uint8_t *at)
{
    uint64_t word;
    memcpy(&word, at, sizeof word);
    return le64toh(word);
}

/* Sixty-four pixels at once: how many of a pixel and its left and right neighbour are dark, in two bits. */
struct sums {
    uint64_t ones, twos;
};

static struct sums sum_row(const uint8_t *at)
{
    const uint64_t dark = word_at(at), left = dark << 1 | at[-1] >> 7, right = dark >> 1 | (uint64_t)at[8] << 63;
    return (struct sums){left ^ dark ^ right, (left & dark) | (left & right) | (dark & right)};
}

/* Five or more of nine: twice the twos and the carry of the ones, and one of the ones. */
static uint64_t most_are_dark(struct sums a, struct sums b, struct sums c)
{
    const uint64_t one = a.ones ^ b.ones ^ c.ones, carry = (a.ones & b.ones) | (a.ones & c.ones) | (b.ones & c.ones);
    const uint64_t p = a.twos ^ b.twos, q = a.twos & b.twos, r = c.twos ^ carry, s = c.twos & carry;
    const uint64_t two = (q & ~r & ~s) | (s & ~p & ~q) | (p & r); /* exactly two of the four twos */
    const uint64_t more = (q & (r | s)) | (s & p);
    return more | (two & one);
}

/* Pixels unlike all of their four neighbours. */
static uint64_t alone(const uint8_t *at, size_t stride)
{
    const uint64_t here = word_at(at), left = here << 1 | at[-1] >> 7, right = here >> 1 | (uint64_t)at[8] << 63;
    return (here ^ left) & (here ^ right) & (here ^ word_at(at - stride)) & (here ^ word_at(at + stride));
}

bool mask_is_speckled(const struct mask *mask)
{
    enum { EVERY = 8 };
    const size_t words = (mask->stride - 2 * (size_t)MASK_PAD) / 8;
    int64_t specks = 0, rows = 0;
    for (int y = 0; y < mask->height; y += EVERY, rows++)
        for (size_t i = 0; i < words; i++)
            specks += __builtin_popcountll(alone(mask_row(mask, y) + 8 * i, mask->stride));
    return specks * MASK_SPECKLED > rows * mask->width;
}

void mask_smooth(const struct mask *mask, uint8_t *memory)
{
    uint8_t *above = memory, *here = memory + mask->stride; /* rows as they were */
    const size_t words = (mask->stride - 2 * (size_t)MASK_PAD) / 8;
    memset(above, 0, mask->stride);
    for (int y = 0; y < mask->height; y++) {
        uint8_t *row = mask->bytes + (size_t)(y + MASK_ROWS) * mask->stride;
        const uint8_t *below = row + mask->stride;
        memcpy(here, row, mask->stride);
        for (size_t i = 0; i < words; i++) {
            const size_t at = MASK_PAD + 8 * i;
            const uint64_t dark = htole64(most_are_dark(sum_row(above + at), sum_row(here + at), sum_row(below + at)));
            memcpy(row + at, &dark, sizeof dark);
        }
        uint8_t *kept = above;
        above = here;
        here = kept;
    }
}
