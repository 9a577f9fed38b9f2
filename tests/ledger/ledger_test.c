#include "kiosk/ledger/ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/basics/thread.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/movement_field.h"
#include "kiosk/ledger/movement_hash.h"
#include "labels/basics/text.h"
#include "tests/support/ledger_fixture.h"

/* GNU date 9.1: 2026-02-14T12:00:00Z, day 20498 */
static const int64_t NOON_MS = INT64_C(1771070400000);

static void must(bool fine, const struct fault *fault)
{
    if (!fine)
        fail_msg("%s", fault->text);
}

static void begin(struct ledger *ledger)
{
    struct fault fault = {0};
    must(ledger_begin(ledger, &fault), &fault);
    ledger_fixture_book_as(ledger, "act-00000001", "H0000015", NOON_MS);
}

static void commit(struct ledger *ledger)
{
    struct fault fault = {0};
    must(ledger_commit(ledger, &fault), &fault);
}

static struct movement machine_entry(const char *code)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PRINTER_ENTRY);
    movement.pieces = 1;
    assert_true(span_copy(span_of(code), movement.printer, sizeof movement.printer));
    return movement;
}

static bool book_machine(struct ledger *ledger, const char *code, struct fault *fault)
{
    struct movement movement = machine_entry(code);
    return ledger_book(ledger, &movement, fault);
}

static void must_book_machine(struct ledger *ledger, const char *code)
{
    struct fault fault = {0};
    must(book_machine(ledger, code, &fault), &fault);
}

static int64_t head_seq(struct ledger *ledger)
{
    int64_t seq = -1;
    uint8_t hash[HASH_BYTES];
    struct fault fault = {0};
    must(ledger_head(ledger, &seq, hash, &fault), &fault);
    return seq;
}

struct found {
    struct movement movement[8];
    int64_t count, stop_after;
};

static bool keep(const struct movement *movement, void *context)
{
    struct found *found = context;
    if (found->count < 8)
        found->movement[found->count] = *movement;
    return ++found->count != found->stop_after;
}

static void a_booked_movement_has_its_number_who_when_where_and_hash(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    static const uint8_t zeros[HASH_BYTES];
    struct movement movement = machine_entry("CAPSTAN");
    struct found found = {.count = 0};
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES], head[HASH_BYTES];
    int64_t seq = 0;
    begin(ledger);
    must(ledger_book(ledger, &movement, &fault), &fault);
    assert_int_equal(movement.seq, 1);
    assert_string_equal(movement.act, "act-00000001");
    assert_string_equal(movement.kiosk, "TEST");
    assert_string_equal(movement.person, "H0000015");
    assert_int_equal(movement.at.ms, NOON_MS);
    assert_int_equal(movement.local_day.number, 20498);
    assert_true(movement.trusted);
    movement_hash(zeros, &movement, hash); /* movement_hash.h: hash(0) = 32 zero bytes */
    assert_memory_equal(movement.hash, hash, HASH_BYTES);
    must(ledger_head(ledger, &seq, head, &fault), &fault);
    assert_int_equal(seq, 1);
    assert_memory_equal(head, hash, HASH_BYTES);
    commit(ledger);
    must(ledger_each(ledger, 0, 10, keep, &found, &fault), &fault);
    assert_int_equal(found.count, 1);
    for (int i = 0; i < MOVEMENT_FIELD_COUNT; i++) {
        const struct movement_field *field = &movement_fields[i];
        if (field->type == MOVEMENT_FIELD_TEXT || field->type == MOVEMENT_FIELD_DETAIL)
            assert_string_equal(movement_field_text(&found.movement[0], field), movement_field_text(&movement, field));
        else
            assert_memory_equal((char *)&found.movement[0] + field->offset, (char *)&movement + field->offset,
                                field->size);
    }
    assert_memory_equal(found.movement[0].hash, hash, HASH_BYTES);
}

