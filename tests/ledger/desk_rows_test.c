#include "kiosk/ledger/desk_rows.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
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

static bool note_delivery(const struct delivery *row, void *context)
{
    builder_addf(context, "%s ", row->id);
    return true;
}

static void open_deliveries_are_listed_from_the_oldest(void **state)
{
    struct ledger *ledger = begun(state);
    struct delivery rows[] = {{.id = "D-1", .supplier = "Harbour Supply", .open = true, .opened_ms = 30, .version = 1},
                              {.id = "D-2", .supplier = "", .open = true, .opened_ms = 10, .version = 2},
                              {.id = "D-3", .supplier = "", .open = false, .opened_ms = 5, .version = 3}},
                    read = {.version = 0};
    char list[40];
    struct builder text;
    bool found = false;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_true(delivery_save(ledger, &rows[i], NULL));
    builder_init(&text, list, sizeof list);
    assert_true(delivery_each_open(ledger, note_delivery, &text, NULL));
    assert_string_equal(list, "D-2 D-1 ");
    assert_true(delivery_load(ledger, "D-1", &read, &found, NULL));
    assert_true(found && read.open && read.opened_ms == 30 && read.version == 1);
    assert_string_equal(read.supplier, "Harbour Supply");
    rows[0].open = false;
    rows[0].version = 4;
    assert_true(delivery_save(ledger, &rows[0], NULL));
    builder_init(&text, list, sizeof list);
    assert_true(delivery_each_open(ledger, note_delivery, &text, NULL));
    assert_string_equal(list, "D-2 ");
    builder_init(&text, list, sizeof list);
    assert_true(delivery_each(ledger, note_delivery, &text, NULL));
    assert_string_equal(list, "D-1 D-2 D-3 ");
    assert_true(delivery_load(ledger, "D-9", &read, &found, NULL));
    assert_false(found);
}

static bool count_job(const struct job *row, void *context)
{
    (void)row;
    ++*(int *)context;
    return true;
}

static void the_running_job_of_a_machine_is_the_one_started_last(void **state)
{
    struct ledger *ledger = begun(state);
    struct job first = {.id = "job-1",
                        .machine = "CAPSTAN",
                        .person = "H0000015",
                        .started_ms = 10,
                        .ended_ms = MOVEMENT_NULL,
                        .need_ul = 250000,
                        .end_day = 20500,
                        .minutes = MOVEMENT_NULL,
                        .version = 1},
               second = first, other = first, read = {.version = 0};
    bool found = false;
    int count = 0;
    memcpy(second.id, "job-2", sizeof "job-2");
    second.started_ms = 20;
    memcpy(other.id, "job-3", sizeof "job-3");
    memcpy(other.machine, "SEXTANT", sizeof "SEXTANT");
    assert_true(job_save(ledger, &first, NULL) && job_save(ledger, &second, NULL) && job_save(ledger, &other, NULL));
    assert_true(job_load_running(ledger, "CAPSTAN", &read, &found, NULL));
    assert_true(found);
    assert_string_equal(read.id, "job-2");
    second.ended_ms = 30;
    second.minutes = 600;
    second.version = 2;
    assert_true(job_save(ledger, &second, NULL));
    assert_true(job_load_running(ledger, "CAPSTAN", &read, &found, NULL));
    assert_string_equal(read.id, "job-1");
    assert_string_equal(read.person, "H0000015");
    assert_true(read.need_ul == 250000 && read.end_day == 20500 && read.ended_ms == MOVEMENT_NULL);
    assert_true(job_load(ledger, "job-2", &read, &found, NULL));
    assert_true(found && read.ended_ms == 30 && read.minutes == 600);
    assert_true(job_load_running(ledger, "HALYARD", &read, &found, NULL));
    assert_false(found);
    assert_true(job_each(ledger, count_job, &count, NULL));
    assert_int_equal(count, 3);
}

static bool note_print(const struct print *row, void *context)
{
    builder_addf(context, "%s%s#%d:%s ", row->unit, row->place, (int)row->number, print_state_word(row->state));
    return true;
}

static void prints_are_listed_as_they_are_to_be_printed(void **state)
{
    struct ledger *ledger = begun(state);
    const struct print rows[] = {
        {.unit = "C000003T",
         .number = 1,
         .state = PRINT_WAITING,
         .label_template = "cartridge",
         .device_job = MOVEMENT_NULL,
         .ordered_seq = 12,
         .ordered_ms = 12000,
         .batch = "act-6",
         .rank = 12,
         .version = 12},
        {.unit = "C000001X",
         .number = 2,
         .state = PRINT_WAITING,
         .label_template = "cartridge",
         .device = "label",
         .device_job = 77,
         .ordered_seq = 14,
         .ordered_ms = 14000,
         .batch = "act-7",
         .rank = -16,
         .version = 14},
        {.unit = "C000001X",
         .number = 1,
         .state = PRINT_FAILED,
         .label_template = "cartridge",
         .device_job = 76,
         .ordered_seq = 11,
         .ordered_ms = 11000,
         .batch = "act-5",
         .rank = 11,
         .version = 13},
        {.place = "A3-07",
         .number = 1,
         .state = PRINT_WAITING,
         .label_template = "place",
         .device_job = MOVEMENT_NULL,
         .ordered_seq = 10,
         .ordered_ms = 10000,
         .batch = "act-5",
         .rank = 10,
         .version = 10},
    };
    char list[200];
    struct builder text;
    struct print read = {.version = 0};
    bool found = false;
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++)
        assert_true(print_save(ledger, &rows[i], NULL));
    builder_init(&text, list, sizeof list);
    assert_true(print_each_in_state(ledger, PRINT_WAITING, 10, note_print, &text, NULL));
    assert_string_equal(list, "C000001X#2:waiting A3-07#1:waiting C000003T#1:waiting ");
    builder_init(&text, list, sizeof list);
    assert_true(print_each_in_state(ledger, PRINT_WAITING, 1, note_print, &text, NULL));
    assert_string_equal(list, "C000001X#2:waiting ");
    builder_init(&text, list, sizeof list);
    assert_true(print_each_of_unit(ledger, "C000001X", note_print, &text, NULL));
    assert_string_equal(list, "C000001X#1:failed C000001X#2:waiting ");
    builder_init(&text, list, sizeof list);
    assert_true(print_each(ledger, note_print, &text, NULL));
    assert_string_equal(list, "A3-07#1:waiting C000001X#1:failed C000001X#2:waiting C000003T#1:waiting ");
    assert_true(print_load(ledger, "C000001X", "", 2, &read, &found, NULL));
    assert_true(found && read.device_job == 77 && read.ordered_seq == 14 && read.version == 14);
    assert_string_equal(read.device, "label");
    assert_string_equal(read.label_template, "cartridge");
    assert_true(print_load(ledger, "", "A3-07", 1, &read, &found, NULL));
    assert_true(found && read.device_job == MOVEMENT_NULL);
    assert_true(print_load(ledger, "C000001X", "", 3, &read, &found, NULL));
    assert_false(found);
}

