#include "kiosk/devices/eye/eye_keeper.h"

#include <poll.h>
#include <string.h>
#include <sys/eventfd.h>

#include "kiosk/basics/log.h"
#include "kiosk/devices/eye/eye_channel.h"
#include "labels/basics/text.h"

enum { HOW_SIZE = 80, SECONDS_SIZE = 24, FOR_EVER = -1 };

bool eye_keeper_refuse(struct fault *fault)
{
    return fault_set(fault, FAULT_BUSY, "the picture reader is closing: try again when the kiosk runs");
}

static bool start_worker(struct eye_keeper *keeper, struct fault *fault)
{
    const bool good = eye_process_start(&keeper->process, keeper->program_path, fault);
    if (good)
        atomic_fetch_add(&keeper->started, 1);
    atomic_store(&keeper->pid, keeper->process.pid);
    return good;
}

static void end_worker(struct eye_keeper *keeper, char how[HOW_SIZE])
{
    eye_process_end(&keeper->process, how, HOW_SIZE);
    atomic_store(&keeper->pid, 0);
}

bool eye_keeper_init(struct eye_keeper *keeper, const char *program_path, int wake, struct reader_symbol *symbols,
                     struct quality_brief *looks, struct fault *fault)
{
    memset(keeper, 0, sizeof *keeper);
    keeper->program_path = program_path;
    keeper->wake = wake;
    keeper->symbols = symbols;
    keeper->looks = looks;
    eye_process_init(&keeper->process);
    return start_worker(keeper, fault);
}

void eye_keeper_end(struct eye_keeper *keeper)
{
    char how[HOW_SIZE];
    end_worker(keeper, how);
}

/* Waits until the worker says something, someone wakes us, or `until_ms` (FOR_EVER: no end) has come. True: the worker
 * said something or is gone. */
static bool worker_speaks(struct eye_keeper *keeper, int64_t until_ms)
{
    struct pollfd ears[2] = {{.fd = keeper->wake, .events = POLLIN},
                             {.fd = keeper->process.socket_fd, .events = POLLIN}};
    int wait_ms = FOR_EVER;
    if (until_ms != FOR_EVER) {
        const int64_t left = until_ms - eye_process_now_ms();
        wait_ms = left > 0 ? (int)left : 0;
    }
    if (poll(ears, 2, wait_ms) < 0)
        return false;
    eventfd_t calls = 0;
    if (ears[0].revents)
        (void)eventfd_read(keeper->wake, &calls); /* the queue and `closing` say what it was about */
    return ears[1].revents != 0;
}

/* After a worker that died early: waits out the pause, then starts one. */
static bool ensure_worker(struct eye_keeper *keeper, struct fault *fault)
{
    if (keeper->process.pid > 0)
        return true;
    while (eye_process_now_ms() < keeper->process.not_before_ms) {
        if (atomic_load(&keeper->closing))
            return eye_keeper_refuse(fault);
        (void)worker_speaks(keeper, keeper->process.not_before_ms);
    }
    return start_worker(keeper, fault);
}

/* A worker that ended before it was given the picture is not the picture's doing: one more try with a fresh one. */
static bool hand_over(struct eye_keeper *keeper, const struct eye_request *request, int memory, struct fault *fault)
{
    for (int tries = 0; tries < 2; tries++) {
        if (!ensure_worker(keeper, fault))
            return false;
        if (eye_channel_send(keeper->process.socket_fd, false, request, sizeof *request, memory) == EYE_PASSED) {
            atomic_fetch_add(&keeper->pictures, 1);
            return true;
        }
        char how[HOW_SIZE];
        atomic_fetch_add(&keeper->died, 1);
        end_worker(keeper, how);
        log_line(LOG_LEVEL_WARNING, "eye", "the picture worker ended (%s) and is started again", how);
    }
    return fault_set(fault, FAULT_DEVICE,
                     "the picture reader does not stay up: use the hand scanner and restart the kiosk");
}

static const char *write_seconds(uint32_t ms, char text[SECONDS_SIZE])
{
    struct builder out;
    builder_init(&out, text, SECONDS_SIZE);
    if (ms % 1000 == 0)
        builder_addf(&out, "%u s", ms / 1000);
    else
        builder_addf(&out, "%u.%03u s", ms / 1000, ms % 1000);
    return text;
}

static bool fail_hung(struct eye_keeper *keeper, uint32_t time_ms, struct fault *fault)
{
    char how[HOW_SIZE], seconds[SECONDS_SIZE];
    atomic_fetch_add(&keeper->hung, 1);
    end_worker(keeper, how);
    write_seconds(time_ms, seconds);
    log_line(LOG_LEVEL_WARNING, "eye", "the picture worker was ended: no answer within %s", seconds);
    return fault_set(fault, FAULT_DEVICE,
                     "the picture took longer than %s to read and was put aside: photograph it again, closer and "
                     "sharper",
                     seconds);
}

