#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/picture/picture.h"

/* Any bytes as a picture file: a picture or a sentence. Limits are small so that a run stays quick. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static const struct picture_limits limits = {.file_bytes = 1 << 20, .side = 2000, .pixels = 1000 * 1000};
    struct picture picture = {0};
    struct fault fault = {0};
    if (picture_read(data, size, &limits, &picture, &fault)) {
        unsigned sum = 0;
        for (int y = 0; y < picture.grey.height; y++)
            for (int x = 0; x < picture.grey.width; x++)
                sum += picture.grey.pixels[(size_t)y * picture.grey.stride + (size_t)x];
        if (sum > 255u * 1000 * 1000)
            abort();
    } else if (fault.code == FAULT_NONE || fault.text[0] == '\0' || picture.memory) {
        abort();
    }
    picture_clear(&picture);
    return 0;
}
