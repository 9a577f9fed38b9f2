#include "kiosk/rules/fourier.h"

#include <math.h>
#include <string.h>

#include <gsl/gsl_errno.h>
#include <gsl/gsl_fft_halfcomplex.h>
#include <gsl/gsl_fft_real.h>

static double *transformed(const double *p, size_t count, size_t size, struct arena *arena)
{
    double *cells = arena_take(arena, size, sizeof *cells);
    if (!cells)
        return NULL;
    memcpy(cells, p, count * sizeof *cells);
    return gsl_fft_real_radix2_transform(cells, 1, size) == GSL_SUCCESS ? cells : NULL;
}

/* GSL's order: real parts go up from 0 to size / 2, imaginary ones come down from size - 1. */
static void multiply(double *a, const double *b, size_t size)
{
    a[0] *= b[0];
    a[size / 2] *= size > 1 ? b[size / 2] : 1;
    for (size_t k = 1; k < size - k; k++) {
        const double real = a[k] * b[k] - a[size - k] * b[size - k],
                     imaginary = a[k] * b[size - k] + a[size - k] * b[k];
        a[k] = real;
        a[size - k] = imaginary;
    }
}

double *fourier_convolve(const double *a, size_t a_count, const double *b, size_t b_count, struct arena *arena)
{
    size_t size = 1;
    while (size < a_count + b_count - 1 && size <= FOURIER_CELLS)
        size *= 2;
    if (size > FOURIER_CELLS)
        return NULL;
    double *sum = transformed(a, a_count, size, arena), *other = sum ? transformed(b, b_count, size, arena) : NULL;
    if (!other)
        return NULL;
    multiply(sum, other, size);
    if (gsl_fft_halfcomplex_radix2_inverse(sum, 1, size) != GSL_SUCCESS)
        return NULL;
    for (size_t k = 0; k < size; k++)
        sum[k] = fmax(0, sum[k]);
    return sum;
}
