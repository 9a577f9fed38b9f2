#include "labels/content/scan.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/content/supplier_label.h"

#define RS   "\x1e"
#define GS   "\x1d"
#define EOT  "\x04"
#define HEAD "[)>" RS "06" GS
#define TAIL RS EOT

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

static struct scan read_well(const char *text, const char *symbology)
{
    struct scan scan = {.kind = SCAN_KINDS};
    struct fault fault = {FAULT_NONE, ""};
    char shown[120];
    if (!scan_read(span_of(text), symbology, today(), &scan, &fault))
        fail_msg("%s %s: %s", symbology, text_show(span_of(text), shown, sizeof shown), fault.text);
    return scan;
}

static void assert_day(struct day day, const char *expected)
{
    char text[CALENDAR_DATE_SIZE];
    assert_string_equal(calendar_write_date(day, text), expected);
}

/* ISO/IEC 15434 format 06 with ANSI MH10.8.2 identifiers. Symbols with these bytes were read alike by ZXing 1.4,
 * zxing-wasm 3.1.4 and dmtxread 0.7.6. */
static void reads_a_vat_case(void **state)
{
    const struct scan scan = read_well(HEAD "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" TAIL, "]d1");
    (void)state;
    assert_int_equal(scan.kind, SCAN_UNIT);
    assert_string_equal(scan.unit.serial, "V0001236");
    assert_string_equal(scan.unit.lot, "RS24117B");
    assert_false(scan.unit.own_batch);
    assert_true(scan.unit.has_filled && scan.unit.has_expires);
    assert_day(scan.unit.filled, "2026-02-14");
    assert_day(scan.unit.expires, "2026-08-14");
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
        const struct scan scan = read_well(texts[i], i % 2 ? "" : "]d1");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "C004217T");
        assert_string_equal(scan.unit.lot, "L24117");
        assert_day(scan.unit.filled, "2026-01-31");
        assert_day(scan.unit.expires, "2027-01-31");
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
    const struct scan scan = read_well(text, "]d1");
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
    struct scan scan = read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_PLACE);
    assert_string_equal(scan.place, "A03-12");

    assert_true(card_label_write("250ML", text, &length, NULL));
    scan = read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_CARD);
    assert_string_equal(scan.card, "250ML");

    assert_true(serial_write('H', 4, serial));
    const struct unit_label badge = {.serial = "H"};
    struct unit_label person = badge;
    memcpy(person.serial, serial, sizeof serial);
    assert_true(unit_label_write(&person, text, &length, NULL));
    scan = read_well(text, "]d1");
    assert_int_equal(scan.kind, SCAN_PERSON);
    assert_string_equal(scan.unit.serial, serial);
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
        const struct scan scan = read_well(text, "]d1");
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
        const struct scan scan = read_well(text, i % 2 ? "]d1" : "");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "V0001236");
        assert_day(scan.unit.expires, "2026-08-14");
        assert_non_null(strstr(scan.warning, "beginning is missing"));
    }
}

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
        const struct scan scan = read_well(text, symbologies[i]);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, "09506000134352");
        assert_true(scan.supplier.item_is_gtin);
        assert_string_equal(scan.supplier.lot, "L24117");
        assert_string_equal(scan.supplier.serial, "C004217T");
        assert_true(scan.supplier.has_expires);
        assert_day(scan.supplier.expires, "2027-01-31");
        assert_false(scan.supplier.expires_day_was_00);
        assert_string_equal(scan.warning, "");
    }
    assert_int_equal(read_well("]d2"
                               "0109506000134352"
                               "10L24117",
                               "")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(read_well("]d2"
                               "0109506000134352"
                               "10L24117",
                               "]d2")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(read_well(GS "0109506000134352"
                                  "10L24117",
                               "]d1")
                         .kind,
                     SCAN_SUPPLIER);
    assert_int_equal(read_well("\\000026"
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
    struct scan scan = read_well("(01)09506000134352(17)270200(11)260100(3153)000500(30)12(10)A", "");
    assert_day(scan.supplier.expires, "2027-02-28");
    assert_true(scan.supplier.expires_day_was_00);
    assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.content_ul, 500000);
    assert_int_equal(scan.supplier.count, 12);

    scan = read_well("(00)095060001343520017(02)09506000134352(37)24(7003)2702281435", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_int_equal(scan.supplier.count, 24);
    assert_day(scan.supplier.expires, "2027-02-28");

    scan = read_well("(01)09506000134352(3150)000001", "");
    assert_int_equal(scan.supplier.content_ul, 1000000);
    scan = read_well("(01)09506000134352(3160)999999", "");
    assert_true(scan.supplier.content_ul == INT64_C(999999000000000));
    scan = read_well("(01)09506000134352(15)270131", "");
    assert_day(scan.supplier.expires, "2027-01-31");
    assert_non_null(strstr(scan.warning, "best-before"));
    scan = read_well("(01)09506000134352(17)250131(11)260131", "");
    assert_non_null(strstr(scan.warning, "before it was made"));
}

/* GS1 Barcode Syntax Dictionary: pairs are judged over all codes on a thing, so a missing key is no fault of this
 * one. */
static void an_attribute_without_its_key_is_taken_with_a_warning(void **state)
{
    const struct scan scan = read_well("10LOT1" GS "17270131", "]d2");
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
    struct scan scan = read_well("(8006)095060001343520101(10)A", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_true(scan.supplier.item_is_gtin);
    assert_string_equal(scan.lacks, "");
    assert_string_equal(scan.warning, "");
    scan = read_well("(8006)095060001343520102(21)S1", "");
    assert_non_null(strstr(scan.warning, "piece 01 of 02"));
    scan = read_well("(00)095060001343520017(8026)095060001343520101(37)24", "");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_int_equal(scan.supplier.count, 24);
    assert_string_equal(scan.supplier.serial, "095060001343520017");
}

/* Each warning stays, one a line; the same one stands once. */
static void all_warnings_are_kept(void **state)
{
    (void)state;
    const struct scan scan = read_well("(01)09506000134352(15)250131(11)260131", "");
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
        const struct scan scan = read_well(cases[i].text, cases[i].symbology);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, cases[i].gtin);
        assert_true(scan.supplier.item_is_gtin);
    }
}

/* ANSI MH10.8.17-2017, its example payloads. */
static void reads_the_published_examples_of_mh10_8_17(void **state)
{
    (void)state;
    struct scan scan = read_well(HEAD "25S0614141MH80312" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.serial, "0614141MH80312");
    scan = read_well("[)>" RS "05" GS "80040614141MH80312" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.serial, "0614141MH80312");
    scan = read_well(HEAD "18VD89536" GS "1P8902A" GS "S3122A02965" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.item, "8902A");
    assert_false(scan.supplier.item_is_gtin);
    assert_string_equal(scan.supplier.serial, "3122A02965");
}

/* ANSI MH10.8.2; twins of GS1 fields as in the securPharm coding rules. */
static void reads_the_fields_of_a_makers_format_06(void **state)
{
    (void)state;
    struct scan scan = read_well(HEAD "9N110375286414" GS "1Tab-12" GS "D270200" GS "S12345ABCDEF98765" TAIL, "]d1");
    assert_string_equal(scan.supplier.item, "110375286414");
    assert_string_equal(scan.supplier.lot, "ab-12");
    assert_day(scan.supplier.expires, "2027-02-28");
    assert_true(scan.supplier.expires_day_was_00);
    assert_non_null(strstr(scan.warning, "does not say what it means"));

    scan = read_well(HEAD "8P09506000134352" GS "1PX-1" GS "15D31012027" GS "17D31012026" GS "7Q0.5LT" GS "7Q4EA" TAIL,
                     "]d1");
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_true(scan.supplier.item_is_gtin);
    assert_day(scan.supplier.expires, "2027-01-31");
    assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.content_ul, 500000);
    assert_int_equal(scan.supplier.count, 4);

    scan =
        read_well(HEAD "1PX-1" GS "6D20270131036" GS "6D20260131094" GS "6D20260201050" GS "Q12" GS "3QEA" TAIL, "]d1");
    assert_day(scan.supplier.expires, "2027-01-31");
    assert_day(scan.supplier.made, "2026-01-31");
    assert_int_equal(scan.supplier.count, 12);
    assert_string_equal(scan.warning, "");

    scan = read_well(HEAD "1PX-1" GS "25D20270131" GS "Q12" GS "T77" TAIL, "]d1");
    assert_day(scan.supplier.expires, "2027-01-31");
    assert_string_equal(scan.supplier.lot, "77");
    assert_true(scan.warning[0]);

    scan = read_well(HEAD "1PX-1" GS "D270131" GS "25D20270228" GS "D260131" TAIL, "]d1");
    assert_day(scan.supplier.expires, "2027-02-28");
    assert_non_null(strstr(scan.warning, "best-before"));
    scan = read_well(HEAD "1PX-1" GS "D270131" GS "D260131" TAIL, "]d1");
    assert_false(scan.supplier.has_expires);
    assert_non_null(strstr(scan.warning, "two dates (D)"));
}

/* ISO/IEC 15434: several formats in one message. */
static void reads_two_formats_of_one_message(void **state)
{
    (void)state;
    struct scan scan = read_well(HEAD "1TL24117" GS "S77" RS "05" GS "0109506000134352" GS "17270131" TAIL, "]d1");
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.item, "09506000134352");
    assert_string_equal(scan.supplier.lot, "L24117");
    assert_day(scan.supplier.expires, "2027-01-31");
    scan = read_well(HEAD "SV0001236" RS "05" GS "0109506000134352" TAIL, "]d1");
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
        const struct scan scan = read_well(text, symbologies[i]);
        assert_int_equal(scan.kind, SCAN_SUPPLIER);
        assert_string_equal(scan.supplier.item, "09506000134352");
        assert_true(scan.supplier.item_is_gtin);
        assert_string_equal(scan.supplier.lot, "LOT2407");
        assert_string_equal(scan.supplier.serial, "V000123");
        assert_day(scan.supplier.expires, "2027-02-28");
        assert_true(scan.supplier.expires_day_was_00);
        assert_int_equal(scan.supplier.content_ul, 500000);
        assert_int_equal(scan.supplier.count, 12);
        assert_string_equal(scan.warning, "");
    }
    assert_string_equal(read_well("]Q1HTTPS://EXAMPLE.COM/8004/9506000V0001236", "").supplier.serial,
                        "9506000V0001236");
}

