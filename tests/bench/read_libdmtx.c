#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include <dmtx.h>

#include "labels/basics/text.h"
#include "labels/picture/picture.h"

/* read_libdmtx FILE MILLISECONDS   a PGM, PNG or JPEG through libdmtx: one line of JSON with what it finds within the
 * time and the CPU time of that alone, as `ambershelf read --json` has it. Its own program dmtxread spends most of its
 * time on loading. libdmtx tries place after place until nothing is left, which takes minutes on 12 million pixels, so
 * it needs a bound. */

enum { MOST_BYTES = 64 << 20, MOST_TEXT = 4096 };

static double cpu_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static bool load(const char *path, struct picture *picture)
{
    struct fault fault = {0};
    FILE *file = fopen(path, "rb");
    uint8_t *bytes = malloc(MOST_BYTES);
    const size_t length = file && bytes ? fread(bytes, 1, MOST_BYTES, file) : 0;
    const bool good = length > 0 && picture_read(bytes, length, &picture_default_limits, picture, &fault);
    if (!good)
        (void)fprintf(stderr, "read_libdmtx: %s: %s\n", path, fault.code ? fault.text : "cannot be opened");
    if (file)
        (void)fclose(file);
    free(bytes);
    return good;
}

static int print_symbols(DmtxDecode *decode, DmtxTime until)
{
    int count = 0;
    DmtxRegion *region;
    while ((region = dmtxRegionFindNext(decode, &until)) != NULL) {
        DmtxMessage *message = dmtxDecodeMatrixRegion(decode, region, DmtxUndefined);
        if (message && message->outputIdx > 0 && message->outputIdx < MOST_TEXT) {
            char hex[2 * MOST_TEXT + 1];
            text_write_hex(message->output, (size_t)message->outputIdx, hex, sizeof hex);
            printf("%s\"%s\"", count++ ? "," : "", hex);
        }
        if (message)
            dmtxMessageDestroy(&message);
        dmtxRegionDestroy(&region);
    }
    return count;
}

int main(int argc, char **argv)
{
    struct picture picture = {0};
    char *end = NULL;
    errno = 0;
    const long milliseconds = argc == 3 ? strtol(argv[2], &end, 10) : 0;
    if (milliseconds <= 0 || errno || *end) {
        (void)fputs("usage: read_libdmtx FILE MILLISECONDS\n", stderr);
        return 2;
    }
    if (!load(argv[1], &picture))
        return 1;
    const double before = cpu_ms();
    DmtxImage *image = dmtxImageCreate(picture.memory, picture.grey.width, picture.grey.height, DmtxPack8bppK);
    DmtxDecode *decode = image ? dmtxDecodeCreate(image, 1) : NULL;
    const bool good = decode != NULL;
    printf("{\"symbols\":[");
    if (good)
        (void)print_symbols(decode, dmtxTimeAdd(dmtxTimeNow(), milliseconds));
    printf("],\"cpu_ms\":%.3f}\n", cpu_ms() - before);
    if (good)
        dmtxDecodeDestroy(&decode);
    if (image)
        dmtxImageDestroy(&image);
    picture_clear(&picture);
    return good ? 0 : 1;
}
