#include "kiosk/devices/scanner_serial.h"

#include <fcntl.h>
#include <poll.h>
#include <pty.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <termios.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/devices/device_retry.h"

#define LABEL                                                                                                          \
    "[)>\x1e"                                                                                                          \
    "06\x1d"                                                                                                           \
    "SV0001236\x1d"                                                                                                    \
    "1TRS24117B\x1d"                                                                                                   \
    "16D20260214\x1d"                                                                                                  \
    "14D20260814\x1e\x04"

/* A pseudo terminal stands for the line: what is written to `far` is what the scanner sends. */
struct line {
    int far, held; /* `held` keeps the near end alive, as the kernel does for a real port */
    char path[64];
    struct scanner_serial *scanner;
    struct device_scan scan;
    struct fault fault;
};

static struct scanner_serial *create(const char *path)
{
    const struct scanner_serial_settings settings = {.path = path, .speed_baud = 115200};
    struct fault fault = {.code = FAULT_NONE};
    struct scanner_serial *const scanner = scanner_serial_create(&settings, &fault);
    if (!scanner)
        fail_msg("%s", fault.text);
    return scanner;
}

static int set_up(void **state)
{
    static struct line line;
    memset(&line, 0, sizeof line);
    if (openpty(&line.far, &line.held, line.path, NULL, NULL) != 0)
        return -1;
    line.scanner = create(line.path);
    *state = &line;
    if (scanner_serial_reopen(line.scanner, 0, &line.fault))
        return 0;
    print_error("%s\n", line.fault.text);
    return -1;
}

static int tear_down(void **state)
{
    struct line *const line = *state;
    scanner_serial_destroy(line->scanner);
    if (line->far >= 0)
        close(line->far);
    close(line->held);
    return 0;
}

static void scanner_sends(const struct line *line, const char *bytes, size_t length)
{
    assert_int_equal(write(line->far, bytes, length), length);
}

/* Waits for bytes (the kernel hands them over on its own time), then asks the scanner. */
static enum device_event next(struct line *line, int64_t now_ms)
{
    struct pollfd wait = {.fd = scanner_serial_fd(line->scanner), .events = POLLIN};
    poll(&wait, 1, 1000);
    return scanner_serial_ready(line->scanner, now_ms, &line->scan, &line->fault);
}

/* The same, until something is there: a long run may come in parts. */
static enum device_event next_event(struct line *line, int64_t now_ms)
{
    for (int tries = 0; tries < 5; tries++) {
        const enum device_event event = next(line, now_ms);
        if (event != DEVICE_NOTHING)
            return event;
    }
    return DEVICE_NOTHING;
}

static void assert_scan(const struct line *line, const char *bytes, size_t length)
{
    assert_int_equal(line->scan.length, length);
    assert_memory_equal(line->scan.bytes, bytes, length);
}

static void reads_a_label_byte_for_byte(void **state)
{
    struct line *const line = *state;
    scanner_sends(line, "]d1" LABEL "\r\n", 3 + sizeof LABEL - 1 + 2);
    assert_int_equal(next_event(line, 0), DEVICE_SCAN);
    assert_scan(line, LABEL, sizeof LABEL - 1);
    assert_string_equal(line->scan.symbology, "]d1");
    assert_int_equal(scanner_serial_ready(line->scanner, 0, &line->scan, &line->fault), DEVICE_NOTHING);
    assert_int_equal(scanner_serial_wait_ms(line->scanner, 0), -1);
}

static void every_byte_but_the_two_ends_passes_unchanged(void **state)
{
    struct line *const line = *state;
    char all[256], wanted[254];
    size_t length = 0;
    for (int i = 0; i < 256; i++) {
        if (i != '\r' && i != '\n')
            wanted[length++] = (char)i;
    }
    memcpy(all, wanted, length);
    all[length] = '\r';
    scanner_sends(line, all, length + 1);
    assert_int_equal(next_event(line, 0), DEVICE_SCAN);
    assert_scan(line, wanted, length);
}

static void joins_what_comes_in_pieces(void **state)
{
    struct line *const line = *state;
    scanner_sends(line, LABEL, 10);
    assert_int_equal(next(line, 0), DEVICE_NOTHING);
    assert_int_equal(scanner_serial_wait_ms(line->scanner, 20), 40);
    scanner_sends(line, &LABEL[10], sizeof LABEL - 1 - 10);
    assert_int_equal(next(line, 50), DEVICE_NOTHING);
    scanner_sends(line, "\r", 1);
    assert_int_equal(next_event(line, 100), DEVICE_SCAN);
    assert_scan(line, LABEL, sizeof LABEL - 1);
}

