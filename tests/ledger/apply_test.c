#include "kiosk/ledger/apply.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/ledger/apply_room.h"

/* What each kind of movement does is our own rule; there is no published source beside it. */

static const char vat[] = APPLY_ROOM_VAT, cartridge[] = APPLY_ROOM_CARTRIDGE, person[] = APPLY_ROOM_PERSON;

static void a_receipt_makes_a_unit_and_its_lot(void **state)
{
    struct room *room = *state;
    const struct unit *unit = apply_room_unit(room, cartridge);
    assert_string_equal(unit->resin, "FLINT");
    assert_int_equal(unit->status, UNIT_IN);
    assert_string_equal(unit->place, "B2");
    assert_false(unit->labelled);
    assert_int_equal(unit->amount_ul, 1000000);
    assert_true(unit->minutes == MOVEMENT_NULL); /* a cartridge does not wear by light */
    assert_int_equal(unit->version, room->seq);
    assert_int_equal(apply_room_unit(room, vat)->minutes, 0);
    assert_string_equal(apply_room_unit(room, vat)->resin, "");
    const struct lot like = {.item = "FLINT", .lot = "RS24117B"};
    const struct lot *lot = memory_store_find(room->memory, MEMORY_LOTS, &like, NULL);
    assert_non_null(lot);
    assert_int_equal(lot->expires, 20679);
}

static void a_lot_expires_with_its_earliest_unit(void **state)
{
    struct room *room = *state;
    const struct lot like = {.item = "FLINT", .lot = "RS24117B"};
    const struct {
        int64_t expires, lot_expires;
    } cases[] = {{20700, 20679}, {MOVEMENT_NULL, 20679}, {20500, 20500}};
    for (size_t i = 0; i < 3; i++) {
        char serial[SERIAL_SIZE];
        long number = 100 + (long)i;
        while (!serial_write('C', number, serial))
            number += 10;
        struct movement m = apply_room_receipt(serial, "FLINT");
        SET(m.lot, "RS24117B");
        m.expires = cases[i].expires;
        apply_room_must(room, &m);
        const struct lot *lot = memory_store_find(room->memory, MEMORY_LOTS, &like, NULL);
        assert_int_equal(lot->expires, cases[i].lot_expires);
        assert_int_equal(lot->version, room->seq);
    }
}

static void a_receipt_that_cannot_be_is_refused(void **state)
{
    struct room *room = *state;
    char other[SERIAL_SIZE];
    assert_true(serial_write('C', 123, other) || serial_write('C', 124, other));
    struct movement m = apply_room_receipt(vat, "BIGVAT");
    apply_room_must_refuse(room, &m, "in the ledger already");
    m = apply_room_receipt(other, "NOITEM");
    apply_room_must_refuse(room, &m, "not in the catalogue");
    m = apply_room_receipt(other, "BIGVAT");
    apply_room_must_refuse(room, &m, "begin with V");
    m = apply_room_receipt(other, "FLINT");
    SET(m.place, "Z9");
    apply_room_must_refuse(room, &m, "place 'Z9' is not known");
    m = apply_room_receipt(other, "FLINT");
    SET(m.delivery, "d-9");
    apply_room_must_refuse(room, &m, "delivery 'd-9' is not known");
    m = apply_room_receipt(other, "FLINT");
    m.amount_ul = -1;
    apply_room_must_refuse(room, &m, "amount -1");
    m = apply_room_receipt(other, "FLINT");
    m.expires = INT64_C(1) << 40;
    apply_room_must_refuse(room, &m, "expiry date");
    m = apply_room_receipt(person, "FLINT");
    assert_false(apply_room_book(room, &m));
    assert_int_equal(memory_store_count(room->memory, MEMORY_UNITS), 2);
}

