#include "kiosk/ledger/backup/backup_name.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>

#include "labels/basics/text.h"

static const char BEFORE[] = "ledger-", AFTER[] = ".sqlite";

const char *backup_instant_write(struct instant at, char text[BACKUP_INSTANT_SIZE])
{
    char whole[CALENDAR_INSTANT_SIZE]; /* 2026-02-14T10:00:00.000Z */
    struct builder out;
    (void)calendar_write_instant(at, whole);
    builder_init(&out, text, BACKUP_INSTANT_SIZE);
    for (const char *c = whole; *c && *c != '.'; c++)
        if (*c != '-' && *c != ':')
            builder_add_char(&out, *c);
    builder_add_char(&out, 'Z');
    return text;
}

const char *backup_name_write(struct instant at, int64_t seq, char name[BACKUP_NAME_SIZE])
{
    char when[BACKUP_INSTANT_SIZE];
    (void)snprintf(name, BACKUP_NAME_SIZE, "%s%s-%" PRId64 "%s", BEFORE, backup_instant_write(at, when), seq, AFTER);
    return name;
}

/* "20260214T100000Z" with its separators put back. */
static bool read_instant(struct span text, struct instant *at)
{
    char whole[CALENDAR_INSTANT_SIZE];
    if (text.length != BACKUP_INSTANT_SIZE - 1)
        return false;
    const int length = snprintf(whole, sizeof whole, "%.4s-%.2s-%.2sT%.2s:%.2s:%.2sZ", text.at, text.at + 4,
                                text.at + 6, text.at + 9, text.at + 11, text.at + 13);
    return length > 0 && calendar_read_instant(whole, (size_t)length, at, NULL);
}

bool backup_name_read(const char *name, struct instant *at, int64_t *seq)
{
    const size_t length = strlen(name), fixed = strlen(BEFORE) + BACKUP_INSTANT_SIZE - 1 + 1 + strlen(AFTER);
    struct instant when;
    int64_t number = 0;
    char again[BACKUP_NAME_SIZE];
    if (length <= fixed || !span_starts(span_of(name), BEFORE))
        return false;
    const struct span instant = {name + strlen(BEFORE), BACKUP_INSTANT_SIZE - 1};
    const struct span digits = {instant.at + instant.length + 1, length - fixed};
    if (!read_instant(instant, &when) || !span_read_count(digits, &number) ||
        strcmp(backup_name_write(when, number, again), name) != 0)
        return false;
    *at = when;
    *seq = number;
    return true;
}
