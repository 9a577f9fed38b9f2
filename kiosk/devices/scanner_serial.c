#include "kiosk/devices/scanner_serial.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <sys/file.h>
#include <sys/ioctl.h>
#include <termios.h>
#include <unistd.h>

#include "kiosk/devices/device_retry.h"
#include "kiosk/devices/scan_framer.h"
#include "labels/basics/text.h"

enum { PATH_SIZE = 256, CHUNK_SIZE = 512, CHUNKS_A_CALL = 32 /* a chattering line must not hold the poll loop */ };

struct scanner_serial {
    char path[PATH_SIZE];
    speed_t speed;
    int fd;
    struct device_retry retry;
    struct scan_framer framer;
    char chunk[CHUNK_SIZE]; /* read and not yet framed: from `at` to `end` */
    size_t at, end;
};

static bool speed_find(int baud, speed_t *speed)
{
    static const struct {
        int baud;
        speed_t speed;
    } speeds[] = {{9600, B9600}, {19200, B19200}, {38400, B38400}, {57600, B57600}, {115200, B115200}};
    for (size_t i = 0; i < sizeof speeds / sizeof *speeds; i++) {
        if (speeds[i].baud == baud) {
            *speed = speeds[i].speed;
            return true;
        }
    }
    return false;
}

struct scanner_serial *scanner_serial_create(const struct scanner_serial_settings *settings, struct fault *fault)
{
    assert(settings && settings->path);
    speed_t speed = B9600;
    if (!speed_find(settings->speed_baud, &speed)) {
        fault_set(fault, FAULT_INPUT, "scanner '%s': speed %d is not one of 9600, 19200, 38400, 57600, 115200",
                  settings->path, settings->speed_baud);
        return NULL;
    }
    if (settings->path[0] != '/' || strlen(settings->path) >= PATH_SIZE) {
        fault_set(fault, FAULT_INPUT, "scanner '%.64s': give the whole path of a serial line, under %d characters",
                  settings->path, PATH_SIZE);
        return NULL;
    }
    struct scanner_serial *scanner = calloc(1, sizeof *scanner);
    if (!scanner) {
        fault_set(fault, FAULT_STORAGE, "scanner '%s': out of memory", settings->path);
        return NULL;
    }
    span_copy(span_of(settings->path), scanner->path, sizeof scanner->path);
    scanner->speed = speed;
    scanner->fd = -1;
    device_retry_init(&scanner->retry);
    scan_framer_init(&scanner->framer, settings->gap_ms ? settings->gap_ms : SCAN_FRAMER_GAP_MS);
    return scanner;
}

static void line_close(struct scanner_serial *scanner)
{
    if (scanner->fd >= 0) {
        ioctl(scanner->fd, TIOCNXCL); /* would outlive us if somebody else held the line open */
        close(scanner->fd);
    }
    scanner->fd = -1;
    scanner->at = scanner->end = 0;
    scan_framer_clear(&scanner->framer);
}

void scanner_serial_destroy(struct scanner_serial *scanner)
{
    if (!scanner)
        return;
    line_close(scanner);
    free(scanner);
}

static bool open_fault(const char *path, int error, struct fault *fault)
{
    if (error == EACCES || error == EPERM)
        return fault_set(fault, FAULT_DEVICE,
                         "scanner '%s': no permission; add the kiosk's user to the line's group (often dialout)", path);
    if (error == EBUSY || error == EWOULDBLOCK)
        return fault_set(fault, FAULT_BUSY, "scanner '%s' is in use by another program: end that one", path);
    if (error == ENOTTY)
        return fault_set(fault, FAULT_INPUT, "scanner '%s' is not a serial line: name another path", path);
    if (error == ENOENT || error == ENXIO || error == ENODEV || error == EIO)
        return fault_set(fault, FAULT_MISSING, "scanner '%s' is not there: plug it in, it is found by itself", path);
    return fault_set(fault, FAULT_DEVICE, "scanner '%s' does not open: %s", path, strerror(error));
}