static bool note_question(const struct question *row, void *context)
{
    builder_addf(context, "%d:%s:%s ", (int)row->seq, row->code, row->note);
    return true;
}

static void open_questions_carry_their_notes(void **state)
{
    struct ledger *ledger = begun(state);
    struct question rows[] = {
        {.seq = 5,
         .code = "already-taken",
         .unit = "V000001K",
         .person = "H0000015",
         .open = true,
         .opened_ms = 9,
         .version = 5},
        {.seq = 9, .code = "count", .open = true, .opened_ms = 10, .version = 9},
    };
    struct question read = {.version = 0};
    char text[TEXT_ID_SIZE], list[200];
    struct builder all;
    bool found = false;
    assert_true(ledger_text_put(ledger, "the film looks fogged", text, NULL));
    assert_true(question_save(ledger, &rows[1], "", NULL) && question_save(ledger, &rows[0], text, NULL));
    builder_init(&all, list, sizeof list);
    assert_true(question_each_open(ledger, 10, note_question, &all, NULL));
    assert_string_equal(list, "5:already-taken:the film looks fogged 9:count: ");
    builder_init(&all, list, sizeof list);
    assert_true(question_each_open(ledger, 1, note_question, &all, NULL));
    assert_string_equal(list, "5:already-taken:the film looks fogged ");
    rows[0].open = false;
    rows[0].version = 12;
    assert_true(question_save(ledger, &rows[0], "", NULL)); /* "": the note stays */
    assert_true(question_load(ledger, 5, &read, &found, NULL));
    assert_true(found && !read.open && read.version == 12 && read.opened_ms == 9);
    assert_string_equal(read.note, "the film looks fogged");
    assert_string_equal(read.unit, "V000001K");
    assert_string_equal(read.person, "H0000015");
    builder_init(&all, list, sizeof list);
    assert_true(question_each_open(ledger, 10, note_question, &all, NULL));
    assert_string_equal(list, "9:count: ");
    assert_true(question_load(ledger, 6, &read, &found, NULL));
    assert_false(found);
}

static void a_session_is_kept_and_replaced(void **state)
{
    struct ledger *ledger = begun(state);
    char read[64] = "x";
    assert_true(session_load(ledger, "front", read, sizeof read, NULL));
    assert_string_equal(read, "");
    assert_true(session_store(ledger, "front", "{\"who\":\"H0000015\"}", NULL));
    assert_true(session_store(ledger, "back", "{}", NULL));
    assert_true(session_load(ledger, "front", read, sizeof read, NULL));
    assert_string_equal(read, "{\"who\":\"H0000015\"}");
    assert_true(session_store(ledger, "front", "", NULL));
    assert_true(session_load(ledger, "front", read, sizeof read, NULL));
    assert_string_equal(read, "");
}

static void the_longest_session_fits_and_a_longer_one_is_refused(void **state)
{
    struct ledger *ledger = begun(state);
    struct fault fault = {0};
    char small[8] = "kept";
    char *text = malloc(SESSION_STATE_SIZE + 1), *read = malloc(SESSION_STATE_SIZE);
    assert_non_null(text);
    assert_non_null(read);
    memset(text, 'x', SESSION_STATE_SIZE);
    text[SESSION_STATE_SIZE] = '\0';
    assert_false(session_store(ledger, "front", text, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    text[SESSION_STATE_SIZE - 1] = '\0';
    assert_true(session_store(ledger, "front", text, NULL));
    assert_true(session_load(ledger, "front", read, SESSION_STATE_SIZE, NULL));
    assert_string_equal(read, text);
    assert_false(session_load(ledger, "front", small, sizeof small, &fault)); /* never half a JSON text */
    assert_int_equal(fault.code, FAULT_STORAGE);
    assert_string_equal(small, "kept");
    free(read);
    free(text);
}

#define WITH_LEDGER(test) cmocka_unit_test_setup_teardown(test, ledger_fixture_setup_open, ledger_fixture_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        WITH_LEDGER(open_deliveries_are_listed_from_the_oldest),
        WITH_LEDGER(the_running_job_of_a_machine_is_the_one_started_last),
        WITH_LEDGER(prints_are_listed_as_they_are_to_be_printed),
        WITH_LEDGER(open_questions_carry_their_notes),
        WITH_LEDGER(a_session_is_kept_and_replaced),
        WITH_LEDGER(the_longest_session_fits_and_a_longer_one_is_refused),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