static void a_typed_serial_is_taken_in_either_case_and_with_blanks(void **state)
{
    static const char *const texts[] = {"V0001236", "v0001236", "V000123 6", " v 000123 6\n", "C004217t"};
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        const struct scan scan = read_well(texts[i], "");
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, i < 4 ? "V0001236" : "C004217T");
        assert_false(scan.unit.has_expires);
    }
    assert_int_equal(read_well("V0001236", "]C0").kind, SCAN_OTHER);
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
        const struct scan scan = read_well(cases[i].text, cases[i].symbology);
        if (scan.kind != SCAN_OTHER)
            fail_msg("case %zu is %s", i, scan_kind_word(scan.kind));
    }
    assert_non_null(strstr(read_well("9506000134353", "").warning, "wrong check digit"));
}

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
        if (scan_read(span_of(cases[i].text), cases[i].symbology, today(), &scan, &fault))
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
    assert_false(scan_read((struct span){"A\0B", 3}, "]d1", today(), &scan, &fault));
    memset(text, 'A', sizeof text);
    assert_true(scan_read((struct span){text, SCAN_BYTES}, "]d1", today(), &scan, &fault));
    assert_false(scan_read((struct span){text, sizeof text}, "]d1", today(), &scan, &fault));
    assert_non_null(strstr(fault.text, "at most 4096"));
}

