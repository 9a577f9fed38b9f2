#include "kiosk/ledger/backup/backup_restore.h"

#include <errno.h>
#include <inttypes.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/ledger/backup/backup_file.h"
#include "kiosk/ledger/backup/backup_name.h"
#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/sql/sql_backup.h"
#include "kiosk/ledger/sql/sql_lock.h"

_Static_assert(RESTORE_NAME_SIZE == PATH_MAX, "a path fits");

static const char *const SIDES[] = {"-wal", "-shm", "-journal"};

enum { NAMES_TRIED = 100 };

/* ---- where ---- */

/* The file's real path, also when it is not there (any more). */
static bool resolve(const char *path, char resolved[PATH_MAX], struct fault *fault)
{
    char folder[PATH_MAX], real[PATH_MAX];
    if (realpath(path, resolved))
        return true;
    const char *slash = strrchr(path, '/');
    const struct span parent = slash ? (struct span){path, (size_t)(slash - path) + 1} : span_of("./");
    struct builder whole;
    builder_init(&whole, resolved, PATH_MAX);
    if (errno == ENOENT && span_copy(parent, folder, sizeof folder) && realpath(folder, real)) {
        builder_add(&whole, strcmp(real, "/") == 0 ? "" : real);
        builder_add_char(&whole, '/');
        builder_add(&whole, slash ? slash + 1 : path);
        if (!whole.cut)
            return true;
        errno = ENAMETOOLONG;
    }
    return fault_set(fault, FAULT_STORAGE, "the ledger's place '%s' cannot be reached (%s): is the disk mounted?", path,
                     strerror(errno));
}

static bool is_same_file(const char *one, const char *other)
{
    struct stat first, second;
    return stat(one, &first) == 0 && stat(other, &second) == 0 && first.st_dev == second.st_dev &&
           first.st_ino == second.st_ino;
}

static bool side_name(const char *path, const char *side, char name[PATH_MAX])
{
    return snprintf(name, PATH_MAX, "%s%s", path, side) < PATH_MAX;
}

static bool has_bytes(const char *path, const char *side)
{
    char name[PATH_MAX];
    struct stat status;
    return side_name(path, side, name) && stat(name, &status) == 0 && status.st_size > 0;
}

/* A name beside the ledger that nothing has yet, nor any side file of it. */
static bool choose_aside(const char *path, struct instant now, char aside[PATH_MAX], struct fault *fault)
{
    char when[BACKUP_INSTANT_SIZE];
    (void)backup_instant_write(now, when);
    for (int i = 1; i <= NAMES_TRIED; i++) {
        char number[16] = "";
        bool taken = false;
        if (i > 1)
            (void)snprintf(number, sizeof number, ".%d", i);
        if (snprintf(aside, PATH_MAX - 16, "%s.before-%s%s", path, when, number) >= PATH_MAX - 16)
            break;
        taken = access(aside, F_OK) == 0;
        for (size_t side = 0; side < sizeof SIDES / sizeof *SIDES; side++) {
            char name[PATH_MAX];
            taken = taken || (side_name(aside, SIDES[side], name) && access(name, F_OK) == 0);
        }
        if (!taken)
            return true;
    }
    return fault_set(fault, FAULT_STORAGE, "no free name for the former ledger beside '%.200s': move older ones away",
                     path);
}

/* ---- what would be lost ---- */

struct present {
    bool is_there, readable;
    int64_t movements, common; /* of the chain, with the backup's */
    struct ledger *ledger;     /* open while it is needed */
};

static void look_at_present(const char *path, const char *copy, struct present *present)
{
    struct ledger *other = NULL;
    uint8_t hash[HASH_BYTES];
    present->is_there = access(path, F_OK) == 0;
    present->readable = present->is_there && ledger_open(path, LEDGER_READER, &present->ledger, NULL) &&
                        ledger_open(copy, LEDGER_READER, &other, NULL) &&
                        ledger_head(present->ledger, &present->movements, hash, NULL) &&
                        chain_common(present->ledger, other, &present->common, NULL);
    ledger_close(other);
}

