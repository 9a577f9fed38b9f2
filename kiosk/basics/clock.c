#include "kiosk/basics/clock.h"

#include <fcntl.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/timex.h>
#include <time.h>
#include <unistd.h>

#include "labels/basics/text.h"

enum clock_kind { CLOCK_SYSTEM, CLOCK_DRIVEN, CLOCK_FILE };
enum { MS_A_DAY = 86400000, FILE_BYTES = 64 };

struct clock {
    enum clock_kind kind;
    char *path;           /* CLOCK_FILE */
    pthread_mutex_t lock; /* guards all below */
    struct instant wall;  /* driven: now; file: the last instant read */
    int64_t mono_ms;      /* driven */
    bool synchronised;    /* driven, file: as told */
    bool confirmed, distrusted;
};

static struct clock *clock_create(enum clock_kind kind)
{
    struct clock *clock = calloc(1, sizeof *clock);
    if (!clock)
        return NULL;
    clock->kind = kind;
    if (pthread_mutex_init(&clock->lock, NULL) != 0) {
        free(clock);
        return NULL;
    }
    return clock;
}

struct clock *clock_create_system(void)
{
    tzset(); /* localtime_r need not read TZ by itself */
    return clock_create(CLOCK_SYSTEM);
}

struct clock *clock_create_driven(struct instant wall)
{
    struct clock *clock = clock_create(CLOCK_DRIVEN);
    if (clock) {
        clock->wall = wall;
        clock->synchronised = true;
    }
    return clock;
}

struct clock *clock_create_file(const char *path)
{
    tzset();
    struct clock *clock = clock_create(CLOCK_FILE);
    if (clock && !(clock->path = strdup(path))) {
        clock_destroy(clock);
        return NULL;
    }
    return clock;
}

void clock_destroy(struct clock *clock)
{
    if (!clock)
        return;
    (void)pthread_mutex_destroy(&clock->lock);
    free(clock->path);
    free(clock);
}

static int64_t read_ms(clockid_t id)
{
    struct timespec now = {0};
    (void)clock_gettime(id, &now); /* cannot fail for the two ids used here */
    return (int64_t)now.tv_sec * 1000 + now.tv_nsec / 1000000;
}

int64_t clock_mono_ms(void)
{
    return read_ms(CLOCK_BOOTTIME);
}

/* The kernel knows whether something (chrony, ntpd, timesyncd) keeps its clock: unsynchronised from boot until then. */
static bool kernel_is_synchronised(void)
{
    struct timex state = {0};
    const int answer = adjtimex(&state);
    return answer >= 0 && answer != TIME_ERROR && !(state.status & STA_UNSYNC);
}

static struct day utc_day(struct instant wall)
{
    int64_t number = wall.ms / MS_A_DAY;
    if (wall.ms % MS_A_DAY < 0)
        number--;
    return (struct day){(int32_t)number};
}

static struct day zone_day(struct instant wall)
{
    const time_t seconds = (time_t)(wall.ms / 1000);
    struct tm local;
    if (!localtime_r(&seconds, &local) || local.tm_year + 1900 < CALENDAR_FIRST_YEAR ||
        local.tm_year + 1900 > CALENDAR_LAST_YEAR)
        return utc_day(wall);
    return calendar_day(local.tm_year + 1900, local.tm_mon + 1, local.tm_mday);
}

/* "2026-02-14T09:00:00Z" and perhaps " trusted"; white space at the end. */
static bool read_file(const char *path, struct instant *wall, bool *trusted)
{
    char bytes[FILE_BYTES];
    const int file = open(path, O_RDONLY | O_CLOEXEC);
    if (file < 0)
        return false;
    const ssize_t length = read(file, bytes, sizeof bytes);
    (void)close(file);
    if (length <= 0)
        return false;
    struct span rest = {bytes, (size_t)length};
    while (rest.length > 0 && (rest.at[rest.length - 1] == '\n' || rest.at[rest.length - 1] == ' '))
        rest.length--;
    const char *blank = memchr(rest.at, ' ', rest.length);
    const size_t instant_length = blank ? (size_t)(blank - rest.at) : rest.length;
    if (!calendar_read_instant(rest.at, instant_length, wall, NULL))
        return false;
    *trusted = blank && span_equals((struct span){blank + 1, rest.length - instant_length - 1}, "trusted");
    return true;
}

struct moment clock_now(struct clock *clock)
{
    struct moment now = {0};
    (void)pthread_mutex_lock(&clock->lock);
    switch (clock->kind) {
    case CLOCK_SYSTEM:
        clock->wall.ms = read_ms(CLOCK_REALTIME);
        clock->mono_ms = read_ms(CLOCK_BOOTTIME);
        clock->synchronised = kernel_is_synchronised();
        break;
    case CLOCK_FILE:
        if (!read_file(clock->path, &clock->wall, &clock->synchronised))
            clock->synchronised = false;
        clock->mono_ms = read_ms(CLOCK_BOOTTIME);
        break;
    case CLOCK_DRIVEN:
        break;
    }
    now.wall = clock->wall;
    now.mono_ms = clock->mono_ms;
    now.trusted = clock->confirmed || (clock->synchronised && !clock->distrusted);
    (void)pthread_mutex_unlock(&clock->lock);
    now.local_day = clock_local_day(clock, now.wall);
    return now;
}

struct day clock_local_day(struct clock *clock, struct instant instant)
{
    return clock->kind == CLOCK_DRIVEN ? utc_day(instant) : zone_day(instant); /* the kind never changes: no lock */
}

void clock_drive(struct clock *clock, int64_t ms)
{
    (void)pthread_mutex_lock(&clock->lock);
    clock->wall.ms += ms;
    clock->mono_ms += ms;
    (void)pthread_mutex_unlock(&clock->lock);
}

void clock_set_wall(struct clock *clock, struct instant wall, bool trusted)
{
    (void)pthread_mutex_lock(&clock->lock);
    clock->wall = wall;
    clock->synchronised = trusted;
    clock->confirmed = false;
    clock->distrusted = false;
    (void)pthread_mutex_unlock(&clock->lock);
}

void clock_confirm(struct clock *clock)
{
    (void)pthread_mutex_lock(&clock->lock);
    clock->confirmed = true;
    clock->distrusted = false;
    (void)pthread_mutex_unlock(&clock->lock);
}

void clock_distrust(struct clock *clock)
{
    (void)pthread_mutex_lock(&clock->lock);
    clock->confirmed = false;
    clock->distrusted = true;
    (void)pthread_mutex_unlock(&clock->lock);
}
