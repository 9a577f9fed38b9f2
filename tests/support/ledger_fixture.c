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
#include "kiosk/ledger/sql/sql.h"
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

/* template0: nobody can be connected to it. */
static const char FROM_NOTHING[] = " TEMPLATE template0 ENCODING 'UTF8' LOCALE 'C.UTF-8'";

/* `how`: the template and what goes with it. */
static void create_database(struct ledger_fixture *fixture, const char *how)
{
    char id[ID_SIZE], statement[240];
    id_make(id);
    put(fixture->name, sizeof fixture->name, "ambershelf_test_", id, "");
    /* The name is ours, hex digits: nothing to quote. */
    put(statement, sizeof statement, "CREATE DATABASE ", fixture->name, how);
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
        create_database(fixture, FROM_NOTHING);
    else
        create_folder(fixture);
}

static void copy_file(const char *from, const char *to)
{
    char bytes[65536];
    size_t length = 0;
    FILE *in = fopen(from, "rb"), *out = fopen(to, "wb");
    if (!in || !out)
        give_up("a ledger cannot be copied", from);
    while ((length = fread(bytes, 1, sizeof bytes, in)) > 0)
        if (fwrite(bytes, 1, length, out) != length)
            give_up("a ledger cannot be copied", to);
    if (ferror(in) || fclose(in) != 0 || fclose(out) != 0)
        give_up("a ledger cannot be copied", from);
}

void ledger_fixture_copy(struct ledger_fixture *fixture, const struct ledger_fixture *from)
{
    char how[160];
    *fixture = (struct ledger_fixture){.ledger = NULL};
    if (from->name[0]) {
        put(how, sizeof how, " TEMPLATE ", from->name, " STRATEGY FILE_COPY");
        create_database(fixture, how);
        return;
    }
    create_folder(fixture);
    copy_file(from->path, fixture->path); /* closed: the write-ahead log is in it */
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
