#ifndef KIOSK_DEVICES_SCANNER_SERIAL_H
#define KIOSK_DEVICES_SCANNER_SERIAL_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/devices/device_scan.h"
#include "labels/basics/fault.h"

/* A hand scanner on a serial line (RS-232, or USB as a serial port): raw bytes, 8 data bits, no parity, 1 stop bit, no
 * handshake. Prefer this to a keyboard-type scanner: GS, RS and EOT arrive as they are, and the symbology identifier
 * too if the scanner is set to send it.
 *
 * One thread owns a scanner; nothing here waits. The owner polls `…_fd` for POLLIN with a time limit of `…_wait_ms`,
 * then calls `…_ready` until it says DEVICE_NOTHING, or `…_reopen` while the descriptor is -1. Times are monotonic
 * milliseconds. The line is opened locked (flock, TIOCEXCL), for two readers would each get half of a scan. */

struct scanner_serial;

struct scanner_serial_settings {
    const char *path; /* copied; best a name that stays, as under /dev/serial/by-id */
    int speed_baud;   /* 9600, 19200, 38400, 57600 or 115200 (a USB serial port ignores it) */
    int gap_ms;       /* silence that ends a scan; 0: SCAN_FRAMER_GAP_MS */
};

/* Does not open yet, so that a kiosk starts without its scanner. NULL: `fault` says what is wrong in the settings. */
struct scanner_serial *scanner_serial_create(const struct scanner_serial_settings *settings, struct fault *fault);
void scanner_serial_destroy(struct scanner_serial *scanner); /* NULL allowed */

/* True when the line is open. False: not there, in use, no permission, or tried a moment ago (FAULT_BUSY), with ever
 * longer pauses. Bytes that came before the opening are thrown away. */
bool scanner_serial_reopen(struct scanner_serial *scanner, int64_t now_ms, struct fault *fault);

int scanner_serial_fd(const struct scanner_serial *scanner); /* -1 while lost */

/* Reads what waits. On DEVICE_LOST the half-read scan is gone and the descriptor closed. */
enum device_event scanner_serial_ready(struct scanner_serial *scanner, int64_t now_ms, struct device_scan *scan,
                                       struct fault *fault);

/* When to call again though nothing came, in ms: `…_ready` when open, `…_reopen` when lost; -1: no need. */
int scanner_serial_wait_ms(const struct scanner_serial *scanner, int64_t now_ms);

#endif
