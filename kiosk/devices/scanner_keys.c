#include "kiosk/devices/scanner_keys.h"

#include <stdbool.h>
#include <stddef.h>

#include <linux/input-event-codes.h>

enum { RELEASED = 0, PRESSED = 1 };
enum { SHIFT = 0x03, CTRL = 0x0C, ALT = 0x30 }; /* left and right of each */
enum { ALT_DIGITS = 4 };                        /* 0255 is the longest that makes a byte */

struct key {
    char plain, shifted;
};

/* linux/input-event-codes.h numbers the keys as they lie on a US keyboard, row by row. */
static const struct key keys_us[] = {
    [KEY_1] = {'1', '!'},          [KEY_2] = {'2', '@'},           [KEY_3] = {'3', '#'},
    [KEY_4] = {'4', '$'},          [KEY_5] = {'5', '%'},           [KEY_6] = {'6', '^'},
    [KEY_7] = {'7', '&'},          [KEY_8] = {'8', '*'},           [KEY_9] = {'9', '('},
    [KEY_0] = {'0', ')'},          [KEY_MINUS] = {'-', '_'},       [KEY_EQUAL] = {'=', '+'},
    [KEY_Q] = {'q', 'Q'},          [KEY_W] = {'w', 'W'},           [KEY_E] = {'e', 'E'},
    [KEY_R] = {'r', 'R'},          [KEY_T] = {'t', 'T'},           [KEY_Y] = {'y', 'Y'},
    [KEY_U] = {'u', 'U'},          [KEY_I] = {'i', 'I'},           [KEY_O] = {'o', 'O'},
    [KEY_P] = {'p', 'P'},          [KEY_LEFTBRACE] = {'[', '{'},   [KEY_RIGHTBRACE] = {']', '}'},
    [KEY_A] = {'a', 'A'},          [KEY_S] = {'s', 'S'},           [KEY_D] = {'d', 'D'},
    [KEY_F] = {'f', 'F'},          [KEY_G] = {'g', 'G'},           [KEY_H] = {'h', 'H'},
    [KEY_J] = {'j', 'J'},          [KEY_K] = {'k', 'K'},           [KEY_L] = {'l', 'L'},
    [KEY_SEMICOLON] = {';', ':'},  [KEY_APOSTROPHE] = {'\'', '"'}, [KEY_GRAVE] = {'`', '~'},
    [KEY_BACKSLASH] = {'\\', '|'}, [KEY_Z] = {'z', 'Z'},           [KEY_X] = {'x', 'X'},
    [KEY_C] = {'c', 'C'},          [KEY_V] = {'v', 'V'},           [KEY_B] = {'b', 'B'},
    [KEY_N] = {'n', 'N'},          [KEY_M] = {'m', 'M'},           [KEY_COMMA] = {',', '<'},
    [KEY_DOT] = {'.', '>'},        [KEY_SLASH] = {'/', '?'},       [KEY_SPACE] = {' ', ' '},
    [KEY_KPASTERISK] = {'*', '*'}, [KEY_KP7] = {'7', '7'},         [KEY_KP8] = {'8', '8'},
    [KEY_KP9] = {'9', '9'},        [KEY_KPMINUS] = {'-', '-'},     [KEY_KP4] = {'4', '4'},
    [KEY_KP5] = {'5', '5'},        [KEY_KP6] = {'6', '6'},         [KEY_KPPLUS] = {'+', '+'},
    [KEY_KP1] = {'1', '1'},        [KEY_KP2] = {'2', '2'},         [KEY_KP3] = {'3', '3'},
    [KEY_KP0] = {'0', '0'},        [KEY_KPDOT] = {'.', '.'},       [KEY_102ND] = {'\\', '|'},
    [KEY_KPSLASH] = {'/', '/'},
};

void scanner_keys_init(struct scanner_keys *keys, unsigned gs_key)
{
    keys->gs_key = gs_key;
    scanner_keys_clear(keys);
}

void scanner_keys_clear(struct scanner_keys *keys)
{
    keys->held = 0;
    keys->keypad_value = 0;
    keys->keypad_digits = 0;
}

static uint8_t modifier_bit(unsigned code)
{
    switch (code) {
    case KEY_LEFTSHIFT:
        return 0x01;
    case KEY_RIGHTSHIFT:
        return 0x02;
    case KEY_LEFTCTRL:
        return 0x04;
    case KEY_RIGHTCTRL:
        return 0x08;
    case KEY_LEFTALT:
        return 0x10;
    case KEY_RIGHTALT:
        return 0x20;
    default:
        return 0;
    }
}

static enum scanner_keys_result modifier_take(struct scanner_keys *keys, uint8_t bit, int value, char *byte)
{
    const bool alt_before = keys->held & ALT;
    if (value == PRESSED)
        keys->held |= bit;
    else if (value == RELEASED)
        keys->held &= (uint8_t)~bit;
    if (!alt_before || (keys->held & ALT))
        return SCANNER_KEYS_NOTHING;
    const unsigned number = keys->keypad_value, digits = keys->keypad_digits;
    keys->keypad_value = keys->keypad_digits = 0;
    if (digits == 0 || digits > ALT_DIGITS || number > UINT8_MAX)
        return SCANNER_KEYS_NOTHING;
    *byte = (char)number;
    return SCANNER_KEYS_BYTE;
}

static void keypad_take(struct scanner_keys *keys, unsigned code)
{
    const bool keypad = code >= KEY_KP7 && code <= KEY_KP0 && code != KEY_KPMINUS && code != KEY_KPPLUS;
    if (!keypad)
        return;
    if (keys->keypad_digits < ALT_DIGITS)
        keys->keypad_value = keys->keypad_value * 10 + (unsigned)(keys_us[code].plain - '0');
    if (keys->keypad_digits <= ALT_DIGITS)
        keys->keypad_digits++;
}

static enum scanner_keys_result control_take(char plain, char *byte)
{
    if ((plain >= 'a' && plain <= 'z') || (plain >= '[' && plain <= ']'))
        *byte = (char)(plain & 0x1F);
    else if (plain == '6') /* Ctrl+^ */
        *byte = 0x1E;
    else if (plain == '-') /* Ctrl+_ */
        *byte = 0x1F;
    else if (plain == '2') /* Ctrl+@ */
        *byte = 0x00;
    else
        return SCANNER_KEYS_NOTHING;
    return SCANNER_KEYS_BYTE;
}

enum scanner_keys_result scanner_keys_take(struct scanner_keys *keys, unsigned code, int value, char *byte)
{
    const uint8_t bit = modifier_bit(code);
    if (bit)
        return modifier_take(keys, bit, value, byte);
    if (value != PRESSED)
        return SCANNER_KEYS_NOTHING;
    if (code == KEY_ENTER || code == KEY_KPENTER || code == KEY_TAB)
        return SCANNER_KEYS_END;
    if (keys->gs_key != 0 && code == keys->gs_key) {
        *byte = 0x1D;
        return SCANNER_KEYS_BYTE;
    }
    if (keys->held & ALT) {
        keypad_take(keys, code);
        return SCANNER_KEYS_NOTHING;
    }
    if (code >= sizeof keys_us / sizeof *keys_us || keys_us[code].plain == '\0')
        return SCANNER_KEYS_NOTHING;
    if (keys->held & CTRL)
        return control_take(keys_us[code].plain, byte);
    *byte = keys->held & SHIFT ? keys_us[code].shifted : keys_us[code].plain;
    return SCANNER_KEYS_BYTE;
}
