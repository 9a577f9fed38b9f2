#include "kiosk/devices/scanner_keyboard.h"

#include <poll.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <cmocka.h>
#include <linux/input-event-codes.h>

#include "labels/basics/text.h"
#include "tests/devices/test_process.h"

/* A keyboard-type scanner by umockdev: this program starts itself again under umockdev-run, which shows it an input
 * device, answers libevdev's questions and plays the keystrokes. The second self reads the scans and tells them, a line
 * each, in hexadecimal; the first compares. Keystrokes come 2 ms apart, as from a fast scanner. */

#define DEVICE "/dev/input/event99"

enum { SKIPPED = 77, READING_MS = 4000, KEY_BITS_SIZE = 96, GAP_MS = 400 /* a busy test machine stalls the player */ };

static char self[512];

/* -- the second self ------------------------------------------------------------------------------------------- */

static int64_t monotonic_ms(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

static void tell(enum device_event event, const struct device_scan *scan, const struct fault *fault)
{
    static char hex[2 * DEVICE_SCAN_SIZE + 1];
    if (event == DEVICE_SCAN) {
        text_write_hex((const uint8_t *)scan->bytes, scan->length, hex, sizeof hex);
        printf("scan %s %s\n", scan->symbology[0] ? scan->symbology : "-", hex);
    } else if (event != DEVICE_NOTHING) {
        printf("%s %s\n", event == DEVICE_LOST ? "lost" : "trouble", fault->text);
    }
    (void)fflush(stdout);
}

/* Reads `wanted` events and tells them; 0 when all came. */
static int reader(const char *gs_key, int wanted)
{
    static struct device_scan scan;
    struct fault fault = {.code = FAULT_NONE};
    const struct scanner_keyboard_settings settings = {.path = DEVICE, .gs_key = gs_key, .gap_ms = GAP_MS};
    struct scanner_keyboard *const scanner = scanner_keyboard_create(&settings, &fault);
    if (!scanner || !scanner_keyboard_reopen(scanner, monotonic_ms(), &fault)) {
        printf("not open: %s\n", fault.text);
        scanner_keyboard_destroy(scanner);
        return 1;
    }
    const int64_t until = monotonic_ms() + READING_MS;
    while (wanted > 0 && monotonic_ms() < until && scanner_keyboard_fd(scanner) >= 0) {
        const int wait_ms = scanner_keyboard_wait_ms(scanner, monotonic_ms());
        struct pollfd wait = {.fd = scanner_keyboard_fd(scanner), .events = POLLIN};
        poll(&wait, 1, wait_ms >= 0 ? wait_ms : 100);
        enum device_event event = DEVICE_NOTHING;
        do {
            event = scanner_keyboard_ready(scanner, monotonic_ms(), &scan, &fault);
            tell(event, &scan, &fault);
            wanted -= event != DEVICE_NOTHING;
        } while (event != DEVICE_NOTHING && event != DEVICE_LOST);
    }
    scanner_keyboard_destroy(scanner);
    return wanted > 0;
}

/* -- the first self -------------------------------------------------------------------------------------------- */

struct bench {
    char folder[64];
    FILE *events;
    double seconds; /* since the last event */
};

static FILE *file_open(const struct bench *bench, const char *name)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", bench->folder, name);
    FILE *const file = fopen(path, "we");
    assert_non_null(file);
    return file;
}

static void padded(FILE *file, const char *question, const char *text, size_t size)
{
    (void)fprintf(file, "%s %zu ", question, strlen(text) + 1);
    for (size_t i = 0; i < size; i++)
        (void)fprintf(file, "%02X", i < strlen(text) ? (unsigned)text[i] : 0U);
    (void)fprintf(file, "\n");
}

static void bits(FILE *file, int type, size_t size, unsigned first_byte, unsigned others)
{
    (void)fprintf(file, "EVIOCGBIT(%d) %zu ", type, size);
    for (size_t i = 0; i < size; i++)
        (void)fprintf(file, "%02X", i == 0 ? first_byte : others);
    (void)fprintf(file, "\n");
}