static void what_is_taken_on_may_be_unknown(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    assert_true(serial_write('V', 1234, serial));
    struct movement m = apply_room_movement(MOVEMENT_TAKE_ON, serial);
    SET(m.item, "BIGVAT");
    apply_room_must(room, &m);
    assert_true(apply_room_unit(room, serial)->minutes == MOVEMENT_NULL); /* unknown, not 0 */
    assert_string_equal(apply_room_unit(room, serial)->place, "");
    assert_true(serial_write('V', 132, serial));
    m = apply_room_movement(MOVEMENT_TAKE_ON, serial);
    SET(m.item, "BIGVAT");
    m.minutes = 4200;
    m.filled = 20000;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, serial)->minutes, 4200);
    assert_int_equal(apply_room_unit(room, serial)->filled, 20000);
}

static void a_unit_goes_out_and_comes_back_with_hours(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    SET(m.printer, "CAPSTAN");
    SET(m.job, "job-1");
    apply_room_must(room, &m);
    const struct unit *unit = apply_room_unit(room, vat);
    assert_int_equal(unit->status, UNIT_OUT);
    assert_string_equal(unit->holder, person);
    assert_string_equal(unit->printer, "CAPSTAN");
    assert_string_equal(unit->job, "job-1");
    assert_string_equal(unit->place, "");
    assert_int_equal(unit->out_since_ms, m.at.ms);

    m = apply_room_movement(MOVEMENT_CHECK_IN, vat);
    SET(m.place, "B2");
    SET(m.word, "fogged");
    m.minutes = 90;
    m.amount_ul = 500;
    apply_room_must(room, &m);
    unit = apply_room_unit(room, vat);
    assert_int_equal(unit->status, UNIT_IN);
    assert_string_equal(unit->place, "B2");
    assert_string_equal(unit->film, "fogged");
    assert_int_equal(unit->minutes, 90);
    assert_int_equal(unit->amount_ul, 500);
    assert_string_equal(unit->holder, "");
    assert_string_equal(unit->printer, "");
    assert_string_equal(unit->job, "");
    assert_true(unit->out_since_ms == MOVEMENT_NULL);
}

static void check_in_keeps_what_was_not_said_and_forgets_what_is_said_to_be_unknown(void **state)
{
    struct room *room = *state;
    static const struct {
        int64_t minutes, amount;
        const char *detail;
        int64_t minutes_after, amount_after;
    } steps[] = {
        {60, 700, "", 60, 700},
        {MOVEMENT_NULL, MOVEMENT_NULL, "", 60, 700},
        {30, MOVEMENT_NULL, "{\"amount_unknown\":1}", 90, MOVEMENT_NULL},
        {5, 650, "{\"minutes_unknown\":1}", MOVEMENT_NULL, 650},
        {5, MOVEMENT_NULL, "", MOVEMENT_NULL, 650}, /* unknown plus five is unknown */
    };
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
        apply_room_must(room, &m);
        m = apply_room_movement(MOVEMENT_CHECK_IN, vat);
        m.minutes = steps[i].minutes;
        m.amount_ul = steps[i].amount;
        SET(m.detail, steps[i].detail);
        apply_room_must(room, &m);
        assert_true(apply_room_unit(room, vat)->minutes == steps[i].minutes_after);
        assert_true(apply_room_unit(room, vat)->amount_ul == steps[i].amount_after);
    }
}

static void what_is_out_cannot_go_out_unless_it_was_taken(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    apply_room_must(room, &m);
    apply_room_must_refuse(room, &m, "is out, not in");
    m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    SET(m.word, "borrowed");
    apply_room_must_refuse(room, &m, "cannot say 'borrowed'");
    m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    SET(m.word, "taken");
    SET(m.person, "H000003Y");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, vat)->holder, "H000003Y");
    assert_int_equal(apply_room_unit(room, vat)->out_since_ms, m.at.ms);
}

static void what_is_in_cannot_come_in_unless_it_was_found(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_CHECK_IN, vat);
    SET(m.place, "B2");
    apply_room_must_refuse(room, &m, "is in, not out");
    SET(m.detail, "{\"as_found\":1}");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, vat)->place, "B2");
    m = apply_room_movement(MOVEMENT_CHECK_IN, vat);
    SET(m.word, "purple");
    apply_room_must_refuse(room, &m, "cannot say 'purple'");
}

