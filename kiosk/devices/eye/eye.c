#include "kiosk/devices/eye/eye.h"

#include <assert.h>
#include <pthread.h>
#include <stdlib.h>
#include <string.h>
#include <sys/eventfd.h>
#include <unistd.h>

#include "kiosk/basics/thread.h"
#include "kiosk/devices/eye/eye_channel.h"
#include "kiosk/devices/eye/eye_keeper.h"
#include "kiosk/devices/eye/eye_message.h"
#include "labels/picture/picture.h"

struct job {
    struct eye_request request;
    int memory; /* sealed; closed when the job is done */
    eye_done_function *done;
    void *context;
};

struct eye {
    char *program_path;
    int wake; /* eventfd: something was submitted, or the eye closes */
    struct reader_symbol *symbols;
    struct quality_brief *looks;
    struct thread *thread;
    struct eye_keeper keeper; /* the thread's, but for its atomic fields */

    pthread_mutex_t lock; /* guards what follows */
    struct job queue[EYE_QUEUE];
    size_t first, waiting;
    size_t in_hand; /* places taken: being copied, waiting, or being read */
    uint32_t deadline_ms;
};

/* --- the thread's side --- */

static bool take(struct eye *eye, struct job *job)
{
    (void)pthread_mutex_lock(&eye->lock);
    const bool taken = eye->waiting > 0;
    if (taken) {
        *job = eye->queue[eye->first];
        eye->first = (eye->first + 1) % EYE_QUEUE;
        eye->waiting--;
        job->request.time_ms = eye->deadline_ms;
    }
    (void)pthread_mutex_unlock(&eye->lock);
    return taken;
}

static void finish(struct eye *eye, const struct job *job, const struct eye_answer *answer, const struct fault *fault)
{
    (void)close(job->memory);
    (void)pthread_mutex_lock(&eye->lock);
    eye->in_hand--;
    (void)pthread_mutex_unlock(&eye->lock);
    job->done(job->context, answer, fault);
}

static void serve(struct eye *eye, struct job *job)
{
    struct fault fault = {0};
    struct eye_done done = {0};
    if (!eye_keeper_read(&eye->keeper, &job->request, job->memory, &done, &fault)) {
        finish(eye, job, NULL, &fault);
        return;
    }
    const struct eye_answer answer = {.width = (int)done.width,
                                      .height = (int)done.height,
                                      .symbols = eye->symbols,
                                      .count = done.count,
                                      .looks = job->request.wishes & EYE_LOOKS ? eye->looks : NULL,
                                      .calibration = eye->keeper.calibrated ? &eye->keeper.calibration : NULL,
                                      .cut_short = done.cut_short,
                                      .cpu_ns = done.cpu_ns};
    finish(eye, job, &answer, NULL);
}

static void run(void *context)
{
    struct eye *eye = context;
    struct job job;
    while (!atomic_load(&eye->keeper.closing)) {
        if (take(eye, &job))
            serve(eye, &job);
        else
            eye_keeper_idle(&eye->keeper);
    }
    eye_keeper_end(&eye->keeper);
    struct fault fault = {0};
    (void)eye_keeper_refuse(&fault);
    while (take(eye, &job))
        finish(eye, &job, NULL, &fault);
}

/* --- everyone's side --- */

static bool reserve_place(struct eye *eye, struct fault *fault)
{
    if (atomic_load(&eye->keeper.closing))
        return eye_keeper_refuse(fault);
    (void)pthread_mutex_lock(&eye->lock);
    const bool full = eye->in_hand >= EYE_QUEUE;
    if (!full)
        eye->in_hand++;
    (void)pthread_mutex_unlock(&eye->lock);
    if (full)
        return fault_set(fault, FAULT_BUSY, "%d pictures are waiting to be read already: try again in a few seconds",
                         EYE_QUEUE);
    return true;
}

