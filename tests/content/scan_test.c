#include "labels/content/scan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/content/scan_bench.h"

/* ISO/IEC 15434 format 06 with ANSI MH10.8.2 identifiers. Symbols with these bytes were read alike by ZXing 1.4,
 * zxing-wasm 3.1.4 and dmtxread 0.7.6. */
static void reads_a_vat_case(void **state)
{
    const struct scan scan =
        scan_bench_read_well(HEAD "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" TAIL, "]d1");
    (void)state;
    assert_int_equal(scan.kind, SCAN_UNIT);
    assert_string_equal(scan.unit.serial, "V0001236");
    assert_string_equal(scan.unit.lot, "RS24117B");
    assert_false(scan.unit.own_batch);
    assert_true(scan.unit.has_filled && scan.unit.has_expires);
    scan_bench_assert_day(scan.unit.filled, "2026-02-14");
    scan_bench_assert_day(scan.unit.expires, "2026-08-14");
    assert_int_equal(scan.unit.content, 0);
    assert_string_equal(scan.unit.item, "");
    assert_string_equal(scan.warning, "");
}

static void reads_a_cartridge_in_any_order_of_fields(void **state)
{
    static const char *const texts[] = {
        HEAD "SC004217T" GS "1TL24117" GS "16D20260131" GS "14D20270131" GS "7Q1000ML" TAIL,
        HEAD "7Q1000ML" GS "14D20270131" GS "1TL24117" GS "16D20260131" GS "SC004217T" TAIL,
        HEAD "1TL24117" GS "SC004217T" GS "16D20260131" GS "14D20270131" GS "7Q1000ML" GS "SC004217T" TAIL,
        HEAD GS "SC004217T" GS "1TL24117" GS "16D20260131" GS "999Zunknown" GS "14D20270131" GS "7Q1000ML" GS TAIL,
    };
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct scan scan = scan_bench_read_well(texts[i], i % 2 ? "" : "]d1");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "C004217T");
        assert_string_equal(scan.unit.lot, "L24117");
        scan_bench_assert_day(scan.unit.filled, "2026-01-31");
        scan_bench_assert_day(scan.unit.expires, "2027-01-31");
        assert_int_equal(scan.unit.content, 1000);
        assert_string_equal(scan.unit.content_unit, "ML");
    }
}

static void what_the_writer_writes_the_reader_reads(void **state)
{
    const struct unit_label label = {.serial = "R0000422",
                                     .item = "OAK-2",
                                     .lot = "D-0214/1",
                                     .own_batch = true,
                                     .has_expires = true,
                                     .expires = {20498},
                                     .content = 250,
                                     .content_unit = "ML"};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length;
    (void)state;
    assert_true(unit_label_write(&label, text, &length, NULL));
    const struct scan scan = scan_bench_read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_UNIT);
    assert_string_equal(scan.unit.item, "OAK-2");
    assert_string_equal(scan.unit.lot, "D-0214/1");
    assert_true(scan.unit.own_batch);
    assert_false(scan.unit.has_filled);
    assert_int_equal(scan.unit.expires.number, 20498);
    assert_int_equal(scan.unit.content, 250);
}

static void reads_places_cards_and_badges(void **state)
{
    char text[UNIT_LABEL_TEXT_SIZE], serial[SERIAL_SIZE];
    size_t length = 0;
    (void)state;
    assert_true(place_label_write("A03-12", text, &length, NULL));
    assert_string_equal(text, HEAD "LA03-12" TAIL);
    assert_int_equal(length, 16);
    struct scan scan = scan_bench_read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_PLACE);
    assert_string_equal(scan.place, "A03-12");

    assert_true(card_label_write("250ML", text, &length, NULL));
    scan = scan_bench_read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_CARD);
    assert_string_equal(scan.card, "250ML");

    assert_true(serial_write('H', 4, serial));
    const struct unit_label badge = {.serial = "H"};
    struct unit_label person = badge;
    memcpy(person.serial, serial, sizeof serial);
    assert_true(unit_label_write(&person, text, &length, NULL));
    scan = scan_bench_read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_PERSON);
    assert_string_equal(scan.unit.serial, serial);
}

/* ANSI MH10.8.2: P, item code by the customer; alone in a code it is ours, with anything beside it a maker's. */
static void a_code_of_an_item_alone_is_an_items_card(void **state)
{
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    struct fault fault = {0};
    (void)state;
    assert_true(item_label_write("FLINT-2", text, &length, NULL));
    assert_string_equal(text, HEAD "PFLINT-2" TAIL);
    struct scan scan = scan_bench_read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_ITEM);
    assert_string_equal(scan.item, "FLINT-2");
    assert_int_equal(scan_bench_read_well(HEAD "PFLINT-2\x1d"
                                               "1TL1" TAIL,
                                          "]d1")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(scan_bench_read_well(HEAD "PFLINT-GREY" TAIL, "]d1").kind,
                     SCAN_OTHER); /* longer than a code of ours */
    assert_false(item_label_write("FLINT-GREY", text, &length, &fault));
    assert_non_null(strstr(fault.text, "FLINT-GREY"));
}