static bool line_set_raw(int fd, speed_t speed)
{
    struct termios line;
    if (tcgetattr(fd, &line) != 0)
        return false;
    cfmakeraw(&line); /* 8 bits, no parity, no echo, nothing translated */
    line.c_iflag &= ~(tcflag_t)(IXOFF | IXANY);
    line.c_iflag |= IGNBRK; /* a pulled RS-232 plug sends breaks */
    line.c_cflag &= ~(tcflag_t)(CSTOPB | CRTSCTS);
    line.c_cflag |= CLOCAL | CREAD;
    line.c_cc[VMIN] = 1; /* with 0 an idle line reads as 0 bytes, like an unplugged one */
    line.c_cc[VTIME] = 0;
    return cfsetspeed(&line, speed) == 0 && tcsetattr(fd, TCSANOW, &line) == 0 && tcflush(fd, TCIFLUSH) == 0;
}

/* The open descriptor, or -1 with errno set. */
static int line_open(const char *path, speed_t speed)
{
    const int fd = open(path, O_RDWR | O_NOCTTY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return -1;
    if (isatty(fd) && flock(fd, LOCK_EX | LOCK_NB) == 0 && ioctl(fd, TIOCEXCL) == 0 && line_set_raw(fd, speed))
        return fd;
    const int error = errno;
    close(fd);
    errno = error;
    return -1;
}

bool scanner_serial_reopen(struct scanner_serial *scanner, int64_t now_ms, struct fault *fault)
{
    if (scanner->fd >= 0)
        return true;
    if (!device_retry_is_due(&scanner->retry, now_ms))
        return fault_set(fault, FAULT_BUSY, "scanner '%s' is tried again in %d ms", scanner->path,
                         device_retry_left_ms(&scanner->retry, now_ms));
    const int fd = line_open(scanner->path, scanner->speed);
    if (fd < 0) {
        const int error = errno;
        device_retry_failed(&scanner->retry, now_ms);
        return open_fault(scanner->path, error, fault);
    }
    scanner->fd = fd;
    device_retry_init(&scanner->retry);
    return true;
}

int scanner_serial_fd(const struct scanner_serial *scanner)
{
    return scanner->fd;
}

static enum device_event line_lost(struct scanner_serial *scanner, int64_t now_ms, struct fault *fault)
{
    const bool half = scanner->framer.length > 0;
    line_close(scanner);
    device_retry_failed(&scanner->retry, now_ms); /* not at once: the node may still be there for a moment */
    fault_set(fault, FAULT_DEVICE, "scanner '%s' is gone: plug it in again%s", scanner->path,
              half ? "; half a scan was thrown away, scan it again" : "");
    return DEVICE_LOST;
}

static enum device_event chunk_frame(struct scanner_serial *scanner, int64_t now_ms, struct device_scan *scan,
                                     struct fault *fault)
{
    enum device_event event = DEVICE_NOTHING;
    while (event == DEVICE_NOTHING && scanner->at < scanner->end)
        event = scan_framer_take(&scanner->framer, scanner->chunk[scanner->at++], now_ms, scan, fault);
    return event;
}

enum device_event scanner_serial_ready(struct scanner_serial *scanner, int64_t now_ms, struct device_scan *scan,
                                       struct fault *fault)
{
    if (scanner->fd < 0)
        return DEVICE_NOTHING;
    for (int chunks = 0; chunks < CHUNKS_A_CALL; chunks++) {
        const enum device_event event = chunk_frame(scanner, now_ms, scan, fault);
        if (event != DEVICE_NOTHING)
            return event;
        const ssize_t got = read(scanner->fd, scanner->chunk, sizeof scanner->chunk);
        if (got > 0) {
            scanner->at = 0;
            scanner->end = (size_t)got;
        } else if (got < 0 && (errno == EAGAIN || errno == EWOULDBLOCK)) {
            return scan_framer_silence(&scanner->framer, now_ms, scan);
        } else if (got == 0 || errno != EINTR) {
            return line_lost(scanner, now_ms, fault); /* 0, EIO, ENXIO, ENODEV: unplugged */
        }
    }
    return chunk_frame(scanner, now_ms, scan, fault); /* the rest at the next call: poll says so again */
}

int scanner_serial_wait_ms(const struct scanner_serial *scanner, int64_t now_ms)
{
    return scanner->fd < 0 ? device_retry_left_ms(&scanner->retry, now_ms)
                           : scan_framer_left_ms(&scanner->framer, now_ms);
}
