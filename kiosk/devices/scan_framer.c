#include "kiosk/devices/scan_framer.h"

#include <string.h>

void scan_framer_init(struct scan_framer *framer, int gap_ms)
{
    scan_framer_clear(framer);
    framer->last_ms = 0;
    if (gap_ms < SCAN_FRAMER_GAP_LEAST_MS)
        gap_ms = SCAN_FRAMER_GAP_LEAST_MS;
    framer->gap_ms = gap_ms > SCAN_FRAMER_GAP_MOST_MS ? SCAN_FRAMER_GAP_MOST_MS : gap_ms;
}

void scan_framer_clear(struct scan_framer *framer)
{
    framer->length = 0;
    framer->discarding = false;
}

void scan_framer_discard(struct scan_framer *framer, int64_t now_ms)
{
    framer->length = 0;
    framer->discarding = true;
    framer->last_ms = now_ms;
}

enum device_event scan_framer_take(struct scan_framer *framer, char byte, int64_t now_ms, struct device_scan *scan,
                                   struct fault *fault)
{
    if (byte == '\r' || byte == '\n')
        return scan_framer_end(framer, scan);
    framer->last_ms = now_ms;
    if (framer->discarding)
        return DEVICE_NOTHING;
    if (framer->length == sizeof framer->bytes) {
        scan_framer_discard(framer, now_ms);
        fault_set(fault, FAULT_INPUT,
                  "more than %d bytes came without an end: two scans run together or line noise, all thrown away; "
                  "scan again, and set the scanner to end each scan with CR",
                  DEVICE_SCAN_SIZE);
        return DEVICE_TROUBLE;
    }
    framer->bytes[framer->length++] = byte;
    return DEVICE_NOTHING;
}

/* ISO/IEC 15424: ']', a letter, a modifier (digits, and A to F where a code has more than ten). The data come after
 * it; three bytes alone are taken as data. */
static size_t symbology_length(const char *bytes, size_t length)
{
    if (length <= DEVICE_SYMBOLOGY_LENGTH || bytes[0] != ']')
        return 0;
    const char code = bytes[1], modifier = bytes[2];
    const bool letter = (code >= 'A' && code <= 'Z') || (code >= 'a' && code <= 'z');
    const bool digit = (modifier >= '0' && modifier <= '9') || (modifier >= 'A' && modifier <= 'F');
    return letter && digit ? DEVICE_SYMBOLOGY_LENGTH : 0;
}

enum device_event scan_framer_end(struct scan_framer *framer, struct device_scan *scan)
{
    const bool whole = !framer->discarding && framer->length > 0;
    if (whole) {
        const size_t prefix = symbology_length(framer->bytes, framer->length);
        memcpy(scan->symbology, framer->bytes, prefix);
        scan->symbology[prefix] = '\0';
        scan->length = framer->length - prefix;
        memcpy(scan->bytes, framer->bytes + prefix, scan->length);
    }
    scan_framer_clear(framer);
    return whole ? DEVICE_SCAN : DEVICE_NOTHING;
}

enum device_event scan_framer_silence(struct scan_framer *framer, int64_t now_ms, struct device_scan *scan)
{
    return scan_framer_left_ms(framer, now_ms) == 0 ? scan_framer_end(framer, scan) : DEVICE_NOTHING;
}

int scan_framer_left_ms(const struct scan_framer *framer, int64_t now_ms)
{
    if (framer->length == 0 && !framer->discarding)
        return -1;
    const int64_t since = now_ms - framer->last_ms;
    if (since >= framer->gap_ms)
        return 0;
    return since > 0 ? framer->gap_ms - (int)since : framer->gap_ms;
}