static bool may_forget(const struct present *present, const struct backup_facts *facts, int64_t forget,
                       struct fault *fault)
{
    const int64_t left = present->readable ? present->movements - present->common : 0;
    if (left == forget)
        return true;
    if (left == 0)
        return fault_set(fault, FAULT_REFUSED,
                         "nothing of the present ledger would be left behind, but --forget says %" PRId64
                         ": nothing was changed; leave that word out, and look whether this is the right ledger",
                         forget);
    return fault_set(fault, FAULT_REFUSED,
                     "the backup is whole and ends at movement %" PRId64 ", but the present ledger holds %" PRId64
                     " movements that are not in it: nothing was changed; to leave them behind, say it with --forget "
                     "%" PRId64,
                     facts->movements, left, left);
}

/* ---- the copy ---- */

/* The copy is opened as a kiosk would, so that an older form is brought up to ours before it is checked. */
static bool settle_serials(const char *copy, const struct present *present, int64_t margin, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!ledger_open(copy, LEDGER_WRITER, &ledger, fault))
        return false;
    const bool fine = ledger_begin(ledger, fault) &&
                      ledger_serial_skip(ledger, present ? present->ledger : NULL, margin, fault) &&
                      ledger_commit(ledger, fault);
    ledger_close(ledger);
    return fine;
}

/* A demo's numbers are few and its labels worth nothing. */
static int64_t margin_for(const struct present *present, const struct backup_facts *facts)
{
    const bool continues = present->readable && present->common == facts->movements;
    return continues || facts->demo ? 0 : RESTORE_SERIALS;
}

/* Copies, brings the copy up to date, looks at what it would replace, and only then checks it: once, whole. */
static bool make_copy(const char *path, const char *backup, const struct backup_part *part, struct present *present,
                      struct restore_report *report, struct fault *fault)
{
    struct backup_facts facts;
    if (!sql_copy_file(backup, part->path, fault) || !settle_serials(part->path, NULL, 0, fault) ||
        !backup_look(part->path, &facts, fault))
        return false;
    look_at_present(path, part->path, present);
    report->serials_skipped = margin_for(present, &facts);
    const bool fine = settle_serials(part->path, present, report->serials_skipped, fault);
    ledger_close(present->ledger);
    present->ledger = NULL;
    return fine && backup_part_sync(part, fault) && backup_check(part->path, &report->facts, fault);
}

/* ---- the change ---- */

/* The log must not stay: SQLite would read it into whatever file has the ledger's name. */
static bool empty_log(const char *path, const char *aside, struct fault *fault)
{
    char log[PATH_MAX], kept[PATH_MAX];
    bool folded = false;
    if (!has_bytes(path, "-wal"))
        return true;
    if (!side_name(path, "-wal", log) || !side_name(aside, "-wal", kept))
        return fault_set(fault, FAULT_INPUT, "the ledger's path is too long: give a shorter one");
    if (access(path, F_OK) != 0)
        return true; /* belongs to nothing: move_sides takes it */
    /* as it is now, for whoever looks into a damaged ledger; read with its file it says the same twice */
    return backup_bytes_copy(log, kept, fault) && sql_fold_log(path, &folded, fault);
}

/* An empty log, and the index that SQLite makes of one whenever it is not there, hold nothing. */
static void drop_empty_sides(const char *path)
{
    char log[PATH_MAX], index[PATH_MAX];
    if (side_name(path, "-wal", log) && side_name(path, "-shm", index)) {
        if (!has_bytes(path, "-wal"))
            (void)unlink(log);
        (void)unlink(index);
    }
}

static bool move_sides(const char *path, const char *aside, struct fault *fault)
{
    char from[PATH_MAX], to[PATH_MAX];
    for (size_t i = 0; i < sizeof SIDES / sizeof *SIDES; i++)
        if (side_name(path, SIDES[i], from) && side_name(aside, SIDES[i], to) && rename(from, to) != 0 &&
            errno != ENOENT)
            return fault_set(fault, FAULT_STORAGE,
                             "'%s' cannot be moved aside (%s): let the kiosk's user write in that folder", from,
                             strerror(errno));
    return true;
}

