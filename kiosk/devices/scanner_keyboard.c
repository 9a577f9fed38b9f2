#include "kiosk/devices/scanner_keyboard.h"

#include <assert.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <libevdev/libevdev.h>

#include "kiosk/devices/device_retry.h"
#include "kiosk/devices/scan_framer.h"
#include "kiosk/devices/scanner_keys.h"
#include "labels/basics/text.h"

enum { PATH_SIZE = 256, KEY_NAME_SIZE = 24, EVENTS_A_CALL = 2048 };

struct scanner_keyboard {
    char path[PATH_SIZE];
    int fd;
    struct libevdev *device;
    bool catching_up; /* the kernel lost events; libevdev is telling what is held now */
    struct device_retry retry;
    struct scanner_keys keys;
    struct scan_framer framer;
};

static bool is_function_key(int code) /* F11 to F24 came later and lie elsewhere */
{
    return (code >= KEY_F1 && code <= KEY_F10) || code == KEY_F11 || code == KEY_F12 ||
           (code >= KEY_F13 && code <= KEY_F24);
}

static bool gs_key_find(const char *name, unsigned *code)
{
    *code = 0;
    if (!name || !*name)
        return true;
    char whole[KEY_NAME_SIZE + 8];
    struct builder builder;
    builder_init(&builder, whole, sizeof whole);
    builder_addf(&builder, "KEY_%.*s", KEY_NAME_SIZE, strncmp(name, "KEY_", 4) == 0 ? name + 4 : name);
    const int found = libevdev_event_code_from_name(EV_KEY, whole);
    if (!is_function_key(found))
        return false;
    *code = (unsigned)found;
    return true;
}

struct scanner_keyboard *scanner_keyboard_create(const struct scanner_keyboard_settings *settings, struct fault *fault)
{
    assert(settings && settings->path);
    unsigned gs_key = 0;
    if (!gs_key_find(settings->gs_key, &gs_key)) {
        fault_set(fault, FAULT_INPUT, "scanner '%s': gs_key '%.24s' is not a function key: give one of F1 to F24",
                  settings->path, settings->gs_key);
        return NULL;
    }
    if (settings->path[0] != '/' || strlen(settings->path) >= PATH_SIZE) {
        fault_set(fault, FAULT_INPUT, "scanner '%.64s': give the whole path of an input device, under %d characters",
                  settings->path, PATH_SIZE);
        return NULL;
    }
    struct scanner_keyboard *scanner = calloc(1, sizeof *scanner);
    if (!scanner) {
        fault_set(fault, FAULT_STORAGE, "scanner '%s': out of memory", settings->path);
        return NULL;
    }
    span_copy(span_of(settings->path), scanner->path, sizeof scanner->path);
    scanner->fd = -1;
    device_retry_init(&scanner->retry);
    scanner_keys_init(&scanner->keys, gs_key);
    scan_framer_init(&scanner->framer, settings->gap_ms ? settings->gap_ms : SCAN_FRAMER_GAP_MS);
    return scanner;
}

static void keyboard_close(struct scanner_keyboard *scanner)
{
    libevdev_free(scanner->device); /* NULL allowed */
    if (scanner->fd >= 0)
        close(scanner->fd); /* ends the grab */
    scanner->device = NULL;
    scanner->fd = -1;
    scanner->catching_up = false;
    scanner_keys_clear(&scanner->keys);
    scan_framer_clear(&scanner->framer);
}

void scanner_keyboard_destroy(struct scanner_keyboard *scanner)
{
    if (!scanner)
        return;
    keyboard_close(scanner);
    free(scanner);
}

static bool open_fault(const char *path, int error, struct fault *fault)
{
    if (error == EACCES || error == EPERM)
        return fault_set(fault, FAULT_DEVICE,
                         "scanner '%s': no permission; add the kiosk's user to the device's group (often input)", path);
    if (error == EBUSY)
        return fault_set(fault, FAULT_BUSY, "scanner '%s' is held by another program: end that one", path);
    if (error == ENOTTY || error == EINVAL)
        return fault_set(fault, FAULT_INPUT, "scanner '%s' is not a keyboard-type input device: name another path",
                         path);
    if (error == ENOENT || error == ENXIO || error == ENODEV)
        return fault_set(fault, FAULT_MISSING, "scanner '%s' is not there: plug it in, it is found by itself", path);
    return fault_set(fault, FAULT_DEVICE, "scanner '%s' does not open: %s", path, strerror(error));
}

