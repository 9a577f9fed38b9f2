#include "kiosk/ledger/catalogue.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/tables.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

static struct ledger *begun(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    if (!ledger_begin(ledger, &fault))
        fail_msg("%s", fault.text);
    return ledger;
}

static struct item make_item(const char *code, const char *gtin, int64_t version)
{
    struct item item = {.letter = 'C',
                        .name = "Flint, grey",
                        .content_ul = MOVEMENT_NULL,
                        .minimum_days = MOVEMENT_NULL,
                        .life_minutes = MOVEMENT_NULL,
                        .version = version};
    assert_true(span_copy(span_of(code), item.code, sizeof item.code));
    assert_true(span_copy(span_of(gtin), item.gtin, sizeof item.gtin));
    return item;
}

static void every_field_of_an_item_comes_back(void **state)
{
    struct ledger *ledger = begun(state);
    const struct item item = {.code = "FLINT-1L",
                              .letter = 'C',
                              .name = "Flint grün",
                              .resin = "Flint",
                              .revision = "b",
                              .gtin = "09506000134352",
                              .maker_code = "FL/1",
                              .fits = "CAPSTAN SEXTANT",
                              .content_ul = 1000000,
                              .minimum_days = 30,
                              .life_minutes = 0,
                              .sds = {"Flint resin", "Warning", "GHS07 GHS09",
                                      "H317 May cause an allergic skin reaction.", "none", "2026-01-10", "binder 3",
                                      "bottle-hazard", "Kestrel Quay Resins", "2 Harbour Row, Kestrel Quay",
                                      "+00 555 0100", "1 l", "N1QV-R02N-J00M-WQD5", "en"},
                              .provisional = true,
                              .version = 7};
    struct item read = {.version = 0};
    bool found = false;
    assert_true(item_save(ledger, &item, NULL));
    assert_true(item_load(ledger, "FLINT-1L", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.code, item.code);
    assert_int_equal(read.letter, 'C');
    assert_string_equal(read.name, item.name);
    assert_string_equal(read.resin, item.resin);
    assert_string_equal(read.revision, item.revision);
    assert_string_equal(read.gtin, item.gtin);
    assert_string_equal(read.maker_code, item.maker_code);
    assert_string_equal(read.fits, item.fits);
    assert_true(read.content_ul == 1000000 && read.minimum_days == 30 && read.life_minutes == 0);
    assert_memory_equal(&read.sds, &item.sds, sizeof read.sds);
    assert_true(read.provisional);
    assert_true(read.version == 7);
    const struct item plain = make_item("OAK", "", 8);
    assert_true(item_save(ledger, &plain, NULL));
    assert_true(item_load(ledger, "OAK", &read, &found, NULL));
    assert_true(read.content_ul == MOVEMENT_NULL && read.minimum_days == MOVEMENT_NULL && !read.provisional);
}

static void an_item_is_found_by_its_makers_codes(void **state)
{
    struct ledger *ledger = begun(state);
    struct item old = make_item("FLINT-A", "09506000134352", 1), fresh = make_item("FLINT-B", "09506000134352", 2),
                read;
    bool found = false;
    memcpy(fresh.maker_code, "FL-1", sizeof "FL-1");
    assert_true(item_save(ledger, &old, NULL) && item_save(ledger, &fresh, NULL));
    assert_true(item_find_gtin(ledger, "09506000134352", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.code, "FLINT-B"); /* the revision entered last */
    assert_true(item_find_maker_code(ledger, "FL-1", &read, &found, NULL));
    assert_string_equal(read.code, "FLINT-B");
    assert_true(item_find_gtin(ledger, "09506000134369", &read, &found, NULL));
    assert_false(found);
    assert_true(item_find_maker_code(ledger, "", &read, &found, NULL)); /* not: every item without one */
    assert_false(found);
}

static void the_next_provisional_code_is_the_first_free_one(void **state)
{
    struct ledger *ledger = begun(state);
    static const char *const taken[] = {"NEW-1", "NEW-2", "NEW-4", "NEWT", "NEW-X", "NEW"};
    char code[ITEM_CODE_SIZE] = "";
    assert_true(item_next_provisional(ledger, code, NULL));
    assert_string_equal(code, "NEW-1");
    for (size_t i = 0; i < sizeof taken / sizeof *taken; i++) {
        const struct item item = make_item(taken[i], "", 1);
        assert_true(item_save(ledger, &item, NULL));
    }
    assert_true(item_next_provisional(ledger, code, NULL));
    assert_string_equal(code, "NEW-3");
}

static void used_up_provisional_codes_are_told(void **state)
{
    struct ledger *ledger = begun(state);
    char code[ITEM_CODE_SIZE] = "KEPT";
    struct fault fault = {0};
    for (int i = 1; i <= 9999; i++) {
        (void)snprintf(code, sizeof code, "NEW-%d", i);
        const struct item item = make_item(code, "", 1);
        assert_true(item_save(ledger, &item, NULL));
    }
    memcpy(code, "KEPT", sizeof "KEPT");
    assert_false(item_next_provisional(ledger, code, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_string_equal(code, "KEPT");
}

static bool note_item(const struct item *item, void *context)
{
    struct builder *text = context;
    builder_addf(text, "%s ", item->code);
    return true;
}

static void items_are_listed_by_code_in_byte_order(void **state)
{
    struct ledger *ledger = begun(state);
    static const char *const codes[] = {"OAK", "FLINT-2", "FLINT", "FLINT0"};
    char list[80];
    struct builder text;
    builder_init(&text, list, sizeof list);
    for (size_t i = 0; i < sizeof codes / sizeof *codes; i++) {
        const struct item item = make_item(codes[i], "", 1);
        assert_true(item_save(ledger, &item, NULL));
    }
    assert_true(item_each(ledger, note_item, &text, NULL));
    assert_string_equal(list, "FLINT FLINT-2 FLINT0 OAK ");
}

static bool note_lot(const struct lot *lot, void *context)
{
    struct builder *text = context;
    builder_addf(text, "%s/%s ", lot->item, lot->lot);
    return true;
}

static void lots_are_of_an_item(void **state)
{
    struct ledger *ledger = begun(state);
    struct lot flint = {.item = "FLINT", .lot = "L1", .expires = 20500, .version = 1},
               oak = {.item = "OAK", .lot = "L1", .expires = MOVEMENT_NULL, .version = 2}, read = {.version = 0};
    bool found = false;
    char list[80];
    struct builder text;
    builder_init(&text, list, sizeof list);
    assert_true(lot_save(ledger, &oak, NULL) && lot_save(ledger, &flint, NULL));
    assert_true(lot_load(ledger, "FLINT", "L1", &read, &found, NULL));
    assert_true(found && read.expires == 20500 && read.version == 1);
    assert_true(lot_load(ledger, "OAK", "L1", &read, &found, NULL));
    assert_true(found && read.expires == MOVEMENT_NULL);
    assert_true(lot_load(ledger, "OAK", "L2", &read, &found, NULL));
    assert_false(found);
    flint.expires = 20400;
    flint.version = 3;
    assert_true(lot_save(ledger, &flint, NULL));
    assert_true(lot_load(ledger, "FLINT", "L1", &read, &found, NULL));
    assert_true(read.expires == 20400);
    assert_true(lot_each(ledger, note_lot, &text, NULL));
    assert_string_equal(list, "FLINT/L1 OAK/L1 ");
}

static bool note_place(const struct place *place, void *context)
{
    builder_addf(context, "%s:%s:%s:%s ", place->code, place->kind, place->printer, place->name);
    return true;
}

static void places_come_back(void **state)
{
    struct ledger *ledger = begun(state);
    const struct place shelf = {.code = "A3-07", .kind = "shelf", .name = "by the door", .version = 1},
                       slot = {.code = "SEX-2", .kind = "slot", .printer = "SEXTANT", .version = 2};
    struct place read = {.version = 0};
    bool found = false;
    char list[120];
    struct builder text;
    builder_init(&text, list, sizeof list);
    assert_true(place_save(ledger, &slot, NULL) && place_save(ledger, &shelf, NULL));
    assert_true(place_load(ledger, "SEX-2", &read, &found, NULL));
    assert_true(found && read.version == 2);
    assert_true(place_load(ledger, "A3-08", &read, &found, NULL));
    assert_false(found);
    assert_true(place_each(ledger, note_place, &text, NULL));
    assert_string_equal(list, "A3-07:shelf::by the door SEX-2:slot:SEXTANT: ");
}

static bool note_sticker(const struct sticker *sticker, void *context)
{
    builder_addf(context, "%s:%s:%s:%s ", sticker->id, sticker->supplier, sticker->pattern, sticker->example);
    return true;
}

static void sticker_patterns_come_back(void **state)
{
    struct ledger *ledger = begun(state);
    struct sticker one = {.id = "sticker-2",
                          .supplier = "N\xC3\xB6rd",
                          .pattern = "lot 1 of 9\n",
                          .example = "1\x1D"
                                     "2",
                          .version = 2},
                   other = {.id = "sticker-1",
                            .supplier = "South",
                            .pattern = "item 1 of 9",
                            .example = "3",
                            .version = 1},
                   read = {.version = 0};
    bool found = false;
    char list[160];
    struct builder text;
    builder_init(&text, list, sizeof list);
    assert_true(sticker_save(ledger, &one, NULL) && sticker_save(ledger, &other, NULL));
    assert_true(sticker_load(ledger, "sticker-2", &read, &found, NULL));
    assert_true(found && read.version == 2 && !read.forgotten);
    assert_string_equal(read.example, one.example);
    assert_true(sticker_load(ledger, "sticker-3", &read, &found, NULL));
    assert_false(found);
    assert_true(sticker_each(ledger, note_sticker, &text, NULL));
    assert_string_equal(list, "sticker-2:N\xC3\xB6rd:lot 1 of 9\n:1\x1D"
                              "2 sticker-1:South:item 1 of 9:3 ");
    other.forgotten = true;
    other.version = 3;
    builder_init(&text, list, sizeof list);
    assert_true(sticker_save(ledger, &other, NULL) && sticker_each(ledger, note_sticker, &text, NULL));
    assert_null(strstr(list, "sticker-1"));
    builder_init(&text, list, sizeof list);
    assert_true(sticker_each_row(ledger, note_sticker, &text, NULL));
    assert_non_null(strstr(list, "sticker-1"));
}

static bool note_machine(const struct machine *machine, void *context)
{
    builder_addf(context, "%s:%s:%d ", machine->code, machine->name, (int)machine->slots);
    return true;
}

static void machines_come_back(void **state)
{
    struct ledger *ledger = begun(state);
    const struct machine capstan = {.code = "CAPSTAN", .name = "Capstan", .slots = 1, .version = 1},
                         sextant = {.code = "SEXTANT", .name = "Sextant", .slots = 2, .version = 2};
    struct machine read = {.version = 0};
    bool found = false;
    char list[80];
    struct builder text;
    builder_init(&text, list, sizeof list);
    assert_true(machine_save(ledger, &sextant, NULL) && machine_save(ledger, &capstan, NULL));
    assert_true(machine_load(ledger, "SEXTANT", &read, &found, NULL));
    assert_true(found && read.slots == 2 && read.version == 2);
    assert_true(machine_load(ledger, "HALYARD", &read, &found, NULL));
    assert_false(found);
    assert_true(machine_each(ledger, note_machine, &text, NULL));
    assert_string_equal(list, "CAPSTAN:Capstan:1 SEXTANT:Sextant:2 ");
}

static bool note_person(const struct person *person, void *context)
{
    builder_addf(context, "%s:%s:%s ", person->serial, person->role, person->name);
    return true;
}

static void a_persons_name_is_the_erasable_text_and_goes_with_it(void **state)
{
    struct ledger *ledger = begun(state);
    struct person person = {.serial = "H0000015", .role = "technician", .name = "not stored", .version = 1}, read = {0};
    char text[TEXT_ID_SIZE], list[80];
    struct builder all;
    bool found = false;
    builder_init(&all, list, sizeof list);
    assert_true(ledger_text_put(ledger, "Ines", text, NULL));
    assert_true(person_save(ledger, &person, text, NULL));
    assert_true(person_load(ledger, "H0000015", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.name, "Ines");
    memcpy(person.role, "storekeeper", sizeof "storekeeper");
    person.version = 2;
    assert_true(person_save(ledger, &person, "", NULL)); /* "": the name stays */
    assert_true(person_each(ledger, note_person, &all, NULL));
    assert_string_equal(list, "H0000015:storekeeper:Ines ");
    memcpy(read.name, "kept", sizeof "kept");
    assert_true(person_load_row(ledger, &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.name, "kept");
    assert_true(ledger_text_erase(ledger, text, NULL));
    assert_true(person_load(ledger, "H0000015", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.name, "");
    assert_string_equal(read.role, "storekeeper");
}

static void a_name_too_long_for_the_screen_is_cut_at_a_character(void **state)
{
    struct ledger *ledger = begun(state);
    const struct person person = {.serial = "H0000015", .role = "technician", .version = 1};
    struct person read = {0};
    char text[TEXT_ID_SIZE], name[100] = "a";
    bool found = false;
    for (int i = 0; i < 40; i++)
        memcpy(name + 1 + (size_t)i * 2, "é", 3);
    assert_true(ledger_text_put(ledger, name, text, NULL));
    assert_true(person_save(ledger, &person, text, NULL));
    assert_true(person_load(ledger, "H0000015", &read, &found, NULL));
    assert_int_equal(strlen(read.name), NAME_SIZE - 2); /* 1 + 31 * 2; the 32nd é would need 65 */
    assert_true(text_is_utf8(span_of(read.name)));
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(every_field_of_an_item_comes_back),
        WITH_LEDGER(an_item_is_found_by_its_makers_codes),
        WITH_LEDGER(the_next_provisional_code_is_the_first_free_one),
        WITH_LEDGER(used_up_provisional_codes_are_told),
        WITH_LEDGER(items_are_listed_by_code_in_byte_order),
        WITH_LEDGER(lots_are_of_an_item),
        WITH_LEDGER(places_come_back),
        WITH_LEDGER(sticker_patterns_come_back),
        WITH_LEDGER(machines_come_back),
        WITH_LEDGER(a_persons_name_is_the_erasable_text_and_goes_with_it),
        WITH_LEDGER(a_name_too_long_for_the_screen_is_cut_at_a_character),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
