#ifndef TESTS_READING_RANDOM_H
#define TESTS_READING_RANDOM_H

#include <stdint.h>

/* A small generator (xorshift64*, Vigna 2016) so that every run of a test is the same. The state is never 0. */
static inline uint32_t random_next(uint64_t *state)
{
    *state ^= *state >> 12;
    *state ^= *state << 25;
    *state ^= *state >> 27;
    return (uint32_t)(*state * 0x2545F4914F6CDD1DULL >> 32);
}

static inline int random_below(uint64_t *state, int bound)
{
    return (int)(random_next(state) % (uint32_t)bound);
}

#endif
