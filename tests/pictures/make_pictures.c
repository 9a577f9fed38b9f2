#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <jansson.h>

#include "labels/basics/text.h"
#include "tests/pictures/kinds.h"

/* make_pictures KIND SEED OUT.pgm [--pixels W H] [--labels N]   writes a picture and OUT.json, what is in it. */

static json_t *symbol_row(const struct stage_symbol *symbol)
{
    char hex[2 * CONTENT_BYTES + 1];
    text_write_hex(symbol->bytes, symbol->length, hex, sizeof hex);
    json_t *corners = json_array();
    for (int i = 0; i < 4; i++)
        json_array_append_new(corners, json_pack("[f,f]", symbol->corners[i][0], symbol->corners[i][1]));
    return json_pack("{s:s, s:i, s:i, s:f, s:f, s:f, s:i, s:b, s:b, s:o}", "hex", hex, "rows", symbol->size->rows,
                     "columns", symbol->size->columns, "module", symbol->module, "degrees", symbol->degrees, "tilt",
                     symbol->tilt, "quiet", symbol->quiet, "mirrored", symbol->mirrored, "inverted", symbol->inverted,
                     "corners", corners);
}

static bool write_truth(const struct stage *stage, const char *kind, uint64_t seed, const char *path)
{
    json_t *symbols = json_array();
    for (size_t i = 0; i < stage->count; i++)
        json_array_append_new(symbols, symbol_row(&stage->symbols[i]));
    json_t *truth = json_pack("{s:s, s:I, s:i, s:i, s:o}", "kind", kind, "seed", (json_int_t)seed, "width",
                              stage->camera.width, "height", stage->camera.height, "symbols", symbols);
    const bool good = truth && json_dump_file(truth, path, JSON_COMPACT | JSON_REAL_PRECISION(7)) == 0;
    json_decref(truth);
    return good;
}

static bool write_picture(const struct stage *stage, const char *path)
{
    const size_t count = (size_t)stage->camera.width * (size_t)stage->camera.height;
    FILE *file = fopen(path, "wb");
    bool good = file != NULL && fprintf(file, "P5\n%d %d\n255\n", stage->camera.width, stage->camera.height) > 0 &&
                fwrite(stage->camera.pixels, 1, count, file) == count;
    if (file)
        good = fclose(file) == 0 && good;
    return good;
}

int main(int argc, char **argv)
{
    struct kinds_shelf shelf = {0};
    bool usage = argc < 4;
    for (int i = 4; i < argc && !usage;) {
        if (strcmp(argv[i], "--pixels") == 0 && i + 2 < argc) {
            shelf.width = (int)strtol(argv[i + 1], NULL, 10);
            shelf.height = (int)strtol(argv[i + 2], NULL, 10);
            usage = shelf.width < 100 || shelf.height < 100 || shelf.width > 16384 || shelf.height > 16384;
            i += 3;
        } else if (strcmp(argv[i], "--labels") == 0 && i + 1 < argc) {
            shelf.labels = (int)strtol(argv[i + 1], NULL, 10);
            shelf.labels = shelf.labels == 0 ? -1 : shelf.labels;
            i += 2;
        } else {
            usage = true;
        }
    }
    if (usage) {
        (void)fputs("usage: make_pictures KIND SEED OUT.pgm [--pixels WIDTH HEIGHT] [--labels N]; kinds:", stderr);
        for (int i = 0; kinds_name(i); i++)
            (void)fprintf(stderr, " %s", kinds_name(i));
        (void)fputc('\n', stderr);
        return 2;
    }
    const uint64_t seed = strtoull(argv[2], NULL, 10);
    struct stage stage;
    char truth[4096];
    (void)snprintf(truth, sizeof truth, "%.*s.json", (int)(strlen(argv[3]) - (strlen(argv[3]) > 4 ? 4 : 0)), argv[3]);
    const bool good = kinds_make(argv[1], seed, &shelf, &stage) && write_picture(&stage, argv[3]) &&
                      write_truth(&stage, argv[1], seed, truth);
    if (!good)
        (void)fprintf(stderr, "make_pictures: %s %s: no such kind, no memory, or %s cannot be written\n", argv[1],
                      argv[2], argv[3]);
    stage_close(&stage);
    return good ? 0 : 1;
}
