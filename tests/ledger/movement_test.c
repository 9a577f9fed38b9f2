#include "kiosk/ledger/movement.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/movement_field.h"
#include "kiosk/ledger/movement_json.h"

/* Our own forms: there is no published source beside them. */

static struct movement full(void)
{
    struct movement m;
    movement_init(&m, MOVEMENT_RECEIPT);
    m.seq = 17;
    strcpy(m.act, "act-00000017"); /* fixed texts that fit */
    m.at.ms = INT64_C(1771061400123);
    m.local_day = calendar_day(2026, 2, 14);
    m.trusted = true;
    strcpy(m.kiosk, "kiosk-1");
    strcpy(m.person, "H000001");
    strcpy(m.unit, "C004217T");
    strcpy(m.other, "V0001236");
    strcpy(m.item, "FLINT");
    strcpy(m.lot, "RS24117B");
    strcpy(m.place, "A3-07");
    strcpy(m.printer, "CAPSTAN");
    strcpy(m.delivery, "d-1");
    strcpy(m.job, "j-1");
    strcpy(m.word, "damaged");
    m.amount_ul = 1000000;
    m.minutes = 0;
    m.pieces = 1;
    m.filled = calendar_day(2026, 2, 14).number;
    m.expires = calendar_day(2026, 8, 14).number;
    m.refers = 3;
    strcpy(m.text, "AB");
    strcpy(m.detail, "{\"a\":1,\"b\":\"x\"}");
    memset(m.hash, 0xA5, sizeof m.hash);
    return m;
}

static void every_kind_has_a_word_of_its_own_that_reads_back(void **state)
{
    (void)state;
    for (int i = 0; i < MOVEMENT_KIND_COUNT; i++) {
        enum movement_kind kind = MOVEMENT_KIND_COUNT;
        assert_true(movement_kind_read(movement_kind_word((enum movement_kind)i), &kind));
        assert_int_equal(kind, i);
    }
    enum movement_kind kind = MOVEMENT_HOLD;
    assert_false(movement_kind_read("unknown", &kind));
    assert_int_equal(kind, MOVEMENT_HOLD);
}

static void the_field_table_covers_every_byte_that_is_booked(void **state)
{
    (void)state;
    size_t end = 0;
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        assert_int_equal(movement_fields[i].tag, i + 1);
        assert_true(movement_fields[i].offset >= end);
        assert_true(movement_fields[i].offset - end < 8); /* padding only: no field between them is forgotten */
        end = movement_fields[i].offset + movement_fields[i].size;
    }
    assert_true(offsetof(struct movement, hash) - end < 8);
}

static void a_movement_goes_through_json_unchanged(void **state)
{
    const struct movement before = full();
    struct movement after;
    struct fault fault = {0};
    (void)state;
    json_t *object = movement_json_write(&before);
    assert_non_null(object);
    assert_string_equal(json_string_value(json_object_get(object, "expires")), "2026-08-14");
    assert_string_equal(json_string_value(json_object_get(object, "kind")), "receipt");
    assert_int_equal(json_integer_value(json_object_get(json_object_get(object, "detail"), "a")), 1);
    if (!movement_json_read(object, &after, &fault))
        fail_msg("%s", fault.text);
    assert_memory_equal(&after, &before, sizeof after);
    json_decref(object);
}

static void what_was_not_said_is_left_out_and_comes_back_as_not_said(void **state)
{
    struct movement before, after;
    (void)state;
    movement_init(&before, MOVEMENT_CLOCK_CONFIRMED);
    before.seq = 1;
    strcpy(before.act, "act-00000001");
    strcpy(before.kiosk, "kiosk-1");
    json_t *object = movement_json_write(&before);
    assert_int_equal(json_object_size(object), 8); /* seq act kind at day trusted kiosk hash */
    assert_true(movement_json_read(object, &after, NULL));
    assert_memory_equal(&after, &before, sizeof after);
    assert_true(after.minutes == MOVEMENT_NULL);
    json_decref(object);
}

static void a_day_outside_the_calendar_goes_through_as_a_number(void **state)
{
    struct movement before = full(), after;
    (void)state;
    before.expires = INT64_C(1) << 40;
    before.at.ms = -5;
    json_t *object = movement_json_write(&before);
    assert_true(json_is_integer(json_object_get(object, "expires")));
    assert_true(movement_json_read(object, &after, NULL));
    assert_memory_equal(&after, &before, sizeof after);
    json_decref(object);
}