static void put_away_moves_what_is_in(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_PUT_AWAY, vat);
    SET(m.place, "B2");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, vat)->place, "B2");
    m.place[0] = '\0';
    apply_room_must_refuse(room, &m, "without place");
    SET(m.place, "Z9");
    apply_room_must_refuse(room, &m, "'Z9' is not known");
    struct movement out = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    apply_room_must(room, &out);
    SET(m.place, "B2");
    apply_room_must_refuse(room, &m, "is out, not in");
    m = apply_room_movement(MOVEMENT_PUT_AWAY, "V999999X");
    SET(m.place, "B2");
    apply_room_must_refuse(room, &m, "is not known");
}

static void a_fill_puts_resin_into_a_vat(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_FILL, vat);
    apply_room_must_refuse(room, &m, "without resin");
    SET(m.item, "FLINT");
    SET(m.lot, "RS24117B");
    m.filled = 20498;
    m.expires = 20600;
    m.amount_ul = 400000;
    apply_room_must(room, &m);
    const struct unit *unit = apply_room_unit(room, vat);
    assert_string_equal(unit->item, "BIGVAT");
    assert_string_equal(unit->resin, "FLINT");
    assert_string_equal(unit->lot, "RS24117B");
    assert_int_equal(unit->filled, 20498);
    assert_int_equal(unit->expires, 20600);
    assert_int_equal(unit->amount_ul, 400000);
    SET(m.lot, "RS3");
    m.expires = MOVEMENT_NULL;
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, vat)->expires, 20600); /* not said: as before */
}

static void a_hold_has_a_reason_that_the_next_one_replaces(void **state)
{
    struct room *room = *state;
    struct movement release = apply_room_movement(MOVEMENT_RELEASE, vat), m = apply_room_movement(MOVEMENT_HOLD, vat);
    apply_room_must_refuse(room, &release, "not on hold");
    apply_room_must_refuse(room, &m, "without reason");
    SET(m.word, "damaged");
    apply_room_must(room, &m);
    SET(m.word, "recall");
    apply_room_must(room, &m);
    assert_string_equal(apply_room_unit(room, vat)->hold, "recall");
    apply_room_must(room, &release);
    assert_string_equal(apply_room_unit(room, vat)->hold, "");
}

static struct movement label(const char *serial, int64_t number, const char *state_word)
{
    struct movement m = apply_room_movement(MOVEMENT_PRINT, serial);
    m.pieces = number;
    SET(m.word, state_word);
    return m;
}

static void a_label_is_ordered_sent_printed_and_proved(void **state)
{
    struct room *room = *state;
    struct movement m = label(vat, 1, "sent");
    apply_room_must_refuse(room, &m, "was not ordered");
    m = label(vat, 2, "waiting");
    apply_room_must_refuse(room, &m, "the next is label 1");
    m = label(vat, 1, "waiting");
    SET(m.detail, "{\"template\":\"vat-case\"}");
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, vat)->prints, 1);
    assert_int_equal(apply_room_unit(room, vat)->version, room->seq);
    const int64_t ordered = room->seq;
    m = label(vat, 1, "sent");
    SET(m.detail, "{\"device\":\"labels\",\"device_job\":41}");
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, vat)->version, ordered); /* the unit itself did not change */
    m = label(vat, 1, "printed");
    apply_room_must(room, &m);
    assert_false(apply_room_unit(room, vat)->labelled); /* printed is what the printer claims */
    m = label(vat, 1, "proved");
    apply_room_must(room, &m);
    assert_true(apply_room_unit(room, vat)->labelled);
    struct print like = {.number = 1};
    SET(like.unit, vat);
    const struct print *print = memory_store_find(room->memory, MEMORY_PRINTS, &like, NULL);
    assert_non_null(print);
    assert_int_equal(print->state, PRINT_PROVED);
    assert_string_equal(print->label_template, "vat-case");
    assert_string_equal(print->device, "labels");
    assert_int_equal(print->device_job, 41);
    assert_int_equal(print->ordered_seq, ordered);
    m = label(vat, 1, "sent");
    assert_false(apply_room_book(room, &m)); /* proved is proved */
}

