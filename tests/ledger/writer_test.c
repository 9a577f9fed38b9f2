#include "kiosk/ledger/writer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <pthread.h>

#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/writer_room.h"

enum { SECOND_MS = 1000 };

static void an_act_is_booked_and_answered_and_the_feed_wakes(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct fault fault;
    writer_room_must_start(room);
    const struct act act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "{\"at_ms\":1771061400000,\"place\":\"A1\"}");
    assert_int_equal(feed_last_seq(room->feed), 1);
    assert_int_equal(writer_room_movements(room), 1);
    assert_true(writer_room_has_place(room, "A1"));
    struct ledger *ledger = ledger_fixture_open(room->fixture, LEDGER_READER);
    struct act_row row;
    bool found = false;
    assert_true(act_row_find(ledger, "act-00000001", &row, NULL, &found, &fault));
    assert_true(found);
    assert_int_equal(row.first_seq, 1);
    assert_int_equal(row.last_seq, 1);
    ledger_close(ledger);
}

enum { THREADS = 8, ACTS_EACH = 25 };

struct sender {
    struct room *room;
    struct told *told;
    int number;
};

static void *send_acts(void *context)
{
    const struct sender *sender = context;
    for (int i = 0; i < ACTS_EACH; i++) {
        char id[ACT_ID_SIZE], place[PLACE_SIZE];
        struct fault fault = {0};
        snprintf(id, sizeof id, "act-%d-%06d", sender->number, i);
        snprintf(place, sizeof place, "P-%d-%d", sender->number, i);
        const struct act act = writer_room_act(id, "add-place", place);
        if (!writer_submit(sender->room->writer, &act, told_tell, sender->told, &fault))
            abort();
    }
    return NULL;
}

static int compare_ids(const void *one, const void *two)
{
    return strcmp(one, two);
}

static void two_hundred_acts_of_eight_threads_share_commits_and_are_each_answered_once(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    struct sender senders[THREADS];
    pthread_t threads[THREADS];
    struct writer_counts counts;
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (int i = 0; i < THREADS; i++) {
        senders[i] = (struct sender){room, told, i};
        assert_int_equal(pthread_create(&threads[i], NULL, send_acts, &senders[i]), 0);
    }
    for (int i = 0; i < THREADS; i++)
        pthread_join(threads[i], NULL);
    writer_room_open_gate(room);
    told_wait(told, THREADS * ACTS_EACH + 1);
    assert_int_equal(told->answered, THREADS * ACTS_EACH);
    qsort(told->ids, (size_t)told->count, ACT_ID_SIZE, compare_ids);
    for (int i = 1; i < told->count; i++)
        assert_string_not_equal(told->ids[i - 1], told->ids[i]);
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.acts, THREADS * ACTS_EACH + 1);
    /* 200 acts that wait make 64 + 64 + 64 + 8; the gate's own group stores nothing and is not committed */
    assert_int_equal(counts.groups, 4);
    assert_int_equal(counts.refused, 1);
    assert_int_equal(writer_room_movements(room), THREADS * ACTS_EACH);
    assert_int_equal(feed_last_seq(room->feed), THREADS * ACTS_EACH);
    told_destroy(told);
}

static void run_as_one_group(struct room *room, const struct act *acts, int count, struct told *told)
{
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (int i = 0; i < count; i++)
        assert_true(writer_submit(room->writer, &acts[i], told_tell, told, NULL));
    writer_room_open_gate(room);
    told_wait(told, count + 1); /* the gate is told too */
}

static void a_refused_act_rolls_back_alone(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    struct writer_counts counts;
    const struct act acts[] = {
        writer_room_act("act-00000001", "add-place", "A1"), writer_room_act("act-00000002", "midway", "A2"),
        writer_room_act("act-00000003", "second", "A3"), writer_room_act("act-00000004", "add-place", "A4")};
    run_as_one_group(room, acts, 4, told);
    assert_int_equal(told->answered, 2);
    assert_int_equal(told->refused, 3);
    assert_true(writer_room_has_place(room, "A1"));
    assert_false(writer_room_has_place(room, "A2"));
    assert_false(writer_room_has_place(room, "A3"));
    assert_true(writer_room_has_place(room, "A4"));
    assert_int_equal(writer_room_movements(room), 2); /* numbers are dense: the refused ones took none */
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.groups, 1);
    writer_room_stop(room);
    writer_room_verify(room);
    told_destroy(told);
}