/* What libevdev asks when it opens a device; the answers have exactly the size asked for. */
static void write_answers(const struct bench *bench, bool has_keys)
{
    FILE *const file = file_open(bench, "scanner.ioctl");
    (void)fprintf(file, "@DEV " DEVICE "\nEVIOCGVERSION 0 01000100\nEVIOCGID 0 0300341200110001\n");
    padded(file, "EVIOCGNAME", "Hand scanner", 255);
    padded(file, "EVIOCGPHYS", "", 255);
    padded(file, "EVIOCGUNIQ", "", 255);
    (void)fprintf(file, "EVIOCGPROP 8 0000000000000000\n");
    bits(file, 0, 8, has_keys ? 0x03 : 0x01, 0); /* EV_SYN, EV_KEY */
    bits(file, EV_KEY, KEY_BITS_SIZE, has_keys ? 0xFE : 0, has_keys ? 0xFF : 0);
    static const int rest[] = {EV_REL, EV_ABS, EV_MSC, EV_SW, EV_LED, EV_SND};
    for (size_t i = 0; i < sizeof rest / sizeof *rest; i++)
        bits(file, rest[i], 8, 0, 0);
    bits(file, EV_FF, 16, 0, 0);
    (void)fprintf(file, "EVIOCGKEY %d ", KEY_BITS_SIZE);
    for (int i = 0; i < KEY_BITS_SIZE; i++)
        (void)fprintf(file, "00");
    (void)fprintf(file, "\nEVIOCGLED 8 0000000000000000\nEVIOCGSW 8 0000000000000000\n");
    (void)fclose(file);
}

static void write_device(const struct bench *bench)
{
    FILE *const file = file_open(bench, "scanner.umockdev");
    (void)fprintf(file, "P: /devices/virtual/input/input99/event99\nN: input/event99\nE: DEVNAME=" DEVICE
                        "\nE: SUBSYSTEM=input\nE: ID_INPUT_KEYBOARD=1\nA: dev=13:99\n\n");
    (void)fclose(file);
}

static int set_up(void **state)
{
    static struct bench bench;
    (void)snprintf(bench.folder, sizeof bench.folder, "/tmp/scanner-XXXXXX");
    if (!mkdtemp(bench.folder))
        return -1;
    write_device(&bench);
    write_answers(&bench, true);
    bench.events = file_open(&bench, "scanner.events");
    bench.seconds = 0.3; /* the reader opens the device meanwhile */
    *state = &bench;
    return 0;
}

static int tear_down(void **state)
{
    const struct bench *const bench = *state;
    test_process_remove(bench->folder);
    return 0;
}

static void event(struct bench *bench, unsigned code, int value)
{
    bench->seconds += 0.001;
    (void)fprintf(bench->events, "E: %f 0001 %04x %04d\nE: %f 0000 0000 0000\n", bench->seconds, code, value,
                  bench->seconds);
}

static void stroke(struct bench *bench, unsigned code)
{
    event(bench, code, 1);
    event(bench, code, 0);
}

static void stroke_with(struct bench *bench, unsigned modifier, unsigned code)
{
    event(bench, modifier, 1);
    stroke(bench, code);
    event(bench, modifier, 0);
}

static void type_plain(struct bench *bench, const char *text)
{
    static const char row1[] = "1234567890", row2[] = "QWERTYUIOP", row3[] = "ASDFGHJKL", row4[] = "ZXCVBNM";
    for (; *text; text++) {
        const char *const digit = strchr(row1, *text), *const upper = strchr(row2, *text);
        const char *const middle = strchr(row3, *text), *const lower = strchr(row4, *text);
        if (digit)
            stroke(bench, KEY_1 + (unsigned)(digit - row1));
        else if (upper)
            stroke_with(bench, KEY_LEFTSHIFT, KEY_Q + (unsigned)(upper - row2));
        else if (middle)
            stroke_with(bench, KEY_LEFTSHIFT, KEY_A + (unsigned)(middle - row3));
        else if (lower)
            stroke_with(bench, KEY_LEFTSHIFT, KEY_Z + (unsigned)(lower - row4));
    }
}

static void type_envelope_start(struct bench *bench)
{
    stroke(bench, KEY_LEFTBRACE);
    stroke_with(bench, KEY_LEFTSHIFT, KEY_0);
    stroke_with(bench, KEY_LEFTSHIFT, KEY_DOT);
    event(bench, KEY_LEFTCTRL, 1);
    stroke_with(bench, KEY_LEFTSHIFT, KEY_6); /* Ctrl+^ = RS */
    event(bench, KEY_LEFTCTRL, 0);
    type_plain(bench, "06");
}

/* Plays the events to a second self; its lines, one string each, must be `wanted`. */
static void play(struct bench *bench, const char *gs_key, const char *const wanted[], int count)
{
    char device[128], ioctl[192], script[192], events[16];
    (void)fclose(bench->events);
    (void)snprintf(device, sizeof device, "%s/scanner.umockdev", bench->folder);
    (void)snprintf(ioctl, sizeof ioctl, DEVICE "=%s/scanner.ioctl", bench->folder);
    (void)snprintf(script, sizeof script, DEVICE "=%s/scanner.events", bench->folder);
    (void)snprintf(events, sizeof events, "%d", count);
    const char *const argv[] = {"umockdev-run", "-d", device,   "-i",   ioctl,  "-e", script,
                                "--",           self, "reader", gs_key, events, NULL};
    int out = -1;
    const pid_t pid = test_process_start(argv, &out);
    assert_true(pid > 0);
    for (int i = 0; i < count; i++) {
        char line[1024];
        if (!test_process_line(out, READING_MS + 1000, line, sizeof line) || strcmp(line, wanted[i]) != 0)
            fail_msg("line %d: '%s', wanted '%s'", i, line, wanted[i]);
    }
    close(out);
    test_process_wait(pid, 5000);
}

