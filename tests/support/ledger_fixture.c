#include "tests/support/ledger_fixture.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/basics/id.h"
#include "kiosk/ledger/sql.h"
#include "labels/basics/text.h"

enum { EXIT_SKIPPED = 77, MS_A_DAY = 86400000 };

static void give_up(const char *what, const char *why)
{
    (void)fprintf(stderr, "ledger_fixture: %s: %s\n", what, why);
    exit(1);
}

static void put(char *buffer, size_t size, const char *first, const char *second, const char *third)
{
    struct builder text;
    builder_init(&text, buffer, size);
    builder_add(&text, first);
    builder_add(&text, second);
    builder_add(&text, third);
    if (text.cut)
        give_up("a path is too long", buffer);
}

bool ledger_fixture_is_postgresql(void)
{
    const char *engine = getenv("AMBERSHELF_TEST_ENGINE");
    if (!engine || strcmp(engine, "sqlite") == 0)
        return false;
    if (strcmp(engine, "postgresql") != 0)
        give_up("AMBERSHELF_TEST_ENGINE is neither sqlite nor postgresql", engine);
    return true;
}

static const char *cluster(void)
{
    const char *conninfo = getenv("AMBERSHELF_TEST_POSTGRESQL");
    if (conninfo && *conninfo)
        return conninfo;
    (void)fprintf(stderr, "skipped: AMBERSHELF_TEST_POSTGRESQL names no cluster (tests/postgresql starts one)\n");
    exit(EXIT_SKIPPED);
}

void ledger_fixture_cluster_exec(const char *text)
{
    char address[FIXTURE_TEXT_SIZE];
    struct sql *sql = NULL;
    struct fault fault = {0};
    put(address, sizeof address, "postgresql:", cluster(), "");
    if (!sql_open(address, SQL_WRITER, &sql, &fault) || !sql_exec(sql, text, &fault))
        give_up("the test cluster", fault.text);
    sql_close(sql);
}

static void create_database(struct ledger_fixture *fixture)
{
    char id[ID_SIZE], statement[160];
    id_make(id);
    put(fixture->name, sizeof fixture->name, "ambershelf_test_", id, "");
    /* template0: nobody can be connected to it. The name is ours, hex digits: nothing to quote. */
    put(statement, sizeof statement, "CREATE DATABASE ", fixture->name,
        " TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C.UTF-8'");
    ledger_fixture_cluster_exec(statement);
    put(fixture->address, sizeof fixture->address, "postgresql:", cluster(), " dbname=");
    put(fixture->address + strlen(fixture->address), sizeof fixture->address - strlen(fixture->address), fixture->name,
        "", "");
}

static void drop_database(const struct ledger_fixture *fixture)
{
    char statement[160];
    put(statement, sizeof statement, "DROP DATABASE ", fixture->name, " WITH (FORCE)");
    ledger_fixture_cluster_exec(statement);
}

static void create_folder(struct ledger_fixture *fixture)
{
    put(fixture->folder, sizeof fixture->folder, access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp",
        "/ambershelf-test-XXXXXX", "");
    if (!mkdtemp(fixture->folder))
        give_up("no temporary folder", fixture->folder);
    put(fixture->path, sizeof fixture->path, fixture->folder, "/ledger.db", "");
    put(fixture->address, sizeof fixture->address, "sqlite:", fixture->path, "");
}

static void remove_folder(const struct ledger_fixture *fixture)
{
    DIR *folder = opendir(fixture->folder);
    if (!folder)
        return;
    for (const struct dirent *entry = readdir(folder); entry; entry = readdir(folder))
        if (entry->d_name[0] != '.')
            (void)unlinkat(dirfd(folder), entry->d_name, 0);
    (void)closedir(folder);
    (void)rmdir(fixture->folder);
}

void ledger_fixture_create(struct ledger_fixture *fixture)
{
    *fixture = (struct ledger_fixture){.ledger = NULL};
    if (ledger_fixture_is_postgresql())
        create_database(fixture);
    else
        create_folder(fixture);
}

void ledger_fixture_destroy(struct ledger_fixture *fixture)
{
    ledger_close(fixture->ledger);
    fixture->ledger = NULL;
    if (fixture->name[0])
        drop_database(fixture);
    else
        remove_folder(fixture);
}

int ledger_fixture_setup(void **state)
{
    struct ledger_fixture *fixture = malloc(sizeof *fixture);
    if (!fixture)
        return 1;
    ledger_fixture_create(fixture);
    *state = fixture;
    return 0;
}

int ledger_fixture_setup_open(void **state)
{
    struct fault fault = {0};
    if (ledger_fixture_setup(state) != 0)
        return 1;
    struct ledger_fixture *fixture = *state;
    if (!ledger_open(fixture->address, LEDGER_WRITER, &fixture->ledger, &fault))
        give_up("the ledger does not open", fault.text);
    return 0;
}

int ledger_fixture_teardown(void **state)
{
    struct ledger_fixture *fixture = *state;
    ledger_fixture_destroy(fixture);
    free(fixture);
    return 0;
}

struct ledger *ledger_fixture_open(const struct ledger_fixture *fixture, enum ledger_mode mode)
{
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    if (!ledger_open(fixture->address, mode, &ledger, &fault))
        fail_msg("%s", fault.text);
    return ledger;
}

void ledger_fixture_book_as(struct ledger *ledger, const char *act, const char *person, int64_t wall_ms)
{
    struct booking booking = {
        .moment = {.wall = {wall_ms}, .local_day = {(int32_t)(wall_ms / MS_A_DAY)}, .trusted = true}};
    assert_true(span_copy(span_of(act), booking.act, sizeof booking.act));
    assert_true(span_copy(span_of("TEST"), booking.kiosk, sizeof booking.kiosk));
    assert_true(span_copy(span_of(person), booking.person, sizeof booking.person));
    ledger_set_booking(ledger, &booking);
}