/* Only one that had written makes its group run again. */
static void an_act_refused_before_it_wrote_costs_the_group_nothing(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    struct writer_counts counts;
    const struct act acts[] = {
        writer_room_act("act-00000001", "add-place", "A1"), writer_room_act("act-00000002", "refuse", "A2"),
        writer_room_act("act-00000003", "add-place", "A3"), writer_room_act("act-00000004", "refuse", "A4")};
    run_as_one_group(room, acts, 4, told);
    assert_int_equal(told->answered, 2);
    assert_int_equal(told->refused, 3);
    assert_int_equal(room->desk.calls, 2);
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.groups, 1);
    writer_room_stop(room);
    writer_room_verify(room);
    told_destroy(told);
}

static void a_refused_act_is_not_remembered_and_may_come_again(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct fault fault;
    writer_room_must_start(room);
    struct act act = writer_room_act("act-00000001", "midway", "A1");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_string_equal(fault.text, "not today");
    act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
}

static void a_repeat_gets_the_stored_answer_and_books_nothing(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct writer_counts counts;
    struct fault fault;
    char first[256];
    writer_room_must_start(room);
    struct act act = writer_room_act("act-00000001", "add-place", "A1");
    snprintf(first, sizeof first, "%s", writer_room_run(room, &act, text, &fault));
    clock_drive(room->clock, 60000);
    act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_equal(writer_room_run(room, &act, text, &fault), first);
    writer_room_stop(room);
    writer_room_must_start(room); /* also after a restart */
    act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_equal(writer_room_run(room, &act, text, &fault), first);
    assert_int_equal(room->desk.calls, 1);
    assert_int_equal(writer_room_movements(room), 1);
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.repeated, 1);
}

static void a_repeat_after_the_answer_was_forgotten_books_nothing_and_says_when_it_was_done(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct fault fault = {0};
    const struct act act = writer_room_act("act-00000001", "add-place", "A1");
    writer_room_must_start(room);
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    writer_room_stop(room);
    struct ledger *ledger = ledger_fixture_open(room->fixture, LEDGER_WRITER);
    int64_t forgotten = 0;
    assert_true(ledger_begin(ledger, &fault) &&
                act_row_forget_answers(ledger, INT64_C(4000000000000), 0, &forgotten, &fault) &&
                ledger_commit(ledger, &fault));
    assert_int_equal(forgotten, 1);
    ledger_close(ledger);
    writer_room_must_start(room);
    const int64_t movements = writer_room_movements(room);
    const struct act again = writer_room_act("act-00000001", "add-place", "A1");
    assert_non_null(strstr(writer_room_run(room, &again, text, &fault), "This was done on 2026-02-14"));
    assert_int_equal(writer_room_movements(room), movements);
    const struct act other = writer_room_act("act-00000001", "add-place", "A2");
    assert_string_equal(writer_room_run(room, &other, text, &fault), "");
    assert_int_equal(fault.code, FAULT_CONFLICT);
}

static void the_same_id_with_other_content_is_a_conflict(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct fault fault;
    writer_room_must_start(room);
    struct act act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    act = writer_room_act("act-00000001", "add-place", "A2");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_non_null(strstr(fault.text, "act 'act-00000001' was already done with other content"));
    act = writer_room_act("act-00000001", "add-place", "A1");
    assert_true(span_copy(span_of("desk-2"), act.counter, sizeof act.counter)); /* another counter is another act */
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_int_equal(fault.code, FAULT_CONFLICT);
    assert_int_equal(writer_room_movements(room), 1);
}

static void a_repeat_inside_one_group_is_a_repeat(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    const struct act acts[] = {writer_room_act("act-00000001", "add-place", "A1"),
                               writer_room_act("act-00000001", "add-place", "A1"),
                               writer_room_act("act-00000001", "add-place", "A2")};
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (size_t i = 0; i < 3; i++)
        assert_true(writer_submit(room->writer, &acts[i], told_tell, told, NULL));
    writer_room_open_gate(room);
    told_wait(told, 4);
    assert_int_equal(told->answered, 2);
    assert_int_equal(told->repeated, 1);
    assert_int_equal(told->conflicts, 1);
    assert_int_equal(writer_room_movements(room), 1);
    told_destroy(told);
}

