#include "kiosk/devices/scanner_keys.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>
#include <linux/input-event-codes.h>

static struct scanner_keys keys;
static char typed[64];
static size_t typed_length;
static int ends;

static int set_up(void **state)
{
    (void)state;
    scanner_keys_init(&keys, 0);
    typed_length = 0;
    ends = 0;
    return 0;
}

static void event(unsigned code, int value)
{
    char byte = 0;
    const enum scanner_keys_result result = scanner_keys_take(&keys, code, value, &byte);
    if (result == SCANNER_KEYS_END)
        ends++;
    if (result == SCANNER_KEYS_BYTE && typed_length < sizeof typed)
        typed[typed_length++] = byte;
}

static void stroke(unsigned code)
{
    event(code, 1);
    event(code, 0);
}

static void stroke_with(unsigned modifier, unsigned code)
{
    event(modifier, 1);
    stroke(code);
    event(modifier, 0);
}

static void assert_typed(const char *bytes, size_t length)
{
    assert_int_equal(typed_length, length);
    assert_memory_equal(typed, bytes, length);
}

static void types_the_start_of_an_envelope(void **state)
{
    (void)state;
    stroke(KEY_LEFTBRACE);
    stroke_with(KEY_LEFTSHIFT, KEY_0);
    stroke_with(KEY_RIGHTSHIFT, KEY_DOT);
    event(KEY_LEFTCTRL, 1);
    stroke_with(KEY_LEFTSHIFT, KEY_6);
    event(KEY_LEFTCTRL, 0);
    stroke(KEY_0);
    stroke(KEY_6);
    stroke_with(KEY_RIGHTCTRL, KEY_RIGHTBRACE);
    stroke_with(KEY_LEFTSHIFT, KEY_S);
    stroke_with(KEY_LEFTCTRL, KEY_D);
    stroke(KEY_ENTER);
    assert_typed("[)>\x1e"
                 "06\x1d"
                 "S\x04",
                 9); /* ISO/IEC 15434 */
    assert_int_equal(ends, 1);
}

/* The US layout, as printed on its keys from left to right. */
static void knows_every_printable_character_of_the_us_layout(void **state)
{
    static const char plain[] = "1234567890-=qwertyuiop[]asdfghjkl;'`\\zxcvbnm,./ ";
    static const char shifted[] = "!@#$%^&*()_+QWERTYUIOP{}ASDFGHJKL:\"~|ZXCVBNM<>? ";
    (void)state;
    size_t at = 0;
    for (unsigned code = KEY_1; code <= KEY_SPACE; code++) {
        if (code == KEY_BACKSPACE || code == KEY_TAB || code == KEY_ENTER || code == KEY_LEFTCTRL ||
            code == KEY_LEFTSHIFT || code == KEY_RIGHTSHIFT || code == KEY_KPASTERISK || code == KEY_LEFTALT)
            continue;
        typed_length = 0;
        stroke(code);
        stroke_with(KEY_LEFTSHIFT, code);
        const char both[2] = {plain[at], shifted[at]};
        assert_typed(both, 2);
        at++;
    }
    assert_int_equal(at, sizeof plain - 1);
}

static void alt_with_keypad_digits_makes_a_separator(void **state)
{
    (void)state;
    event(KEY_LEFTALT, 1);
    stroke(KEY_KP0);
    stroke(KEY_KP2);
    stroke(KEY_KP9);
    assert_int_equal(typed_length, 0);
    event(KEY_LEFTALT, 0);
    stroke(KEY_KP7); /* without Alt a digit like any other */
    assert_typed("\x1d"
                 "7",
                 2);
}

static void alt_sequences_that_make_no_byte_are_skipped(void **state)
{
    static const unsigned too_big[] = {KEY_KP9, KEY_KP9, KEY_KP9};
    static const unsigned too_long[] = {KEY_KP0, KEY_KP0, KEY_KP0, KEY_KP6, KEY_KP5};
    (void)state;
    event(KEY_LEFTALT, 1);
    for (size_t i = 0; i < 3; i++)
        stroke(too_big[i]);
    event(KEY_LEFTALT, 0);
    event(KEY_RIGHTALT, 1);
    for (size_t i = 0; i < 5; i++)
        stroke(too_long[i]);
    event(KEY_RIGHTALT, 0);
    stroke_with(KEY_LEFTALT, KEY_KPPLUS);
    stroke_with(KEY_LEFTALT, KEY_A);
    assert_int_equal(typed_length, 0);
}

static void a_chosen_function_key_is_the_separator_and_others_are_skipped(void **state)
{
    (void)state;
    stroke(KEY_F8);
    assert_int_equal(typed_length, 0);
    scanner_keys_init(&keys, KEY_F8);
    stroke(KEY_F8);
    stroke(KEY_F9);
    assert_typed("\x1d", 1);
}

static void repeats_and_unknown_keys_type_nothing(void **state)
{
    (void)state;
    event(KEY_A, 1);
    event(KEY_A, 2);
    event(KEY_A, 2);
    event(KEY_A, 0);
    stroke(KEY_CAPSLOCK);
    stroke(KEY_B);
    stroke(KEY_ESC);
    stroke(KEY_VOLUMEUP);
    stroke(KEY_MAX);
    stroke(100000);
    assert_typed("ab", 2);
}

static void every_control_character_can_be_typed(void **state)
{
    (void)state;
    event(KEY_LEFTCTRL, 1);
    stroke(KEY_2);
    stroke(KEY_A);
    stroke(KEY_Z);
    stroke(KEY_LEFTBRACE);
    stroke(KEY_BACKSLASH);
    stroke(KEY_RIGHTBRACE);
    stroke(KEY_6);
    stroke(KEY_MINUS);
    stroke(KEY_9);
    event(KEY_LEFTCTRL, 0);
    assert_typed("\0\x01\x1a\x1b\x1c\x1d\x1e\x1f", 8); /* ASCII columns 4 and 5, less 0x40 */
}

static void enter_keypad_enter_and_tab_end_a_scan(void **state)
{
    (void)state;
    stroke(KEY_ENTER);
    stroke(KEY_KPENTER);
    stroke(KEY_TAB);
    assert_int_equal(ends, 3);
    assert_int_equal(typed_length, 0);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(types_the_start_of_an_envelope, set_up),
        cmocka_unit_test_setup(knows_every_printable_character_of_the_us_layout, set_up),
        cmocka_unit_test_setup(alt_with_keypad_digits_makes_a_separator, set_up),
        cmocka_unit_test_setup(alt_sequences_that_make_no_byte_are_skipped, set_up),
        cmocka_unit_test_setup(a_chosen_function_key_is_the_separator_and_others_are_skipped, set_up),
        cmocka_unit_test_setup(repeats_and_unknown_keys_type_nothing, set_up),
        cmocka_unit_test_setup(every_control_character_can_be_typed, set_up),
        cmocka_unit_test_setup(enter_keypad_enter_and_tab_end_a_scan, set_up),
    };
    return cmocka_run_group_tests_name("devices/scanner_keys", tests, NULL, NULL);
}
