#include "kiosk/ledger/backup/backup_file.h"

#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <string.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include "labels/basics/text.h"

enum { COPY_BYTES = 65536 };

static const char *const SIDE_FILES[] = {"-wal", "-shm", "-journal", ".lock"};

static bool tell(const char *path, const char *what, struct fault *fault)
{
    const int reason = errno;
    if (reason == ENOSPC || reason == EDQUOT || reason == EFBIG)
        return fault_set(fault, FAULT_STORAGE, "the disk of '%s' is full: free space, or name another disk", path);
    if (reason == ENOENT)
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be %s: its folder is not there; is the disk mounted?", path,
                         what);
    if (reason == EROFS || reason == EACCES || reason == EPERM)
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be %s (%s): let the kiosk's user write in that folder",
                         path, what, strerror(reason));
    return fault_set(fault, FAULT_STORAGE, "'%s' cannot be %s (%s): look at the disk", path, what, strerror(reason));
}

static void remove_side_files(const char *path)
{
    char name[PATH_MAX];
    for (size_t i = 0; i < sizeof SIDE_FILES / sizeof *SIDE_FILES; i++)
        if (snprintf(name, sizeof name, "%s%s", path, SIDE_FILES[i]) < (int)sizeof name)
            (void)unlink(name);
}

/* The lock is of the file, not of the name: another program may have published or removed it in between. */
static bool is_named(int file, const char *path)
{
    struct stat held, named;
    return fstat(file, &held) == 0 && stat(path, &named) == 0 && held.st_dev == named.st_dev &&
           held.st_ino == named.st_ino;
}

bool backup_part_open(const char *name, struct backup_part *part, struct fault *fault)
{
    part->file = -1;
    if (snprintf(part->path, sizeof part->path, "%s.part", name) >= (int)(sizeof part->path - sizeof "-journal"))
        return fault_set(fault, FAULT_INPUT, "the path '%.100s…' is too long: give a shorter one", name);
    const int file = open(part->path, O_RDWR | O_CREAT | O_CLOEXEC | O_NOFOLLOW, 0640);
    if (file < 0)
        return tell(part->path, "made", fault);
    if (flock(file, LOCK_EX | LOCK_NB) != 0 || !is_named(file, part->path)) {
        (void)close(file);
        return fault_set(fault, FAULT_BUSY, "another program is writing '%s' right now: wait for it", part->path);
    }
    part->file = file;
    remove_side_files(part->path);
    if (ftruncate(file, 0) == 0)
        return true;
    (void)tell(part->path, "written", fault);
    backup_part_close(part);
    return false;
}

bool backup_part_sync(const struct backup_part *part, struct fault *fault)
{
    if (fsync(part->file) != 0)
        return tell(part->path, "written to the disk", fault);
    (void)posix_fadvise(part->file, 0, 0, POSIX_FADV_DONTNEED);
    return true;
}

/* A file system that knows no RENAME_NOREPLACE gets a hard link, which does not replace either. */
static bool name_it(const char *part, const char *name, bool replace)
{
    if (replace)
        return rename(part, name) == 0;
    if (renameat2(AT_FDCWD, part, AT_FDCWD, name, RENAME_NOREPLACE) == 0)
        return true;
    if (errno != EINVAL && errno != ENOSYS)
        return false;
    if (link(part, name) == 0)
        return unlink(part) == 0;
    return errno != EEXIST && access(name, F_OK) != 0 && rename(part, name) == 0;
}

bool backup_part_publish(struct backup_part *part, const char *name, bool replace, struct fault *fault)
{
    if (!name_it(part->path, name, replace)) {
        if (errno == EEXIST)
            return fault_set(fault, FAULT_CONFLICT, "'%s' is there already: name another file, or move it away", name);
        return tell(name, "made", fault);
    }
    (void)close(part->file);
    part->file = -1;
    remove_side_files(part->path);
    return backup_folder_sync(name, fault);
}

void backup_part_close(struct backup_part *part)
{
    if (part->file < 0)
        return;
    (void)unlink(part->path); /* while it is locked: it is ours */
    remove_side_files(part->path);
    (void)close(part->file);
    part->file = -1;
}

bool backup_folder_sync(const char *path, struct fault *fault)
{
    char folder[PATH_MAX];
    const char *slash = strrchr(path, '/');
    const size_t length = slash ? (size_t)(slash - path) : 0;
    const struct span name = !slash ? span_of(".") : length == 0 ? span_of("/") : (struct span){path, length};
    if (!span_copy(name, folder, sizeof folder))
        return fault_set(fault, FAULT_INPUT, "the path '%.100s…' is too long: give a shorter one", path);
    const int file = open(folder, O_RDONLY | O_DIRECTORY | O_CLOEXEC);
    if (file < 0)
        return tell(folder, "opened", fault);
    const bool fine = fsync(file) == 0 || errno == EINVAL; /* some file systems sync no folders */
    if (!fine)
        (void)tell(folder, "written to the disk", fault);
    (void)close(file);
    return fine;
}

static bool copy_all(int in, int out)
{
    static _Thread_local char bytes[COPY_BYTES];
    ssize_t length = 0;
    while ((length = read(in, bytes, sizeof bytes)) > 0)
        for (ssize_t done = 0; done < length;) {
            const ssize_t written = write(out, bytes + done, (size_t)(length - done));
            if (written < 0)
                return false;
            done += written;
        }
    return length == 0;
}

bool backup_bytes_copy(const char *from, const char *to, struct fault *fault)
{
    const int in = open(from, O_RDONLY | O_CLOEXEC);
    if (in < 0)
        return tell(from, "read", fault);
    const int out = open(to, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0640);
    const bool fine = out >= 0 && copy_all(in, out) && fsync(out) == 0;
    if (!fine)
        (void)tell(to, "written", fault);
    if (out >= 0)
        (void)close(out);
    (void)close(in);
    if (!fine && out >= 0)
        (void)unlink(to);
    return fine;
}