/* `job` has everything but its memory. */
static bool submit(struct eye *eye, struct job *job, const uint8_t *bytes, size_t width, size_t stride, size_t rows,
                   struct fault *fault)
{
    if (!reserve_place(eye, fault))
        return false;
    const bool sealed = eye_memory_seal(bytes, width, stride, rows, &job->memory, fault);
    (void)pthread_mutex_lock(&eye->lock);
    if (sealed) {
        eye->queue[(eye->first + eye->waiting) % EYE_QUEUE] = *job;
        eye->waiting++;
    } else {
        eye->in_hand--;
    }
    (void)pthread_mutex_unlock(&eye->lock);
    if (sealed)
        (void)eventfd_write(eye->wake, 1);
    return sealed;
}

static struct job new_job(enum eye_kind kind, uint64_t length, eye_done_function *done, void *context)
{
    struct job job = {.memory = -1, .done = done, .context = context};
    job.request.header.kind = (uint16_t)kind;
    job.request.length = length;
    job.request.side = (uint32_t)picture_default_limits.side;
    job.request.pixels = (uint64_t)picture_default_limits.pixels;
    return job;
}

bool eye_submit(struct eye *eye, const uint8_t *bytes, size_t length, unsigned wishes, eye_done_function *done,
                void *context, struct fault *fault)
{
    assert(eye && done && (bytes || length == 0));
    if (length == 0)
        return fault_set(fault, FAULT_INPUT, "the picture file is empty: take or copy it again");
    if (length > EYE_PICTURE_BYTES)
        return fault_set(fault, FAULT_INPUT, "the picture file has %zu bytes, more than %d: make it smaller", length,
                         EYE_PICTURE_BYTES);
    struct job job = new_job(EYE_PICTURE, length, done, context);
    job.request.wishes = wishes;
    return submit(eye, &job, bytes, length, length, 1, fault);
}

bool eye_submit_frame(struct eye *eye, const struct grey *frame, eye_done_function *done, void *context,
                      struct fault *fault)
{
    assert(eye && done && frame && frame->pixels);
    const int side = picture_default_limits.side;
    if (frame->width < 1 || frame->width > side || frame->height < 1 || frame->height > side ||
        (int64_t)frame->width * frame->height > picture_default_limits.pixels || frame->stride < (size_t)frame->width)
        return fault_set(fault, FAULT_INPUT,
                         "the camera's frame is %d x %d pixels, which is not 1 to %d a side and %lld in all: choose "
                         "another format for the camera",
                         frame->width, frame->height, side, (long long)picture_default_limits.pixels);
    const size_t width = (size_t)frame->width, rows = (size_t)frame->height;
    struct job job = new_job(EYE_FRAME, width * rows, done, context);
    job.request.width = (uint32_t)width;
    job.request.height = (uint32_t)rows;
    job.request.stride = width;
    return submit(eye, &job, frame->pixels, width, frame->stride, rows, fault);
}

static void release(struct eye *eye)
{
    if (eye->wake >= 0)
        (void)close(eye->wake);
    (void)pthread_mutex_destroy(&eye->lock);
    free(eye->looks);
    free(eye->symbols);
    free(eye->program_path);
    free(eye);
}