static void json_that_is_no_movement_is_refused_by_name(void **state)
{
    static const struct {
        const char *key, *value, *says;
    } cases[] = {
        {"kind", "\"teleport\"", "'kind'"}, {"seq", "\"1\"", "'seq'"},
        {"trusted", "1", "'trusted'"},      {"expires", "\"2026-02-30\"", "'expires'"},
        {"lot", "\"\"", "'lot'"},           {"item", "\"NINECHARS\"", "'item'"},
        {"hash", "\"A5\"", "'hash'"},       {"colour", "\"red\"", "does not know"},
        {"detail", "{\"a\":1.5}", "'a'"},   {"kiosk", NULL, "'kiosk' is missing"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const struct movement whole = full();
        struct movement after = {.seq = 99};
        struct fault fault = {0};
        json_t *object = movement_json_write(&whole);
        if (cases[i].value)
            json_object_set_new(object, cases[i].key, json_loads(cases[i].value, JSON_DECODE_ANY, NULL));
        else
            json_object_del(object, cases[i].key);
        if (movement_json_read(object, &after, &fault) || !strstr(fault.text, cases[i].says))
            fail_msg("%s: '%s'", cases[i].key, fault.text);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(after.seq, 99);
        json_decref(object);
    }
}

static void a_detail_has_one_writing_only(void **state)
{
    char detail[DETAIL_SIZE] = "";
    json_t *object = json_pack("{s:s, s:i, s:s}", "zulu", "1", "alpha", 2, "mike", "\xC3\xA9");
    json_t *read = NULL;
    (void)state;
    assert_true(movement_detail_write(object, detail, NULL));
    assert_string_equal(detail, "{\"alpha\":2,\"mike\":\"\xC3\xA9\",\"zulu\":\"1\"}");
    assert_true(movement_detail_read(detail, &read, NULL));
    assert_true(json_equal(read, object));
    json_decref(read);
    json_decref(object);
    read = NULL;
    assert_false(movement_detail_read("{\"b\":1,\"a\":2}", &read, NULL)); /* not sorted */
    assert_false(movement_detail_read("{\"a\": 1}", &read, NULL));        /* a space */
    assert_false(movement_detail_read("{\"a\":1,\"a\":1}", &read, NULL)); /* twice */
    assert_false(movement_detail_read("{\"a\":true}", &read, NULL));
    assert_false(movement_detail_read("[1]", &read, NULL));
    assert_null(read);
    assert_true(movement_detail_flag("{\"as_found\":1}", "as_found"));
    assert_false(movement_detail_flag("{\"as_found\":0}", "as_found"));
    assert_false(movement_detail_flag("", "as_found"));
}

static void a_detail_that_is_too_long_is_refused(void **state)
{
    char value[DETAIL_SIZE], detail[DETAIL_SIZE] = "before";
    struct fault fault = {0};
    (void)state;
    memset(value, 'x', sizeof value - 1);
    value[sizeof value - 1] = '\0';
    json_t *object = json_pack("{s:s}", "a", value);
    assert_false(movement_detail_write(object, detail, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_string_equal(detail, "before");
    json_object_set_new(object, "a", json_string(value + 8)); /* {"a":"…"} is 8 characters around it */
    assert_true(movement_detail_write(object, detail, &fault));
    assert_int_equal(strlen(detail), DETAIL_SIZE - 1);
    json_decref(object);
}

static void an_items_entry_goes_through_its_detail_unchanged(void **state)
{
    struct item before = {.letter = 'C',
                          .content_ul = 1000000,
                          .minimum_days = 30,
                          .life_minutes = MOVEMENT_NULL,
                          .density_mg_ml = MOVEMENT_NULL,
                          .stir_days = MOVEMENT_NULL,
                          .inspect_minutes = MOVEMENT_NULL,
                          .surface_minutes = MOVEMENT_NULL,
                          .provisional = true},
                after = {0};
    char detail[DETAIL_SIZE];
    (void)state;
    strcpy(before.code, "FLINT");
    strcpy(before.name, "Flint grey");
    strcpy(before.resin, "flint");
    strcpy(before.gtin, "09501101530003");
    strcpy(before.fits, "CAPSTAN SEXTANT");
    assert_true(item_write_detail(&before, detail, NULL));
    assert_string_equal(detail, "{\"content_ul\":1000000,\"fits\":\"CAPSTAN SEXTANT\",\"gtin\":\"09501101530003\","
                                "\"letter\":\"C\",\"minimum_days\":30,\"name\":\"Flint grey\",\"provisional\":1,"
                                "\"resin\":\"flint\"}");
    strcpy(after.code, "FLINT"); /* the code is the movement's */
    assert_true(item_read_detail(detail, &after, NULL));
    assert_memory_equal(&after, &before, sizeof after);
}

static void fill_text(char *text, size_t size)
{
    memset(text, 'x', size - 1);
}

static void an_items_entry_with_every_field_full_goes_into_its_detail(void **state)
{
    static struct item before, after;
    static char detail[DETAIL_SIZE];
    struct fault fault = {0};
    (void)state;
    before = (struct item){.letter = 'C',
                           .content_ul = 1000000,
                           .minimum_days = 3650,
                           .life_minutes = 60000000,
                           .density_mg_ml = 25000,
                           .stir_days = 3650,
                           .inspect_minutes = 60000000,
                           .surface_minutes = 60000000};
    fill_text(before.name, sizeof before.name);
    fill_text(before.resin, sizeof before.resin);
    fill_text(before.revision, sizeof before.revision);
    fill_text(before.gtin, sizeof before.gtin);
    fill_text(before.maker_code, sizeof before.maker_code);
    fill_text(before.fits, sizeof before.fits);
    fill_text(before.sds.product, sizeof before.sds.product);
    fill_text(before.sds.signal_word, sizeof before.sds.signal_word);
    fill_text(before.sds.pictograms, sizeof before.sds.pictograms);
    fill_text(before.sds.statements, sizeof before.sds.statements);
    fill_text(before.sds.precautions, sizeof before.sds.precautions);
    fill_text(before.sds.revised, sizeof before.sds.revised);
    fill_text(before.sds.place, sizeof before.sds.place);
    fill_text(before.sds.label, sizeof before.sds.label);
    fill_text(before.sds.supplier, sizeof before.sds.supplier);
    fill_text(before.sds.address, sizeof before.sds.address);
    fill_text(before.sds.phone, sizeof before.sds.phone);
    fill_text(before.sds.quantity, sizeof before.sds.quantity);
    fill_text(before.sds.ufi, sizeof before.sds.ufi);
    fill_text(before.sds.language, sizeof before.sds.language);
    if (!item_write_detail(&before, detail, &fault))
        fail_msg("%s", fault.text);
    assert_true(item_read_detail(detail, &after, NULL));
    assert_memory_equal(&after, &before, sizeof after);
}

static void an_items_entry_with_a_strange_field_is_refused(void **state)
{
    static const char *const bad[] = {
        "{\"colour\":\"red\",\"letter\":\"C\"}", "{\"letter\":\"H\"}",           "", "{\"letter\":\"CC\"}",
        "{\"content_ul\":-1,\"letter\":\"C\"}",  "{\"letter\":\"C\",\"name\":7}"};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        struct item item = {.version = 7};
        struct fault fault = {0};
        if (item_read_detail(bad[i], &item, &fault))
            fail_msg("taken: %s", bad[i]);
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(item.version, 7);
        assert_int_equal(item.letter, 0);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_kind_has_a_word_of_its_own_that_reads_back),
        cmocka_unit_test(the_field_table_covers_every_byte_that_is_booked),
        cmocka_unit_test(a_movement_goes_through_json_unchanged),
        cmocka_unit_test(what_was_not_said_is_left_out_and_comes_back_as_not_said),
        cmocka_unit_test(a_day_outside_the_calendar_goes_through_as_a_number),
        cmocka_unit_test(json_that_is_no_movement_is_refused_by_name),
        cmocka_unit_test(a_detail_has_one_writing_only),
        cmocka_unit_test(a_detail_that_is_too_long_is_refused),
        cmocka_unit_test(an_items_entry_goes_through_its_detail_unchanged),
        cmocka_unit_test(an_items_entry_with_every_field_full_goes_into_its_detail),
        cmocka_unit_test(an_items_entry_with_a_strange_field_is_refused),
    };
    return cmocka_run_group_tests_name("ledger/movement", tests, NULL, NULL);
}
