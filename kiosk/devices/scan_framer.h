#ifndef KIOSK_DEVICES_SCAN_FRAMER_H
#define KIOSK_DEVICES_SCAN_FRAMER_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/devices/device_scan.h"
#include "labels/basics/fault.h"

/* Cuts the stream of a scanner into scans. A scan ends at CR, LF or both, or after `gap_ms` without a byte.
 * GS, RS and EOT never end one: they are inside our own labels (ISO/IEC 15434: "[)>" RS "06" GS … RS EOT).
 *
 * A symbology identifier in front ("]d2", ISO/IEC 15424) is split off when data follow it. More than
 * DEVICE_SCAN_SIZE bytes, that prefix counted, is no symbol: all is thrown away up to the next end, so that the tail
 * of two scans run together is never taken for a scan.
 *
 * Times are monotonic milliseconds, given by the caller. Pure: no clock, no allocation, no globals. */

enum { SCAN_FRAMER_GAP_MS = 60, SCAN_FRAMER_GAP_LEAST_MS = 10, SCAN_FRAMER_GAP_MOST_MS = 2000 };

struct scan_framer {
    char bytes[DEVICE_SCAN_SIZE];
    size_t length;
    int64_t last_ms; /* when the newest byte came */
    int gap_ms;
    bool discarding; /* up to the next end */
};

/* `gap_ms` outside the limits above is moved to the nearer one. */
void scan_framer_init(struct scan_framer *framer, int gap_ms);

/* Forgets what was half read (the device went away). */
void scan_framer_clear(struct scan_framer *framer);

/* Forgets what was half read and what still comes, up to the next end (keystrokes are known to be missing). */
void scan_framer_discard(struct scan_framer *framer, int64_t now_ms);

/* Takes one byte. DEVICE_SCAN: it ended a scan, `scan` is filled. DEVICE_TROUBLE: too long, `fault` is filled (once an
 * overlong run). DEVICE_NOTHING: read on. Empty scans (the LF of a CR LF) are skipped. */
enum device_event scan_framer_take(struct scan_framer *framer, char byte, int64_t now_ms, struct device_scan *scan,
                                   struct fault *fault);

/* The device said "end" by other means (the Enter key). DEVICE_SCAN or DEVICE_NOTHING. */
enum device_event scan_framer_end(struct scan_framer *framer, struct device_scan *scan);

/* Nothing more waits to be read at `now_ms`: ends the scan when the gap is over. Ask only after reading everything,
 * for bytes that waited while the caller was late belong to the scan. DEVICE_SCAN or DEVICE_NOTHING. */
enum device_event scan_framer_silence(struct scan_framer *framer, int64_t now_ms, struct device_scan *scan);

/* Milliseconds until silence would end a scan, 0 when it is over, -1 when nothing is begun (as for poll). */
int scan_framer_left_ms(const struct scan_framer *framer, int64_t now_ms);

#endif
