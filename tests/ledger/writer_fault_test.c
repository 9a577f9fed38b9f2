#include "kiosk/ledger/writer.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/ledger/cut_proxy.h"
#include "tests/ledger/writer_room.h"

/* What the writer does when the disk is full or the line to the database breaks at the worst moment. */

static void set_sever(struct room *room)
{
    snprintf(room->desk.sever, sizeof room->desk.sever,
             "SELECT count(pg_terminate_backend(pid)) FROM pg_stat_activity WHERE datname = '%s'", room->fixture->name);
}

static struct act numbered(int i)
{
    char id[ACT_ID_SIZE], place[PLACE_SIZE];
    snprintf(id, sizeof id, "act-%08d", i);
    snprintf(place, sizeof place, "P-%d", i);
    return writer_room_act(id, "add-place", place);
}

static void must_run(struct room *room, const struct act *act)
{
    char text[ANSWER_TEXT_SIZE];
    struct fault fault;
    if (writer_room_run(room, act, text, &fault)[0] == '\0')
        fail_msg("%s: %s", act->id, fault.text);
}

static void a_connection_lost_between_acts_loses_and_doubles_nothing(void **state)
{
    struct room *room = *state;
    set_sever(room);
    writer_room_must_start(room);
    for (int i = 0; i < 20; i++) {
        const struct act act = numbered(i);
        if (i % 5 == 2)
            ledger_fixture_cluster_exec(room->desk.sever);
        must_run(room, &act);
    }
    writer_room_stop(room);
    assert_int_equal(writer_room_movements(room), 20);
    writer_room_verify(room);
}

static void a_connection_lost_inside_a_group_runs_its_acts_again_singly(void **state)
{
    struct room *room = *state;
    struct told *told = told_create();
    struct writer_counts counts;
    const struct act acts[] = {numbered(1), writer_room_act("act-00000002", "sever", "S-1"), numbered(3)};
    if (!ledger_fixture_is_postgresql()) {
        for (size_t i = 0; i < 3; i++)
            json_decref(acts[i].content);
        told_destroy(told);
        skip();
    }
    set_sever(room);
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (size_t i = 0; i < 3; i++)
        assert_true(writer_submit(room->writer, &acts[i], told_tell, told, NULL));
    writer_room_open_gate(room);
    told_wait(told, 4);
    assert_int_equal(told->answered, 3);
    assert_int_equal(told->repeated, 0);
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.groups, 3); /* one by one */
    writer_room_stop(room);
    assert_int_equal(writer_room_movements(room), 3);
    writer_room_verify(room);
    told_destroy(told);
}

/* Lets the room's writer connect by a proxy in a new folder. */
static struct cut_proxy *go_through_proxy(struct room *room, char folder[], char server[FIXTURE_TEXT_SIZE])
{
    const char *host = strstr(room->fixture->address, "host=/"); /* as tests/postgresql prints it */
    if (!host || !mkdtemp(folder)) {
        fail_msg("no folder for the proxy, or no socket in '%s'", room->fixture->address);
        return NULL;
    }
    snprintf(server, FIXTURE_TEXT_SIZE, "%.*s", (int)strcspn(host + 5, " "), host + 5);
    snprintf(room->address, sizeof room->address, "postgresql:host=%s user=kiosk dbname=%s", folder,
             room->fixture->name);
    return cut_proxy_create(server, folder);
}

/* Cuts the line at the COMMIT of a group of three and looks what became of it. */
static void commit_through(struct room *room, enum cut cut, uint64_t expected_groups)
{
    char folder[] = "/tmp/ambershelf-cut-XXXXXX", server[FIXTURE_TEXT_SIZE] = "";
    struct writer_counts counts;
    struct cut_proxy *proxy = go_through_proxy(room, folder, server);
    struct told *told = told_create();
    writer_room_must_start(room);
    writer_room_close_gate(room, told);
    for (int i = 0; i < 3; i++) {
        const struct act act = numbered(i);
        assert_true(writer_submit(room->writer, &act, told_tell, told, NULL));
    }
    cut_proxy_arm(proxy, cut);
    writer_room_open_gate(room);
    told_wait(told, 4);
    assert_int_equal(cut_proxy_cuts(proxy), 1);
    assert_int_equal(told->answered, 3);
    assert_int_equal(told->repeated, 0); /* they were ours: no repeats, whichever way they were found */
    writer_read_counts(room->writer, &counts);
    assert_int_equal(counts.commits_failed, 1);
    assert_int_equal(counts.groups, expected_groups);
    writer_room_stop(room);
    cut_proxy_destroy(proxy);
    (void)rmdir(folder);
    assert_int_equal(writer_room_movements(room), 3); /* each once */
    writer_room_verify(room);
    told_destroy(told);
}

