#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/catalogue.h"
#include "tests/desk/room.h"

/* What the room knows of. The check digit of a GTIN: GS1 General Specifications, section 7.9; who may enter: common
 * practice, no source. */

static void refuse_all(struct room *room, const char *kind, const char *good, const char *const cases[][3])
{
    for (size_t i = 0; cases[i][0]; i++) {
        json_t *content = json_loads(good, 0, NULL);
        assert_non_null(content);
        if (cases[i][1])
            json_object_set_new(content, cases[i][0], json_loads(cases[i][1], JSON_DECODE_ANY, NULL));
        else
            json_object_del(content, cases[i][0]);
        room_refuses(room, kind, content, FAULT_INPUT, cases[i][2]);
    }
}

static void malformed_items_are_refused_with_a_sentence(void **state)
{
    static const char *const cases[][3] = {
        {"code", NULL, "'code' is missing"},
        {"code", "\"A/B\"", "'code' may hold only 0-9, A-Z and '-'"},
        {"code", "\"GRANITE-BIG\"", "'code' is longer than 8 bytes"},
        {"letter", NULL, "'letter' is missing"},
        {"letter", "\"H\"", "'letter' is 'H', not V, T, C, R, P or W"},
        {"letter", "\"CC\"", "'letter' is longer"},
        {"name", NULL, "'name' is missing"},
        {"gtin", "\"09506000135068\"", "'gtin' 09506000135068 has a wrong check digit"},
        {"gtin", "\"0950600013506\"", "'gtin' 0950600013506 has a wrong check digit"},
        {"gtin", "9506000135069", "'gtin' is not a text"},
        {"fits", "\"CAPSTAN,SEXTANT\"", "'fits' is 'CAPSTAN,SEXTANT'"},
        {"fits", "\"CAPSTAN  SEXTANT\"", "one space between"},
        {"fits", "\"CAPSTAN \"", "one space between"},
        {"fits", "\"CAP\"", "codes of printers entered before"},
        {"content_ml", "\"much\"", "'content_ml' is not a number"},
        {"content_ml", "-1", "'content_ml' is not a number from 0"},
        {"minimum_days", "1.5", "'minimum_days' is not a whole number"},
        {"minimum_days", "4000", "from 0 to 3650"},
        {"life_hours", "true", "'life_hours' is not a number"},
        {"resine", "\"x\"", "'resine' is not known here"},
        {NULL, NULL, NULL},
    };
    refuse_all(*state, "item-entry", "{\"code\":\"ROWAN\",\"letter\":\"C\",\"name\":\"Rowan cartridge\"}", cases);
}

static void an_item_keeps_its_letter_and_a_makers_number_is_one_items(void **state)
{
    struct room *room = *state;
    room_refuses(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "FLINT", "letter", "V", "name", "x"),
                 FAULT_REFUSED, "its letter stays");
    room_refuses(room, "item-entry",
                 json_pack("{s:s,s:s,s:s,s:s}", "code", "ROWAN", "letter", "C", "name", "x", "gtin", "9506000135007"),
                 FAULT_CONFLICT, "belongs to item FLINT already"); /* the same number as GTIN-14 */
    (void)room_act(
        room, "item-entry",
        json_pack("{s:s,s:s,s:s,s:s}", "code", "ROWAN", "letter", "C", "name", "x", "maker_code", "RW-1000"));
    room_refuses(room, "item-entry",
                 json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "OAK", "letter", "C", "name", "x", "gtin", "09506000135014",
                           "maker_code", "RW-1000"),
                 FAULT_CONFLICT, "belongs to item ROWAN already"); /* though the GTIN is its own */
}

static void an_item_is_corrected_by_entering_it_anew(void **state)
{
    struct room *room = *state;
    struct item item;
    bool found = false;
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:f,s:i}", "code", "flint", "letter", "c", "name", "Flint 0.5 l", "fits",
                             "CAPSTAN SEXTANT", "content_ml", 500.0, "life_hours", 3));
    assert_true(item_load(room->reader, "FLINT", &item, &found, NULL) && found);
    assert_string_equal(item.name, "Flint 0.5 l");
    assert_string_equal(item.fits, "CAPSTAN SEXTANT");
    assert_int_equal(item.content_ul, 500000);
    assert_int_equal(item.life_minutes, 180);
    assert_int_equal(item.minimum_days, MOVEMENT_NULL);
}

