#include <stdio.h>
#include <stdlib.h>

#include "tests/pictures/kinds.h"
#include "tests/pictures/score.h"

/* tell_misses KIND FIRST COUNT   reads COUNT pictures from seed FIRST on; a line for each symbol missed and each
 * picture with something wrong, then the sums. For whoever works on the reader. */

static void tell(const struct stage *stage, const char *kind, uint64_t seed, const unsigned char *missed)
{
    for (size_t i = 0; i < stage->count; i++) {
        const struct stage_symbol *symbol = &stage->symbols[i];
        if (missed[i])
            printf(
                "%s %llu: missed %dx%d of %.2f pixels a module at %.0f,%.0f, %.1f degrees, tilt %.1f, quiet %d%s%s\n",
                kind, (unsigned long long)seed, symbol->size->rows, symbol->size->columns, symbol->module,
                (symbol->corners[0][0] + symbol->corners[2][0]) / 2,
                (symbol->corners[0][1] + symbol->corners[2][1]) / 2, symbol->degrees, symbol->tilt, symbol->quiet,
                symbol->mirrored ? ", mirrored" : "", symbol->inverted ? ", inverted" : "");
    }
}

int main(int argc, char **argv)
{
    if (argc != 4) {
        (void)fputs("usage: tell_misses KIND FIRST COUNT\n", stderr);
        return 2;
    }
    struct reader *reader = reader_create();
    const uint64_t first = strtoull(argv[2], NULL, 10), count = strtoull(argv[3], NULL, 10);
    struct score score = {0};
    double cpu_ms = 0;
    bool good = reader != NULL;
    for (uint64_t seed = first; good && seed < first + count; seed++) {
        struct stage stage;
        struct reader_result result = {0};
        struct fault fault = {0};
        unsigned char missed[STAGE_SYMBOLS];
        good = kinds_make(argv[1], seed, &(struct kinds_shelf){0}, &stage);
        const struct grey grey = {stage.camera.pixels, stage.camera.width, stage.camera.height,
                                  (size_t)stage.camera.width};
        good = good && reader_read(reader, &grey, &result, &fault);
        if (good) {
            const struct score before = score;
            score_add(&score, &stage, &result, missed);
            tell(&stage, argv[1], seed, missed);
            if (score.wrong > before.wrong || score.off > before.off || result.cut_short)
                printf("%s %llu: %d wrong, %d off%s\n", argv[1], (unsigned long long)seed, score.wrong - before.wrong,
                       score.off - before.off, result.cut_short ? ", cut short" : "");
            cpu_ms += (double)result.cpu_ns / 1e6;
        }
        stage_close(&stage);
    }
    reader_destroy(reader);
    if (!good) {
        (void)fprintf(stderr, "tell_misses: %s: no such kind, or no memory\n", argv[1]);
        return 1;
    }
    printf("%s: %d of %d found, %d wrong, %d off in %d pictures, %.2f ms CPU a picture\n", argv[1], score.found,
           score.symbols, score.wrong, score.off, score.pictures, cpu_ms / (score.pictures ? score.pictures : 1));
    return 0;
}
