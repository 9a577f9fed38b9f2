#include "kiosk/ledger/backup/backup_folder.h"

#include <dirent.h>
#include <errno.h>
#include <limits.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/ledger/backup/backup_file.h"
#include "kiosk/ledger/sql/sql.h"

enum { NAMES_TRIED = 60, SECOND_MS = 1000 };

struct entry {
    struct backup_newest is;
};

struct entries {
    struct entry *at;
    size_t count;
};

static bool join(const char *folder, const char *name, char path[PATH_MAX], struct fault *fault)
{
    if (snprintf(path, PATH_MAX, "%s/%s", folder, name) < PATH_MAX)
        return true;
    return fault_set(fault, FAULT_INPUT, "the path of the backup folder is too long: give a shorter one");
}

static bool is_plain_file(const char *path)
{
    struct stat status;
    return lstat(path, &status) == 0 && S_ISREG(status.st_mode);
}

/* Oldest first. */
static int compare(const void *left, const void *right)
{
    const struct backup_newest *one = &((const struct entry *)left)->is, *other = &((const struct entry *)right)->is;
    if (one->seq != other->seq)
        return one->seq < other->seq ? -1 : 1;
    return one->at.ms < other->at.ms ? -1 : one->at.ms > other->at.ms;
}

static bool add(struct entries *entries, const struct backup_newest *is, struct fault *fault)
{
    struct entry *more = realloc(entries->at, (entries->count + 1) * sizeof *more);
    if (!more)
        return fault_set(fault, FAULT_STORAGE, "no memory to look through the backups: end other programs");
    entries->at = more;
    entries->at[entries->count++] = (struct entry){*is};
    return true;
}

/* Everything whose name is one of ours, sorted; `at` is the caller's also after a fault. */
static bool list(const char *folder, struct entries *entries, struct fault *fault)
{
    DIR *open = opendir(folder);
    bool fine = true;
    *entries = (struct entries){NULL, 0};
    if (!open)
        return fault_set(fault, FAULT_STORAGE,
                         "the backup folder '%.200s' cannot be read (%s): is its disk there, and may the kiosk's user "
                         "write in it?",
                         folder, strerror(errno));
    for (const struct dirent *found = readdir(open); found && fine; found = readdir(open)) {
        struct backup_newest is = {.found = true};
        char path[PATH_MAX];
        if (!backup_name_read(found->d_name, &is.at, &is.seq))
            continue;
        (void)backup_name_write(is.at, is.seq, is.name);
        fine = join(folder, is.name, path, fault);
        if (fine && is_plain_file(path))
            fine = add(entries, &is, fault);
    }
    (void)closedir(open);
    if (entries->count > 0)
        qsort(entries->at, entries->count, sizeof *entries->at, compare);
    return fine;
}

/* Is this file a copy of this very ledger at the movement its name says? Whatever cannot be read is not ours, nor is a
 * copy without movements, which could be anybody's. */
static bool is_own(struct ledger *ledger, const char *folder, const struct backup_newest *is)
{
    struct ledger *copy = NULL;
    struct movement movement;
    char path[PATH_MAX];
    uint8_t head[HASH_BYTES];
    int64_t seq = 0;
    bool found = false, own = false;
    if (!join(folder, is->name, path, NULL) || !ledger_open(path, LEDGER_READER, &copy, NULL))
        return false;
    if (ledger_head(copy, &seq, head, NULL) && seq == is->seq)
        own = chain_movement(ledger, seq, &movement, &found, NULL) && found &&
              memcmp(movement.hash, head, HASH_BYTES) == 0;
    ledger_close(copy);
    return own;
}

bool backup_folder_newest(const char *folder, const char *address, struct backup_newest *newest, struct fault *fault)
{
    struct ledger *ledger = NULL;
    struct entries entries;
    struct backup_newest best = {.found = false};
    bool fine = list(folder, &entries, fault) && ledger_open(address, LEDGER_READER, &ledger, fault);
    for (size_t i = entries.count; fine && !best.found && i > 0; i--)
        if (is_own(ledger, folder, &entries.at[i - 1].is))
            best = entries.at[i - 1].is;
    ledger_close(ledger);
    free(entries.at);
    if (fine)
        *newest = best;
    return fine;
}

/* From the newest back: `keep` of our own stay, older ones of our own go. */
static bool prune(const char *folder, const char *address, int keep, const struct backup_newest *made, int *kept,
                  struct fault *fault)
{
    struct ledger *ledger = NULL;
    struct entries entries;
    int left = 1; /* the one just made */
    bool fine = list(folder, &entries, fault) && ledger_open(address, LEDGER_READER, &ledger, fault);
    for (size_t i = entries.count; fine && i > 0; i--) {
        const struct backup_newest *is = &entries.at[i - 1].is;
        char path[PATH_MAX];
        if (strcmp(is->name, made->name) == 0 || !is_own(ledger, folder, is))
            continue;
        if (left < keep)
            left++;
        else if (!join(folder, is->name, path, fault) || unlink(path) != 0)
            fine =
                fault_set(fault, FAULT_STORAGE,
                          "the old backup '%.200s' cannot be removed (%s): let the kiosk's user write in that folder",
                          is->name, strerror(errno));
    }
    ledger_close(ledger);
    free(entries.at);
    *kept = left;
    return fine;
}

/* The name says the number of the last movement, which is known once the copy is made. Taken names (the clock was set
 * back) are passed over. */
static bool name_it(const char *folder, struct backup_part *part, struct instant now, int64_t seq,
                    struct backup_newest *is, struct fault *fault)
{
    char path[PATH_MAX];
    struct fault trouble = {.code = FAULT_CONFLICT};
    for (int i = 0; i < NAMES_TRIED && trouble.code == FAULT_CONFLICT; i++) {
        *is = (struct backup_newest){.found = true, .at = {(now.ms / SECOND_MS + i) * SECOND_MS}, .seq = seq};
        if (!join(folder, backup_name_write(is->at, seq, is->name), path, fault))
            return false;
        if (backup_part_publish(part, path, false, &trouble))
            return true;
    }
    return fault_set(fault, trouble.code, "%s", trouble.text);
}

bool backup_folder_add(const char *folder, const char *address, int keep, struct instant now, const atomic_bool *stop,
                       struct backup_newest *made, struct backup_facts *facts, int *kept, struct fault *fault)
{
    struct backup_part part = {.file = -1};
    struct backup_facts copy;
    struct backup_newest is;
    char path[PATH_MAX];
    int left = 1;
    const bool fine = join(folder, "ledger", path, fault) && backup_part_open(path, &part, fault) &&
                      backup_fill(address, &part, stop, &copy, fault) &&
                      name_it(folder, &part, now, copy.movements, &is, fault);
    backup_part_close(&part);
    if (!fine)
        return false;
    *made = is;
    *facts = copy;
    if (!prune(folder, address, keep, made, &left, fault)) /* the copy is good all the same: said by `made` */
        return false;
    if (kept)
        *kept = left;
    return true;
}

bool backup_folder_shares_disk(const char *folder, const char *address)
{
    const char *path = sql_sqlite_path(address);
    struct stat here, there;
    return path && stat(path, &here) == 0 && stat(folder, &there) == 0 && here.st_dev == there.st_dev;
}

int64_t backup_due_ms(const struct backup_newest *newest, struct instant now, int64_t every_ms)
{
    const int64_t age = now.ms - newest->at.ms;
    return !newest->found || age < 0 || age >= every_ms ? 0 : every_ms - age;
}