static void places_and_cards_that_do_not_fit_are_not_written(void **state)
{
    static const char *const refused[] = {"", "a03", "A 03", "123456789012345678901", "A\x1d-"};
    (void)state;
    for (size_t i = 0; i < sizeof refused / sizeof *refused; i++) {
        char text[UNIT_LABEL_TEXT_SIZE] = "old";
        size_t length = 7;
        struct fault fault = {FAULT_NONE, ""};
        assert_false(place_label_write(refused[i], text, &length, &fault));
        assert_non_null(strstr(fault.text, "place '"));
        assert_false(card_label_write(refused[i], text, &length, &fault));
        assert_non_null(strstr(fault.text, "card '"));
        assert_string_equal(text, "old");
        assert_int_equal(length, 7);
    }
}

static void a_missing_trailer_is_taken_with_a_warning(void **state)
{
    static const char *const ends[] = {"", RS, EOT};
    (void)state;
    for (size_t i = 0; i < sizeof ends / sizeof *ends; i++) {
        char text[64];
        struct builder out;
        builder_init(&out, text, sizeof text);
        builder_addf(&out, HEAD "SV0001236" GS "14D20260814%s", ends[i]);
        const struct scan scan = scan_bench_read_well(text, "]d1");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_non_null(strstr(scan.warning, "end is missing"));
    }
}

/* Common practice of tolerant readers, no source: what is left still says where every field begins and ends. */
static void a_missing_beginning_is_taken_with_a_warning(void **state)
{
    static const char *const rests[] = {")>" RS, ">" RS, RS, ""};
    (void)state;
    for (size_t i = 0; i < sizeof rests / sizeof *rests; i++) {
        char text[64];
        struct builder out;
        builder_init(&out, text, sizeof text);
        builder_addf(&out, "%s06" GS "SV0001236" GS "14D20260814" TAIL, rests[i]);
        const struct scan scan = scan_bench_read_well(text, i % 2 ? "]d1" : "");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "V0001236");
        scan_bench_assert_day(scan.unit.expires, "2026-08-14");
        assert_non_null(strstr(scan.warning, "beginning is missing"));
    }
}

static void a_typed_serial_is_taken_in_either_case_and_with_blanks(void **state)
{
    static const char *const texts[] = {"V0001236", "v0001236", "V000123 6", " v 000123 6\n", "C004217t"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct scan scan = scan_bench_read_well(texts[i], "");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, i < 4 ? "V0001236" : "C004217T");
        assert_false(scan.unit.has_expires);
    }
    assert_int_equal(scan_bench_read_well("V0001236", "]C0").kind, SCAN_OTHER);
}

static void other_readable_text_is_other(void **state)
{
    static const struct {
        const char *text, *symbology;
    } cases[] = {
        {"YES", ""},
        {"hello", "]Q1"},
        {"SN 0042-17", "]C0"},
        {"Flint R\xC3\xA9sine", ""},
        {"9506000134353", ""},
        {"12345671", ""},
        {"0109506000134352", "]d1"},
        {"0109506000134352"
         "10A",
         "]d3"},
        {"V000123", ""},
        {"01", ""},
        {"12345", "]I0"},
        {"https://example.com/resins/flint", "]Q1"},
        {"https://example.com/2027/01/15", ""},
        {"[)", ""},
        {"]", ""},
        {HEAD "2PB" GS "Zfree text" TAIL, "]d1"},
        {HEAD "La03" TAIL, "]d1"},
        {"[)>" RS "07"
         "free" TAIL,
         "]d1"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct scan scan = scan_bench_read_well(cases[i].text, cases[i].symbology);
        if (scan.kind != SCAN_OTHER)
            fail_msg("case %zu is %s", i, scan_kind_word(scan.kind));
    }
    assert_non_null(strstr(scan_bench_read_well("9506000134353", "").warning, "wrong check digit"));
}

static void every_kind_has_its_word(void **state)
{
    static const char *const words[] = {"unit", "person", "place", "card", "item", "job", "supplier", "other"};
    (void)state;
    for (int i = 0; i < SCAN_KINDS; i++)
        assert_string_equal(scan_kind_word((enum scan_kind)i), words[i]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_a_vat_case),
        cmocka_unit_test(reads_a_cartridge_in_any_order_of_fields),
        cmocka_unit_test(what_the_writer_writes_the_reader_reads),
        cmocka_unit_test(reads_places_cards_and_badges),
        cmocka_unit_test(a_code_of_an_item_alone_is_an_items_card),
        cmocka_unit_test(places_and_cards_that_do_not_fit_are_not_written),
        cmocka_unit_test(a_missing_trailer_is_taken_with_a_warning),
        cmocka_unit_test(a_missing_beginning_is_taken_with_a_warning),
        cmocka_unit_test(a_typed_serial_is_taken_in_either_case_and_with_blanks),
        cmocka_unit_test(other_readable_text_is_other),
        cmocka_unit_test(every_kind_has_its_word),
    };
    return cmocka_run_group_tests_name("content/scan", tests, NULL, NULL);
}
