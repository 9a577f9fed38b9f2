#ifndef KIOSK_RULES_FOURIER_H
#define KIOSK_RULES_FOURIER_H

#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/arena.h"

/* Sums of two independent whole numbers by Fourier transforms (GSL's, radix 2): n log n instead of n^2. Every
 * probability is wrong by some 1e-16, small ones too, so it is for lists where the plain way takes too long. */

enum { FOURIER_CELLS = 1 << 21 };

/* Cell i + k of the answer, of a_count + b_count - 1 cells, is the sum of a[i] b[k]; none is below 0. It lives in the
 * arena. NULL: no room, or more than FOURIER_CELLS. */
double *fourier_convolve(const double *a, size_t a_count, const double *b, size_t b_count, struct arena *arena);

#endif