static void hands_over_two_scans_that_came_at_once(void **state)
{
    struct line *const line = *state;
    scanner_sends(line, LABEL "\rZYES\r", sizeof LABEL - 1 + 6);
    assert_int_equal(next_event(line, 0), DEVICE_SCAN);
    assert_scan(line, LABEL, sizeof LABEL - 1);
    assert_int_equal(scanner_serial_ready(line->scanner, 0, &line->scan, &line->fault), DEVICE_SCAN);
    assert_scan(line, "ZYES", 4);
    assert_int_equal(scanner_serial_ready(line->scanner, 0, &line->scan, &line->fault), DEVICE_NOTHING);
}

static void without_a_terminator_silence_ends_the_scan(void **state)
{
    struct line *const line = *state;
    scanner_sends(line, LABEL, sizeof LABEL - 1);
    assert_int_equal(next(line, 1000), DEVICE_NOTHING);
    assert_int_equal(scanner_serial_ready(line->scanner, 1059, &line->scan, &line->fault), DEVICE_NOTHING);
    assert_int_equal(scanner_serial_ready(line->scanner, 1060, &line->scan, &line->fault), DEVICE_SCAN);
    assert_scan(line, LABEL, sizeof LABEL - 1);
}

static void an_overlong_run_is_one_fault_and_the_next_scan_is_read(void **state)
{
    struct line *const line = *state;
    char noise[1500];
    memset(noise, 'N', sizeof noise);
    enum device_event event = DEVICE_NOTHING;
    for (int part = 0; part < 4; part++) {
        scanner_sends(line, noise, sizeof noise);
        if (event == DEVICE_NOTHING)
            event = part < 3 ? next(line, part) : next_event(line, part);
    }
    assert_int_equal(event, DEVICE_TROUBLE);
    assert_non_null(strstr(line->fault.text, "run together"));
    scanner_sends(line, "\rZNO\r", 5);
    assert_int_equal(next_event(line, 9), DEVICE_SCAN);
    assert_scan(line, "ZNO", 3);
}

static void unplugged_in_mid_scan_is_lost_and_nothing_half_read_survives(void **state)
{
    struct line *const line = *state;
    scanner_sends(line, "SV0001", 6);
    assert_int_equal(next(line, 0), DEVICE_NOTHING);
    close(line->far);
    line->far = -1;
    assert_int_equal(next_event(line, 10), DEVICE_LOST);
    assert_int_equal(line->fault.code, FAULT_DEVICE);
    assert_non_null(strstr(line->fault.text, "half a scan was thrown away"));
    assert_int_equal(scanner_serial_fd(line->scanner), -1);
    assert_int_equal(scanner_serial_ready(line->scanner, 500, &line->scan, &line->fault), DEVICE_NOTHING);

    /* tried again with growing pauses, not in between */
    assert_int_equal(scanner_serial_wait_ms(line->scanner, 10), DEVICE_RETRY_FIRST_MS);
    assert_false(scanner_serial_reopen(line->scanner, 20, &line->fault));
    assert_int_equal(line->fault.code, FAULT_BUSY);
    assert_false(scanner_serial_reopen(line->scanner, 260, &line->fault));
    assert_int_equal(line->fault.code, FAULT_MISSING);
    assert_int_equal(scanner_serial_wait_ms(line->scanner, 260), 2 * DEVICE_RETRY_FIRST_MS);
    int64_t now_ms = 260;
    for (int i = 0; i < 10; i++) {
        now_ms += scanner_serial_wait_ms(line->scanner, now_ms);
        assert_false(scanner_serial_reopen(line->scanner, now_ms, &line->fault));
    }
    assert_int_equal(scanner_serial_wait_ms(line->scanner, now_ms), DEVICE_RETRY_LONGEST_MS);
}

