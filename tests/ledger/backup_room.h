#ifndef TESTS_LEDGER_BACKUP_ROOM_H
#define TESTS_LEDGER_BACKUP_ROOM_H

#include "kiosk/ledger/backup/backup.h"
#include "tests/support/ledger_fixture.h"

/* A booked ledger on the engine under test, and a folder for copies of it. */
struct backup_room {
    struct ledger_fixture fixture;
    char folder[FIXTURE_TEXT_SIZE];
    char file[FIXTURE_TEXT_SIZE + 16]; /* "FOLDER/copy.sqlite" */
};

int backup_room_setup(void **state); /* *state is a struct backup_room */
int backup_room_teardown(void **state);

/* Faults fail the test. */
void backup_room_copy(const struct backup_room *room, struct backup_facts *facts);  /* into room->file */
void backup_room_book_more(const char *address, int movements);                     /* clock-confirmed ones */
void backup_room_assert_clean(const char *address, const uint8_t head[HASH_BYTES]); /* verified, with this head */

/* What lies in a folder: names with a blank between, sorted; without lock files, SQLite's indexes of logs (-shm) and
 * empty logs. */
enum { BACKUP_NAMES_SIZE = 4000 };
const char *backup_room_names(const char *folder, char names[BACKUP_NAMES_SIZE]);
void backup_room_remove(const char *folder);
/* The bytes of a file; the caller frees them. */
unsigned char *backup_room_bytes(const char *path, size_t *length);
void backup_room_write(const char *path, const void *bytes, size_t length);

#endif