static void a_commit_that_took_place_unheard_is_found_and_not_done_twice(void **state)
{
    struct room *room = *state;
    commit_through(room, CUT_AFTER_COMMIT, 0);
    assert_int_equal(room->desk.calls, 3); /* the acts' functions ran once each */
}

static void a_commit_that_never_arrived_is_done_again(void **state)
{
    struct room *room = *state;
    commit_through(room, CUT_BEFORE_COMMIT, 3);
    assert_int_equal(room->desk.calls, 6);
}

static void a_full_disk_is_told_and_the_writer_lives_on(void **state)
{
    struct room *room = *state;
    struct fault fault;
    char text[ANSWER_TEXT_SIZE], longer[PLACE_SIZE];
    int refused = 0, booked = 0;
    writer_room_must_start(room);
    struct act act = writer_room_act("fill-00000001", "fill-disk", "-");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_string_equal(fault.text, "the disk is full now");
    for (int i = 0; i < 400 && refused == 0; i++) { /* what is left of the pages fills up first */
        act = numbered(i);
        if (writer_room_run(room, &act, text, &fault)[0] == '\0')
            refused++;
        else
            booked++;
    }
    assert_int_equal(refused, 1);
    assert_int_equal(fault.code, FAULT_STORAGE);
    act = writer_room_act("empty-00000001", "empty-disk", "-");
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_string_equal(fault.text, "there is room again");
    snprintf(longer, sizeof longer, "P-%d", booked);
    assert_false(writer_room_has_place(room, longer)); /* what was refused has left nothing */
    act = numbered(booked);
    must_run(room, &act); /* and the same act again is no repeat */
    writer_room_stop(room);
    assert_int_equal(writer_room_movements(room), booked + 1);
    writer_room_verify(room);
}

static void a_database_that_cannot_be_reached_is_told_and_found_again(void **state)
{
    struct room *room = *state;
    char text[ANSWER_TEXT_SIZE], folder[] = "/tmp/ambershelf-cut-XXXXXX", server[FIXTURE_TEXT_SIZE] = "";
    struct fault fault;
    struct cut_proxy *proxy = go_through_proxy(room, folder, server);
    writer_room_must_start(room);
    set_sever(room);
    ledger_fixture_cluster_exec(room->desk.sever);
    cut_proxy_destroy(proxy); /* from here on nothing listens */
    struct act act = numbered(1);
    assert_string_equal(writer_room_run(room, &act, text, &fault), "");
    assert_int_equal(fault.code, FAULT_STORAGE);
    proxy = cut_proxy_create(server, folder);
    act = numbered(1);
    must_run(room, &act);
    writer_room_stop(room);
    cut_proxy_destroy(proxy);
    (void)rmdir(folder);
    assert_int_equal(writer_room_movements(room), 1);
}

#define TEST(name) cmocka_unit_test_setup_teardown(name, writer_room_setup, writer_room_teardown)

/* Each engine has faults of its own. */
int main(void)
{
    const struct CMUnitTest postgresql[] = {
        TEST(a_connection_lost_between_acts_loses_and_doubles_nothing),
        TEST(a_connection_lost_inside_a_group_runs_its_acts_again_singly),
        TEST(a_commit_that_took_place_unheard_is_found_and_not_done_twice),
        TEST(a_commit_that_never_arrived_is_done_again),
        TEST(a_database_that_cannot_be_reached_is_told_and_found_again),
    };
    const struct CMUnitTest sqlite[] = {
        TEST(a_full_disk_is_told_and_the_writer_lives_on),
    };
    return ledger_fixture_is_postgresql() ? cmocka_run_group_tests_name("ledger/writer_fault", postgresql, NULL, NULL)
                                          : cmocka_run_group_tests_name("ledger/writer_fault", sqlite, NULL, NULL);
}
