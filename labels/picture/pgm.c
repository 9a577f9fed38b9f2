#include "labels/picture/pgm.h"

#include "labels/picture/canvas.h"

enum { GREATEST = 65535, MOST_NUMBER = 100 * 1000 * 1000 };

struct cursor {
    const uint8_t *at, *end;
};

static bool is_space(uint8_t c)
{
    return c == ' ' || (c >= '\t' && c <= '\r');
}

static void skip_space(struct cursor *in)
{
    while (in->at < in->end && (is_space(*in->at) || *in->at == '#')) {
        if (*in->at == '#')
            while (in->at < in->end && *in->at != '\n' && *in->at != '\r')
                in->at++;
        else
            in->at++;
    }
}

/* The next number; -1 when there is none or it is absurd. */
static int read_number(struct cursor *in)
{
    skip_space(in);
    int value = 0;
    const uint8_t *start = in->at;
    while (in->at < in->end && *in->at >= '0' && *in->at <= '9') {
        if (value > MOST_NUMBER)
            return -1;
        value = value * 10 + (*in->at++ - '0');
    }
    return in->at > start ? value : -1;
}

static bool read_text(struct cursor *in, int greatest, struct picture *picture, struct fault *fault)
{
    const size_t count = (size_t)picture->grey.width * (size_t)picture->grey.height;
    for (size_t i = 0; i < count; i++) {
        const int value = read_number(in);
        if (value < 0 || value > greatest)
            return fault_set(fault, FAULT_INPUT,
                             "the PGM's pixel %zu of %zu is missing or not 0 to %d: the file is cut off or damaged",
                             i + 1, count, greatest);
        picture->memory[i] = (uint8_t)((value * 255 + greatest / 2) / greatest);
    }
    return true;
}

static bool read_binary(struct cursor *in, int greatest, struct picture *picture, struct fault *fault)
{
    const size_t count = (size_t)picture->grey.width * (size_t)picture->grey.height, width = greatest > 255 ? 2 : 1;
    if (in->at < in->end)
        in->at++; /* exactly one white space after the header: the next byte may look like one */
    if ((size_t)(in->end - in->at) / width < count)
        return fault_set(fault, FAULT_INPUT, "the PGM has %zu of %zu pixels: it was cut off; copy it again",
                         (size_t)(in->end - in->at) / width, count);
    for (size_t i = 0; i < count; i++) {
        const int value = width == 2 ? in->at[2 * i] << 8 | in->at[2 * i + 1] : in->at[i];
        if (value > greatest)
            return fault_set(fault, FAULT_INPUT,
                             "the PGM's pixel %zu is %d, above its greatest value %d: save it again", i + 1, value,
                             greatest);
        picture->memory[i] = (uint8_t)((value * 255 + greatest / 2) / greatest);
    }
    return true;
}

bool pgm_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
              struct fault *fault)
{
    if (length < 3 || !(is_space(bytes[2]) || bytes[2] == '#'))
        return fault_set(fault, FAULT_INPUT, "the PGM's header is cut off or damaged: save or copy it again");
    struct cursor in = {bytes + 2, bytes + length};
    const int width = read_number(&in), height = read_number(&in), greatest = read_number(&in);
    if (width < 0 || height < 0 || greatest < 1 || greatest > GREATEST)
        return fault_set(fault, FAULT_INPUT,
                         "the PGM's header needs a width, a height and a greatest value of 1 to 65535: save it again");
    struct picture fresh = {0};
    const bool text = bytes[1] == '2';
    if (!canvas_create("PGM", width, height, limits, &fresh, fault))
        return false;
    if (!(text ? read_text(&in, greatest, &fresh, fault) : read_binary(&in, greatest, &fresh, fault))) {
        picture_clear(&fresh);
        return false;
    }
    *picture = fresh;
    return true;
}