static void badges_and_places_have_labels_without_a_unit(void **state)
{
    struct room *room = *state;
    struct movement m = label(person, 1, "waiting");
    apply_room_must(room, &m);
    m = label(person, 1, "sent");
    apply_room_must(room, &m);
    movement_init(&m, MOVEMENT_PRINT);
    SET(m.place, "A1");
    SET(m.word, "waiting");
    m.pieces = 1;
    apply_room_must(room, &m);
    SET(m.unit, vat);
    apply_room_must_refuse(room, &m, "a unit's or a place's");
    m = label("V999999X", 1, "waiting");
    apply_room_must_refuse(room, &m, "is not known");
    m = label(vat, MOVEMENT_NULL, "waiting");
    apply_room_must_refuse(room, &m, "without its number");
}

static void a_job_starts_once_and_ends_once(void **state)
{
    struct room *room = *state;
    struct movement m;
    movement_init(&m, MOVEMENT_JOB_START);
    SET(m.job, "job-1");
    SET(m.printer, "CAPSTAN");
    apply_room_must_refuse(room, &m, "started before");
    SET(m.job, "job-2");
    SET(m.printer, "NOWHERE");
    apply_room_must_refuse(room, &m, "printer 'NOWHERE' is not known");
    movement_init(&m, MOVEMENT_JOB_END);
    SET(m.job, "job-1");
    m.minutes = 300;
    apply_room_must(room, &m);
    const struct job like = {.id = "job-1"};
    const struct job *job = memory_store_find(room->memory, MEMORY_JOBS, &like, NULL);
    assert_int_equal(job->ended_ms, m.at.ms);
    assert_int_equal(job->minutes, 300);
    assert_int_equal(job->need_ul, 250000);
    apply_room_must_refuse(room, &m, "does not run");
}

static void a_delivery_is_opened_and_closed(void **state)
{
    struct room *room = *state;
    struct movement m;
    movement_init(&m, MOVEMENT_DELIVERY_OPEN);
    SET(m.delivery, "d-1");
    SET(m.detail, "{\"supplier\":\"Tidewater\"}");
    apply_room_must(room, &m);
    const struct delivery like = {.id = "d-1"};
    const struct delivery *row = memory_store_find(room->memory, MEMORY_DELIVERIES, &like, NULL);
    assert_string_equal(row->supplier, "Tidewater");
    assert_true(row->open);
    apply_room_must_refuse(room, &m, "opened before");
    movement_init(&m, MOVEMENT_DELIVERY_CLOSE);
    SET(m.delivery, "d-1");
    apply_room_must(room, &m);
    apply_room_must_refuse(room, &m, "is not open");
}

static void a_question_is_its_own_number_until_it_is_settled(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_QUESTION, vat);
    const char *text = "";
    SET(m.word, "already-taken");
    SET(m.text, "ABCD");
    apply_room_must(room, &m);
    const struct question like = {.seq = room->seq};
    const struct question *row = memory_store_find(room->memory, MEMORY_QUESTIONS, &like, &text);
    assert_non_null(row);
    assert_true(row->open);
    assert_string_equal(text, "ABCD");
    movement_init(&m, MOVEMENT_SETTLEMENT);
    apply_room_must_refuse(room, &m, "is not open");
    m.refers = like.seq;
    apply_room_must(room, &m);
    row = memory_store_find(room->memory, MEMORY_QUESTIONS, &like, &text);
    assert_false(row->open);
    assert_string_equal(text, "ABCD"); /* its note stays */
    apply_room_must_refuse(room, &m, "is not open");
}

