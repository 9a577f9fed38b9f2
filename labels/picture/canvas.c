#include "labels/picture/canvas.h"

#include <stdlib.h>

bool canvas_check(const char *format, long long width, long long height, const struct picture_limits *limits,
                  struct fault *fault)
{
    if (width < 1 || height < 1)
        return fault_set(fault, FAULT_INPUT, "the %s says it is %lld x %lld pixels, which is no picture: save it again",
                         format, width, height);
    if (width > limits->side || height > limits->side || width * height > limits->pixels)
        return fault_set(fault, FAULT_INPUT,
                         "the %s is %lld x %lld pixels, more than %d a side or %lld in all: make it smaller", format,
                         width, height, limits->side, (long long)limits->pixels);
    return true;
}

bool canvas_create(const char *format, long long width, long long height, const struct picture_limits *limits,
                   struct picture *picture, struct fault *fault)
{
    if (!canvas_check(format, width, height, limits, fault))
        return false;
    uint8_t *memory = malloc((size_t)width * (size_t)height);
    if (!memory)
        return fault_set(fault, FAULT_STORAGE, "no memory for a %s of %lld x %lld pixels: make it smaller", format,
                         width, height);
    *picture = (struct picture){.grey = {memory, (int)width, (int)height, (size_t)width}, .memory = memory};
    return true;
}