static void numbers_are_dense_over_commits_reopening_and_refusals(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct movement unknown;
    struct fault fault = {0};
    begin(fixture->ledger);
    must_book_machine(fixture->ledger, "CAPSTAN");
    movement_init(&unknown, MOVEMENT_HOLD);
    memcpy(unknown.unit, "C000001X", sizeof "C000001X");
    memcpy(unknown.word, "damaged", sizeof "damaged");
    assert_false(ledger_book(fixture->ledger, &unknown, &fault)); /* no such unit */
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_int_equal(unknown.seq, 0); /* untouched */
    must_book_machine(fixture->ledger, "SEXTANT");
    commit(fixture->ledger);
    ledger_close(fixture->ledger);
    fixture->ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    begin(fixture->ledger);
    must_book_machine(fixture->ledger, "HALYARD");
    commit(fixture->ledger);
    struct found found = {.count = 0};
    must(ledger_each(fixture->ledger, 0, 10, keep, &found, &fault), &fault);
    assert_int_equal(found.count, 3);
    for (int i = 0; i < 3; i++) {
        uint8_t hash[HASH_BYTES];
        static const uint8_t zeros[HASH_BYTES];
        assert_int_equal(found.movement[i].seq, i + 1);
        movement_hash(i ? found.movement[i - 1].hash : zeros, &found.movement[i], hash);
        assert_memory_equal(found.movement[i].hash, hash, HASH_BYTES);
    }
}

static void a_rollback_takes_back_rows_and_numbers(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct machine machine = {.slots = 0};
    bool found = false;
    begin(ledger);
    must_book_machine(ledger, "CAPSTAN");
    ledger_rollback(ledger);
    assert_int_equal(head_seq(ledger), 0);
    assert_true(machine_load(ledger, "CAPSTAN", &machine, &found, NULL));
    assert_false(found);
    begin(ledger);
    must_book_machine(ledger, "SEXTANT");
    commit(ledger);
    assert_int_equal(head_seq(ledger), 1);
}

static void a_savepoint_takes_back_one_act_and_its_numbers(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct machine machine = {.slots = 0};
    struct fault fault = {0};
    bool found = true;
    begin(ledger);
    must(ledger_savepoint(ledger, &fault), &fault);
    must_book_machine(ledger, "CAPSTAN");
    must(ledger_release(ledger, &fault), &fault);
    must(ledger_savepoint(ledger, &fault), &fault);
    must_book_machine(ledger, "SEXTANT");
    must_book_machine(ledger, "HALYARD");
    assert_int_equal(head_seq(ledger), 3);
    ledger_rollback_to(ledger);
    assert_int_equal(head_seq(ledger), 1);
    must(ledger_savepoint(ledger, &fault), &fault);
    must_book_machine(ledger, "HALYARD");
    must(ledger_release(ledger, &fault), &fault);
    commit(ledger);
    assert_int_equal(head_seq(ledger), 2);
    must(machine_load(ledger, "SEXTANT", &machine, &found, &fault), &fault);
    assert_false(found);
}

static void an_act_that_failed_in_the_database_does_not_spoil_the_next(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    const struct act_row act = {.id = "act-00000001", .kind = "receive", .first_seq = 1, .last_seq = 1};
    struct fault fault = {0};
    begin(ledger);
    must(ledger_savepoint(ledger, &fault), &fault);
    must(act_row_store(ledger, &act, "{}", &fault), &fault);
    assert_false(act_row_store(ledger, &act, "{}", &fault));
    assert_int_equal(ledger_trouble(ledger), SQL_CONSTRAINT);
    assert_true(ledger_in_transaction(ledger));
    ledger_rollback_to(ledger);
    must(ledger_savepoint(ledger, &fault), &fault);
    must_book_machine(ledger, "CAPSTAN");
    must(ledger_release(ledger, &fault), &fault);
    commit(ledger);
    assert_int_equal(head_seq(ledger), 1);
}