static bool fail_died(struct eye_keeper *keeper, struct fault *fault)
{
    char how[HOW_SIZE];
    atomic_fetch_add(&keeper->died, 1);
    end_worker(keeper, how);
    log_line(LOG_LEVEL_WARNING, "eye", "the picture worker died over a picture (%s)", how);
    return fault_set(
        fault, FAULT_DEVICE,
        "the picture reader broke down over this picture (%s) and the picture was put aside: photograph it "
        "again, or use the hand scanner",
        how);
}

/* `fault` says what was wrong with the answer. */
static bool fail_nonsense(struct eye_keeper *keeper, const struct fault *fault)
{
    char how[HOW_SIZE];
    atomic_fetch_add(&keeper->died, 1);
    end_worker(keeper, how);
    log_line(LOG_LEVEL_WARNING, "eye", "%s", fault->text);
    return false;
}

/* One packet of the answer. EYE_BROKEN: `*fault` is what the picture gets, and the worker has been ended. */
static enum eye_gathered hear(struct eye_keeper *keeper, struct eye_gather *gather, struct eye_done *done,
                              struct fault *fault)
{
    uint8_t packet[EYE_LONGEST];
    size_t length = 0;
    switch (eye_channel_receive(keeper->process.socket_fd, false, packet, sizeof packet, &length, NULL)) {
    case EYE_NOT_NOW:
        return EYE_MORE;
    case EYE_GONE:
        (void)fail_died(keeper, fault);
        return EYE_BROKEN;
    case EYE_REFUSED:
        (void)fault_set(fault, FAULT_DEVICE,
                        "the picture reader gave an answer of a wrong form and was started again: take the picture "
                        "again, or use the hand scanner");
        (void)fail_nonsense(keeper, fault);
        return EYE_BROKEN;
    case EYE_PASSED:
        break;
    }
    const enum eye_gathered gathered = eye_gather_take(gather, packet, length, done, fault);
    if (gathered == EYE_BROKEN)
        (void)fail_nonsense(keeper, fault);
    return gathered;
}

bool eye_keeper_read(struct eye_keeper *keeper, struct eye_request *request, int memory, struct eye_done *done,
                     struct fault *fault)
{
    eye_request_seal(request, (enum eye_kind)request->header.kind, ++keeper->last_number);
    if (!hand_over(keeper, request, memory, fault))
        return false;
    struct eye_gather gather = {.request = keeper->last_number,
                                .symbols = keeper->symbols,
                                .looks = request->wishes & EYE_LOOKS ? keeper->looks : NULL,
                                .calibration = request->wishes & EYE_LOOKS ? &keeper->calibration : NULL,
                                .cartons = request->wishes & EYE_CARTONS};
    enum eye_gathered gathered = EYE_MORE;
    const int64_t until_ms = eye_process_now_ms() + request->time_ms;
    while (gathered == EYE_MORE) {
        /* Speech goes before the clock: a kiosk that itself was held up finds the answer waiting. Packets that
         * EYE_MORE may follow are at most two a symbol of READER_SYMBOLS and one more, so that this cannot be drawn
         * out. */
        const bool speaks = worker_speaks(keeper, until_ms);
        if (atomic_load(&keeper->closing))
            return eye_keeper_refuse(fault);
        if (speaks)
            gathered = hear(keeper, &gather, done, fault);
        else if (eye_process_now_ms() >= until_ms)
            return fail_hung(keeper, request->time_ms, fault);
    }
    if (gathered == EYE_BROKEN)
        return false;
    eye_process_praise(&keeper->process);
    keeper->calibrated = gather.calibrated;
    if (done->fault_code != FAULT_NONE)
        return fault_set(fault, (enum fault_code)done->fault_code, "%s", done->fault_text);
    return true;
}

void eye_keeper_idle(struct eye_keeper *keeper)
{
    if (!worker_speaks(keeper, FOR_EVER))
        return;
    char how[HOW_SIZE];
    struct fault fault = {0};
    atomic_fetch_add(&keeper->died, 1);
    end_worker(keeper, how);
    log_line(LOG_LEVEL_WARNING, "eye", "the picture worker ended while it had nothing to do (%s)", how);
    if (eye_process_now_ms() >= keeper->process.not_before_ms && !start_worker(keeper, &fault))
        log_line(LOG_LEVEL_ERROR, "eye", "%s", fault.text);
}
