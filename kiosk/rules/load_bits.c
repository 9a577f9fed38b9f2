#include "kiosk/rules/load_bits.h"

#include <string.h>

/* This is where the time of a load plan goes; -O2 leaves the vector unit idle. */
#if defined __GNUC__ && !defined __clang__
#define VECTORS __attribute__((optimize("O3")))
#else
#define VECTORS
#endif

/* Word w of the moved set is made of words w - whole and w - whole - 1 of the set. */
struct move {
    int64_t whole;
    int part; /* 0 to 63 */
};

static struct move move_of(int64_t up)
{
    const int64_t whole = up >= 0 ? up / LOAD_WORD : -((LOAD_WORD - 1 - up) / LOAD_WORD);
    return (struct move){whole, (int)(up - whole * LOAD_WORD)};
}

static uint64_t word_at(const struct load_bits *bits, int64_t at)
{
    return at >= bits->first && at < bits->first + bits->count ? bits->words[at - bits->first] : 0;
}

static uint64_t moved_word(const struct load_bits *from, struct move move, int64_t at)
{
    const uint64_t low = word_at(from, at - move.whole);
    return move.part == 0 ? low : low << move.part | word_at(from, at - move.whole - 1) >> (LOAD_WORD - move.part);
}

static int64_t larger(int64_t a, int64_t b)
{
    return a > b ? a : b;
}

static int64_t smaller(int64_t a, int64_t b)
{
    return a < b ? a : b;
}

/* The words of `to` that the moved set can reach: [*start, *end). */
static void overlap(const struct load_bits *to, const struct load_bits *from, struct move move, int64_t *start,
                    int64_t *end)
{
    *start = larger(to->first, from->first + move.whole);
    *end = smaller(to->first + to->count, from->first + from->count + move.whole + (move.part > 0));
}

VECTORS void load_bits_add(const struct load_bits *to, const struct load_bits *from, int64_t up)
{
    const struct move move = move_of(up);
    int64_t start = 0, end = 0;
    overlap(to, from, move, &start, &end);
    if (start >= end || from->count == 0)
        return;
    uint64_t *out = to->words + (start - to->first);
    const uint64_t *in = from->words + (start - move.whole - from->first);
    const int64_t count = end - start;
    if (move.part == 0) {
        for (int64_t i = 0; i < count; i++)
            out[i] |= in[i];
        return;
    }
    out[0] |= moved_word(from, move, start);
    if (count > 1)
        out[count - 1] |= moved_word(from, move, end - 1);
    for (int64_t i = 1; i < count - 1; i++)
        out[i] |= in[i] << move.part | in[i - 1] >> (LOAD_WORD - move.part);
}

bool load_bits_meet(const struct load_bits *with, const struct load_bits *from, int64_t up)
{
    const struct move move = move_of(up);
    int64_t start = 0, end = 0;
    overlap(with, from, move, &start, &end);
    for (int64_t at = start; at < end; at++)
        if (word_at(with, at) & moved_word(from, move, at))
            return true;
    return false;
}

void load_bits_clear(const struct load_bits *bits)
{
    if (bits->count > 0)
        memset(bits->words, 0, (size_t)bits->count * sizeof *bits->words);
}

void load_bits_put(const struct load_bits *bits, int64_t at)
{
    const int64_t word = at / LOAD_WORD - bits->first;
    if (at >= 0 && word >= 0 && word < bits->count)
        bits->words[word] |= (uint64_t)1 << at % LOAD_WORD;
}

bool load_bits_has(const struct load_bits *bits, int64_t at)
{
    return at >= 0 && (word_at(bits, at / LOAD_WORD) >> at % LOAD_WORD & 1);
}

/* The bits of word `at` that lie in [from, to]. */
static uint64_t part_of(const struct load_bits *bits, int64_t at, int64_t from, int64_t to)
{
    uint64_t word = word_at(bits, at);
    if (at == from / LOAD_WORD)
        word &= ~(uint64_t)0 << from % LOAD_WORD;
    if (at == to / LOAD_WORD)
        word &= ~(uint64_t)0 >> (LOAD_WORD - 1 - to % LOAD_WORD);
    return word;
}

int64_t load_bits_lowest(const struct load_bits *bits, int64_t from, int64_t to)
{
    from = larger(from, 0);
    const int64_t start = larger(from / LOAD_WORD, bits->first),
                  last = smaller(to / LOAD_WORD, bits->first + bits->count - 1);
    for (int64_t at = start; from <= to && at <= last; at++) {
        const uint64_t word = part_of(bits, at, from, to);
        if (word)
            return at * LOAD_WORD + __builtin_ctzll(word);
    }
    return -1;
}

int64_t load_bits_highest(const struct load_bits *bits, int64_t from, int64_t to)
{
    from = larger(from, 0);
    const int64_t start = larger(from / LOAD_WORD, bits->first),
                  last = smaller(to / LOAD_WORD, bits->first + bits->count - 1);
    for (int64_t at = last; from <= to && at >= start; at--) {
        const uint64_t word = part_of(bits, at, from, to);
        if (word)
            return at * LOAD_WORD + LOAD_WORD - 1 - __builtin_clzll(word);
    }
    return -1;
}
