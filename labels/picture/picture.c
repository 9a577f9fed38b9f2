#include "labels/picture/picture.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>

#include "labels/picture/jpeg.h"
#include "labels/picture/pgm.h"
#include "labels/picture/png_picture.h"

const struct picture_limits picture_default_limits = {
    .file_bytes = 32 * 1024 * 1024, .side = 16384, .pixels = 64 * 1000 * 1000};

typedef bool read_function(const uint8_t *bytes, size_t length, const struct picture_limits *limits,
                           struct picture *picture, struct fault *fault);

/* Formats by their first bytes. Those without a function are known only to be named when refused. */
static const struct format {
    const char *start;
    size_t start_length, at;
    const char *name;
    read_function *read;
} formats[] = {
    {"\xFF\xD8\xFF", 3, 0, "JPEG", jpeg_read},
    {"\x89PNG\r\n\x1A\n", 8, 0, "PNG", png_picture_read},
    {"P2", 2, 0, "PGM", pgm_read},
    {"P5", 2, 0, "PGM", pgm_read},
    {"P1", 2, 0, "PBM (black and white map)", NULL},
    {"P3", 2, 0, "PPM (colour map)", NULL},
    {"P4", 2, 0, "PBM (black and white map)", NULL},
    {"P6", 2, 0, "PPM (colour map)", NULL},
    {"GIF8", 4, 0, "GIF", NULL},
    {"BM", 2, 0, "BMP", NULL},
    {"II*\0", 4, 0, "TIFF", NULL},
    {"MM\0*", 4, 0, "TIFF", NULL},
    {"WEBP", 4, 8, "WebP", NULL},
    {"ftyp", 4, 4, "HEIC, AVIF or video", NULL},
    {"%PDF", 4, 0, "PDF", NULL},
};

static const struct format *format_of(const uint8_t *bytes, size_t length)
{
    for (size_t i = 0; i < sizeof formats / sizeof *formats; i++)
        if (length >= formats[i].at + formats[i].start_length &&
            memcmp(bytes + formats[i].at, formats[i].start, formats[i].start_length) == 0)
            return &formats[i];
    return NULL;
}

bool picture_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
                  struct fault *fault)
{
    assert(limits && picture && (bytes || length == 0));
    if (length == 0)
        return fault_set(fault, FAULT_INPUT, "the picture file is empty: take or copy it again");
    if (length > limits->file_bytes)
        return fault_set(fault, FAULT_INPUT, "the picture file has %zu bytes, more than %zu: make it smaller", length,
                         limits->file_bytes);
    const struct format *format = format_of(bytes, length);
    if (!format)
        return fault_set(fault, FAULT_INPUT,
                         "this is no picture (its first bytes are not those of JPEG, PNG or PGM): choose another file");
    if (!format->read)
        return fault_set(fault, FAULT_INPUT, "a %s file is not read here: save it as JPEG, PNG or PGM", format->name);
    return format->read(bytes, length, limits, picture, fault);
}

void picture_clear(struct picture *picture)
{
    free(picture->memory);
    *picture = (struct picture){0};
}
