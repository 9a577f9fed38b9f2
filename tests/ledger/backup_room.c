#include "tests/ledger/backup_room.h"

#include <dirent.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "labels/basics/text.h"
#include "tests/ledger/booked_ledger.h"

int backup_room_setup(void **state)
{
    struct backup_room *room = calloc(1, sizeof *room);
    if (!room)
        return 1;
    ledger_fixture_create(&room->fixture);
    (void)snprintf(room->folder, sizeof room->folder, "%s/ambershelf-copies-XXXXXX",
                   access("/dev/shm", W_OK) == 0 ? "/dev/shm" : "/tmp");
    if (!mkdtemp(room->folder))
        return 1;
    (void)snprintf(room->file, sizeof room->file, "%s/copy.sqlite", room->folder);
    booked_ledger_make(&room->fixture);
    *state = room;
    return 0;
}

int backup_room_teardown(void **state)
{
    struct backup_room *room = *state;
    backup_room_remove(room->folder);
    ledger_fixture_destroy(&room->fixture);
    free(room);
    return 0;
}

void backup_room_copy(const struct backup_room *room, struct backup_facts *facts)
{
    struct fault fault = {0};
    if (!backup_make(room->fixture.address, room->file, NULL, facts, &fault))
        fail_msg("%s", fault.text);
}

void backup_room_book_more(const char *address, int movements)
{
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    if (!ledger_open(address, LEDGER_WRITER, &ledger, &fault) || !ledger_begin(ledger, &fault))
        fail_msg("%s", fault.text);
    ledger_fixture_book_as(ledger, "act-00000009", "H0000014", INT64_C(1771061500000));
    for (int i = 0; i < movements; i++) {
        struct movement movement;
        movement_init(&movement, MOVEMENT_CLOCK_CONFIRMED);
        if (!ledger_book(ledger, &movement, &fault))
            fail_msg("%s", fault.text);
    }
    assert_true(ledger_commit(ledger, NULL));
    ledger_close(ledger);
}

void backup_room_assert_clean(const char *address, const uint8_t head[HASH_BYTES])
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean = false;
    if (!ledger_verify(address, &report, &clean, &fault))
        fail_msg("%s", fault.text);
    if (!clean)
        fail_msg("%s", report.sentence);
    assert_memory_equal(report.head, head, HASH_BYTES);
}

static bool ends_with(const char *name, const char *end)
{
    return strlen(name) >= strlen(end) && strcmp(name + strlen(name) - strlen(end), end) == 0;
}

static int is_shown(const struct dirent *entry)
{
    return entry->d_name[0] != '.' && !ends_with(entry->d_name, ".lock") && !ends_with(entry->d_name, "-shm");
}

/* A reader of a SQLite ledger leaves an empty log behind. */
static bool is_empty_log(const char *folder, const char *name)
{
    char path[2 * FIXTURE_TEXT_SIZE];
    struct stat status;
    (void)snprintf(path, sizeof path, "%s/%s", folder, name);
    return ends_with(name, "-wal") && stat(path, &status) == 0 && status.st_size == 0;
}

const char *backup_room_names(const char *folder, char names[BACKUP_NAMES_SIZE])
{
    struct dirent **list = NULL;
    struct builder text;
    const int count = scandir(folder, &list, is_shown, alphasort);
    builder_init(&text, names, BACKUP_NAMES_SIZE);
    for (int i = 0; i < count; i++) {
        if (!is_empty_log(folder, list[i]->d_name))
            builder_addf(&text, "%s%s", text.length ? " " : "", list[i]->d_name);
        free(list[i]);
    }
    free(list);
    assert_true(count >= 0 && !text.cut);
    return names;
}

void backup_room_remove(const char *folder)
{
    DIR *open = opendir(folder);
    for (const struct dirent *entry = open ? readdir(open) : NULL; entry; entry = readdir(open))
        if (entry->d_name[0] != '.')
            (void)unlinkat(dirfd(open), entry->d_name, 0);
    if (open)
        (void)closedir(open);
    (void)rmdir(folder);
}

unsigned char *backup_room_bytes(const char *path, size_t *length)
{
    FILE *in = fopen(path, "rb");
    unsigned char *bytes = NULL;
    if (!in)
        fail_msg("'%s' is not there", path);
    assert_int_equal(fseek(in, 0, SEEK_END), 0);
    *length = (size_t)ftell(in);
    rewind(in);
    bytes = malloc(*length + 1);
    assert_non_null(bytes);
    assert_int_equal(fread(bytes, 1, *length, in), *length);
    assert_int_equal(fclose(in), 0);
    return bytes;
}

void backup_room_write(const char *path, const void *bytes, size_t length)
{
    FILE *out = fopen(path, "wb");
    assert_non_null(out);
    assert_int_equal(fwrite(bytes, 1, length, out), length);
    assert_int_equal(fclose(out), 0);
}