static void people_places_and_printers_are_entered_and_checked(void **state)
{
    struct room *room = *state;
    struct movement m = apply_room_movement(MOVEMENT_PERSON_ENTRY, vat);
    char badge[SERIAL_SIZE];
    assert_true(serial_write('H', 1, badge) || serial_write('H', 3, badge));
    SET(m.word, "technician");
    apply_room_must_refuse(room, &m, "a badge begins with H");
    m = apply_room_movement(MOVEMENT_PERSON_ENTRY, badge);
    SET(m.word, "king");
    apply_room_must_refuse(room, &m, "cannot say 'king'");
    SET(m.word, "storekeeper");
    apply_room_must(room, &m);
    movement_init(&m, MOVEMENT_PLACE_ENTRY);
    SET(m.place, "CAP-1");
    SET(m.word, "slot");
    apply_room_must_refuse(room, &m, "without its printer");
    SET(m.printer, "CAPSTAN");
    apply_room_must(room, &m);
    movement_init(&m, MOVEMENT_PRINTER_ENTRY);
    SET(m.printer, "HALYARD");
    apply_room_must_refuse(room, &m, "0 to 99 cartridges");
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, "FLINT");
    SET(m.detail, "{\"letter\":\"R\"}");
    apply_room_must_refuse(room, &m, "keeps it");
    movement_init(&m, MOVEMENT_CLOCK_CONFIRMED);
    apply_room_must(room, &m);
}

static void sticker_patterns_are_taught_once_and_forgotten_once(void **state)
{
    struct room *room = *state;
    struct sticker like = {.id = "sticker-9"};
    struct movement m;
    movement_init(&m, MOVEMENT_STICKER_ENTRY);
    SET(m.detail, "{\"example\":\"A1\",\"pattern\":\"lot 2 of 9 A\",\"supplier\":\"North\"}");
    apply_room_must_refuse(room, &m, "without its pattern's id");
    SET(m.word, "sticker-9");
    apply_room_must(room, &m);
    apply_room_must_refuse(room, &m, "was taught before");
    SET(m.detail, "{\"example\":\"A1\",\"pattern\":\"lot 2 of 9 A\"}");
    SET(m.word, "sticker-10");
    apply_room_must_refuse(room, &m, "without its supplier");
    const struct sticker *row = memory_store_find(room->memory, MEMORY_STICKERS, &like, NULL);
    assert_non_null(row);
    assert_string_equal(row->supplier, "North");
    movement_init(&m, MOVEMENT_STICKER_FORGET);
    SET(m.word, "sticker-10");
    apply_room_must_refuse(room, &m, "nothing to forget");
    SET(m.word, "sticker-9");
    apply_room_must(room, &m);
    row = memory_store_find(room->memory, MEMORY_STICKERS, &like, NULL);
    assert_true(row->forgotten);
    assert_string_equal(row->pattern, "lot 2 of 9 A");
    apply_room_must_refuse(room, &m, "nothing to forget");
}

static void a_correction_puts_the_row_back_in_full(void **state)
{
    struct room *room = *state;
    struct movement m = label(vat, 1, "waiting");
    apply_room_must(room, &m);
    const struct unit before = *apply_room_unit(room, vat);
    m = apply_room_movement(MOVEMENT_FILL, vat);
    SET(m.item, "FLINT");
    SET(m.lot, "RS24117B");
    m.amount_ul = 5;
    m.expires = 20600;
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_HOLD, vat);
    SET(m.word, "recall");
    apply_room_must(room, &m);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, vat);
    SET(m.printer, "CAPSTAN");
    apply_room_must(room, &m);
    struct unit out = *apply_room_unit(room, vat);
    const int64_t refers = room->seq;
    SET(out.reserved, "KQ-1042");
    SET(out.pair, "T0001238");
    out.reserved_until = 20601;
    out.due = 20602;
    out.stood_ms = 1771000000000;
    out.inspected_minutes = 60;
    out.surface_minutes = 120;

    assert_true(apply_write_correction(&(struct unit_state){.unit = before, .mix = ""}, refers, &m, &room->fault));
    apply_room_must(room, &m);
    struct unit expected = before;
    expected.version = room->seq;
    apply_room_assert_same(apply_room_unit(room, vat), &expected);

    assert_true(apply_write_correction(&(struct unit_state){.unit = out, .mix = ""}, refers, &m,
                                       &room->fault)); /* and forth again */
    apply_room_must(room, &m);
    expected = out;
    expected.version = room->seq;
    apply_room_assert_same(apply_room_unit(room, vat), &expected);
}

