#include "labels/reading/halve.h"

#include <assert.h>

/* Returns how many pixels it did; the portable loop does the rest. */
typedef int halve_row(const uint8_t *above, const uint8_t *below, int width, uint8_t *out);

static int halve_portable(const uint8_t *above, const uint8_t *below, int width, uint8_t *out)
{
    for (int x = 0; x < width; x++) {
        const int left = (above[2 * x] + below[2 * x] + 1) >> 1, right = (above[2 * x + 1] + below[2 * x + 1] + 1) >> 1;
        out[x] = (uint8_t)((left + right + 1) >> 1);
    }
    return width;
}

#if defined __x86_64__ || defined __i386__

#include <immintrin.h>

__attribute__((target("sse2"))) static int halve_sse2(const uint8_t *above, const uint8_t *below, int width,
                                                      uint8_t *out)
{
    const __m128i lower = _mm_set1_epi16(0xFF);
    int x = 0;
    for (; x + 16 <= width; x += 16) {
        __m128i four[2];
        for (int i = 0; i < 2; i++) {
            const __m128i both = _mm_avg_epu8(_mm_loadu_si128((const __m128i *)(above + 2 * x + 16 * i)),
                                              _mm_loadu_si128((const __m128i *)(below + 2 * x + 16 * i)));
            four[i] = _mm_and_si128(_mm_avg_epu8(both, _mm_srli_epi16(both, 8)), lower);
        }
        _mm_storeu_si128((__m128i *)(out + x), _mm_packus_epi16(four[0], four[1]));
    }
    return x;
}

__attribute__((target("avx2"))) static int halve_avx2(const uint8_t *above, const uint8_t *below, int width,
                                                      uint8_t *out)
{
    const __m256i lower = _mm256_set1_epi16(0xFF);
    int x = 0;
    for (; x + 32 <= width; x += 32) {
        __m256i four[2];
        for (int i = 0; i < 2; i++) {
            const __m256i both = _mm256_avg_epu8(_mm256_loadu_si256((const __m256i *)(above + 2 * x + 32 * i)),
                                                 _mm256_loadu_si256((const __m256i *)(below + 2 * x + 32 * i)));
            four[i] = _mm256_and_si256(_mm256_avg_epu8(both, _mm256_srli_epi16(both, 8)), lower);
        }
        const __m256i packed = _mm256_packus_epi16(four[0], four[1]); /* in each half by itself */
        _mm256_storeu_si256((__m256i *)(out + x), _mm256_permute4x64_epi64(packed, 0xD8));
    }
    return x;
}

#else

static halve_row *const halve_sse2 = halve_portable, *const halve_avx2 = halve_portable;

#endif

struct grey halve(const struct grey *picture, enum mask_way way, uint8_t *memory)
{
    assert(mask_way_runs(way));
    const int width = picture->width / 2, height = picture->height / 2;
    halve_row *row = halve_portable;
    if (way == MASK_AVX2 || (way == MASK_BEST && mask_way_runs(MASK_AVX2)))
        row = halve_avx2;
    else if (way == MASK_SSE2 || (way == MASK_BEST && mask_way_runs(MASK_SSE2)))
        row = halve_sse2;
    for (int y = 0; y < height; y++) {
        const uint8_t *above = picture->pixels + 2 * (size_t)y * picture->stride, *below = above + picture->stride;
        uint8_t *out = memory + (size_t)y * (size_t)width;
        const int done = row(above, below, width, out);
        (void)halve_portable(above + 2 * done, below + 2 * done, width - done, out + done);
    }
    return (struct grey){memory, width, height, (size_t)width};
}
