#include "labels/picture/jpeg.h"

#include <string.h>

#include <turbojpeg.h>

#include "labels/picture/canvas.h"

enum {
    MOST_SCANS = 64,            /* encoders write about 10 */
    MOST_WORK = 1000 * 1000000, /* pixels times scans */
    PIXELS_A_BLOCK = 64,        /* 8 x 8; every block of a picture costs one bit or more */
};

/* Start-of-scan markers. In coded data 0xFF is followed by 0, so the pair 0xFF 0xDA is a marker (or lies in a
 * comment or thumbnail, which only makes the count safer). */
static int count_scans(const uint8_t *bytes, size_t length)
{
    int count = 0;
    for (size_t i = 0; i + 1 < length && count <= MOST_SCANS; i++)
        if (bytes[i] == 0xFF && bytes[i + 1] == 0xDA)
            count++;
    return count;
}

static bool check_work(const uint8_t *bytes, size_t length, long long width, long long height, struct fault *fault)
{
    const int scans = count_scans(bytes, length);
    if (scans > MOST_SCANS || width * height * scans > MOST_WORK)
        return fault_set(fault, FAULT_INPUT, "the JPEG has %s%d scans: save it as a plain (not progressive) JPEG",
                         scans > MOST_SCANS ? "more than " : "", scans > MOST_SCANS ? MOST_SCANS : scans);
    if ((long long)length * 8 < width * height / PIXELS_A_BLOCK)
        return fault_set(fault, FAULT_INPUT,
                         "the JPEG says %lld x %lld pixels but has only %zu bytes: it was cut off; copy it again",
                         width, height, length);
    return true;
}

static bool is_harmless(tjhandle handle)
{
    return tjGetErrorCode(handle) == TJERR_WARNING && strstr(tjGetErrorStr2(handle), "extraneous bytes");
}

static bool decode(tjhandle handle, const uint8_t *bytes, size_t length, const struct picture_limits *limits,
                   struct picture *picture, struct fault *fault)
{
    int width = 0, height = 0, sampling = 0, space = 0;
    if ((tjDecompressHeader3(handle, bytes, length, &width, &height, &sampling, &space) != 0 && !is_harmless(handle)) ||
        width < 1 || height < 1)
        return fault_set(fault, FAULT_INPUT, "the JPEG's header is cut off or damaged (%s): take or copy it again",
                         tjGetErrorStr2(handle));
    struct picture fresh = {0};
    if (!canvas_check("JPEG", width, height, limits, fault) || !check_work(bytes, length, width, height, fault) ||
        !canvas_create("JPEG", width, height, limits, &fresh, fault))
        return false;
    if (tjDecompress2(handle, bytes, length, fresh.memory, width, (int)fresh.grey.stride, height, TJPF_GRAY,
                      TJFLAG_LIMITSCANS) != 0 &&
        !is_harmless(handle)) {
        picture_clear(&fresh);
        return fault_set(fault, FAULT_INPUT, "the JPEG is cut off or damaged (%s): take or copy it again",
                         tjGetErrorStr2(handle));
    }
    *picture = fresh;
    return true;
}

bool jpeg_read(const uint8_t *bytes, size_t length, const struct picture_limits *limits, struct picture *picture,
               struct fault *fault)
{
    tjhandle handle = tjInitDecompress();
    if (!handle)
        return fault_set(fault, FAULT_STORAGE, "no memory to read a JPEG: try again");
    const bool good = decode(handle, bytes, length, limits, picture, fault);
    (void)tjDestroy(handle);
    return good;
}
