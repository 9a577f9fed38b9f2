#include "kiosk/devices/scan_framer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#define RS  "\x1e"
#define GS  "\x1d"
#define EOT "\x04"

/* ISO/IEC 15434 envelope, format 06, with the fields a vat-case label has. */
static const char label[] = "[)>" RS "06" GS "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" RS EOT;

static struct scan_framer framer;
static struct device_scan scan;
static struct fault fault;

static int set_up(void **state)
{
    (void)state;
    scan_framer_init(&framer, SCAN_FRAMER_GAP_MS);
    memset(&scan, 0, sizeof scan);
    memset(&fault, 0, sizeof fault);
    return 0;
}

/* Feeds bytes at one instant; the last event that was not NOTHING. */
static enum device_event feed(const char *bytes, size_t length, int64_t now_ms)
{
    enum device_event event = DEVICE_NOTHING;
    for (size_t i = 0; i < length; i++) {
        const enum device_event one = scan_framer_take(&framer, bytes[i], now_ms, &scan, &fault);
        if (one != DEVICE_NOTHING)
            event = one;
    }
    return event;
}

static void assert_scan(const char *bytes, size_t length)
{
    assert_int_equal(scan.length, length);
    assert_memory_equal(scan.bytes, bytes, length);
}

static void keeps_the_separators_and_the_end_mark_of_a_label(void **state)
{
    (void)state;
    assert_int_equal(feed(label, sizeof label - 1, 0), DEVICE_NOTHING);
    assert_int_equal(feed("\r", 1, 0), DEVICE_SCAN);
    assert_scan(label, sizeof label - 1);
    assert_string_equal(scan.symbology, "");
}

static void takes_cr_lf_and_both_as_one_end(void **state)
{
    (void)state;
    assert_int_equal(feed("ONE\n", 4, 0), DEVICE_SCAN);
    assert_int_equal(feed("TWO\r", 4, 0), DEVICE_SCAN);
    assert_int_equal(feed("\n", 1, 0), DEVICE_NOTHING);
    assert_int_equal(scan_framer_left_ms(&framer, 0), -1);
    assert_int_equal(feed("THREE\r\n", 7, 0), DEVICE_SCAN);
    assert_scan("THREE", 5);
}

static void keeps_nul_bytes(void **state)
{
    (void)state;
    assert_int_equal(feed("A\0B\r", 4, 0), DEVICE_SCAN);
    assert_scan("A\0B", 3);
}

static void ends_after_the_gap_and_not_before(void **state)
{
    (void)state;
    feed("PLAIN", 5, 1000);
    assert_int_equal(scan_framer_left_ms(&framer, 1000), 60);
    assert_int_equal(scan_framer_silence(&framer, 1059, &scan), DEVICE_NOTHING);
    assert_int_equal(scan_framer_left_ms(&framer, 1059), 1);
    assert_int_equal(scan_framer_silence(&framer, 1060, &scan), DEVICE_SCAN);
    assert_scan("PLAIN", 5);
    assert_int_equal(scan_framer_silence(&framer, 9000, &scan), DEVICE_NOTHING);
}

static void does_not_cut_a_scan_because_the_caller_was_late(void **state)
{
    (void)state;
    feed("FIRST", 5, 0);
    feed("HALF\r", 5, 500);
    assert_scan("FIRSTHALF", 9);
}

static void splits_off_the_symbology_identifier(void **state)
{
    /* ISO/IEC 15424: ]d2 GS1 Data Matrix, ]C1 GS1-128, ]zC Aztec with modifier C */
    static const char *const identifiers[] = {"]d2", "]C1", "]zC"};
    (void)state;
    for (size_t i = 0; i < sizeof identifiers / sizeof *identifiers; i++) {
        feed(identifiers[i], 3, 0);
        assert_int_equal(feed("0104012345123456\r", 17, 0), DEVICE_SCAN);
        assert_string_equal(scan.symbology, identifiers[i]);
        assert_scan("0104012345123456", 16);
    }
}

