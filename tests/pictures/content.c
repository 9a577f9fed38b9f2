#include "tests/pictures/content.h"

#include <stdio.h>
#include <string.h>

#include <zint.h>

#include "tests/reading/random.h"

static const char header[] = "[)>\x1E"
                             "06\x1D";
static const char trailer[] = "\x1E\x04";

static size_t write_fields(char *text, size_t size, struct content *content, uint64_t *random)
{
    static const char *const resins[] = {"FLINT", "OAK", "KELP", "CHALK", "ROWAN"};
    const int serial = random_below(random, 10000000), lot = random_below(random, 100000);
    const int day = 101 + random_below(random, 28), year = 26 + random_below(random, 3);
    (void)snprintf(content->line[0], CONTENT_LINE, "V%07d", serial);
    (void)snprintf(content->line[1], CONTENT_LINE, "%s", resins[random_below(random, 5)]);
    (void)snprintf(content->line[2], CONTENT_LINE, "USE BY %d-%04d", year, day);
    (void)snprintf(content->line[3], CONTENT_LINE, "LOT RS%05d", lot);
    int length = snprintf(text, size,
                          "SV%07d\x1D"
                          "1TRS%05d\x1D"
                          "16D20%02d0%d\x1D"
                          "14D20%02d0%d\x1D"
                          "7Q%dML\x1D"
                          "Z",
                          serial, lot, year, day, year + 1, day, 250 * (1 + random_below(random, 8)));
    while (length < (int)size)
        text[length++] = "ABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-. "[random_below(random, 39)];
    return size;
}

static bool encode(struct content *content, const char *text, size_t length, int size)
{
    memcpy(content->bytes, text, length);
    content->length = length;
    return zint_modules_make(&(struct zint_wish){.text = text, .length = length, .mode = DATA_MODE, .size = size},
                             &content->symbol);
}

bool content_make(struct content *content, int size, uint64_t *random)
{
    static const int data[49] = {0,   3,   5,   8,   12,  18,  22,  30,  36,  44,   62,   86,  114,
                                 144, 174, 204, 280, 368, 456, 576, 696, 816, 1050, 1304, 1558};
    char fields[CONTENT_BYTES], text[CONTENT_BYTES];
    const size_t room = size < 25 ? (size_t)data[size] : 118; /* of oblong ones the largest's: shortened below */
    write_fields(fields, sizeof fields - 16, content, random);
    if (room < 8) {
        size_t length = 0;
        while (length < 2 * room)
            text[length++] = (char)('0' + random_below(random, 10));
        return encode(content, text, length, size);
    }
    size_t most = room * 3 / 2;
    most -= most * (size_t)random_below(random, 40) / 100; /* some are full, some end in pads */
    for (size_t inner = most; inner > 2; inner -= 1 + inner / 16) {
        const int length = snprintf(text, sizeof text, "%s%.*s%s", header, (int)inner, fields, trailer);
        if (length > 0 && length < (int)sizeof text && encode(content, text, (size_t)length, size))
            return true;
    }
    return encode(content, "0123456789", 10, size); /* 8 x 18 holds no envelope */
}