/* The words are those of the UN GHS annex 3; which of them a product gets is its SDS's say. */
static const char FLINT_SDS[] =
    "{\"code\":\"FLINT\",\"letter\":\"C\",\"name\":\"Flint\",\"sds_product\":\"Flint "
    "resin\",\"sds_signal_word\":\"Warning\","
    "\"sds_pictograms\":\"GHS07\",\"sds_statements\":\"H317 May cause an allergic skin reaction.\","
    "\"sds_supplier\":\"Kestrel Quay Resins\",\"sds_address\":\"2 Harbour Row, Kestrel Quay\","
    "\"sds_phone\":\"+00 555 0100\",\"sds_quantity\":\"1 "
    "l\",\"sds_ufi\":\"N1QV-R02N-J00M-WQD5\",\"sds_language\":\"de\","
    "\"sds_precautions\":\"none\",\"sds_revised\":\"2026-01-10\",\"sds_place\":\"binder "
    "3\",\"sds_label\":\"bottle-hazard\"}";

static void what_the_sds_says_is_kept_word_for_word_and_refused_with_a_sentence(void **state)
{
    static const char *const cases[][3] = {
        {"sds_statements", "\"H317\"", "'sds_statements' has the code H317 without words"},
        {"sds_precautions", "\"P280 Wear gloves.|P302+P352\"",
         "'sds_precautions' has the code P302+P352 without words"},
        {"sds_pictograms", "\"GHS10\"", "pictogram 'GHS10' is not known"},
        {"sds_product", NULL, "'sds_product' is missing"},
        {"sds_revised", "\"10.1.2026\"", "'sds_revised'"},
        {"sds_ufi", "\"N1QV-R02N-J00M-WQD6\"", "'sds_ufi' is 'N1QV-R02N-J00M-WQD6', whose first character"},
        {"sds_ufi", "\"none\"", "'sds_ufi' has 4 characters, and a UFI has 19"},
        {"sds_language", "\"xx\"", "'sds_language' is 'xx', and there are words in cs da de"},
        {"sds_label", "\"Bottle Hazard\"", "'sds_label' is a keyword"},
        {NULL, NULL, NULL},
    };
    struct room *room = *state;
    struct item item;
    bool found = false;
    refuse_all(room, "item-entry", FLINT_SDS, cases);
    const json_t *answer = room_act(room, "item-entry", json_loads(FLINT_SDS, 0, NULL));
    assert_null(json_object_get(answer, "questions"));
    assert_true(item_load(room->reader, "FLINT", &item, &found, NULL) && found);
    assert_string_equal(item.sds.product, "Flint resin");
    assert_string_equal(item.sds.signal_word, "Warning");
    assert_string_equal(item.sds.pictograms, "GHS07");
    assert_string_equal(item.sds.statements, "H317 May cause an allergic skin reaction.");
    assert_string_equal(item.sds.precautions, "none");
    assert_string_equal(item.sds.revised, "2026-01-10");
    assert_string_equal(item.sds.place, "binder 3");
    assert_string_equal(item.sds.label, "bottle-hazard");
    assert_string_equal(item.sds.supplier, "Kestrel Quay Resins");
    assert_string_equal(item.sds.address, "2 Harbour Row, Kestrel Quay");
    assert_string_equal(item.sds.phone, "+00 555 0100");
    assert_string_equal(item.sds.quantity, "1 l");
    assert_string_equal(item.sds.ufi, "N1QV-R02N-J00M-WQD5");
    assert_string_equal(item.sds.language, "de");
}

static void an_entry_that_does_not_speak_of_the_sds_leaves_it_and_null_takes_it_away(void **state)
{
    struct room *room = *state;
    struct item item;
    bool found = false;
    (void)room_act(room, "item-entry", json_loads(FLINT_SDS, 0, NULL));
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "FLINT", "letter", "C", "name", "Flint 1 l"));
    assert_true(item_load(room->reader, "FLINT", &item, &found, NULL) && found);
    assert_string_equal(item.name, "Flint 1 l");
    assert_string_equal(item.sds.product, "Flint resin");
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:n}", "code", "FLINT", "letter", "C", "name", "Flint", "sds_product"));
    assert_true(item_load(room->reader, "FLINT", &item, &found, NULL) && found);
    assert_string_equal(item.sds.product, "");
    assert_string_equal(item.sds.label, "");
}

