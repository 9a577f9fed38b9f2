#include "kiosk/devices/scan_framer.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* The stream of a scanner with its pauses: 0xFE and a byte n are n milliseconds of silence, all else is data. What
 * comes out must be data that went in, in order, whole scans only. */

struct stream {
    struct scan_framer framer;
    struct device_scan scan;
    size_t given, taken;
};

static void check(struct stream *stream, enum device_event event, const struct fault *fault)
{
    if (event == DEVICE_TROUBLE && (fault->code != FAULT_INPUT || fault->text[0] == '\0'))
        abort();
    if (event == DEVICE_LOST)
        abort();
    if (event != DEVICE_SCAN)
        return;
    const struct device_scan *const scan = &stream->scan;
    const size_t prefix = strnlen(scan->symbology, sizeof scan->symbology);
    stream->taken += scan->length + prefix;
    if (scan->length == 0 || scan->length > DEVICE_SCAN_SIZE || (prefix != 0 && prefix != DEVICE_SYMBOLOGY_LENGTH))
        abort();
    if (memchr(scan->bytes, '\r', scan->length) || memchr(scan->bytes, '\n', scan->length))
        abort();
    if (stream->taken > stream->given)
        abort();
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct stream stream;
    int64_t now_ms = 0;
    memset(&stream, 0, sizeof stream);
    scan_framer_init(&stream.framer, SCAN_FRAMER_GAP_MS);
    for (size_t i = 0; i < size; i++) {
        struct fault fault = {.code = FAULT_NONE};
        if (data[i] == 0xFE && i + 1 < size) {
            now_ms += data[++i];
            check(&stream, scan_framer_silence(&stream.framer, now_ms, &stream.scan), &fault);
        } else {
            stream.given++;
            check(&stream, scan_framer_take(&stream.framer, (char)data[i], now_ms, &stream.scan, &fault), &fault);
        }
        if (scan_framer_left_ms(&stream.framer, now_ms) > SCAN_FRAMER_GAP_MS)
            abort();
    }
    return 0;
}