/* A cut of our own label at any byte is refused, or warned of, or its missing bytes were only the trailer. */
static void a_cut_at_any_byte_never_gives_a_wrong_serial_or_date(void **state)
{
    static const char text[] = HEAD "SV0001236" GS "1TRS24117B" GS "16D20260214" GS "14D20260814" TAIL;
    (void)state;
    for (size_t length = 4; length + 1 < sizeof text; length++) {
        struct scan scan;
        if (!scan_read((struct span){text, length}, "]d1", today(), &scan, NULL))
            continue;
        assert_int_equal(scan.kind, SCAN_UNIT);
        assert_string_equal(scan.unit.serial, "V0001236");
        assert_true(scan.warning[0]);
        if (scan.unit.has_expires)
            assert_day(scan.unit.expires, "2026-08-14");
    }
}

static void an_unmarked_code_without_separators_is_taken_with_a_warning(void **state)
{
    const struct scan scan = read_well("0109506000134352"
                                       "17270131"
                                       "10L24117",
                                       "");
    (void)state;
    assert_int_equal(scan.kind, SCAN_SUPPLIER);
    assert_string_equal(scan.supplier.lot, "L24117");
    assert_non_null(strstr(scan.warning, "no symbology identifier"));
}

static void every_kind_has_its_word(void **state)
{
    static const char *const words[] = {"unit", "person", "place", "card", "supplier", "other"};
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
        cmocka_unit_test(places_and_cards_that_do_not_fit_are_not_written),
        cmocka_unit_test(a_missing_trailer_is_taken_with_a_warning),
        cmocka_unit_test(a_missing_beginning_is_taken_with_a_warning),
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
        cmocka_unit_test(a_typed_serial_is_taken_in_either_case_and_with_blanks),
        cmocka_unit_test(other_readable_text_is_other),
        cmocka_unit_test(refuses_with_one_sentence_and_leaves_the_result_alone),
        cmocka_unit_test(nul_bytes_and_overlong_scans_are_refused),
        cmocka_unit_test(a_cut_at_any_byte_never_gives_a_wrong_serial_or_date),
        cmocka_unit_test(an_unmarked_code_without_separators_is_taken_with_a_warning),
        cmocka_unit_test(every_kind_has_its_word),
    };
    return cmocka_run_group_tests_name("content/scan", tests, NULL, NULL);
}
