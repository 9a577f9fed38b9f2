#include "kiosk/ledger/sql/sql_process.h"

#include <limits.h>
#include <stdio.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

enum { WRITE_BYTE = 120, FIRST_READ_BYTE = 123, LAST_BYTE = 127 };

static void read_name(int64_t process, char name[SQL_PROCESS_NAME_SIZE])
{
    char path[40];
    name[0] = '\0';
    (void)snprintf(path, sizeof path, "/proc/%lld/comm", (long long)process);
    FILE *file = fopen(path, "re");
    if (!file)
        return;
    if (!fgets(name, SQL_PROCESS_NAME_SIZE, file))
        name[0] = '\0';
    name[strcspn(name, "\n")] = '\0';
    (void)fclose(file);
}

/* "1: POSIX  ADVISORY  READ 4711 00:19:3456 124 124"; the device is left aside, for some file systems (overlays) show
 * another one there than stat does. */
static int64_t holder_in(const char *line, uint64_t inode, enum sql_process_does does)
{
    char kind[8], mode[16], access[8];
    long long process, first, last;
    unsigned major, minor;
    unsigned long long at;
    if (sscanf(line, "%*d: %7s %15s %7s %lld %x:%x:%llu %lld %lld", kind, mode, access, &process, &major, &minor, &at,
               &first, &last) != 9)
        return 0;
    if (strcmp(kind, "POSIX") != 0 || at != inode || process <= 0 || process == getpid())
        return 0;
    const bool writes = first <= WRITE_BYTE && last >= WRITE_BYTE && last <= LAST_BYTE && strcmp(access, "WRITE") == 0;
    const bool reads = first >= FIRST_READ_BYTE && last <= LAST_BYTE;
    return (does == SQL_PROCESS_WRITES ? writes : reads) ? process : 0;
}

int64_t sql_process_find(const char *path, enum sql_process_does does, char name[SQL_PROCESS_NAME_SIZE])
{
    char shared[PATH_MAX], line[256];
    struct stat status;
    int64_t found = 0;
    name[0] = '\0';
    if (snprintf(shared, sizeof shared, "%s-shm", path) >= (int)sizeof shared || stat(shared, &status) != 0)
        return 0;
    FILE *locks = fopen("/proc/locks", "re");
    if (!locks)
        return 0;
    while (found == 0 && fgets(line, sizeof line, locks))
        found = holder_in(line, status.st_ino, does);
    (void)fclose(locks);
    if (found > 0)
        read_name(found, name);
    return found;
}