static void what_looks_like_a_slip_is_asked_and_kept_as_it_was_said(void **state)
{
    struct room *room = *state;
    struct item item;
    bool found = false;
    json_t *content = json_loads(FLINT_SDS, 0, NULL);
    json_object_set_new(content, "sds_pictograms", json_string("none"));
    const json_t *questions = json_object_get(room_act(room, "item-entry", content), "questions");
    assert_int_equal(json_array_size(questions), 1);
    assert_string_equal(json_string_value(json_array_get(questions, 0)),
                        "H317 usually goes with GHS07, which is not entered: is that what the SDS says?");
    assert_true(item_load(room->reader, "FLINT", &item, &found, NULL) && found);
    assert_string_equal(item.sds.pictograms, "none");
}

static void a_bottle_of_it_gets_the_hazard_label_and_a_cartridge_keeps_its_makers(void **state)
{
    struct room *room = *state;
    char serial[2][SERIAL_SIZE];
    json_t *bottle = json_loads(FLINT_SDS, 0, NULL);
    json_object_set_new(bottle, "code", json_string("FLINT-B"));
    json_object_set_new(bottle, "letter", json_string("R"));
    (void)room_act(room, "item-entry", json_loads(FLINT_SDS, 0, NULL));
    (void)room_act(room, "item-entry", bottle);
    for (int i = 0; i < 2; i++) {
        const json_t *answer = room_act(
            room, "take-on", json_pack("{s:s,s:s,s:s}", "item", i ? "FLINT-B" : "FLINT", "place", "A01", "lot", "L1"));
        (void)snprintf(serial[i], SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
    }
    assert_string_equal(room_print(room, serial[0], "", 1).label_template, "cartridge");
    assert_string_equal(room_print(room, serial[1], "", 1).label_template, "bottle-hazard");
}

static void places_and_printers_are_entered_and_refused_with_a_sentence(void **state)
{
    static const char *const places[][3] = {
        {"code", NULL, "'code' is missing"},
        {"code", "\"C/1\"", "'code' may hold only"},
        {"kind", NULL, "'kind' is missing"},
        {"kind", "\"box\"", "'kind' is 'box', not one of shelf, slot, counter"},
        {"kind", "\"slot\"", "a slot names a printer"},
        {"printer", "\"CAPSTAN\"", "a shelf names none"},
        {"label", "1", "'label' is neither true nor false"},
        {"lable", "true", "'lable' is not known here"},
        {NULL, NULL, NULL},
    };
    static const char *const printers[][3] = {
        {"code", NULL, "'code' is missing"},
        {"code", "\"A-PRINTER-CODE-TOO-LONG\"", "'code' is longer than 16 bytes"},
        {"name", NULL, "'name' is missing"},
        {"slots", NULL, "'slots' is missing"},
        {"slots", "17", "'slots' is not a whole number from 0 to 16"},
        {"slot", "1", "'slot' is not known here"},
        {NULL, NULL, NULL},
    };
    struct room *room = *state;
    refuse_all(room, "place-entry", "{\"code\":\"C01\",\"kind\":\"shelf\"}", places);
    refuse_all(room, "printer-entry", "{\"code\":\"FATHOM\",\"name\":\"Fathom\",\"slots\":1}", printers);
    (void)room_act(room, "printer-entry", json_pack("{s:s,s:s,s:i}", "code", "fathom", "name", "Fathom", "slots", 0));
    (void)room_act(room, "place-entry",
                   json_pack("{s:s,s:s,s:s}", "code", "FATHOM-1", "kind", "slot", "printer", "FATHOM"));
    (void)room_scan(room, "FATHOM-1");
    room_expect(room, NULL, "check-out", "FATHOM: scan");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(malformed_items_are_refused_with_a_sentence),
        IN_ROOM(an_item_keeps_its_letter_and_a_makers_number_is_one_items),
        IN_ROOM(an_item_is_corrected_by_entering_it_anew),
        IN_ROOM(what_the_sds_says_is_kept_word_for_word_and_refused_with_a_sentence),
        IN_ROOM(an_entry_that_does_not_speak_of_the_sds_leaves_it_and_null_takes_it_away),
        IN_ROOM(what_looks_like_a_slip_is_asked_and_kept_as_it_was_said),
        IN_ROOM(a_bottle_of_it_gets_the_hazard_label_and_a_cartridge_keeps_its_makers),
        IN_ROOM(places_and_printers_are_entered_and_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/entries", tests, room_group_setup, room_group_teardown);
}