static void reads_a_label_typed_with_control_keys(void **state)
{
    struct bench *const bench = *state;
    stroke(bench, KEY_RIGHTBRACE);
    stroke(bench, KEY_D);
    stroke(bench, KEY_1);
    type_envelope_start(bench);
    stroke_with(bench, KEY_LEFTCTRL, KEY_RIGHTBRACE); /* GS */
    type_plain(bench, "SV0001236");
    stroke_with(bench, KEY_LEFTCTRL, KEY_RIGHTBRACE);
    type_plain(bench, "1TRS24117B");
    event(bench, KEY_RIGHTCTRL, 1);
    stroke(bench, KEY_6); /* RS */
    stroke(bench, KEY_D); /* EOT */
    event(bench, KEY_RIGHTCTRL, 0);
    stroke(bench, KEY_ENTER);
    /* ISO/IEC 15424 ]d1; ISO/IEC 15434: [)> RS 06 GS S… GS 1T… RS EOT */
    static const char *const wanted[] = {"scan ]d1 5B293E1E30361D5356303030313233361D31545253323431313742"
                                         "1E04"};
    play(bench, "", wanted, 1);
}

static void reads_separators_typed_with_alt_digits_and_with_a_function_key(void **state)
{
    struct bench *const bench = *state;
    type_plain(bench, "A");
    event(bench, KEY_LEFTALT, 1);
    stroke(bench, KEY_KP0);
    stroke(bench, KEY_KP2);
    stroke(bench, KEY_KP9);
    event(bench, KEY_LEFTALT, 0);
    type_plain(bench, "B");
    stroke(bench, KEY_F8);
    type_plain(bench, "C");
    stroke(bench, KEY_TAB);
    type_plain(bench, "D"); /* no end key: the gap ends it */
    static const char *const wanted[] = {"scan - 411D421D43", "scan - 44"};
    play(bench, "F8", wanted, 2);
}

static void refuses_a_device_that_has_no_keys(void **state)
{
    struct bench *const bench = *state;
    write_answers(bench, false);
    static const char *const wanted[] = {"not open: scanner '" DEVICE
                                         "' is not a keyboard-type input device: name another path"};
    play(bench, "", wanted, 1);
}

static void says_what_is_wrong_with_settings_and_with_a_missing_device(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    const struct scanner_keyboard_settings letter = {.path = DEVICE, .gs_key = "A"};
    assert_null(scanner_keyboard_create(&letter, &fault));
    assert_non_null(strstr(fault.text, "one of F1 to F24"));
    const struct scanner_keyboard_settings relative = {.path = "event99"};
    assert_null(scanner_keyboard_create(&relative, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);

    const struct scanner_keyboard_settings gone = {.path = "/dev/input/by-id/no-such-scanner", .gs_key = "KEY_F12"};
    struct scanner_keyboard *const scanner = scanner_keyboard_create(&gone, &fault);
    assert_non_null(scanner);
    assert_int_equal(scanner_keyboard_wait_ms(scanner, 0), 0);
    assert_false(scanner_keyboard_reopen(scanner, 0, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_int_equal(scanner_keyboard_fd(scanner), -1);
    assert_int_equal(scanner_keyboard_wait_ms(scanner, 0), 250);
    scanner_keyboard_destroy(scanner);
}

int main(int argc, char **argv)
{
    if (argc == 4 && strcmp(argv[1], "reader") == 0)
        return reader(argv[2], (int)strtol(argv[3], NULL, 10));
    const ssize_t length = readlink("/proc/self/exe", self, sizeof self - 1);
    if (length < 0)
        return 1;
    if (!test_process_is_installed("umockdev-run")) {
        (void)fprintf(stderr, "skipped: umockdev-run is missing (package umockdev)\n");
        return SKIPPED;
    }
    setenv("ASAN_OPTIONS", "verify_asan_link_order=0", 1); /* umockdev preloads its library before the sanitizer's */
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(reads_a_label_typed_with_control_keys, set_up, tear_down),
        cmocka_unit_test_setup_teardown(reads_separators_typed_with_alt_digits_and_with_a_function_key, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(refuses_a_device_that_has_no_keys, set_up, tear_down),
        cmocka_unit_test(says_what_is_wrong_with_settings_and_with_a_missing_device),
    };
    return cmocka_run_group_tests_name("devices/scanner_keyboard", tests, NULL, NULL);
}