static void readers_see_only_what_was_committed_and_one_state_at_a_time(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *reader = ledger_fixture_open(fixture, LEDGER_READER);
    struct fault fault = {0};
    begin(fixture->ledger);
    must_book_machine(fixture->ledger, "CAPSTAN");
    assert_int_equal(head_seq(reader), 0);
    commit(fixture->ledger);
    assert_int_equal(head_seq(reader), 1);
    must(ledger_begin(reader, &fault), &fault);
    assert_int_equal(head_seq(reader), 1);
    begin(fixture->ledger);
    must_book_machine(fixture->ledger, "SEXTANT");
    commit(fixture->ledger);
    assert_int_equal(head_seq(reader), 1);
    must(ledger_commit(reader, &fault), &fault);
    assert_int_equal(head_seq(reader), 2);
    assert_false(book_machine(reader, "HALYARD", &fault));
    ledger_close(reader);
}

static void a_reader_before_the_first_start_is_told_so(void **state)
{
    struct ledger_fixture *fixture = *state, fresh;
    struct ledger *reader = NULL;
    struct fault fault = {0};
    (void)fixture;
    ledger_fixture_create(&fresh);
    assert_false(ledger_open(fresh.address, LEDGER_READER, &reader, &fault));
    assert_int_equal(fault.code, FAULT_MISSING);
    assert_null(reader);
    ledger_fixture_destroy(&fresh);
}

static bool book_in_walk(const struct movement *movement, void *context)
{
    struct fault fault = {0};
    (void)movement;
    assert_false(book_machine(context, "SEXTANT", &fault));
    assert_non_null(strstr(fault.text, "while rows were being read"));
    return true;
}

static void booking_outside_a_transaction_or_inside_a_walk_is_refused(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    assert_false(book_machine(ledger, "CAPSTAN", &fault));
    assert_non_null(strstr(fault.text, "outside a transaction"));
    begin(ledger);
    must_book_machine(ledger, "CAPSTAN");
    must(ledger_each(ledger, 0, 10, book_in_walk, ledger, &fault), &fault);
    commit(ledger);
    assert_int_equal(head_seq(ledger), 1);
}

static void movements_are_read_in_order_in_pages_up_to_a_limit(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    begin(ledger);
    for (int i = 0; i < 1203; i++)
        must_book_machine(ledger, i % 2 ? "CAPSTAN" : "SEXTANT");
    commit(ledger);
    static const struct {
        int64_t after, limit, stop_after, count, first;
    } cases[] = {{0, INT64_MAX, 0, 1203, 1}, {0, 1000, 0, 1000, 1}, {700, 501, 0, 501, 701}, {1200, 10, 0, 3, 1201},
                 {1203, 10, 0, 0, 0},        {0, 0, 0, 0, 0},       {0, 1200, 500, 500, 1},  {0, 1200, 3, 3, 1}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct found found = {.stop_after = cases[i].stop_after};
        must(ledger_each(ledger, cases[i].after, cases[i].limit, keep, &found, &fault), &fault);
        assert_int_equal(found.count, cases[i].count);
        if (found.count > 0)
            assert_int_equal(found.movement[0].seq, cases[i].first);
    }
}

