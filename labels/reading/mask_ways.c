#include "labels/reading/mask_ways.h"

static int mean(int a, int b)
{
    return (a + b + 1) >> 1; /* as the vector instruction rounds */
}

void mask_measure_tile(const uint8_t *pixels, size_t stride, int width, int height, uint8_t *least, uint8_t *most)
{
    int low = 255, high = 0;
    for (int y = 0; y < height; y += 2) {
        const uint8_t *row = pixels + (size_t)y * stride, *next = y + 1 < height ? row + stride : row;
        for (int x = 0; x < width; x += 2) {
            const int beside = x + 1 < width ? x + 1 : x;
            const int four = mean(mean(row[x], next[x]), mean(row[beside], next[beside]));
            low = four < low ? four : low;
            high = four > high ? four : high;
        }
    }
    *least = (uint8_t)low;
    *most = (uint8_t)high;
}

static int measure(const uint8_t *pixels, size_t stride, int tiles, uint8_t *least, uint8_t *most)
{
    for (int i = 0; i < tiles; i++)
        mask_measure_tile(pixels + (size_t)i * MASK_TILE, stride, MASK_TILE, MASK_TILE, &least[i], &most[i]);
    return tiles;
}

static int mark(const uint8_t *pixels, int tiles, const uint8_t *limits, uint8_t *bits)
{
    for (int i = 0; i < tiles; i++, pixels += MASK_TILE) {
        unsigned byte = 0;
        for (unsigned k = 0; k < MASK_TILE; k++)
            byte |= (unsigned)(pixels[k] < limits[i]) << k;
        bits[i] = (uint8_t)byte;
    }
    return tiles;
}

const struct mask_loops mask_loops_portable = {measure, mark};

#if defined __x86_64__ || defined __i386__

#include <immintrin.h>
#include <string.h>

#define SSE2 __attribute__((target("sse2")))
#define AVX2 __attribute__((target("avx2")))

SSE2 static int measure_sse2(const uint8_t *pixels, size_t stride, int tiles, uint8_t *least, uint8_t *most)
{
    const __m128i upper = _mm_set1_epi16((short)0xFF00);
    int i = 0;
    for (; i + 2 <= tiles; i += 2) {
        const uint8_t *at = pixels + (size_t)i * MASK_TILE;
        __m128i low = _mm_set1_epi8((char)0xFF), high = _mm_setzero_si128();
        for (int y = 0; y < MASK_TILE; y += 2, at += 2 * stride) {
            const __m128i both =
                _mm_avg_epu8(_mm_loadu_si128((const __m128i *)at), _mm_loadu_si128((const __m128i *)(at + stride)));
            const __m128i four = _mm_avg_epu8(both, _mm_srli_epi16(both, 8)); /* in every other byte */
            low = _mm_min_epu8(low, _mm_or_si128(four, upper));
            high = _mm_max_epu8(high, _mm_andnot_si128(upper, four));
        }
        low = _mm_min_epu8(low, _mm_srli_epi64(low, 32));
        low = _mm_min_epu8(low, _mm_srli_epi64(low, 16));
        high = _mm_max_epu8(high, _mm_srli_epi64(high, 32));
        high = _mm_max_epu8(high, _mm_srli_epi64(high, 16));
        least[i] = (uint8_t)_mm_extract_epi16(low, 0);
        least[i + 1] = (uint8_t)_mm_extract_epi16(low, 4);
        most[i] = (uint8_t)_mm_extract_epi16(high, 0);
        most[i + 1] = (uint8_t)_mm_extract_epi16(high, 4);
    }
    return i;
}

SSE2 static int mark_sse2(const uint8_t *pixels, int tiles, const uint8_t *limits, uint8_t *bits)
{
    int i = 0;
    for (; i + 2 <= tiles; i += 2) {
        const __m128i grey = _mm_loadu_si128((const __m128i *)(pixels + (size_t)i * MASK_TILE));
        const __m128i limit = _mm_unpacklo_epi64(_mm_set1_epi8((char)limits[i]), _mm_set1_epi8((char)limits[i + 1]));
        const unsigned light = (unsigned)_mm_movemask_epi8(_mm_cmpeq_epi8(_mm_max_epu8(grey, limit), grey));
        bits[i] = (uint8_t)~light;
        bits[i + 1] = (uint8_t)(~light >> 8);
    }
    return i;
}

AVX2 static int measure_avx2(const uint8_t *pixels, size_t stride, int tiles, uint8_t *least, uint8_t *most)
{
    const __m256i upper = _mm256_set1_epi16((short)0xFF00);
    int i = 0;
    for (; i + 4 <= tiles; i += 4) {
        const uint8_t *at = pixels + (size_t)i * MASK_TILE;
        __m256i low = _mm256_set1_epi8((char)0xFF), high = _mm256_setzero_si256();
        for (int y = 0; y < MASK_TILE; y += 2, at += 2 * stride) {
            const __m256i both = _mm256_avg_epu8(_mm256_loadu_si256((const __m256i *)at),
                                                 _mm256_loadu_si256((const __m256i *)(at + stride)));
            const __m256i four = _mm256_avg_epu8(both, _mm256_srli_epi16(both, 8));
            low = _mm256_min_epu8(low, _mm256_or_si256(four, upper));
            high = _mm256_max_epu8(high, _mm256_andnot_si256(upper, four));
        }
        low = _mm256_min_epu8(low, _mm256_srli_epi64(low, 32));
        low = _mm256_min_epu8(low, _mm256_srli_epi64(low, 16));
        high = _mm256_max_epu8(high, _mm256_srli_epi64(high, 32));
        high = _mm256_max_epu8(high, _mm256_srli_epi64(high, 16));
        least[i] = (uint8_t)_mm256_extract_epi8(low, 0);
        least[i + 1] = (uint8_t)_mm256_extract_epi8(low, 8);
        least[i + 2] = (uint8_t)_mm256_extract_epi8(low, 16);
        least[i + 3] = (uint8_t)_mm256_extract_epi8(low, 24);
        most[i] = (uint8_t)_mm256_extract_epi8(high, 0);
        most[i + 1] = (uint8_t)_mm256_extract_epi8(high, 8);
        most[i + 2] = (uint8_t)_mm256_extract_epi8(high, 16);
        most[i + 3] = (uint8_t)_mm256_extract_epi8(high, 24);
    }
    return i;
}

AVX2 static int mark_avx2(const uint8_t *pixels, int tiles, const uint8_t *limits, uint8_t *bits)
{
    const __m256i eight_each = _mm256_setr_epi8(0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1, 1, 2, 2, 2, 2, 2, 2, 2, 2,
                                                3, 3, 3, 3, 3, 3, 3, 3);
    int i = 0;
    for (; i + 4 <= tiles; i += 4) {
        int four;
        memcpy(&four, limits + i, sizeof four);
        const __m256i grey = _mm256_loadu_si256((const __m256i *)(pixels + (size_t)i * MASK_TILE));
        const __m256i limit = _mm256_shuffle_epi8(_mm256_set1_epi32(four), eight_each);
        const int dark = ~_mm256_movemask_epi8(_mm256_cmpeq_epi8(_mm256_max_epu8(grey, limit), grey));
        memcpy(bits + i, &dark, sizeof dark);
    }
    return i;
}

const struct mask_loops mask_loops_sse2 = {measure_sse2, mark_sse2}, mask_loops_avx2 = {measure_avx2, mark_avx2};

#else

const struct mask_loops mask_loops_sse2 = {measure, mark}, mask_loops_avx2 = {measure, mark};

#endif