static void an_act_that_books_nothing_is_remembered_too(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct writer_counts counts;
    struct fault fault;
    writer_room_must_start(room);
    struct act act = writer_room_act("act-00000001", "read", "-");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "{\"verdict\":\"go\"}");
    act = writer_room_act("act-00000001", "read", "-");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "{\"verdict\":\"go\"}");
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.repeated, 1);
    assert_int_equal(feed_last_seq(room->feed), 0);
}

static void destroying_finishes_what_is_queued(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (int i = 0; i < 100; i++) {
        char id[ACT_ID_SIZE], place[PLACE_SIZE];
        snprintf(id, sizeof id, "act-%08d", i);
        snprintf(place, sizeof place, "P-%d", i);
        const struct act act = writer_room_act(id, "add-place", place);
        assert_true(writer_submit(room->writer, &act, told_tell, told, NULL));
    }
    writer_room_open_gate(room);
    writer_room_stop(room);
    assert_int_equal(told->count, 101); /* all were told before destroy returned */
    assert_int_equal(told->answered, 100);
    assert_int_equal(writer_room_movements(room), 100);
    told_destroy(told);
}

static void count_done(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                       const struct fault *fault)
{
    (void)id, (void)answer, (void)last_seq, (void)repeated, (void)fault;
    (*(int *)context)++; /* writer thread only; read after writer_destroy */
}

static void a_full_queue_says_busy_and_keeps_nothing(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    struct fault fault = {0};
    int done = 0, taken = 0;
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (int i = 0; i < WRITER_QUEUE + 1; i++) {
        char id[ACT_ID_SIZE];
        snprintf(id, sizeof id, "act-%08d", i);
        const struct act act = writer_room_act(id, "read", "-");
        if (!writer_submit(room->writer, &act, count_done, &done, &fault))
            break;
        taken++;
    }
    assert_int_equal(taken, WRITER_QUEUE);
    assert_int_equal(fault.code, FAULT_BUSY);
    writer_room_open_gate(room);
    writer_room_stop(room);
    assert_int_equal(done, WRITER_QUEUE);
    told_destroy(told);
}

static void a_malformed_act_is_refused_before_it_is_queued(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    writer_room_must_start(room);
    struct act acts[] = {
        writer_room_act("short", "add-place", "A1"),        writer_room_act("act 00000001", "add-place", "A1"),
        writer_room_act("act-00000001", "teleport", "A1"),  writer_room_act("act-00000001", "add-place", "A1"),
        writer_room_act("act-00000001", "add-place", "A1"), writer_room_act("act-00000001", "add-place", "A1"),
        writer_room_act("act-00000001", "add-place", "A1"), writer_room_act("act-00000001", "add-place", "A1")};
    static const char *const says[] = {"an act's id", "an act's id",           "'teleport'", "version 2", "badge",
                                       "badge",       "must be a JSON object", "before 1970"};
    acts[3].version = 2;
    assert_true(span_copy(span_of("V0001236"), acts[4].person, sizeof acts[4].person)); /* a vat is nobody */
    assert_true(span_copy(span_of("nobody"), acts[5].person, sizeof acts[5].person));
    json_decref(acts[6].content);
    acts[6].content = json_array();
    acts[7].happened_at.ms = -1;
    for (size_t i = 0; i < sizeof acts / sizeof *acts; i++) {
        struct fault fault;
        assert_string_equal(writer_room_run(room, &acts[i], text, &fault), "");
        assert_int_equal(fault.code, FAULT_INPUT);
        if (!strstr(fault.text, says[i]))
            fail_msg("%s: '%s'", says[i], fault.text);
    }
    assert_int_equal(writer_room_movements(room), 0);
}

static bool keep(const struct movement *movement, void *context)
{
    *(struct movement *)context = *movement;
    return true;
}

