#include "kiosk/ledger/writer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/ledger_room.h"
#include "tests/ledger/writer_room.h"

/* The disk is full in the middle of a group: the acts that fit are answered, the one that does not is told, one that is
 * refused is refused for its own reason, and none is lost. SQLite's max_page_count stands for the disk: the statement
 * in the middle of the act meets SQLITE_FULL, as it would there. */

enum { ACTS = 12, LARGE = 5, LARGER = 9, REFUSED = 3, REFUSED_TOO = 8, PLACES = 120, PAGES_LEFT = 2 };

struct group {
    sem_t entered, go, told;
    struct {
        bool answered, repeated;
        int64_t last_seq;
        struct fault fault;
    } acts[ACTS];
    int calls[ACTS];
};

/* ---- acts ---- */

static int number_of(const struct act_context *context)
{
    return (int)json_integer_value(json_object_get(context->act->content, "number"));
}

static bool book_places(struct act_context *context, int number, int count, struct fault *fault)
{
    for (int i = 0; i < count; i++) {
        struct movement m;
        movement_init(&m, MOVEMENT_PLACE_ENTRY);
        (void)snprintf(m.place, sizeof m.place, "P%d-%d", number, i);
        (void)snprintf(m.word, sizeof m.word, "shelf");
        (void)snprintf(m.detail, sizeof m.detail, "{\"name\":\"the shelf beside the window of the second floor\"}");
        if (!ledger_book(context->ledger, &m, fault))
            return false;
    }
    return true;
}

static bool add(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct group *group = context->desk;
    const int number = number_of(context);
    group->calls[number]++;
    if (!book_places(context, number, number == LARGE || number == LARGER ? PLACES : 1, fault))
        return false;
    *answer = json_pack("{s:i}", "number", number);
    return true;
}

static bool add_and_refuse(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)answer;
    return book_places(context, number_of(context), 1, fault) &&
           fault_set(fault, FAULT_REFUSED, "not this one: choose another");
}

static bool gate(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct group *group = context->desk;
    (void)answer;
    (void)sem_post(&group->entered);
    (void)sem_wait(&group->go);
    return fault_set(fault, FAULT_REFUSED, "the gate");
}

/* So many pages may still be made; -1: as many as you like. */
static bool room_left(struct act_context *context, json_t **answer, struct fault *fault)
{
    char text[60];
    const json_int_t pages = json_integer_value(json_object_get(context->act->content, "number"));
    struct sql *sql = ledger_sql(context->ledger);
    static const struct sql_text count = {"SELECT page_count FROM pragma_page_count", ""};
    struct sql_statement *statement = NULL;
    bool row = false;
    (void)answer;
    if (!sql_start(sql, &count, &statement, fault) || !sql_step(statement, &row, fault))
        return false;
    const int64_t now = sql_whole(statement, 0);
    sql_done(statement);
    (void)snprintf(text, sizeof text, "PRAGMA max_page_count = %lld",
                   (long long)(pages < 0 ? INT64_C(1000000) : now + pages));
    return sql_exec(sql, text, fault) && fault_set(fault, FAULT_REFUSED, "set");
}

static const struct act_kind kinds[] = {
    {"add", add}, {"refuse", add_and_refuse}, {"gate", gate}, {"room-left", room_left}, {NULL, NULL}};

/* ---- a group ---- */

static struct act make_act(const char *kind, int number)
{
    struct act act = {.version = 1, .content = json_pack("{s:i}", "number", number)};
    (void)snprintf(act.id, sizeof act.id, "group-%s-%04d", kind, number < 0 ? 9999 : number);
    (void)snprintf(act.kind, sizeof act.kind, "%s", kind);
    return act;
}

static void take(void *context, const char *id, json_t **answer, int64_t last_seq, bool repeated,
                 const struct fault *fault)
{
    struct group *group = context;
    const int number = (int)strtol(strrchr(id, '-') + 1, NULL, 10);
    if (strstr(id, "gate") == NULL) {
        group->acts[number].answered = *answer != NULL;
        group->acts[number].repeated = repeated;
        group->acts[number].last_seq = last_seq;
        group->acts[number].fault = *fault;
    }
    (void)sem_post(&group->told);
}

