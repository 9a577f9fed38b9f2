#include "tests/ledger/damage_room.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cmocka.h>
#include <sqlite3.h>

#include "kiosk/ledger/ledger_room.h"

#define SET(field, text) assert_true(span_copy(span_of(text), field, sizeof(field)))

static const char *const shelves[] = {"A1", "A2"};

static void must(bool ok, const struct fault *fault)
{
    if (!ok)
        fail_msg("%s", fault->text);
}

static void book(struct ledger *ledger, struct movement *movement)
{
    struct fault fault = {0};
    must(ledger_book(ledger, movement, &fault), &fault);
}

static void answer(struct ledger *ledger, const char *id, int64_t seq)
{
    struct act_row row = {.first_seq = seq, .last_seq = seq, .at_ms = 1771061400000};
    struct fault fault = {0};
    SET(row.id, id);
    SET(row.kind, "put-away");
    must(act_row_store(ledger, &row, "{\"booked\":true,\"title\":\"Put away.\",\"units\":[]}", &fault), &fault);
}

static void fill_room(struct ledger *ledger)
{
    struct movement m;
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, "FLINT");
    SET(m.detail, "{\"letter\":\"C\",\"resin\":\"flint\"}");
    book(ledger, &m);
    for (size_t i = 0; i < 2; i++) {
        movement_init(&m, MOVEMENT_PLACE_ENTRY);
        SET(m.place, shelves[i]);
        SET(m.word, "shelf");
        book(ledger, &m);
    }
}

static void move(struct ledger *ledger, const char *serial, int number)
{
    char id[ACT_ID_SIZE];
    struct movement m;
    struct fault fault = {0};
    (void)snprintf(id, sizeof id, "act-%s-%d", serial, number);
    ledger_fixture_book_as(ledger, id, "H0000014", 1771061400000 + number);
    movement_init(&m, MOVEMENT_PUT_AWAY);
    SET(m.unit, serial);
    SET(m.place, shelves[number % 2]);
    if (number % 10 == 3)
        must(ledger_text_put(ledger, "found behind the oven, label a little torn", m.text, &fault), &fault);
    book(ledger, &m);
    answer(ledger, id, m.seq);
}

void damage_room_fill(struct ledger *ledger, int units, int moves)
{
    char serial[SERIAL_SIZE];
    struct movement m;
    struct fault fault = {0};
    must(ledger_begin(ledger, &fault), &fault);
    ledger_fixture_book_as(ledger, "act-room", "H0000014", 1771061400000);
    fill_room(ledger);
    for (int i = 0; i < units; i++) {
        must(ledger_next_serial(ledger, 'C', serial, &fault), &fault);
        movement_init(&m, MOVEMENT_TAKE_ON);
        SET(m.unit, serial);
        SET(m.item, "FLINT");
        SET(m.lot, i % 3 ? "RS24117B" : "RS24118C");
        m.amount_ul = 1000000;
        book(ledger, &m);
        for (int n = 0; n < moves; n++)
            move(ledger, serial, n);
    }
    must(ledger_commit(ledger, &fault), &fault);
}

void damage_room_make(const struct ledger_fixture *fixture, int units, int moves)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    damage_room_fill(ledger, units, moves);
    ledger_close(ledger);
}

int damage_room_abandon(const struct ledger_fixture *fixture, int moves)
{
    int status = 0;
    const pid_t child = fork();
    if (child == 0) {
        struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
        struct fault fault = {0};
        char serial[SERIAL_SIZE];
        bool fine = serial_write('C', 1, serial); /* the first that the room took on */
        for (int n = 0; fine && n < moves; n++) {
            fine = ledger_begin(ledger, &fault);
            if (fine)
                move(ledger, serial, 1000 + n);
            fine = fine && ledger_commit(ledger, &fault);
        }
        _exit(fine ? 0 : 1); /* as if killed: nothing is closed */
    }
    assert_true(child > 0 && waitpid(child, &status, 0) == child);
    assert_int_equal(status, 0);
    return (int)child;
}

static const char *name_of(const struct ledger_fixture *fixture, const char *suffix, char path[FIXTURE_TEXT_SIZE + 8])
{
    (void)snprintf(path, FIXTURE_TEXT_SIZE + 8, "%s%s", fixture->path, suffix);
    return path;
}

long damage_room_size(const struct ledger_fixture *fixture, const char *suffix)
{
    char path[FIXTURE_TEXT_SIZE + 8];
    struct stat status;
    return stat(name_of(fixture, suffix, path), &status) == 0 ? (long)status.st_size : -1;
}

static int open_file(const struct ledger_fixture *fixture, const char *suffix)
{
    char path[FIXTURE_TEXT_SIZE + 8];
    const int file = open(name_of(fixture, suffix, path), O_RDWR | O_CLOEXEC);
    assert_true(file >= 0);
    return file;
}

void damage_room_write(const struct ledger_fixture *fixture, const char *suffix, long at, const void *bytes,
                       size_t length)
{
    const int file = open_file(fixture, suffix);
    assert_int_equal(pwrite(file, bytes, length, at), length);
    assert_int_equal(close(file), 0);
}

void damage_room_read(const struct ledger_fixture *fixture, const char *suffix, long at, void *bytes, size_t length)
{
    const int file = open_file(fixture, suffix);
    assert_int_equal(pread(file, bytes, length, at), length);
    assert_int_equal(close(file), 0);
}

void damage_room_cut(const struct ledger_fixture *fixture, const char *suffix, long size)
{
    char path[FIXTURE_TEXT_SIZE + 8];
    assert_int_equal(truncate(name_of(fixture, suffix, path), size), 0);
}

long damage_room_number(const struct ledger_fixture *fixture, const char *sql)
{
    sqlite3 *handle = NULL;
    sqlite3_stmt *statement = NULL;
    assert_int_equal(sqlite3_open_v2(fixture->path, &handle, SQLITE_OPEN_READONLY, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_prepare_v2(handle, sql, -1, &statement, NULL), SQLITE_OK);
    assert_int_equal(sqlite3_step(statement), SQLITE_ROW);
    const long number = (long)sqlite3_column_int64(statement, 0);
    (void)sqlite3_finalize(statement);
    (void)sqlite3_close(handle);
    return number;
}