static void an_act_is_booked_when_it_happened_unless_that_is_to_come(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    const int64_t day_ms = INT64_C(24) * 3600 * 1000;
    struct movement movement;
    struct fault fault;
    writer_room_must_start(room);
    struct act act = writer_room_act("act-00000001", "add-place", "A1");
    act.happened_at.ms = WRITER_ROOM_START_MS - day_ms; /* a script that was off line */
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    struct ledger *ledger = ledger_fixture_open(room->fixture, LEDGER_READER);
    assert_true(ledger_each(ledger, 0, 1, keep, &movement, &fault));
    ledger_close(ledger);
    assert_int_equal(movement.at.ms, WRITER_ROOM_START_MS - day_ms);
    assert_int_equal(movement.local_day.number,
                     (WRITER_ROOM_START_MS - day_ms) / day_ms); /* the driven clock's zone is UTC */
    assert_string_equal(movement.kiosk, "kiosk-1");
    assert_string_equal(movement.act, "act-00000001");
    act = writer_room_act("act-00000002", "add-place", "A2");
    act.happened_at.ms = WRITER_ROOM_START_MS + 5 * 60 * 1000; /* the boundary itself is taken: clocks differ */
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    act = writer_room_act("act-00000003", "add-place", "A3");
    act.happened_at.ms = WRITER_ROOM_START_MS + 5 * 60 * 1000 + 1;
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_int_equal(fault.code, FAULT_INPUT);
    assert_int_equal(writer_room_movements(room), 2);
}

static void a_clock_before_the_last_movement_is_not_trusted(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct fault fault;
    writer_room_must_start(room);
    const struct act act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    writer_room_stop(room);
    assert_true(clock_now(room->clock).trusted);
    clock_set_wall(room->clock, (struct instant){WRITER_ROOM_START_MS - SECOND_MS}, true);
    writer_room_must_start(room);
    assert_false(clock_now(room->clock).trusted);
    assert_int_equal(feed_last_seq(room->feed), 1);
    clock_confirm(room->clock);
    assert_true(clock_now(room->clock).trusted);
}

static void a_demo_ledger_is_never_opened_as_a_real_one_nor_the_other_way(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE];
    struct ledger_fixture *first = room->fixture, real;
    struct fault fault = {0};
    assert_true(writer_room_start(room, true, &fault));
    writer_room_stop(room);
    struct ledger *ledger = ledger_fixture_open(first, LEDGER_READER);
    assert_true(ledger_is_demo(ledger));
    ledger_close(ledger);
    assert_false(writer_room_start(room, false, &fault));
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_non_null(strstr(fault.text, "demo's ledger"));
    assert_true(writer_room_start(room, true, &fault)); /* the failed start left nothing locked */
    writer_room_stop(room);

    ledger_fixture_create(&real);
    room->fixture = &real;
    writer_room_must_start(room);
    const struct act act = writer_room_act("act-00000001", "add-place", "A1");
    assert_string_not_equal(writer_room_run(room, &act, text, &fault), "");
    writer_room_stop(room);
    assert_false(writer_room_start(room, true, &fault));
    assert_non_null(strstr(fault.text, "real room's 1 movements"));
    ledger_fixture_destroy(&real);
    room->fixture = first;
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, writer_room_setup, writer_room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        TEST(an_act_is_booked_and_answered_and_the_feed_wakes),
        TEST(two_hundred_acts_of_eight_threads_share_commits_and_are_each_answered_once),
        TEST(a_refused_act_rolls_back_alone),
        TEST(an_act_refused_before_it_wrote_costs_the_group_nothing),
        TEST(a_refused_act_is_not_remembered_and_may_come_again),
        TEST(a_repeat_gets_the_stored_answer_and_books_nothing),
        TEST(a_repeat_after_the_answer_was_forgotten_books_nothing_and_says_when_it_was_done),
        TEST(the_same_id_with_other_content_is_a_conflict),
        TEST(a_repeat_inside_one_group_is_a_repeat),
        TEST(an_act_that_books_nothing_is_remembered_too),
        TEST(destroying_finishes_what_is_queued),
        TEST(a_full_queue_says_busy_and_keeps_nothing),
        TEST(a_malformed_act_is_refused_before_it_is_queued),
        TEST(an_act_is_booked_when_it_happened_unless_that_is_to_come),
        TEST(a_clock_before_the_last_movement_is_not_trusted),
        TEST(a_demo_ledger_is_never_opened_as_a_real_one_nor_the_other_way),
    };
    return cmocka_run_group_tests_name("ledger/writer", tests, NULL, NULL);
}