static void leaves_a_bracket_that_is_no_identifier(void **state)
{
    static const char *const texts[] = {"]", "]d2", "]dx5", "]22X", "[d2X"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        feed(texts[i], strlen(texts[i]), 0);
        assert_int_equal(feed("\r", 1, 0), DEVICE_SCAN);
        assert_string_equal(scan.symbology, "");
        assert_scan(texts[i], strlen(texts[i]));
    }
}

static void takes_4096_bytes_and_refuses_4097_with_their_tail(void **state)
{
    static char many[DEVICE_SCAN_SIZE + 1];
    (void)state;
    memset(many, 'A', sizeof many);
    assert_int_equal(feed(many, DEVICE_SCAN_SIZE, 0), DEVICE_NOTHING);
    assert_int_equal(feed("\r", 1, 0), DEVICE_SCAN);
    assert_int_equal(scan.length, DEVICE_SCAN_SIZE);

    scan.length = 7;
    assert_int_equal(feed(many, DEVICE_SCAN_SIZE + 1, 0), DEVICE_TROUBLE);
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_non_null(strstr(fault.text, "two scans run together or line noise"));
    assert_int_equal(feed("TAIL\r", 5, 0), DEVICE_NOTHING);
    assert_int_equal(scan.length, 7);
    assert_int_equal(feed("NEXT\r", 5, 0), DEVICE_SCAN);
    assert_scan("NEXT", 4);
}

static void hears_again_after_noise_that_ends_in_silence(void **state)
{
    static char many[DEVICE_SCAN_SIZE + 100];
    (void)state;
    memset(many, 0xFF, sizeof many);
    assert_int_equal(feed(many, sizeof many, 0), DEVICE_TROUBLE);
    assert_int_equal(scan_framer_left_ms(&framer, 0), 60);
    assert_int_equal(scan_framer_silence(&framer, 60, &scan), DEVICE_NOTHING);
    assert_int_equal(feed("NEXT\r", 5, 61), DEVICE_SCAN);
    assert_scan("NEXT", 4);
}

static void a_clock_that_steps_back_waits_one_gap(void **state)
{
    (void)state;
    feed("X", 1, 5000);
    assert_int_equal(scan_framer_left_ms(&framer, 0), 60);
    assert_int_equal(scan_framer_silence(&framer, 0, &scan), DEVICE_NOTHING);
}

static void keeps_the_gap_within_its_limits(void **state)
{
    (void)state;
    scan_framer_init(&framer, 0);
    assert_int_equal(framer.gap_ms, SCAN_FRAMER_GAP_LEAST_MS);
    scan_framer_init(&framer, 100000);
    assert_int_equal(framer.gap_ms, SCAN_FRAMER_GAP_MOST_MS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup(keeps_the_separators_and_the_end_mark_of_a_label, set_up),
        cmocka_unit_test_setup(takes_cr_lf_and_both_as_one_end, set_up),
        cmocka_unit_test_setup(keeps_nul_bytes, set_up),
        cmocka_unit_test_setup(ends_after_the_gap_and_not_before, set_up),
        cmocka_unit_test_setup(does_not_cut_a_scan_because_the_caller_was_late, set_up),
        cmocka_unit_test_setup(splits_off_the_symbology_identifier, set_up),
        cmocka_unit_test_setup(leaves_a_bracket_that_is_no_identifier, set_up),
        cmocka_unit_test_setup(takes_4096_bytes_and_refuses_4097_with_their_tail, set_up),
        cmocka_unit_test_setup(hears_again_after_noise_that_ends_in_silence, set_up),
        cmocka_unit_test_setup(a_clock_that_steps_back_waits_one_gap, set_up),
        cmocka_unit_test_setup(keeps_the_gap_within_its_limits, set_up),
    };
    return cmocka_run_group_tests_name("devices/scan_framer", tests, NULL, NULL);
}