static bool put_aside(const char *path, const char *aside, struct fault *fault)
{
    if (!empty_log(path, aside, fault))
        return false;
    drop_empty_sides(path);
    if (!move_sides(path, aside, fault))
        return false;
    if (access(path, F_OK) != 0 || link(path, aside) == 0)
        return true;
    if (errno != EPERM && errno != EOPNOTSUPP && errno != ENOSYS && errno != EMLINK)
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be made (%s): look at the disk", aside, strerror(errno));
    return backup_bytes_copy(path, aside, fault); /* a file system without second names */
}

static bool change(const char *path, struct backup_part *part, const char *aside, struct fault *fault)
{
    return put_aside(path, aside, fault) && backup_folder_sync(path, fault) &&
           backup_part_publish(part, path, true, fault);
}

static bool restore_locked(const char *path, const char *backup, const struct restore_options *options,
                           struct backup_part *part, struct restore_report *report, struct fault *fault)
{
    struct present present = {.is_there = false};
    struct fault trouble = {0};
    if (!sql_check_file(backup, fault) || !backup_part_open(path, part, fault))
        return false;
    if (!make_copy(path, backup, part, &present, report, &trouble)) /* says it by the copy's name */
        return fault_set(fault, trouble.code, "the backup '%.120s' cannot be restored: %s; the ledger is as it was",
                         backup, trouble.text);
    const bool fine = may_forget(&present, &report->facts, options->forget, fault) &&
                      choose_aside(path, options->now, report->aside, fault) &&
                      change(path, part, report->aside, fault);
    report->forgotten = present.readable ? present.movements - present.common : 0;
    report->unreadable = present.is_there && !present.readable;
    if (fine && !present.is_there)
        report->aside[0] = '\0';
    return fine;
}

static bool restore_file(const char *address, const char *backup, const struct restore_options *options,
                         struct restore_report *report, struct fault *fault)
{
    struct backup_part part = {.file = -1};
    char path[PATH_MAX];
    int lock = -1;
    int64_t left_by = 0; /* who was killed on the old ledger does not matter to the new one */
    if (!resolve(sql_sqlite_path(address), path, fault))
        return false;
    if (is_same_file(path, backup))
        return fault_set(fault, FAULT_INPUT, "'%s' is the ledger itself: name a backup", backup);
    if (!sql_lock_take(path, &lock, &left_by, fault))
        return false;
    const bool fine = restore_locked(path, backup, options, &part, report, fault);
    backup_part_close(&part);
    sql_lock_release(lock);
    return fine;
}

static bool restore_database(const char *address, const char *backup, const struct restore_options *options,
                             struct restore_report *report, struct fault *fault)
{
    struct backup_facts facts, made;
    if (options->forget != 0)
        return fault_set(fault, FAULT_REFUSED,
                         "a database is restored into an empty one, where nothing is left behind: leave --forget out");
    if (!backup_check(backup, &facts, fault))
        return false;
    report->serials_skipped = facts.demo ? 0 : RESTORE_SERIALS;
    if (!backup_pipe(backup, address, fault) || !settle_serials(address, NULL, report->serials_skipped, fault) ||
        !backup_check(address, &made, fault))
        return false;
    if (memcmp(made.head, facts.head, HASH_BYTES) != 0)
        return fault_set(fault, FAULT_STORAGE, "the database's head is not the backup's: drop it, and report this");
    report->facts = made;
    return true;
}

bool backup_restore(const char *address, const char *backup, const struct restore_options *options,
                    struct restore_report *report, struct fault *fault)
{
    struct restore_report made = {.forgotten = 0};
    const bool fine = sql_sqlite_path(address) ? restore_file(address, backup, options, &made, fault)
                                               : restore_database(address, backup, options, &made, fault);
    if (fine)
        *report = made;
    return fine;
}