static void an_undone_receipt_leaves_a_void_unit_that_nobody_can_use(void **state)
{
    struct room *room = *state;
    struct unit before = *apply_room_unit(room, cartridge);
    struct movement m;
    before.status = UNIT_VOID;
    assert_true(apply_write_correction(&(struct unit_state){.unit = before, .mix = ""}, room->seq, &m, &room->fault));
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, cartridge)->status, UNIT_VOID);
    m = apply_room_movement(MOVEMENT_CHECK_OUT, cartridge);
    apply_room_must_refuse(room, &m, "was taken back");
    m = apply_room_receipt(cartridge, "FLINT");
    apply_room_must_refuse(room, &m, "in the ledger already");
    m = apply_room_movement(MOVEMENT_CHECK_OUT, cartridge);
    SET(m.word, "taken"); /* reality is never refused */
    apply_room_must(room, &m);
    assert_int_equal(apply_room_unit(room, cartridge)->status, UNIT_OUT);
}

static void a_correction_of_nothing_is_refused(void **state)
{
    struct room *room = *state;
    const struct unit before = *apply_room_unit(room, vat);
    struct movement m;
    assert_true(
        apply_write_correction(&(struct unit_state){.unit = before, .mix = ""}, room->seq + 1, &m, &room->fault));
    apply_room_must_refuse(room, &m, "which earlier movement");
    assert_true(apply_write_correction(&(struct unit_state){.unit = before, .mix = ""}, 1, &m, &room->fault));
    SET(m.detail, "{\"status\":\"melted\"}");
    apply_room_must_refuse(room, &m, "'melted'");
    SET(m.unit, "V999999X");
    apply_room_must_refuse(room, &m, "is not known");
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, apply_room_setup, apply_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(a_receipt_makes_a_unit_and_its_lot),
        TEST(a_lot_expires_with_its_earliest_unit),
        TEST(a_receipt_that_cannot_be_is_refused),
        TEST(what_is_taken_on_may_be_unknown),
        TEST(a_unit_goes_out_and_comes_back_with_hours),
        TEST(check_in_keeps_what_was_not_said_and_forgets_what_is_said_to_be_unknown),
        TEST(what_is_out_cannot_go_out_unless_it_was_taken),
        TEST(what_is_in_cannot_come_in_unless_it_was_found),
        TEST(put_away_moves_what_is_in),
        TEST(a_fill_puts_resin_into_a_vat),
        TEST(a_hold_has_a_reason_that_the_next_one_replaces),
        TEST(a_label_is_ordered_sent_printed_and_proved),
        TEST(badges_and_places_have_labels_without_a_unit),
        TEST(a_job_starts_once_and_ends_once),
        TEST(a_delivery_is_opened_and_closed),
        TEST(a_question_is_its_own_number_until_it_is_settled),
        TEST(sticker_patterns_are_taught_once_and_forgotten_once),
        TEST(people_places_and_printers_are_entered_and_checked),
        TEST(a_correction_puts_the_row_back_in_full),
        TEST(an_undone_receipt_leaves_a_void_unit_that_nobody_can_use),
        TEST(a_correction_of_nothing_is_refused),
    };
    return cmocka_run_group_tests_name("ledger/apply", tests, NULL, NULL);
}
