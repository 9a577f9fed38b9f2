#include "labels/content/scan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/supplier_label.h"
#include "tests/content/scan_bench.h"

/* Codes of makers and suppliers. */

/* GS1 General Specifications: the twin of our cartridge label for a company with a number of its own; zint 2.11.1 and
 * bwip-js 4.11.4 made the same symbol of it. */
static void reads_a_gs1_code(void **state)
{
    static const char text[] = "0109506000134352"
                               "17270131"
                               "13260131"
                               "10L24117" GS "21C004217T";
    static const char *const symbologies[] = {"]d2", "]C1", "]Q3", "]e0", "]J1", "", "]d2"};
    (void)state;
    for (size_t i = 0; i < sizeof symbologies / sizeof *symbologies; i++) {
        const struct scan scan = scan_bench_read_well(text, symbologies[i]);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, "09506000134352");
        assert_true(scan.supplier.item_is_gtin);
        assert_string_equal(scan.supplier.lot, "L24117");
        assert_string_equal(scan.supplier.serial, "C004217T");
        assert_true(scan.supplier.has_expires);
        scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
        assert_false(scan.supplier.expires_day_was_00);
        assert_string_equal(scan.warning, "");
    }
    assert_int_equal(scan_bench_read_well("]d2"
                                          "0109506000134352"
                                          "10L24117",
                                          "")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(scan_bench_read_well("]d2"
                                          "0109506000134352"
                                          "10L24117",
                                          "]d2")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(scan_bench_read_well(GS "0109506000134352"
                                             "10L24117",
                                          "]d1")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(scan_bench_read_well("\\000026"
                                          "0109506000134352"
                                          "10L24117",
                                          "]d5")
                         .kind,
                     SCAN_SUPPLIER);
}

/* GS1 General Specifications: implied decimals of 315n and 316n, counts 30 and 37, day 00, dates with times. */
static void reads_the_fields_of_gs1_codes(void **state)
{
    (void)state;
    struct scan scan = scan_bench_read_well("(01)09506000134352(17)270200(11)260100(3153)000500(30)12(10)A", "");
    scan_bench_assert_day(scan.supplier.expires, "2027-02-28");
    assert_true(scan.supplier.expires_day_was_00);
    scan_bench_assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.content_ul, 500000);
    assert_int_equal(scan.supplier.count, 12);

    scan = scan_bench_read_well("(00)095060001343520017(02)09506000134352(37)24(7003)2702281435", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_int_equal(scan.supplier.count, 24);
    scan_bench_assert_day(scan.supplier.expires, "2027-02-28");

    scan = scan_bench_read_well("(01)09506000134352(3150)000001", "");
    assert_int_equal(scan.supplier.content_ul, 1000000);
    scan = scan_bench_read_well("(01)09506000134352(3160)999999", "");
    assert_true(scan.supplier.content_ul == INT64_C(999999000000000));
    scan = scan_bench_read_well("(01)09506000134352(15)270131", "");
    scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
    assert_non_null(strstr(scan.warning, "best-before"));
    scan = scan_bench_read_well("(01)09506000134352(17)250131(11)260131", "");
    assert_non_null(strstr(scan.warning, "before it was made"));
}

/* GS1 Barcode Syntax Dictionary: pairs are judged over all codes on a thing, so a missing key is no fault of this
 * one. */
static void an_attribute_without_its_key_is_taken_with_a_warning(void **state)
{
    const struct scan scan = scan_bench_read_well("10LOT1" GS "17270131", "]d2");
    (void)state;
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.lot, "LOT1");
    assert_string_equal(scan.supplier.item, "");
    assert_non_null(strstr(scan.lacks, "stands without what it belongs to"));
    assert_string_equal(scan.warning, "");
}

/* GS1 General Specifications: AI 8006 ITIP and 8026 ITIP CONTENT are a GTIN, then piece and total, two digits each;
 * 00 SSCC numbers a carton. GS1's example numbers. */
static void a_piece_of_a_thing_names_the_thing(void **state)
{
    (void)state;
    struct scan scan = scan_bench_read_well("(8006)095060001343520101(10)A", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_true(scan.supplier.item_is_gtin);
    assert_string_equal(scan.lacks, "");
    assert_string_equal(scan.warning, "");
    scan = scan_bench_read_well("(8006)095060001343520102(21)S1", "");
    assert_non_null(strstr(scan.warning, "piece 01 of 02"));
    scan = scan_bench_read_well("(00)095060001343520017(8026)095060001343520101(37)24", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_int_equal(scan.supplier.count, 24);
    assert_string_equal(scan.supplier.serial, "095060001343520017");
}

/* Each warning stays, one a line; the same one stands once. */
static void all_warnings_are_kept(void **state)
{
    (void)state;
    const struct scan scan = scan_bench_read_well("(01)09506000134352(15)250131(11)260131", "");
    assert_non_null(strstr(scan.warning, "best-before date is taken"));
    assert_non_null(strstr(scan.warning, "\nthe code says it expired before it was made"));
    char warning[SCAN_WARNING_SIZE] = "";
    supplier_label_warn(warning, "look at it");
    supplier_label_warn(warning, "look at it");
    assert_string_equal(warning, "look at it");
    char text[SCAN_SENTENCE_SIZE];
    for (int i = 0; i < 100; i++) {
        memset(text, 'a' + i % 26, sizeof text - 1);
        text[sizeof text - 1 - (size_t)(i / 26)] = '\0';
        supplier_label_warn(warning, text);
    }
    assert_true(strlen(warning) < sizeof warning); /* and no sentence is cut */
    assert_int_equal(strlen(strrchr(warning, '\n') + 1), sizeof text - 1);
}

/* GS1 General Specifications: EAN/UPC carry a GTIN; check digits of GS1's example numbers. */
static void a_bare_gtin_becomes_fourteen_digits(void **state)
{
    static const struct {
        const char *text, *symbology, *gtin;
    } cases[] = {
        {"9506000134352", "]E0", "09506000134352"}, {"12345670", "]E4", "00000012345670"},
        {"0036000291452", "]E0", "00036000291452"}, {"036000291452", "]E0", "00036000291452"},
        {"036000291452", "", "00036000291452"},     {"19506000134359", "]I1", "19506000134359"},
        {"6291041500213", "", "06291041500213"},    {"]E09506000134352", "", "09506000134352"},
        {"12345670", "", "00000012345670"},         {"9506000134352\r\n", "]E0", "09506000134352"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct scan scan = scan_bench_read_well(cases[i].text, cases[i].symbology);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, cases[i].gtin);
        assert_true(scan.supplier.item_is_gtin);
    }
}

/* ANSI MH10.8.17-2017, its example payloads. */
static void reads_the_published_examples_of_mh10_8_17(void **state)
{
    (void)state;
    struct scan scan = scan_bench_read_well(HEAD "25S0614141MH80312" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.serial, "0614141MH80312");
    scan = scan_bench_read_well("[)>" RS "05" GS "80040614141MH80312" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.serial, "0614141MH80312");
    scan = scan_bench_read_well(HEAD "18VD89536" GS "1P8902A" GS "S3122A02965" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.item, "8902A");
    assert_false(scan.supplier.item_is_gtin);
    assert_string_equal(scan.supplier.serial, "3122A02965");
}

/* ANSI MH10.8.2; twins of GS1 fields as in the securPharm coding rules. */
static void reads_the_fields_of_a_makers_format_06(void **state)
{
    (void)state;
    struct scan scan =
        scan_bench_read_well(HEAD "9N110375286414" GS "1Tab-12" GS "D270200" GS "S12345ABCDEF98765" TAIL, "]d1");
    assert_string_equal(scan.supplier.item, "110375286414");
    assert_string_equal(scan.supplier.lot, "ab-12");
    scan_bench_assert_day(scan.supplier.expires, "2027-02-28");
    assert_true(scan.supplier.expires_day_was_00);
    assert_non_null(strstr(scan.warning, "does not say what it means"));

    scan = scan_bench_read_well(
        HEAD "8P09506000134352" GS "1PX-1" GS "15D31012027" GS "17D31012026" GS "7Q0.5LT" GS "7Q4EA" TAIL, "]d1");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_true(scan.supplier.item_is_gtin);
    scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
    scan_bench_assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.content_ul, 500000);
    assert_int_equal(scan.supplier.count, 4);

    scan = scan_bench_read_well(
        HEAD "1PX-1" GS "6D20270131036" GS "6D20260131094" GS "6D20260201050" GS "Q12" GS "3QEA" TAIL, "]d1");
    scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
    scan_bench_assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.count, 12);
    assert_string_equal(scan.warning, "");

    scan = scan_bench_read_well(HEAD "1PX-1" GS "25D20270131" GS "Q12" GS "T77" TAIL, "]d1");
    scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
    assert_string_equal(scan.supplier.lot, "77");
    assert_true(scan.warning[0]);

    scan = scan_bench_read_well(HEAD "1PX-1" GS "D270131" GS "25D20270228" GS "D260131" TAIL, "]d1");
    scan_bench_assert_day(scan.supplier.expires, "2027-02-28");
    assert_non_null(strstr(scan.warning, "best-before"));
    scan = scan_bench_read_well(HEAD "1PX-1" GS "D270131" GS "D260131" TAIL, "]d1");
    assert_false(scan.supplier.has_expires);
    assert_non_null(strstr(scan.warning, "two dates (D)"));
}

/* ISO/IEC 15434: several formats in one message. */
static void reads_two_formats_of_one_message(void **state)
{
    (void)state;
    struct scan scan =
        scan_bench_read_well(HEAD "1TL24117" GS "S77" RS "05" GS "0109506000134352" GS "17270131" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_string_equal(scan.supplier.lot, "L24117");
    scan_bench_assert_day(scan.supplier.expires, "2027-01-31");
    scan = scan_bench_read_well(HEAD "SV0001236" RS "05" GS "0109506000134352" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_UNIT);
    assert_string_equal(scan.supplier.item, "");
}

/* GS1 Digital Link Standard: URI Syntax; a symbol holds it as plain text. */
static void reads_a_digital_link(void **state)
{
    static const char text[] = "https://id.gs1.org/01/09506000134352/10/LOT2407/21/V000123?17=270200&3153=000500&30=12";
    static const char *const symbologies[] = {"]d1", "]Q1", "", "]d4"};
    (void)state;
    for (size_t i = 0; i < sizeof symbologies / sizeof *symbologies; i++) {
        const struct scan scan = scan_bench_read_well(text, symbologies[i]);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, "09506000134352");
        assert_true(scan.supplier.item_is_gtin);
        assert_string_equal(scan.supplier.lot, "LOT2407");
        assert_string_equal(scan.supplier.serial, "V000123");
        scan_bench_assert_day(scan.supplier.expires, "2027-02-28");
        assert_true(scan.supplier.expires_day_was_00);
        assert_int_equal(scan.supplier.content_ul, 500000);
        assert_int_equal(scan.supplier.count, 12);
        assert_string_equal(scan.warning, "");
    }
    assert_string_equal(scan_bench_read_well("]Q1HTTPS://EXAMPLE.COM/8004/9506000V0001236", "").supplier.serial,
                        "9506000V0001236");
}

static void an_unmarked_code_without_separators_is_taken_with_a_warning(void **state)
{
    const struct scan scan = scan_bench_read_well("0109506000134352"
                                                  "17270131"
                                                  "10L24117",
                                                  "");
    (void)state;
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.lot, "L24117");
    assert_non_null(strstr(scan.warning, "no symbology identifier"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_a_gs1_code),
        cmocka_unit_test(reads_the_fields_of_gs1_codes),
        cmocka_unit_test(an_attribute_without_its_key_is_taken_with_a_warning),
        cmocka_unit_test(a_piece_of_a_thing_names_the_thing),
        cmocka_unit_test(all_warnings_are_kept),
        cmocka_unit_test(a_bare_gtin_becomes_fourteen_digits),
        cmocka_unit_test(reads_the_published_examples_of_mh10_8_17),
        cmocka_unit_test(reads_the_fields_of_a_makers_format_06),
        cmocka_unit_test(reads_two_formats_of_one_message),
        cmocka_unit_test(reads_a_digital_link),
        cmocka_unit_test(an_unmarked_code_without_separators_is_taken_with_a_warning),
    };
    return cmocka_run_group_tests_name("content/scan_maker", tests, NULL, NULL);
}
