#ifndef TESTS_PICTURES_EXACT_H
#define TESTS_PICTURES_EXACT_H

#include <stdint.h>

/* Sine, cosine and exp from additions and multiplications alone. IEEE 754 fixes those to the last bit, libm's functions
 * it does not: so the same seed makes the same picture on every machine (built with -ffp-contract=off, as this room
 * is). Good to 1e-12, which is a thousand times finer than any use here. */

#define EXACT_PI 3.14159265358979323846

/* `degrees` from -720 to 720. */
static inline void exact_turn(double degrees, double *cosine, double *sine)
{
    while (degrees > 180)
        degrees -= 360;
    while (degrees < -180)
        degrees += 360;
    const double a = degrees * (EXACT_PI / 180 / 8); /* an eighth of the angle, then doubled three times */
    double c = 1, s = a, term_c = 1, term_s = a;
    for (int k = 1; k < 10; k++) {
        term_c *= -a * a / ((2 * k - 1) * (2 * k));
        term_s *= -a * a / ((2 * k) * (2 * k + 1));
        c += term_c;
        s += term_s;
    }
    for (int k = 0; k < 3; k++) {
        const double doubled = c * c - s * s;
        s = 2 * c * s;
        c = doubled;
    }
    *cosine = c;
    *sine = s;
}

/* exp(-x) for x from 0 to 50. */
static inline double exact_decay(double x)
{
    double sum = 1, term = 1;
    for (int k = 1; k < 14; k++) {
        term *= -x / 64 / k;
        sum += term;
    }
    for (int k = 0; k < 6; k++)
        sum *= sum;
    return sum;
}

/* The state of tests/reading/random.h from a seed and a word, so that near seeds share nothing (splitmix64, Steele, Lea
 * and Flood 2014). Never 0. */
static inline uint64_t exact_seed(uint64_t seed, const char *word)
{
    uint64_t state = seed;
    for (; *word; word++)
        state = state * 31 + (uint8_t)*word;
    state += 0x9E3779B97F4A7C15ULL;
    state = (state ^ state >> 30) * 0xBF58476D1CE4E5B9ULL;
    state = (state ^ state >> 27) * 0x94D049BB133111EBULL;
    return (state ^ state >> 31) | 1;
}

#endif
