#include "labels/reading/halve.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Each way against the header's words: the mean of the upper and the lower pixel, rounded up, on the left and on the
 * right, then the mean of both, rounded up. */

enum { MOST = 70 };

static void check_half(const struct grey *picture, enum mask_way way)
{
    const int width = picture->width / 2, height = picture->height / 2;
    const size_t size = (size_t)width * (size_t)height;
    uint8_t *memory = malloc(size > 0 ? size : 1); /* exactly that, so that the sanitizer sees a byte too many */
    if (!memory)
        abort();
    const struct grey half = halve(picture, way, memory);
    assert_int_equal(half.width, width);
    assert_int_equal(half.height, height);
    for (int y = 0; y < height; y++)
        for (int x = 0; x < width; x++) {
            const uint8_t *above = picture->pixels + (size_t)(2 * y) * picture->stride + (size_t)(2 * x);
            const uint8_t *below = above + picture->stride;
            const int left = (above[0] + below[0] + 1) / 2, right = (above[1] + below[1] + 1) / 2;
            if (half.pixels[(size_t)y * half.stride + (size_t)x] != (left + right + 1) / 2)
                fail_msg("%d x %d, way %d: pixel %d, %d", picture->width, picture->height, (int)way, x, y);
        }
    free(memory);
}

static void every_way_gives_the_mean_of_four(void **state)
{
    uint64_t seed = 70;
    (void)state;
    for (int width = 1; width <= 2 * MOST; width++)
        for (int height = 1; height <= (width > MOST ? 6 : MOST); height++) {
            const size_t stride = (size_t)width + (size_t)random_below(&seed, 8);
            const size_t size = stride * (size_t)(height - 1) + (size_t)width;
            uint8_t *pixels = malloc(size);
            if (!pixels)
                abort();
            const int levels = random_below(&seed, 3) ? 256 : 2; /* where rounding shows most */
            for (size_t i = 0; i < size; i++)
                pixels[i] = (uint8_t)random_below(&seed, levels);
            const struct grey picture = {pixels, width, height, stride};
            for (int way = MASK_PORTABLE; way <= MASK_BEST; way++)
                if (mask_way_runs((enum mask_way)way))
                    check_half(&picture, (enum mask_way)way);
            free(pixels);
        }
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_way_gives_the_mean_of_four)};
    return cmocka_run_group_tests_name("reading/halve", tests, NULL, NULL);
}
