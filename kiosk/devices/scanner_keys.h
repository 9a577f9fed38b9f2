#ifndef KIOSK_DEVICES_SCANNER_KEYS_H
#define KIOSK_DEVICES_SCANNER_KEYS_H

#include <stdint.h>

/* Keystrokes of a keyboard-type scanner to bytes: US layout, which the scanner must be set to. Control characters come
 * in four ways, all understood:
 *   Ctrl with a key   Ctrl+] = GS, Ctrl+^ (Ctrl+Shift+6) = RS, Ctrl+D = EOT: ASCII columns 4 and 5 less 0x40
 *   Alt with digits   Alt held, keypad 0 2 9, Alt released = 29 = GS (also printable characters, "Alt mode")
 *   one function key  that stands for GS, where the scanner offers it (often F8): `gs_key`
 *   Enter, Tab        end the scan
 * Caps Lock has no say, as the scanner is not to send it; keys without a meaning are skipped.
 * Source: key codes of linux/input-event-codes.h; the four ways are common practice, no source. Pure. */

enum scanner_keys_result { SCANNER_KEYS_NOTHING, SCANNER_KEYS_BYTE, SCANNER_KEYS_END };

struct scanner_keys {
    unsigned gs_key;        /* key code, 0: none */
    uint8_t held;           /* modifiers, one bit a key */
    unsigned keypad_value;  /* digits typed while Alt is held */
    unsigned keypad_digits; /* how many */
};

void scanner_keys_init(struct scanner_keys *keys, unsigned gs_key);

/* Forgets what is held (events were lost). */
void scanner_keys_clear(struct scanner_keys *keys);

/* One EV_KEY event; `value` is 1 pressed, 0 released, 2 repeated (ignored). SCANNER_KEYS_BYTE sets `*byte`. */
enum scanner_keys_result scanner_keys_take(struct scanner_keys *keys, unsigned code, int value, char *byte);

#endif