static void send(struct writer *writer, struct group *group, const char *kind, int number)
{
    const struct act act = make_act(kind, number);
    assert_true(writer_submit(writer, &act, take, group, NULL));
}

static void set_room(struct writer *writer, int pages)
{
    const struct act act = make_act("room-left", pages);
    struct fault fault = {0};
    json_t *answer = NULL;
    assert_false(writer_run(writer, &act, &answer, &fault));
    assert_string_equal(fault.text, "set");
}

static void send_group(struct writer *writer, struct group *group)
{
    send(writer, group, "gate", 0);
    (void)sem_wait(&group->entered);
    for (int i = 0; i < ACTS; i++)
        send(writer, group, i == REFUSED || i == REFUSED_TOO ? "refuse" : "add", i);
    (void)sem_post(&group->go);
    for (int i = 0; i < ACTS + 1; i++)
        (void)sem_wait(&group->told);
}

static struct writer *start(struct room *room, struct group *group)
{
    const struct writer_options options = {.address = room->fixture->address,
                                           .kinds = kinds,
                                           .desk = group,
                                           .clock = room->clock,
                                           .feed = room->feed,
                                           .kiosk = "kiosk-1"};
    struct writer *writer = NULL;
    struct fault fault = {0};
    if (!writer_create(&options, &writer, &fault))
        fail_msg("%s", fault.text);
    return writer;
}

/* ---- what came of it ---- */

static void expect(const struct group *group, bool full)
{
    for (int i = 0; i < ACTS; i++) {
        const bool refused = i == REFUSED || i == REFUSED_TOO, too_large = full && (i == LARGE || i == LARGER);
        if (group->acts[i].answered == (refused || too_large))
            fail_msg("act %d was %s: %s", i, refused || too_large ? "answered" : "not answered",
                     group->acts[i].fault.text);
        if (refused)
            assert_string_equal(group->acts[i].fault.text, "not this one: choose another");
        if (too_large) {
            assert_int_equal(group->acts[i].fault.code, FAULT_STORAGE);
            assert_non_null(strstr(group->acts[i].fault.text, "is full: free space"));
            assert_non_null(strstr(group->acts[i].fault.text, "nothing of this act was booked"));
        }
    }
}

static void the_acts_of_a_group_that_fit_are_answered_and_none_is_lost(void **state)
{
    struct room *room = *state;
    struct group *group = calloc(1, sizeof *group);
    char place[PLACE_SIZE];
    struct writer_counts counts;
    assert_non_null(group);
    (void)sem_init(&group->entered, 0, 0);
    (void)sem_init(&group->go, 0, 0);
    (void)sem_init(&group->told, 0, 0);
    struct writer *writer = start(room, group);
    set_room(writer, PAGES_LEFT);
    send_group(writer, group);
    expect(group, true);
    writer_read_counts(writer, &counts);
    assert_int_equal(counts.groups, ACTS - 4); /* one by one, those that book */
    assert_int_equal(counts.commits_failed, 0);
    assert_int_equal(writer_room_movements(room), ACTS - 4);
    (void)snprintf(place, sizeof place, "P%d-0", LARGE);
    assert_false(writer_room_has_place(room, place)); /* what did not fit has left nothing */
    set_room(writer, -1);
    memset(group->calls, 0, sizeof group->calls);
    send_group(writer, group); /* as a client does that heard nothing good: the same ids */
    expect(group, false);
    for (int i = 0; i < ACTS; i++) {
        const bool fresh = i == LARGE || i == LARGER;
        assert_int_equal(group->calls[i], fresh ? 1 : 0);
        if (group->acts[i].answered)
            assert_int_equal(group->acts[i].repeated, !fresh);
    }
    writer_destroy(writer);
    assert_int_equal(writer_room_movements(room), ACTS - 4 + 2 * PLACES);
    writer_room_verify(room);
    free(group);
}

int main(void)
{
    const struct CMUnitTest tests[] = {cmocka_unit_test_setup_teardown(
        the_acts_of_a_group_that_fit_are_answered_and_none_is_lost, writer_room_setup, writer_room_teardown)};
    if (ledger_fixture_is_postgresql())
        return 77; /* its disk is the server's: a test may not fill that */
    return cmocka_run_group_tests_name("ledger/writer_group_full", tests, NULL, NULL);
}
