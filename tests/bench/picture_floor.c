#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

/* picture_floor FILE REPEATS   what no reader of this kind can do without, as plain loops that the compiler turns into
 * vector instructions: darkest and lightest of each 8 x 8 tile, the same of the 3 x 3 tiles around, a picture of one
 * bit by that, and every border in it followed once. It knows nothing of labels/reading, takes a PGM (P5, 8 bit) and
 * prints the medians of its CPU times as JSON. Nothing is found by it; the reader's time is told as a multiple of this
 * one's. */

enum { TILE = 8, LEAST_CONTRAST = 24, MOST_REPEATS = 1000 };

struct floor_picture {
    uint8_t *pixels;
    int width, height;                         /* cut down to whole tiles */
    size_t stride;                             /* of the file */
    int across, down;                          /* tiles */
    uint8_t *least, *most;                     /* a tile each */
    uint8_t *limit;                            /* a tile each */
    uint8_t *row_least, *row_most, *row_limit; /* a pixel each */
    uint64_t *dark, *passed; /* a bit each, 64 pixels a word, a word and a row of light around; little endian */
    size_t words;            /* a row */
};

static double cpu_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static void measure_tiles(struct floor_picture *p)
{
    const int width = p->width;
    uint8_t *restrict least = p->row_least, *restrict most = p->row_most;
    for (int ty = 0; ty < p->down; ty++) {
        const uint8_t *restrict row = p->pixels + (size_t)ty * TILE * p->stride;
        memcpy(least, row, (size_t)width);
        memcpy(most, row, (size_t)width);
        for (int y = 1; y < TILE; y++) {
            row += p->stride;
            for (int x = 0; x < width; x++) {
                least[x] = row[x] < least[x] ? row[x] : least[x];
                most[x] = row[x] > most[x] ? row[x] : most[x];
            }
        }
        for (int tx = 0; tx < p->across; tx++) {
            uint8_t low = 255, high = 0;
            for (int x = 0; x < TILE; x++) {
                const uint8_t a = least[tx * TILE + x], b = most[tx * TILE + x];
                low = a < low ? a : low;
                high = b > high ? b : high;
            }
            p->least[ty * p->across + tx] = low;
            p->most[ty * p->across + tx] = high;
        }
    }
}

static void set_limits(struct floor_picture *p)
{
    for (int ty = 0; ty < p->down; ty++)
        for (int tx = 0; tx < p->across; tx++) {
            int low = 255, high = 0;
            for (int y = ty > 0 ? ty - 1 : 0; y <= ty + 1 && y < p->down; y++)
                for (int x = tx > 0 ? tx - 1 : 0; x <= tx + 1 && x < p->across; x++) {
                    const int a = p->least[y * p->across + x], b = p->most[y * p->across + x];
                    low = a < low ? a : low;
                    high = b > high ? b : high;
                }
            p->limit[ty * p->across + tx] = (uint8_t)(high - low < LEAST_CONTRAST ? 0 : (low + high + 1) / 2);
        }
}

static void mark_dark(struct floor_picture *p)
{
    uint8_t *restrict limit = p->row_limit, *restrict ones = p->row_least;
    for (int y = 0; y < p->height; y++) {
        const uint8_t *restrict row = p->pixels + (size_t)y * p->stride;
        if (y % TILE == 0)
            for (int tx = 0; tx < p->across; tx++)
                memset(limit + (size_t)tx * TILE, p->limit[y / TILE * p->across + tx], TILE);
        for (int x = 0; x < p->width; x++)
            ones[x] = row[x] < limit[x];
        uint8_t *bits = (uint8_t *)(p->dark + (size_t)(y + 1) * p->words + 1);
        for (int tx = 0; tx < p->across; tx++) { /* eight bytes of 0 or 1 to eight bits */
            uint64_t eight;
            memcpy(&eight, ones + (size_t)tx * TILE, sizeof eight);
            bits[tx] = (uint8_t)(eight * 0x0102040810204080ULL >> 56);
        }
    }
}

static inline bool is_dark(const struct floor_picture *p, int x, int y)
{
    return p->dark[(size_t)(y + 1) * p->words + 1 + (size_t)(x >> 6)] >> (x & 63) & 1;
}

/* Along the cracks between dark and light, dark on the right-hand side, dark joined over corners; back at the start it
 * has been round. Each crack that has dark on its right is noted, so that no border is begun twice. */