bool eye_create(const char *program_path, struct eye **eye, struct fault *fault)
{
    assert(program_path && eye);
    struct eye *fresh = calloc(1, sizeof *fresh);
    if (!fresh)
        return fault_set(fault, FAULT_STORAGE, "no memory for the picture reader: close other programs");
    fresh->deadline_ms = EYE_DEADLINE_MS;
    fresh->program_path = strdup(program_path);
    fresh->symbols = calloc(READER_SYMBOLS, sizeof *fresh->symbols);
    fresh->looks = calloc(READER_SYMBOLS, sizeof *fresh->looks);
    fresh->wake = eventfd(0, EFD_CLOEXEC | EFD_NONBLOCK);
    (void)pthread_mutex_init(&fresh->lock, NULL); /* cannot fail on Linux */
    if (!fresh->program_path || !fresh->symbols || !fresh->looks || fresh->wake < 0) {
        (void)fault_set(fault, FAULT_STORAGE, "no memory or descriptors for the picture reader: close other programs");
        goto failed;
    }
    /* The first worker is started here, not by the thread: the caller learns of a program that is not there. */
    if (!eye_keeper_init(&fresh->keeper, fresh->program_path, fresh->wake, fresh->symbols, fresh->looks, fault))
        goto failed;
    if (!thread_start("eye", run, fresh, &fresh->thread, fault)) {
        eye_keeper_end(&fresh->keeper);
        goto failed;
    }
    *eye = fresh;
    return true;

failed:
    release(fresh);
    return false;
}

void eye_destroy(struct eye *eye)
{
    if (!eye)
        return;
    atomic_store(&eye->keeper.closing, true);
    (void)eventfd_write(eye->wake, 1);
    thread_join(eye->thread);
    release(eye);
}

struct wait_room {
    pthread_mutex_t lock; /* guards all below */
    pthread_cond_t changed;
    bool done, good;
    struct reader_symbol *symbols;
    size_t room;
    struct eye_answer answer;
    struct fault fault;
};

static void wake_reader(void *context, const struct eye_answer *answer, const struct fault *fault)
{
    struct wait_room *room = context;
    (void)pthread_mutex_lock(&room->lock);
    if (answer) {
        room->answer = *answer;
        room->answer.count = answer->count < room->room ? answer->count : room->room;
        room->answer.cut_short = answer->cut_short || answer->count > room->room;
        room->answer.symbols = room->symbols;
        room->answer.looks = NULL;
        room->answer.calibration = NULL;
        for (size_t i = 0; i < room->answer.count; i++)
            room->symbols[i] = answer->symbols[i];
    } else {
        room->fault = *fault;
    }
    room->good = answer != NULL;
    room->done = true;
    (void)pthread_cond_signal(&room->changed);
    (void)pthread_mutex_unlock(&room->lock);
}

bool eye_read(struct eye *eye, const uint8_t *bytes, size_t length, unsigned wishes, struct reader_symbol *symbols,
              size_t room, struct eye_answer *answer, struct fault *fault)
{
    struct wait_room wait = {
        .lock = PTHREAD_MUTEX_INITIALIZER, .changed = PTHREAD_COND_INITIALIZER, .symbols = symbols, .room = room};
    if (!eye_submit(eye, bytes, length, wishes, wake_reader, &wait, fault))
        return false;
    (void)pthread_mutex_lock(&wait.lock);
    while (!wait.done)
        (void)pthread_cond_wait(&wait.changed, &wait.lock);
    (void)pthread_mutex_unlock(&wait.lock);
    (void)pthread_cond_destroy(&wait.changed);
    (void)pthread_mutex_destroy(&wait.lock);
    if (!wait.good)
        return fault_set(fault, wait.fault.code, "%s", wait.fault.text);
    *answer = wait.answer;
    return true;
}

void eye_set_deadline(struct eye *eye, int deadline_ms)
{
    assert(deadline_ms >= 1 && deadline_ms <= EYE_TIME_MS);
    (void)pthread_mutex_lock(&eye->lock);
    eye->deadline_ms = (uint32_t)deadline_ms;
    (void)pthread_mutex_unlock(&eye->lock);
}

pid_t eye_pid(const struct eye *eye)
{
    return atomic_load(&eye->keeper.pid);
}

struct eye_counts eye_counts(const struct eye *eye)
{
    return (struct eye_counts){.pictures = atomic_load(&eye->keeper.pictures),
                               .hung = atomic_load(&eye->keeper.hung),
                               .died = atomic_load(&eye->keeper.died),
                               .started = atomic_load(&eye->keeper.started)};
}
