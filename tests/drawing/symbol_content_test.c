#include "labels/drawing/symbol_content.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "drawing_help.h"
#include "labels/content/scan.h"

static void writes_the_worked_labels_byte_for_byte(void **state)
{
    (void)state;
    for (size_t i = 0; i < WORKED_LABELS; i++) {
        const struct worked_label *label = &worked_labels[i];
        const enum symbol_kind kind = strcmp(label->template, "place") == 0 ? SYMBOL_PLACE : SYMBOL_UNIT;
        struct label_values values;
        char text[UNIT_LABEL_TEXT_SIZE], hex[2 * UNIT_LABEL_TEXT_SIZE];
        size_t length = 0;
        struct fault fault = {0};
        assert_true(label_field_read(label->fields, label->field_count, &values, NULL));
        if (!symbol_content_write(kind, "", &values, text, &length, &fault))
            fail_msg("%s", fault.text);
        text_write_hex((const uint8_t *)text, length, hex, sizeof hex);
        assert_string_equal(hex, label->hex);
    }
}

static void what_it_writes_is_read_back_as_the_same_thing(void **state)
{
    const struct label_values unit = {
        {[LABEL_FIELD_SERIAL] = "R0000422", [LABEL_FIELD_ITEM] = "OAK-1", [LABEL_FIELD_BATCH] = "B7"}};
    struct scan scan;
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    struct fault fault = {0};
    (void)state;
    assert_true(symbol_content_write(SYMBOL_UNIT, "", &unit, text, &length, &fault));
    assert_true(scan_read((struct span){text, length}, "]d1", calendar_day(2026, 3, 1), &scan, &fault));
    assert_int_equal(scan.kind, SCAN_UNIT);
    assert_string_equal(scan.unit.item, "OAK-1");
    assert_string_equal(scan.unit.lot, "B7");
    assert_true(scan.unit.own_batch);
    assert_true(symbol_content_write(SYMBOL_CARD, "FILM-LEAKING", &unit, text, &length, &fault));
    assert_true(scan_read((struct span){text, length}, "]d1", calendar_day(2026, 3, 1), &scan, &fault));
    assert_int_equal(scan.kind, SCAN_CARD);
    assert_string_equal(scan.card, "FILM-LEAKING");
    assert_true(symbol_content_write(SYMBOL_ITEM, "", &unit, text, &length, &fault));
    assert_true(scan_read((struct span){text, length}, "]d1", calendar_day(2026, 3, 1), &scan, &fault));
    assert_int_equal(scan.kind, SCAN_ITEM);
    assert_string_equal(scan.item, "OAK-1");
}

static void refuses_by_the_fields_name(void **state)
{
    static const struct {
        enum symbol_kind kind;
        struct label_field fields[3];
        const char *says;
    } cases[] = {
        {SYMBOL_UNIT, {{"lot", "L1"}}, "field 'serial' is missing"},
        {SYMBOL_UNIT, {{"serial", "V0001237"}}, "field 'serial'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"expires", "2026-02-30"}}, "field 'expires'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"filled", "14.2.2026"}}, "field 'filled'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"content", "1.5"}}, "field 'content'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"content", "0"}}, "field 'content'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"content", "100000000"}}, "field 'content'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"item", "FLINT-GREY"}}, "field 'item'"},
        {SYMBOL_UNIT, {{"serial", "V0001236"}, {"lot", "A"}, {"batch", "B"}}, "'lot' and 'batch'"},
        {SYMBOL_PERSON, {{"serial", "V0001236"}}, "starts with H"},
        {SYMBOL_SERIAL, {{"serial", "H000123M"}}, "H is for badges"},
        {SYMBOL_SERIAL, {{"lot", "L1"}}, "field 'serial' is missing"},
        {SYMBOL_PLACE, {{"serial", "V0001236"}}, "field 'place' is missing"},
        {SYMBOL_PLACE, {{"place", "shelf one"}}, "shelf one"},
        {SYMBOL_ITEM, {{"serial", "V0001236"}}, "field 'item' is missing"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct label_values values;
        char text[UNIT_LABEL_TEXT_SIZE] = "kept";
        size_t count = 0, length = 7;
        struct fault fault = {0};
        while (count < 3 && cases[i].fields[count].name)
            count++;
        assert_true(label_field_read(cases[i].fields, count, &values, NULL));
        if (symbol_content_write(cases[i].kind, "", &values, text, &length, &fault) ||
            !strstr(fault.text, cases[i].says))
            fail_msg("expected '%s', got '%s'", cases[i].says, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(length, 7);
        assert_string_equal(text, "kept");
    }
}

static void a_serial_alone_leaves_the_rest_to_the_ledger(void **state)
{
    /* ISO/IEC 15434 format 06, ANSI MH10.8.2 S; the serial of the worked label P1 */
    const struct label_values values = {{[LABEL_FIELD_SERIAL] = "V0001236",
                                         [LABEL_FIELD_ITEM] = "no item code at all",
                                         [LABEL_FIELD_EXPIRES] = "2026-08-14"}};
    static const char expected[] = "[)>\x1E"
                                   "06\x1D"
                                   "SV0001236\x1E\x04";
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    (void)state;
    assert_true(symbol_content_write(SYMBOL_SERIAL, "", &values, text, &length, NULL));
    assert_int_equal(length, sizeof expected - 1);
    assert_memory_equal(text, expected, length);
}

static void a_badge_is_no_unit_and_a_unit_no_badge(void **state)
{
    const struct label_values badge = {{[LABEL_FIELD_SERIAL] = "H000123M"}};
    char text[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    struct fault fault = {0};
    (void)state;
    assert_true(symbol_content_write(SYMBOL_PERSON, "", &badge, text, &length, &fault));
    assert_false(symbol_content_write(SYMBOL_UNIT, "", &badge, text, &length, &fault));
    assert_non_null(strstr(fault.text, "H is for badges"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(writes_the_worked_labels_byte_for_byte),
        cmocka_unit_test(what_it_writes_is_read_back_as_the_same_thing),
        cmocka_unit_test(refuses_by_the_fields_name),
        cmocka_unit_test(a_serial_alone_leaves_the_rest_to_the_ledger),
        cmocka_unit_test(a_badge_is_no_unit_and_a_unit_no_badge),
    };
    return cmocka_run_group_tests_name("drawing/symbol_content", tests, NULL, NULL);
}
