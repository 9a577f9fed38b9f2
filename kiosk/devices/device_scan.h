#ifndef KIOSK_DEVICES_DEVICE_SCAN_H
#define KIOSK_DEVICES_DEVICE_SCAN_H

#include <stddef.h>

/* What every scanner hands over: the bytes of one symbol, as they came. GS, RS, EOT and NUL are data; nothing here is
 * a C string. Plain struct, nothing to free. */

enum {
    DEVICE_SCAN_SIZE = 4096,    /* a Data Matrix holds 3116 digits at most */
    DEVICE_SYMBOLOGY_LENGTH = 3 /* "]d2": ISO/IEC 15424, a bracket, the code letter, the modifier */
};

struct device_scan {
    char bytes[DEVICE_SCAN_SIZE];
    size_t length;
    char symbology[DEVICE_SYMBOLOGY_LENGTH + 1]; /* ended with NUL; "" when the scanner does not say */
};

/* What a "…_ready" call found. After SCAN and TROUBLE there may be more: call again until NOTHING or LOST. */
enum device_event {
    DEVICE_NOTHING, /* no whole scan yet */
    DEVICE_SCAN,    /* the scan is filled */
    DEVICE_TROUBLE, /* the fault says what was thrown away; the device goes on */
    DEVICE_LOST     /* unplugged, the fault says so; the descriptor is closed: call "…_reopen" until it is back */
};

#endif
