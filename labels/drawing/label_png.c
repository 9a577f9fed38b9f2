#include "labels/drawing/label_png.h"

#include <errno.h>
#include <setjmp.h>
#include <string.h>
#include <unistd.h>

#include <png.h>

struct sink {
    int file;
    int error; /* errno of the write that failed */
    char text[80];
};

static void write_bytes(png_structp png, png_bytep bytes, png_size_t length)
{
    struct sink *sink = png_get_io_ptr(png);
    while (length > 0) {
        const ssize_t done = write(sink->file, bytes, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0) {
            sink->error = errno;
            png_error(png, "write");
        }
        bytes += done;
        length -= (size_t)done;
    }
}

static void flush_nothing(png_structp png)
{
    (void)png;
}

static void keep_text(png_structp png, png_const_charp text)
{
    struct sink *sink = png_get_error_ptr(png);
    const size_t length = strnlen(text, sizeof sink->text - 1);
    memcpy(sink->text, text, length);
    sink->text[length] = '\0';
    png_longjmp(png, 1);
}

static void ignore_warning(png_structp png, png_const_charp text)
{
    (void)png;
    (void)text;
}

/* False when libpng jumped out; `sink` has the reason. Nothing that changes lives across the jump. */
static bool write_picture(png_structp png, png_infop info, const struct dots *dots)
{
    if (setjmp(png_jmpbuf(png)))
        return false;
    const png_uint_32 dots_per_metre = (png_uint_32)((dots->dpi * 10000 + 127) / 254);
    png_set_IHDR(png, info, (png_uint_32)dots->width, (png_uint_32)dots->height, 1, PNG_COLOR_TYPE_GRAY,
                 PNG_INTERLACE_NONE, PNG_COMPRESSION_TYPE_DEFAULT, PNG_FILTER_TYPE_DEFAULT);
    png_set_pHYs(png, info, dots_per_metre, dots_per_metre, PNG_RESOLUTION_METER);
    png_write_info(png, info);
    png_set_invert_mono(png); /* our 1 is black, PNG's is white */
    for (int y = 0; y < dots->height; y++)
        png_write_row(png, dots->rows + (size_t)y * dots->stride);
    png_write_end(png, info);
    return true;
}

bool label_png_write(int file, const struct dots *dots, struct fault *fault)
{
    struct sink sink = {.file = file};
    png_structp png = png_create_write_struct(PNG_LIBPNG_VER_STRING, &sink, keep_text, ignore_warning);
    png_infop info = png ? png_create_info_struct(png) : NULL;
    if (!info) {
        png_destroy_write_struct(&png, NULL);
        return fault_set(fault, FAULT_STORAGE, "no memory to write a PNG");
    }
    png_set_write_fn(png, &sink, write_bytes, flush_nothing);
    const bool good = write_picture(png, info, dots);
    png_destroy_write_struct(&png, &info);
    return good || fault_set(fault, FAULT_STORAGE, "the PNG cannot be written: %s",
                             sink.error ? strerror(sink.error) : sink.text);
}
