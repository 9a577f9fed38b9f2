#include "tests/devices/eye_help.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <cmocka.h>
#include <png.h>
#include <turbojpeg.h>

const char eye_help_own_program[] = "/proc/self/exe";

enum { EDGE = EYE_HELP_QUIET * EYE_HELP_MODULE_PIXELS };

/* ISO/IEC 16022 figure O.2: "123456" in 10 x 10. */
static const char *const symbol_rows[EYE_HELP_MODULES] = {"1010101010", "1100101101", "1100000100", "1100011101",
                                                          "1100001000", "1000001111", "1110110000", "1111011001",
                                                          "1001110100", "1111111111"};

void eye_help_draw(uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE])
{
    memset(pixels, 255, (size_t)EYE_HELP_SIDE * EYE_HELP_SIDE);
    for (int y = 0; y < EYE_HELP_MODULES * EYE_HELP_MODULE_PIXELS; y++)
        for (int x = 0; x < EYE_HELP_MODULES * EYE_HELP_MODULE_PIXELS; x++)
            if (symbol_rows[y / EYE_HELP_MODULE_PIXELS][x / EYE_HELP_MODULE_PIXELS] == '1')
                pixels[(y + EDGE) * EYE_HELP_SIDE + x + EDGE] = 0;
}

void eye_help_draw_pgm(struct eye_help_file *file)
{
    static uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE];
    eye_help_draw(pixels);
    const int header = snprintf((char *)file->bytes, 64, "P5\n%d %d\n255\n", EYE_HELP_SIDE, EYE_HELP_SIDE);
    memcpy(file->bytes + header, pixels, sizeof pixels);
    file->length = (size_t)header + sizeof pixels;
}

void eye_help_draw_png(struct eye_help_file *file)
{
    static uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE];
    eye_help_draw(pixels);
    png_image image = {
        .version = PNG_IMAGE_VERSION, .width = EYE_HELP_SIDE, .height = EYE_HELP_SIDE, .format = PNG_FORMAT_GRAY};
    png_alloc_size_t length = sizeof file->bytes;
    assert_true(png_image_write_to_memory(&image, file->bytes, &length, 0, pixels, EYE_HELP_SIDE, NULL));
    file->length = length;
}

void eye_help_draw_jpeg(struct eye_help_file *file)
{
    static uint8_t pixels[EYE_HELP_SIDE * EYE_HELP_SIDE];
    eye_help_draw(pixels);
    unsigned char *bytes = NULL;
    unsigned long length = 0;
    tjhandle handle = tjInitCompress();
    assert_int_equal(tjCompress2(handle, pixels, EYE_HELP_SIDE, EYE_HELP_SIDE, EYE_HELP_SIDE, TJPF_GRAY, &bytes,
                                 &length, TJSAMP_GRAY, 90, 0),
                     0);
    assert_true(length <= sizeof file->bytes);
    memcpy(file->bytes, bytes, length);
    file->length = length;
    tjFree(bytes);
    (void)tjDestroy(handle);
}

void eye_help_pause(long ms)
{
    const struct timespec time = {ms / 1000, ms % 1000 * 1000000};
    (void)nanosleep(&time, NULL);
}

int64_t eye_help_now(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

struct eye *eye_help_open(const char *program)
{
    struct eye *eye = NULL;
    struct fault fault = {0};
    if (!eye_create(program, &eye, &fault))
        fail_msg("%s", fault.text);
    return eye;
}

enum fault_code eye_help_read_fault(struct eye *eye, const void *bytes, size_t length, struct fault *fault)
{
    static struct reader_symbol symbols[READER_SYMBOLS];
    struct eye_answer answer = {.width = 77};
    *fault = (struct fault){0};
    if (eye_read(eye, bytes, length, false, symbols, READER_SYMBOLS, &answer, fault))
        fail_msg("read a picture that should fail");
    assert_int_equal(answer.width, 77);
    assert_true(strlen(fault->text) > 20);
    return fault->code;
}

int eye_help_count_descriptors(void)
{
    int count = 0;
    DIR *folder = opendir("/proc/self/fd");
    assert_non_null(folder);
    while (readdir(folder))
        count++;
    (void)closedir(folder);
    return count;
}
