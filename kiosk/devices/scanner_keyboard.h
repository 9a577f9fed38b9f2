#ifndef KIOSK_DEVICES_SCANNER_KEYBOARD_H
#define KIOSK_DEVICES_SCANNER_KEYBOARD_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/devices/device_scan.h"
#include "labels/basics/fault.h"

/* A hand scanner that types like a keyboard, read as an input device (evdev) and grabbed, so that its keystrokes reach
 * neither the desktop nor the page. Set the scanner to the US layout, Caps Lock handling off, Enter after each scan;
 * scanner_keys.h says how it may send GS. A serial scanner is better where there is the choice.
 *
 * One thread owns it; nothing here waits. Poll `…_fd` for POLLIN with a time limit of `…_wait_ms`, then call `…_ready`
 * until it says DEVICE_NOTHING, or `…_reopen` while the descriptor is -1. Times are monotonic milliseconds. */

struct scanner_keyboard;

struct scanner_keyboard_settings {
    const char *path;   /* copied; best a name that stays, as under /dev/input/by-id */
    const char *gs_key; /* a function key that stands for GS: "F8"; NULL or "": none */
    int gap_ms;         /* silence that ends a scan; 0: SCAN_FRAMER_GAP_MS */
};

/* Does not open yet. NULL: `fault` says what is wrong in the settings. */
struct scanner_keyboard *scanner_keyboard_create(const struct scanner_keyboard_settings *settings, struct fault *fault);
void scanner_keyboard_destroy(struct scanner_keyboard *scanner); /* NULL allowed */

/* True when the device is open and ours alone. False: not there, grabbed by another program, no permission, no
 * keyboard, or tried a moment ago (FAULT_BUSY), with ever longer pauses. */
bool scanner_keyboard_reopen(struct scanner_keyboard *scanner, int64_t now_ms, struct fault *fault);

int scanner_keyboard_fd(const struct scanner_keyboard *scanner); /* -1 while lost */

/* Reads what waits. DEVICE_TROUBLE also when the kernel lost keystrokes: that scan is thrown away whole, never handed
 * over with a hole. On DEVICE_LOST the half-read scan is gone and the descriptor closed. */
enum device_event scanner_keyboard_ready(struct scanner_keyboard *scanner, int64_t now_ms, struct device_scan *scan,
                                         struct fault *fault);

/* When to call again though nothing came, in ms: `…_ready` when open, `…_reopen` when lost; -1: no need. */
int scanner_keyboard_wait_ms(const struct scanner_keyboard *scanner, int64_t now_ms);

#endif