/* A path that stays while the line behind it changes, as under /dev/serial/by-id. */
static void plugged_in_again_it_reads_afresh(void **state)
{
    struct line *const line = *state;
    char name[] = "/tmp/scanner-XXXXXX", path[64];
    assert_non_null(mkdtemp(name));
    (void)snprintf(path, sizeof path, "%s/scanner", name);
    scanner_serial_destroy(line->scanner);
    line->scanner = create(path);
    assert_false(scanner_serial_reopen(line->scanner, 0, &line->fault));
    assert_int_equal(line->fault.code, FAULT_MISSING);

    assert_int_equal(symlink(line->path, path), 0);
    assert_true(scanner_serial_reopen(line->scanner, 1000, &line->fault));
    scanner_sends(line, "HALF", 4);
    assert_int_equal(next(line, 1000), DEVICE_NOTHING);
    close(line->far);
    close(line->held);
    assert_int_equal(next_event(line, 1001), DEVICE_LOST);

    assert_int_equal(openpty(&line->far, &line->held, line->path, NULL, NULL), 0);
    unlink(path);
    assert_int_equal(symlink(line->path, path), 0);
    scanner_sends(line, "STALE\n", 6); /* sent before we listen */
    struct pollfd arrived = {.fd = line->held, .events = POLLIN};
    assert_int_equal(poll(&arrived, 1, 2000), 1);
    assert_true(scanner_serial_reopen(line->scanner, 2000, &line->fault));
    scanner_sends(line, "WHOLE\r", 6);
    assert_int_equal(next_event(line, 2001), DEVICE_SCAN);
    assert_scan(line, "WHOLE", 5);
    unlink(path);
    rmdir(name);
}

static void two_readers_do_not_share_a_line(void **state)
{
    struct line *const line = *state;
    struct scanner_serial *const second = create(line->path);
    assert_false(scanner_serial_reopen(second, 0, &line->fault));
    assert_int_equal(line->fault.code, FAULT_BUSY);
    assert_non_null(strstr(line->fault.text, "in use by another program"));
    scanner_serial_destroy(line->scanner);
    line->scanner = NULL;
    assert_true(scanner_serial_reopen(second, 1000, &line->fault));
    scanner_serial_destroy(second);
}

static void the_line_is_raw_8n1_at_the_set_speed_and_close_on_exec(void **state)
{
    const struct line *const line = *state;
    struct termios termios;
    assert_int_equal(tcgetattr(line->held, &termios), 0);
    assert_int_equal(cfgetispeed(&termios), B115200);
    assert_int_equal(termios.c_cflag & (CSIZE | PARENB | CSTOPB | CRTSCTS), CS8);
    assert_int_equal(termios.c_lflag & (ICANON | ECHO | ISIG), 0);
    assert_int_equal(termios.c_iflag & (IXON | IXOFF | ICRNL | INLCR | ISTRIP), 0);
    const int fd = scanner_serial_fd(line->scanner);
    assert_true(fcntl(fd, F_GETFD) & FD_CLOEXEC);
    assert_true(fcntl(fd, F_GETFL) & O_NONBLOCK);
}

static void refuses_settings_that_make_no_sense(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    const struct scanner_serial_settings odd_speed = {.path = "/dev/ttyS0", .speed_baud = 12345};
    assert_null(scanner_serial_create(&odd_speed, &fault));
    assert_non_null(strstr(fault.text, "12345"));
    const struct scanner_serial_settings no_path = {.path = "ttyS0", .speed_baud = 9600};
    assert_null(scanner_serial_create(&no_path, &fault));
    assert_non_null(strstr(fault.text, "whole path"));
    struct scanner_serial *const file = create("/dev/null");
    assert_false(scanner_serial_reopen(file, 0, &fault));
    assert_non_null(strstr(fault.text, "not a serial line"));
    scanner_serial_destroy(file);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(reads_a_label_byte_for_byte, set_up, tear_down),
        cmocka_unit_test_setup_teardown(every_byte_but_the_two_ends_passes_unchanged, set_up, tear_down),
        cmocka_unit_test_setup_teardown(joins_what_comes_in_pieces, set_up, tear_down),
        cmocka_unit_test_setup_teardown(hands_over_two_scans_that_came_at_once, set_up, tear_down),
        cmocka_unit_test_setup_teardown(without_a_terminator_silence_ends_the_scan, set_up, tear_down),
        cmocka_unit_test_setup_teardown(an_overlong_run_is_one_fault_and_the_next_scan_is_read, set_up, tear_down),
        cmocka_unit_test_setup_teardown(unplugged_in_mid_scan_is_lost_and_nothing_half_read_survives, set_up,
                                        tear_down),
        cmocka_unit_test_setup_teardown(plugged_in_again_it_reads_afresh, set_up, tear_down),
        cmocka_unit_test_setup_teardown(two_readers_do_not_share_a_line, set_up, tear_down),
        cmocka_unit_test_setup_teardown(the_line_is_raw_8n1_at_the_set_speed_and_close_on_exec, set_up, tear_down),
        cmocka_unit_test(refuses_settings_that_make_no_sense),
    };
    return cmocka_run_group_tests_name("devices/scanner_serial", tests, NULL, NULL);
}
