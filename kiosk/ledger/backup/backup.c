#include "kiosk/ledger/backup/backup.h"

#include <errno.h>
#include <inttypes.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/backup/backup_file.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/sql/sql_backup.h"

static bool count_unit(const struct unit *unit, void *context)
{
    (void)unit;
    ++*(int64_t *)context;
    return true;
}

static bool look(struct ledger *ledger, struct backup_facts *facts, struct fault *fault)
{
    struct movement last;
    bool found = false;
    if (!ledger_begin(ledger, fault) || !ledger_head(ledger, &facts->movements, facts->head, fault) ||
        !chain_movement(ledger, facts->movements, &last, &found, fault) ||
        !unit_each_row(ledger, count_unit, &facts->units, fault))
        return false;
    if (found)
        facts->newest = last.at;
    facts->demo = ledger_is_demo(ledger);
    return true;
}

bool backup_look(const char *address, struct backup_facts *facts, struct fault *fault)
{
    struct ledger *ledger = NULL;
    struct backup_facts seen = {.movements = 0};
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    const bool fine = look(ledger, &seen, fault);
    ledger_close(ledger);
    if (fine)
        *facts = seen;
    return fine;
}

bool backup_check(const char *address, struct backup_facts *facts, struct fault *fault)
{
    const char *path = sql_sqlite_path(address);
    struct verify_report report;
    bool clean = false;
    if (path && !sql_check_file(path, fault))
        return false;
    if (!ledger_verify(address, &report, &clean, fault))
        return false;
    if (!clean)
        return fault_set(fault, FAULT_INPUT, "'%.120s' is not whole: %s", path ? path : "the database",
                         report.sentence);
    return backup_look(address, facts, fault);
}

static bool go_on(const atomic_bool *stop, struct fault *fault)
{
    return !stop || !atomic_load(stop) ||
           fault_set(fault, FAULT_BUSY, "the backup was broken off because the kiosk ends: the next start makes it");
}

static bool fill(const char *address, const char *part, struct fault *fault)
{
    const char *path = sql_sqlite_path(address);
    return path ? sql_copy_file(path, part, fault) : backup_pipe(address, part, fault) && sql_make_plain(part, fault);
}

/* The ledger may have gone on since `before`, but never back. */
static bool is_later(const struct backup_facts *before, const struct backup_facts *copy, struct fault *fault)
{
    return copy->movements >= before->movements ||
           fault_set(fault, FAULT_STORAGE,
                     "the copy ends at movement %" PRId64 ", but the ledger was at %" PRId64
                     " when it began: report this, and verify the ledger",
                     copy->movements, before->movements);
}

bool backup_fill(const char *address, const struct backup_part *part, const atomic_bool *stop,
                 struct backup_facts *facts, struct fault *fault)
{
    struct backup_facts before = {.movements = 0}, copy = {.movements = 0};
    /* looked at first, so that what is no ledger is said by its own name */
    if (!backup_look(address, &before, fault) || !fill(address, part->path, fault) || !go_on(stop, fault) ||
        !backup_part_sync(part, fault) || !backup_check(part->path, &copy, fault) || !is_later(&before, &copy, fault) ||
        !go_on(stop, fault))
        return false;
    *facts = copy;
    return true;
}

bool backup_make(const char *address, const char *file, const atomic_bool *stop, struct backup_facts *facts,
                 struct fault *fault)
{
    struct backup_part part = {.file = -1};
    struct backup_facts copy;
    if (access(file, F_OK) == 0)
        return fault_set(fault, FAULT_CONFLICT,
                         "'%s' is there already, and a backup never writes over one: name another file", file);
    const bool fine = backup_part_open(file, &part, fault) && backup_fill(address, &part, stop, &copy, fault) &&
                      backup_part_publish(&part, file, false, fault);
    backup_part_close(&part);
    if (fine)
        *facts = copy;
    return fine;
}
