#include "labels/content/scan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/content/scan_bench.h"

/* What is no code, and what a code may have lost on its way. */

static void refuses_with_one_sentence_and_leaves_the_result_alone(void **state)
{
    static const struct {
        const char *text, *symbology, *reason;
    } cases[] = {
        /* our own codes */
        {HEAD "SV0001237" TAIL, "]d1", "not one of our serials or was misread"},
        {HEAD "SV0001326" TAIL, "]d1", "not one of our serials or was misread"},
        {HEAD "SV0001236" GS "14D20260230" TAIL, "]d1", "2026-02 has days 01 to 28"},
        {HEAD "SV0001236" GS "14D20261301" TAIL, "]d1", "month 13"},
        {HEAD "SV0001236" GS "14D2026081" TAIL, "]d1", "8 digits belong"},
        {HEAD "SV0001236" GS "14D2026081", "]d1", "8 digits belong"},
        {HEAD "SV00012", "]d1", "cut inside the serial"},
        {HEAD "1TA" GS "SC", "]d1", "cut inside the serial"},
        {HEAD "SV0001236" GS "14D", "]d1", "cut"},
        {HEAD "sv0001236" TAIL, "]d1", "does not begin with a data identifier"},
        {HEAD "SV0001236" GS "1TA" GS "1TB" TAIL, "]d1", "1T comes twice"},
        {HEAD "SV0001236" GS "Poak" TAIL, "]d1", "item 'oak'"},
        {HEAD "SV0001236" GS "PTOOLONGITEM" TAIL, "]d1", "longer than any we print"},
        {HEAD "SV0001236" GS "7Q1.5ML" TAIL, "]d1", "no whole number"},
        {HEAD "SV0001236" RS "06" GS "SC004217T" TAIL, "]d1", "two things of ours"},
        {HEAD "LA03" GS "LA04" TAIL, "]d1", "L comes twice"},
        {HEAD TAIL, "]d1", "holds no field"},
        {HEAD, "]d1", "holds no field"},
        {"[)>" RS "05" GS TAIL, "]d1", "empty"},
        {"V0001237", "", "not one of our serials or was misread"},
        /* separators lost, scans run together */
        {"[)>06SV0001236"
         "1TRS24117B"
         "14D20260814",
         "", "set it to serial (CDC) or HID POS"},
        {"[)> 06 SV0001236 1TRS24117B ", "", "set it to serial (CDC) or HID POS"},
        {HEAD "SV0001236" TAIL HEAD "SV0001236" TAIL, "]d1", "two codes ran together"},
        {HEAD "SV0001236" TAIL "]d1" HEAD "SC004217T" TAIL, "]d1", "two codes ran together"},
        {"]d2"
         "0109506000134352"
         "]d2"
         "0109506000134352",
         "", "two codes ran together"},
        {"0109506000134352"
         "]d2"
         "0109506000134352",
         "]d2", "two codes ran together"},
        {"0109506000134352"
         "10A"
         "]C1"
         "0109506000134352",
         "]d2", "two codes ran together"},
        {"0109506000134352"
         "17270131"
         "0109506000134352"
         "17270131",
         "]d2", "two codes ran together"},
        {"V0001236V0001236", "", "two codes ran together"},
        {"95060001343529506000134352", "", "two codes ran together"},
        {"95060001343529506000134352", "]E0", "two codes ran together"},
        {"hello[)>" RS "06", "]C0", "two codes ran together"},
        /* makers' codes */
        {"0109506000134353", "]d2", "check digit 3, not 2"},
        {"0109506000134352"
         "17270230",
         "]d2", "day 30"},
        {"0109506000134352"
         "37"
         "5",
         "]d2", "contradict"},
        {"0209506000134352", "]d2", "no (37) COUNT"},
        {"0109506000134352"
         "10A" GS "10B",
         "]d2", "comes twice"},
        {"0109506000134352"
         "10LOT2407"
         "17270228"
         "21V000123",
         "]d2", "set it to send GS"},
        {"0109506000134352"
         "17271301",
         "", "month 13"},
        {"LOT1", "]d2", "no GS1 identifier"},
        {"(01)09506000134353", "", "check digit 3, not 2"},
        {"(05)1", "", "no GS1 identifier"},
        {"https://example.com/01/9506000134352", "]Q1", "(01) GTIN is too short"},
        {"https://example.com/01/09506000134352?37=5", "]d1", "contradict"},
        {"https://example.com/01/09506000134352https://example.com/01/09506000134352", "]Q1", "two codes ran together"},
        {"https://example.com/01/09506000134352", "]d2", "no GS1 identifier"}, /* there GS1 data are element strings */
        {"9506000134353", "]E0", "wrong check digit"},
        {"950600013435", "]E0", "wrong check digit"},
        {"95060001343", "]E0", "an EAN-13 has 13"},
        {"12345670", "]E0", "set the scanner to send all digits"}, /* a UPC-E as it stands */
        {"09506000134352", "]E0", "the code has 14 digits"},
        {"9506000134352", "]E4", "an EAN-8 has 8"},
        {"12345671", "]E4", "wrong check digit"},
        {"1234567A", "]E4", "wrong check digit"},
        {"00000000", "]E4", "nothing but zeros"},
        {"19506000134350", "]I1", "wrong check digit"},
        {HEAD "1P1" GS "1T123456789012345678901" TAIL, "]d1", "at most 20"},
        {HEAD "1P1" GS "1TA" GS "1TB" TAIL, "]d1", "1T comes twice"},
        {HEAD "1P1" GS "14D20270131" GS "15D30012027" TAIL, "]d1", "two different expiry dates"},
        {HEAD "1PL\xC3\x84" TAIL, "]d1", "cannot be printed"},
        {HEAD "8P09506000134353" TAIL, "]d1", "wrong check digit"},
        {HEAD "1TA" RS "05" GS "0109506000134352" GS "10B" TAIL, "]d1", "two different lots"},
        {HEAD "1P1" GS "7Q5ML" GS "7Q6ML" TAIL, "]d1", "two different contents"},
        {HEAD "1P1" GS "Q5" GS "Q6" TAIL, "]d1", "Q comes twice"},
        {HEAD "1P1" GS "25D20270131" GS "25D20270201" TAIL, "]d1", "25D comes twice"},
        {"06" GS "SV0001236" GS "14D20260814", "]d1", "lost its beginning"},
        {RS "06" GS "SV0001236" GS "14D2026", "]d1", "lost its beginning"},
        {"SV0001236" GS "14D20260814" TAIL, "]d1", "its beginning"},
        {"\xC3\x9C=:" RS "06" GS "SV0001236" TAIL, "]d1", "another keyboard language"},
        {"[)>" RS "05" GS "10A B" TAIL, "]d1", "' ' at place 2"},
        /* nothing to read */
        {"", "", "empty"},
        {"\r\n", "]d1", "empty"},
        {"]d2", "", "empty"},
        {"\x01\x02", "]d1", "no text"},
        {"\xFF\xFE", "", "no text"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct scan scan = {.kind = SCAN_KINDS, .warning = "old"};
        struct fault fault = {FAULT_NONE, ""};
        if (scan_read(span_of(cases[i].text), cases[i].symbology, scan_bench_today(), &scan, &fault))
            fail_msg("case %zu was taken as %s", i, scan_kind_word(scan.kind));
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(scan.kind, SCAN_KINDS);
        assert_string_equal(scan.warning, "old");
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("case %zu: %s", i, fault.text);
    }
}

static void nul_bytes_and_overlong_scans_are_refused(void **state)
{
    static char text[SCAN_BYTES + 1];
    struct scan scan;
    struct fault fault = {FAULT_NONE, ""};
    (void)state;
    assert_false(scan_read((struct span){"A\0B", 3}, "]d1", scan_bench_today(), &scan, &fault));
    memset(text, 'A', sizeof text);
    assert_true(scan_read((struct span){text, SCAN_BYTES}, "]d1", scan_bench_today(), &scan, &fault));
    assert_false(scan_read((struct span){text, sizeof text}, "]d1", scan_bench_today(), &scan, &fault));
    assert_non_null(strstr(fault.text, "at most 4096"));
}

/* A cut of our own label at any byte is refused, or warned of, or its missing bytes were only the trailer. */
static void a_cut_at_any_byte_never_gives_a_wrong_serial_or_date(void **state)
{
    static const char text[] = HEAD "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" TAIL;
    (void)state;
    for (size_t length = 4; length + 1 < sizeof text; length++) {
        struct scan scan;
        if (!scan_read((struct span){text, length}, "]d1", scan_bench_today(), &scan, NULL))
            continue;
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "V0001236");
        assert_true(scan.warning[0]);
        if (scan.unit.has_expires)
            scan_bench_assert_day(scan.unit.expires, "2026-08-14");
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(refuses_with_one_sentence_and_leaves_the_result_alone),
        cmocka_unit_test(nul_bytes_and_overlong_scans_are_refused),
        cmocka_unit_test(a_cut_at_any_byte_never_gives_a_wrong_serial_or_date),
    };
    return cmocka_run_group_tests_name("content/scan_refusal", tests, NULL, NULL);
}
