#include "labels/picture/png_picture.h"

#include <string.h>

#include <png.h>

#include "labels/picture/canvas.h"

enum {
    DEFLATE_RATIO = 1032, /* most bytes that one byte of deflate can become (RFC 1951: 258 bytes for 2 bits) */
    PIXELS_A_BYTE = 8,    /* thinnest PNG: 1 bit a pixel */
};

static bool refuse(const png_image *image, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT, "the PNG is cut off or damaged (%s): save or copy it again", image->message);
}

static bool check_length(long long width, long long height, size_t length, struct fault *fault)
{
    if (width * height / PIXELS_A_BYTE / DEFLATE_RATIO <= (long long)length)
        return true;
    return fault_set(fault, FAULT_INPUT,
                     "the PNG says %lld x %lld pixels but has only %zu bytes: it was cut off; copy it again", width,
                     height, length);
}

bool png_picture_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
                      struct fault *fault)
{
    png_image image;
    memset(&image, 0, sizeof image);
    image.version = PNG_IMAGE_VERSION;
    if (!png_image_begin_read_from_memory(&image, bytes, length))
        return refuse(&image, fault);

    struct picture fresh = {0};
    if (!check_length(image.width, image.height, length, fault) ||
        !canvas_create("PNG", image.width, image.height, limits, &fresh, fault)) {
        png_image_free(&image);
        return false;
    }
    image.format = PNG_FORMAT_GRAY;
    const png_color white = {255, 255, 255};
    if (!png_image_finish_read(&image, &white, fresh.memory, (png_int_32)fresh.grey.stride, NULL)) {
        picture_clear(&fresh); /* a failed read has freed the image */
        return refuse(&image, fault);
    }
    *picture = fresh;
    return true;
}