/* 0, or an errno; nothing stays open then. */
static int keyboard_open(struct scanner_keyboard *scanner)
{
    const int fd = open(scanner->path, O_RDONLY | O_NONBLOCK | O_CLOEXEC);
    if (fd < 0)
        return errno;
    struct libevdev *device = NULL;
    int error = -libevdev_new_from_fd(fd, &device);
    if (error == 0 && !libevdev_has_event_code(device, EV_KEY, KEY_1))
        error = EINVAL; /* a mouse, a lid switch */
    if (error == 0)
        error = -libevdev_grab(device, LIBEVDEV_GRAB);
    if (error != 0) {
        libevdev_free(device);
        close(fd);
        return error;
    }
    scanner->fd = fd;
    scanner->device = device;
    return 0;
}

bool scanner_keyboard_reopen(struct scanner_keyboard *scanner, int64_t now_ms, struct fault *fault)
{
    if (scanner->fd >= 0)
        return true;
    if (!device_retry_is_due(&scanner->retry, now_ms))
        return fault_set(fault, FAULT_BUSY, "scanner '%s' is tried again in %d ms", scanner->path,
                         device_retry_left_ms(&scanner->retry, now_ms));
    const int error = keyboard_open(scanner);
    if (error != 0) {
        device_retry_failed(&scanner->retry, now_ms);
        return open_fault(scanner->path, error, fault);
    }
    device_retry_init(&scanner->retry);
    return true;
}

int scanner_keyboard_fd(const struct scanner_keyboard *scanner)
{
    return scanner->fd;
}

static enum device_event keyboard_lost(struct scanner_keyboard *scanner, int64_t now_ms, struct fault *fault)
{
    const bool half = scanner->framer.length > 0;
    keyboard_close(scanner);
    device_retry_failed(&scanner->retry, now_ms);
    fault_set(fault, FAULT_DEVICE, "scanner '%s' is gone: plug it in again%s", scanner->path,
              half ? "; half a scan was thrown away, scan it again" : "");
    return DEVICE_LOST;
}

static enum device_event keystrokes_missing(struct scanner_keyboard *scanner, int64_t now_ms, struct fault *fault)
{
    scanner->catching_up = true;
    scanner_keys_clear(&scanner->keys);
    scan_framer_discard(&scanner->framer, now_ms);
    fault_set(fault, FAULT_DEVICE, "scanner '%s': keystrokes were lost, the scan was thrown away; scan again",
              scanner->path);
    return DEVICE_TROUBLE;
}

static enum device_event key_frame(struct scanner_keyboard *scanner, const struct input_event *key, int64_t now_ms,
                                   struct device_scan *scan, struct fault *fault)
{
    char byte = 0;
    const enum scanner_keys_result result = scanner_keys_take(&scanner->keys, key->code, key->value, &byte);
    if (scanner->catching_up) /* only to learn which modifiers are held */
        return DEVICE_NOTHING;
    if (result == SCANNER_KEYS_BYTE)
        return scan_framer_take(&scanner->framer, byte, now_ms, scan, fault);
    return result == SCANNER_KEYS_END ? scan_framer_end(&scanner->framer, scan) : DEVICE_NOTHING;
}

enum device_event scanner_keyboard_ready(struct scanner_keyboard *scanner, int64_t now_ms, struct device_scan *scan,
                                         struct fault *fault)
{
    if (scanner->fd < 0)
        return DEVICE_NOTHING;
    for (int events = 0; events < EVENTS_A_CALL; events++) {
        struct input_event event;
        const unsigned flag = scanner->catching_up ? LIBEVDEV_READ_FLAG_SYNC : LIBEVDEV_READ_FLAG_NORMAL;
        const int status = libevdev_next_event(scanner->device, flag, &event);
        if (status == -EAGAIN && scanner->catching_up) {
            scanner->catching_up = false;
        } else if (status == -EAGAIN) {
            return scan_framer_silence(&scanner->framer, now_ms, scan);
        } else if (status == LIBEVDEV_READ_STATUS_SYNC && !scanner->catching_up) {
            return keystrokes_missing(scanner, now_ms, fault);
        } else if (status < 0 && status != -EINTR) {
            return keyboard_lost(scanner, now_ms, fault);
        } else if (status >= 0 && event.type == EV_KEY) {
            const enum device_event outcome = key_frame(scanner, &event, now_ms, scan, fault);
            if (outcome != DEVICE_NOTHING)
                return outcome;
        }
    }
    return DEVICE_NOTHING; /* the rest at the next call */
}

int scanner_keyboard_wait_ms(const struct scanner_keyboard *scanner, int64_t now_ms)
{
    if (scanner->fd < 0)
        return device_retry_left_ms(&scanner->retry, now_ms);
    if (libevdev_has_event_pending(scanner->device) > 0) /* libevdev reads ahead: poll would not say so */
        return 0;
    return scan_framer_left_ms(&scanner->framer, now_ms);
}