static void receive(struct ledger *ledger, char letter, const char *item, char serial[SERIAL_SIZE])
{
    struct movement movement;
    struct fault fault = {0};
    must(ledger_next_serial(ledger, letter, serial, &fault), &fault);
    movement_init(&movement, MOVEMENT_RECEIPT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    assert_true(span_copy(span_of(item), movement.item, sizeof movement.item));
    must(ledger_book(ledger, &movement, &fault), &fault);
}

static void enter_item(struct ledger *ledger, const char *code, char letter)
{
    struct item item = {.letter = letter,
                        .name = "Flint",
                        .content_ul = MOVEMENT_NULL,
                        .minimum_days = MOVEMENT_NULL,
                        .life_minutes = MOVEMENT_NULL};
    struct movement movement;
    struct fault fault = {0};
    movement_init(&movement, MOVEMENT_ITEM_ENTRY);
    assert_true(span_copy(span_of(code), movement.item, sizeof movement.item));
    must(item_write_detail(&item, movement.detail, &fault), &fault);
    must(ledger_book(ledger, &movement, &fault), &fault);
}

static void a_units_history_holds_what_names_it_first_or_second(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char vat[SERIAL_SIZE], cartridge[SERIAL_SIZE];
    struct movement movement;
    const struct act_row act = {.id = "act-00000001", .first_seq = 1, .last_seq = 5};
    struct found found = {.count = 0};
    struct fault fault = {0};
    begin(ledger);
    enter_item(ledger, "VAT", 'V');
    enter_item(ledger, "FLINT", 'C');
    receive(ledger, 'V', "VAT", vat);
    receive(ledger, 'C', "FLINT", cartridge);
    movement_init(&movement, MOVEMENT_FILL);
    memcpy(movement.unit, vat, SERIAL_SIZE);
    memcpy(movement.other, cartridge, SERIAL_SIZE);
    memcpy(movement.item, "FLINT", sizeof "FLINT");
    movement.amount_ul = 250000;
    must(ledger_book(ledger, &movement, &fault), &fault);
    must(act_row_store(ledger, &act, "{}", &fault), &fault);
    commit(ledger);
    must(ledger_each_of_unit(ledger, cartridge, 0, keep, &found, &fault), &fault);
    assert_int_equal(found.count, 2);
    assert_int_equal(found.movement[0].kind, MOVEMENT_RECEIPT);
    assert_int_equal(found.movement[1].kind, MOVEMENT_FILL);
    found.count = 0;
    must(ledger_each_of_unit(ledger, vat, found.movement[0].seq - 1, keep, &found, &fault), &fault);
    assert_int_equal(found.count, 1);
    found.count = 0;
    must(ledger_each_of_act(ledger, "act-00000001", keep, &found, &fault), &fault);
    assert_int_equal(found.count, 5);
    found.count = 0;
    must(ledger_each_of_act(ledger, "act-00000002", keep, &found, &fault), &fault);
    assert_int_equal(found.count, 0);
    bool there = false;
    must(ledger_last_of_unit(ledger, vat, MOVEMENT_RECEIPT, &movement, &there, &fault), &fault);
    assert_true(there && movement.kind == MOVEMENT_RECEIPT && strcmp(movement.unit, vat) == 0);
    must(ledger_last_of_unit(ledger, vat, MOVEMENT_CHECK_OUT, &movement, &there, &fault), &fault);
    assert_false(there);
}

static void import_books_movements_as_they_were(void **state)
{
    struct ledger_fixture *from = *state, to;
    struct found found = {.count = 0};
    struct fault fault = {0};
    char first[SERIAL_SIZE], next[SERIAL_SIZE], expected[SERIAL_SIZE];
    begin(from->ledger);
    enter_item(from->ledger, "FLINT", 'C');
    receive(from->ledger, 'C', "FLINT", first);
    must(ledger_next_serial(from->ledger, 'C', expected, &fault), &fault);
    commit(from->ledger);
    must(ledger_each(from->ledger, 0, 8, keep, &found, &fault), &fault);
    ledger_fixture_create(&to);
    to.ledger = ledger_fixture_open(&to, LEDGER_WRITER);
    must(ledger_begin(to.ledger, &fault), &fault);
    for (int i = 0; i < found.count; i++)
        must(ledger_book_as_is(to.ledger, &found.movement[i], &fault), &fault);
    must(ledger_next_serial(to.ledger, 'C', next, &fault), &fault);
    assert_string_equal(next, expected); /* not the first again */
    commit(to.ledger);
    int64_t seq[2];
    uint8_t hash[2][HASH_BYTES];
    must(ledger_head(from->ledger, &seq[0], hash[0], &fault) && ledger_head(to.ledger, &seq[1], hash[1], &fault),
         &fault);
    assert_int_equal(seq[0], seq[1]);
    assert_memory_equal(hash[0], hash[1], HASH_BYTES);
    ledger_fixture_destroy(&to);
}

static void import_refuses_a_changed_or_missing_movement(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct movement movement = machine_entry("CAPSTAN");
    static const uint8_t zeros[HASH_BYTES];
    struct fault fault = {0};
    begin(ledger);
    movement.seq = 2;
    movement_hash(zeros, &movement, movement.hash);
    assert_false(ledger_book_as_is(ledger, &movement, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_non_null(strstr(fault.text, "missing"));
    movement.seq = 1;
    movement_hash(zeros, &movement, movement.hash);
    movement.pieces = 2;
    assert_false(ledger_book_as_is(ledger, &movement, &fault));
    assert_non_null(strstr(fault.text, "changed"));
    movement.pieces = 1;
    must(ledger_book_as_is(ledger, &movement, &fault), &fault);
    commit(ledger);
    assert_int_equal(head_seq(ledger), 1);
}

static void a_text_is_found_by_the_digest_of_salt_and_text_until_erased(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char one[TEXT_ID_SIZE], two[TEXT_ID_SIZE], value[64] = "x";
    struct fault fault = {0};
    begin(ledger);
    must(ledger_text_put(ledger, "Inês", one, &fault) && ledger_text_put(ledger, "Inês", two, &fault), &fault);
    assert_int_equal(strspn(one, "0123456789abcdef"), 64);
    assert_string_not_equal(one, two); /* a fresh salt each */
    must(ledger_text_get(ledger, one, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "Inês");
    must(ledger_text_get(ledger, one, value, 4, &fault), &fault);
    assert_string_equal(value, "In"); /* ê would be cut in two */
    must(ledger_text_erase(ledger, one, &fault), &fault);
    must(ledger_text_get(ledger, one, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "");
    must(ledger_text_get(ledger, two, value, sizeof value, &fault), &fault);
    assert_string_equal(value, "Inês");
    must(ledger_text_get(ledger, "", value, sizeof value, &fault), &fault);
    assert_string_equal(value, "");
    assert_false(ledger_text_put(ledger, "", one, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    commit(ledger);
}

static void a_text_has_a_limit(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    char text[TEXT_VALUE_SIZE + 1], id[TEXT_ID_SIZE];
    struct fault fault = {0};
    memset(text, 'x', sizeof text);
    text[TEXT_VALUE_SIZE] = '\0';
    begin(ledger);
    assert_false(ledger_text_put(ledger, text, id, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    text[TEXT_VALUE_SIZE - 1] = '\0';
    must(ledger_text_put(ledger, text, id, &fault), &fault);
    commit(ledger);
}

struct texts {
    struct text_row row[4];
    int count;
};

static bool keep_text(const struct text_row *row, void *context)
{
    struct texts *texts = context;
    assert_true(texts->count < 4);
    texts->row[texts->count++] = *row;
    return true;
}

static void texts_move_to_another_ledger_with_salt_or_erased(void **state)
{
    struct ledger_fixture *from = *state, to;
    struct texts before = {.count = 0}, after = {.count = 0};
    char one[TEXT_ID_SIZE], two[TEXT_ID_SIZE];
    struct fault fault = {0};
    begin(from->ledger);
    must(ledger_text_put(from->ledger, "Ines", one, &fault) && ledger_text_put(from->ledger, "Ole", two, &fault),
         &fault);
    must(ledger_text_erase(from->ledger, two, &fault), &fault);
    must(ledger_text_each(from->ledger, keep_text, &before, &fault), &fault);
    assert_int_equal(before.count, 2);
    commit(from->ledger);
    ledger_fixture_create(&to);
    to.ledger = ledger_fixture_open(&to, LEDGER_WRITER);
    must(ledger_begin(to.ledger, &fault), &fault);
    for (int i = 0; i < 2; i++)
        must(ledger_text_put_as_is(to.ledger, &before.row[i], &fault), &fault);
    must(ledger_text_each(to.ledger, keep_text, &after, &fault), &fault);
    assert_int_equal(after.count, 2);
    for (int i = 0; i < 2; i++) {
        static const uint8_t zeros[TEXT_SALT_BYTES];
        assert_string_equal(after.row[i].id, before.row[i].id);
        assert_string_equal(after.row[i].value, strcmp(before.row[i].id, two) == 0 ? "" : "Ines");
        assert_int_equal(after.row[i].erased, strcmp(before.row[i].id, two) == 0);
        assert_memory_equal(after.row[i].salt, before.row[i].salt, TEXT_SALT_BYTES);
        assert_int_equal(memcmp(after.row[i].salt, zeros, TEXT_SALT_BYTES) == 0, after.row[i].erased);
    }
    struct text_row changed = before.row[strcmp(before.row[0].id, two) == 0 ? 1 : 0];
    memcpy(changed.value, "Inez", sizeof "Inez");
    assert_false(ledger_text_put_as_is(to.ledger, &changed, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    ledger_fixture_destroy(&to);
}

static void serials_count_up_and_skip_look_alikes(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    long before = 0;
    begin(ledger);
    for (int i = 0; i < 200; i++) {
        char serial[SERIAL_SIZE], letter = '\0';
        long number = 0;
        must(ledger_next_serial(ledger, 'V', serial, &fault), &fault);
        must(serial_read(span_of(serial), &letter, &number, &fault), &fault);
        assert_int_equal(letter, 'V');
        assert_null(strpbrk(serial + strlen(serial) - 1, "IO"));
        for (long skipped = before + 1; skipped < number; skipped++) {
            char unwritable[SERIAL_SIZE];
            assert_false(serial_write('V', skipped, unwritable));
        }
        assert_true(number > before);
        before = number;
    }
    char cartridge[SERIAL_SIZE], again[SERIAL_SIZE];
    must(ledger_next_serial(ledger, 'C', cartridge, &fault), &fault);
    assert_int_equal(strncmp(cartridge, "C00000", 6), 0); /* each letter counts for itself */
    ledger_rollback(ledger);
    begin(ledger);
    must(ledger_next_serial(ledger, 'C', again, &fault), &fault);
    assert_string_equal(cartridge, again); /* it was never handed out */
    commit(ledger);
    begin(ledger);
    must(ledger_next_serial(ledger, 'C', again, &fault), &fault);
    assert_string_not_equal(cartridge, again);
    assert_false(ledger_next_serial(ledger, 'I', again, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_false(ledger_next_serial(ledger, '\0', again, &fault));
    commit(ledger);
}

static void a_real_ledger_steps_over_the_demos_serials(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    char text[100], serial[SERIAL_SIZE];
    begin(ledger);
    (void)snprintf(text, sizeof text, "INSERT INTO serial_next (letter, next_number) VALUES ('C', %d)",
                   DEMO_NUMBER_FIRST);
    must(sql_exec(ledger_sql(ledger), text, &fault), &fault);
    must(ledger_next_serial(ledger, 'C', serial, &fault), &fault);
    assert_false(serial_is_demo(serial));
    assert_int_equal(strncmp(serial, "C10000", 6), 0); /* seven digits: 1000000 and on */
    (void)snprintf(text, sizeof text, "UPDATE serial_next SET next_number = %d WHERE letter = 'C'", SERIAL_NUMBER_MAX);
    must(sql_exec(ledger_sql(ledger), text, &fault), &fault);
    if (ledger_next_serial(ledger, 'C', serial, &fault)) /* the last one, unless its check character is I or O */
        assert_false(ledger_next_serial(ledger, 'C', serial, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    ledger_rollback(ledger);
}

static void a_demo_stays_a_demo_and_a_real_ledger_never_becomes_one(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct fault fault = {0};
    char serial[SERIAL_SIZE];
    assert_false(ledger_is_demo(fixture->ledger));
    must(ledger_set_demo(fixture->ledger, &fault), &fault);
    assert_true(ledger_is_demo(fixture->ledger));
    begin(fixture->ledger);
    must(ledger_next_serial(fixture->ledger, 'C', serial, &fault), &fault);
    assert_true(serial_is_demo(serial));
    must_book_machine(fixture->ledger, "CAPSTAN");
    commit(fixture->ledger);
    ledger_close(fixture->ledger);
    fixture->ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    assert_true(ledger_is_demo(fixture->ledger));
    must(ledger_set_demo(fixture->ledger, &fault), &fault);
    struct ledger_fixture real;
    ledger_fixture_create(&real);
    real.ledger = ledger_fixture_open(&real, LEDGER_WRITER);
    begin(real.ledger);
    must_book_machine(real.ledger, "CAPSTAN");
    assert_false(ledger_set_demo(real.ledger, &fault)); /* not committed, and yet not empty */
    commit(real.ledger);
    assert_false(ledger_set_demo(real.ledger, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_false(ledger_is_demo(real.ledger));
    ledger_fixture_destroy(&real);
}

static void a_checkpoint_waits_for_idleness_or_a_large_log(void **state)
{
    struct ledger *ledger = ((struct ledger_fixture *)*state)->ledger;
    struct fault fault = {0};
    begin(ledger);
    must_book_machine(ledger, "CAPSTAN");
    commit(ledger);
    const int64_t log = sql_log_bytes(ledger_sql(ledger));
    assert_int_equal(log > 0, !ledger_fixture_is_postgresql());
    must(ledger_checkpoint(ledger, false, &fault), &fault);
    assert_int_equal(sql_log_bytes(ledger_sql(ledger)), log);
    must(ledger_checkpoint(ledger, true, &fault), &fault);
    assert_int_equal(sql_log_bytes(ledger_sql(ledger)), 0);
}

/* ---- several kiosks: PostgreSQL alone ---- */

enum { KIOSKS = 3, ACTS = 25 };

static void work_at_a_counter(void *context)
{
    struct ledger *ledger = context;
    for (int i = 0; i < ACTS; i++) {
        struct movement movement = machine_entry("CAPSTAN");
        if (!ledger_begin(ledger, NULL))
            return;
        ledger_fixture_book_as(ledger, "act-00000001", "H0000015", NOON_MS);
        if (!ledger_book(ledger, &movement, NULL) || !ledger_commit(ledger, NULL))
            return;
    }
}

static void several_kiosks_make_one_dense_chain(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *ledgers[KIOSKS];
    struct thread *threads[KIOSKS];
    struct found found = {.count = 0};
    struct fault fault = {0};
    for (int i = 0; i < KIOSKS; i++)
        ledgers[i] = ledger_fixture_open(fixture, LEDGER_WRITER);
    for (int i = 0; i < KIOSKS; i++)
        must(thread_start("kiosk", work_at_a_counter, ledgers[i], &threads[i], &fault), &fault);
    for (int i = 0; i < KIOSKS; i++)
        thread_join(threads[i]);
    assert_int_equal(head_seq(fixture->ledger), KIOSKS * ACTS);
    must(ledger_each(fixture->ledger, 0, INT64_MAX, keep, &found, &fault), &fault);
    assert_int_equal(found.count, KIOSKS * ACTS);
    for (int i = 1; i < 8; i++) {
        uint8_t hash[HASH_BYTES];
        movement_hash(found.movement[i - 1].hash, &found.movement[i], hash);
        assert_memory_equal(found.movement[i].hash, hash, HASH_BYTES);
    }
    for (int i = 0; i < KIOSKS; i++)
        ledger_close(ledgers[i]);
}

static void a_kiosk_that_holds_the_head_keeps_the_others_waiting_not_for_ever(void **state)
{
    struct ledger_fixture *fixture = *state;
    struct ledger *other = ledger_fixture_open(fixture, LEDGER_WRITER);
    struct fault fault = {0};
    begin(fixture->ledger);
    must(sql_exec(ledger_sql(other), "SET lock_timeout = '50ms'", &fault), &fault);
    assert_false(ledger_begin(other, &fault));
    assert_int_equal(fault.code, FAULT_BUSY);
    assert_int_equal(ledger_trouble(other), SQL_BUSY);
    assert_false(ledger_in_transaction(other));
    commit(fixture->ledger);
    must(ledger_begin(other, &fault), &fault);
    ledger_close(other);
}

struct starting_kiosk {
    const struct ledger_fixture *fixture;
    struct ledger *ledger;
    struct fault fault;
};

static void start_kiosk(void *context)
{
    struct starting_kiosk *kiosk = context;
    (void)ledger_open(kiosk->fixture->address, LEDGER_WRITER, &kiosk->ledger, &kiosk->fault);
}

static void kiosks_that_start_together_make_the_tables_once(void **state)
{
    (void)state;
    for (int round = 0; round < 3; round++) {
        struct ledger_fixture fresh;
        ledger_fixture_create(&fresh);
        struct starting_kiosk kiosks[KIOSKS] = {{NULL}};
        struct thread *threads[KIOSKS] = {NULL};
        for (int i = 0; i < KIOSKS; i++) {
            kiosks[i].fixture = &fresh;
            assert_true(thread_start("kiosk", start_kiosk, &kiosks[i], &threads[i], NULL));
        }
        for (int i = 0; i < KIOSKS; i++)
            thread_join(threads[i]);
        for (int i = 0; i < KIOSKS; i++) {
            must(kiosks[i].ledger != NULL, &kiosks[i].fault);
            assert_int_equal(head_seq(kiosks[i].ledger), 0);
            ledger_close(kiosks[i].ledger);
        }
        ledger_fixture_destroy(&fresh);
    }
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(a_booked_movement_has_its_number_who_when_where_and_hash),
        WITH_LEDGER(numbers_are_dense_over_commits_reopening_and_refusals),
        WITH_LEDGER(a_rollback_takes_back_rows_and_numbers),
        WITH_LEDGER(a_savepoint_takes_back_one_act_and_its_numbers),
        WITH_LEDGER(an_act_that_failed_in_the_database_does_not_spoil_the_next),
        WITH_LEDGER(readers_see_only_what_was_committed_and_one_state_at_a_time),
        WITH_LEDGER(a_reader_before_the_first_start_is_told_so),
        WITH_LEDGER(booking_outside_a_transaction_or_inside_a_walk_is_refused),
        WITH_LEDGER(movements_are_read_in_order_in_pages_up_to_a_limit),
        WITH_LEDGER(a_units_history_holds_what_names_it_first_or_second),
        WITH_LEDGER(import_books_movements_as_they_were),
        WITH_LEDGER(import_refuses_a_changed_or_missing_movement),
        WITH_LEDGER(a_text_is_found_by_the_digest_of_salt_and_text_until_erased),
        WITH_LEDGER(a_text_has_a_limit),
        WITH_LEDGER(texts_move_to_another_ledger_with_salt_or_erased),
        WITH_LEDGER(serials_count_up_and_skip_look_alikes),
        WITH_LEDGER(a_real_ledger_steps_over_the_demos_serials),
        WITH_LEDGER(a_demo_stays_a_demo_and_a_real_ledger_never_becomes_one),
        WITH_LEDGER(a_checkpoint_waits_for_idleness_or_a_large_log),
    };
    const struct CMUnitTest postgresql[] = {
        WITH_LEDGER(several_kiosks_make_one_dense_chain),
        WITH_LEDGER(a_kiosk_that_holds_the_head_keeps_the_others_waiting_not_for_ever),
        WITH_LEDGER(kiosks_that_start_together_make_the_tables_once),
    };
    const int failed = cmocka_run_group_tests(tests, NULL, NULL);
    return failed + (ledger_fixture_is_postgresql() ? cmocka_run_group_tests(postgresql, NULL, NULL) : 0);
}