static int64_t follow(struct floor_picture *p, int start_x, int start_y)
{
    static const int step_x[4] = {0, 1, 0, -1}, step_y[4] = {-1, 0, 1, 0};   /* up, right, down, left */
    static const int left_x[4] = {-1, 0, 0, -1}, left_y[4] = {-1, -1, 0, 0}; /* the pixel ahead on the left */
    static const int right_x[4] = {0, 0, -1, -1}, right_y[4] = {-1, 0, 0, -1};
    int x = start_x, y = start_y + 1, way = 0; /* the crack left of the pixel, upwards */
    int64_t length = 0;
    do {
        if (way == 0)
            p->passed[(size_t)y * p->words + 1 + (size_t)(x >> 6)] |= 1ULL << (x & 63);
        x += step_x[way];
        y += step_y[way];
        length++;
        if (is_dark(p, x + left_x[way], y + left_y[way]))
            way = (way + 3) & 3;
        else if (!is_dark(p, x + right_x[way], y + right_y[way]))
            way = (way + 1) & 3;
    } while (x != start_x || y != start_y + 1 || way != 0);
    return length;
}

static int64_t follow_all(struct floor_picture *p, int64_t *borders)
{
    int64_t length = 0;
    *borders = 0;
    memset(p->passed, 0, p->words * (size_t)(p->height + 2) * sizeof *p->passed);
    for (int y = 0; y < p->height; y++) {
        const uint64_t *dark = p->dark + (size_t)(y + 1) * p->words + 1;
        const uint64_t *passed = p->passed + (size_t)(y + 1) * p->words + 1;
        for (size_t word = 0; word + 2 < p->words; word++)
            for (uint64_t edges;
                 (edges = dark[word] & ~(dark[word] << 1 | dark[(ptrdiff_t)word - 1] >> 63) & ~passed[word]) != 0;
                 (*borders)++)
                length += follow(p, (int)(word * 64) + __builtin_ctzll(edges), y);
    }
    return length;
}

static bool load(const char *path, struct floor_picture *p)
{
    FILE *file = fopen(path, "rb");
    int width = 0, height = 0;
    bool good = file && fscanf(file, "P5 %d %d 255", &width, &height) == 2 && width >= TILE &&
                height >= TILE && /* NOLINT(cert-err34-c) */
                width <= 16384 && height <= 16384 && fgetc(file) != EOF;
    const size_t pixels = (size_t)width * (size_t)height;
    if (good) {
        *p = (struct floor_picture){.width = width / TILE * TILE,
                                    .height = height / TILE * TILE,
                                    .stride = (size_t)width,
                                    .across = width / TILE,
                                    .down = height / TILE,
                                    .words = (size_t)width / 64 + 3,
                                    .pixels = calloc(pixels, 1)};
        const size_t tiles = (size_t)p->across * (size_t)p->down, bits = p->words * (size_t)(p->height + 2);
        p->least = calloc(tiles, 1);
        p->most = calloc(tiles, 1);
        p->limit = calloc(tiles, 1);
        p->row_least = calloc((size_t)width, 1);
        p->row_most = calloc((size_t)width, 1);
        p->row_limit = calloc((size_t)width, 1);
        p->dark = calloc(bits, sizeof *p->dark);
        p->passed = calloc(bits, sizeof *p->passed);
        good = p->pixels && p->least && p->most && p->limit && p->row_least && p->row_most && p->row_limit && p->dark &&
               p->passed && fread(p->pixels, 1, pixels, file) == pixels;
    }
    if (file)
        (void)fclose(file);
    return good;
}

static void clear(struct floor_picture *p)
{
    void *all[] = {p->pixels, p->least, p->most, p->limit, p->row_least, p->row_most, p->row_limit, p->dark, p->passed};
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        free(all[i]);
}

static int by_value(const void *one, const void *two)
{
    const double a = *(const double *)one, b = *(const double *)two;
    return (a > b) - (a < b);
}

int main(int argc, char **argv)
{
    struct floor_picture p = {0};
    const long repeats = argc == 3 ? strtol(argv[2], NULL, 10) : 0;
    if (repeats < 1 || repeats > MOST_REPEATS) {
        (void)fputs("usage: picture_floor FILE.pgm REPEATS\n", stderr);
        return 2;
    }
    const bool good = load(argv[1], &p);
    double mask[MOST_REPEATS], all[MOST_REPEATS];
    int64_t borders = 0, length = 0;
    for (long i = 0; good && i < repeats; i++) {
        const double start = cpu_ms();
        measure_tiles(&p);
        set_limits(&p);
        mark_dark(&p);
        mask[i] = cpu_ms() - start;
        length = follow_all(&p, &borders);
        all[i] = cpu_ms() - start;
    }
    if (good) {
        qsort(mask, (size_t)repeats, sizeof *mask, by_value);
        qsort(all, (size_t)repeats, sizeof *all, by_value);
        printf("{\"mask_ms\":%.3f,\"cpu_ms\":%.3f,\"borders\":%lld,\"length\":%lld}\n", mask[repeats / 2],
               all[repeats / 2], (long long)borders, (long long)length);
    } else {
        (void)fprintf(stderr, "picture_floor: %s is not an 8-bit P5 picture, or memory is short\n", argv[1]);
    }
    clear(&p);
    return good ? 0 : 1;
}
