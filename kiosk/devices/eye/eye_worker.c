#include "kiosk/devices/eye/eye_worker.h"

#include <sys/mman.h>
#include <sys/socket.h>
#include <unistd.h>

#include "kiosk/basics/log.h"
#include "kiosk/devices/eye/eye_cage.h"
#include "kiosk/devices/eye/eye_calibration.h"
#include "kiosk/devices/eye/eye_channel.h"
#include "kiosk/devices/eye/eye_look.h"
#include "kiosk/devices/eye/eye_message.h"
#include "labels/picture/picture.h"
#include "labels/reading/reader.h"

enum { EXIT_CLOSED = 0, EXIT_FAILED = 1, EXIT_BY_HAND = 2 };

/* The kiosk kills a worker whose time is up. Should the kiosk be gone by then, the worker ends itself this much
 * later, instead of computing on alone. */
enum { GRACE_S = 2 };

struct worker {
    int socket_fd;
    struct reader *reader; /* one for all pictures: it reuses its memory */
};

static int complain(const char *text)
{
    log_line(LOG_LEVEL_ERROR, "eye worker", "%s", text);
    return EXIT_FAILED;
}

/* How well a symbol is printed, when it is one that can be judged. False: the kiosk is gone. */
static bool answer_look(const struct worker *worker, uint32_t number, uint32_t index, const struct grey *grey,
                        const struct reader_symbol *symbol)
{
    struct quality quality;
    struct quality_brief brief;
    struct eye_look look;
    if (!quality_measure(grey, symbol, &quality, NULL))
        return true;
    quality_brief_make(&quality, &brief);
    eye_look_write(&brief, number, index, &look);
    return eye_channel_send(worker->socket_fd, true, &look, sizeof look, -1) == EYE_PASSED;
}

/* Where a calibration label's print came out, when there is one in the picture. False: the kiosk is gone. */
static bool answer_calibration(const struct worker *worker, uint32_t number, const struct grey *grey,
                               const struct reader_result *result)
{
    struct eye_calibration calibration = {.measured = false};
    struct eye_calibration_packet packet;
    if (!calibration_measure_wanted(result->symbols, result->count))
        return true;
    calibration.measured =
        calibration_measure_make(grey, result->symbols, result->count, &calibration.measure, &calibration.why);
    eye_calibration_write(&calibration, number, &packet);
    return eye_channel_send(worker->socket_fd, true, &packet, sizeof packet, -1) == EYE_PASSED;
}

/* False: the kiosk is gone. */
static bool answer(const struct worker *worker, uint32_t number, bool looks, const struct grey *grey,
                   const struct reader_result *result, const struct fault *fault)
{
    uint8_t packet[EYE_LONGEST];
    for (size_t i = 0; !fault && i < result->count; i++) {
        const size_t length = eye_symbol_write(&result->symbols[i], number, (uint32_t)i, packet);
        if (eye_channel_send(worker->socket_fd, true, packet, length, -1) != EYE_PASSED ||
            (looks && !answer_look(worker, number, (uint32_t)i, grey, &result->symbols[i])))
            return false;
    }
    if (!fault && looks && !answer_calibration(worker, number, grey, result))
        return false;
    struct eye_done done;
    eye_done_write(number, result, (uint32_t)grey->width, (uint32_t)grey->height, fault, &done);
    return eye_channel_send(worker->socket_fd, true, &done, sizeof done, -1) == EYE_PASSED;
}

/* `picture` keeps the decoded pixels, if there are any, until the answer is out. */
static bool look(const struct worker *worker, const struct eye_request *request, const uint8_t *bytes,
                 struct picture *picture, struct grey *grey, struct reader_result *result, struct fault *fault)
{
    if (request->header.kind == EYE_FRAME) {
        *grey = (struct grey){bytes, (int)request->width, (int)request->height, request->stride};
    } else {
        const struct picture_limits limits = {EYE_PICTURE_BYTES, (int)request->side, (int64_t)request->pixels};
        if (!picture_read(bytes, request->length, &limits, picture, fault))
            return false;
        *grey = picture->grey;
    }
    return reader_set_cartons(worker->reader, request->wishes & EYE_CARTONS, fault) &&
           reader_read(worker->reader, grey, result, fault);
}

static bool serve(const struct worker *worker, const struct eye_request *request, int memory)
{
    struct picture picture = {0};
    struct grey grey = {0};
    struct reader_result result = {0};
    struct fault fault = {0};
    const uint8_t *bytes = NULL;
    const bool good = eye_memory_map(memory, request->length, &bytes, &fault) &&
                      look(worker, request, bytes, &picture, &grey, &result, &fault);
    const bool heard =
        answer(worker, request->header.request, request->wishes & EYE_LOOKS, &grey, &result, good ? NULL : &fault);
    picture_clear(&picture);
    if (bytes)
        (void)munmap((void *)bytes, request->length);
    return heard;
}

static int serve_all(const struct worker *worker)
{
    for (;;) {
        uint8_t packet[EYE_LONGEST];
        size_t length = 0;
        int memory = -1;
        const enum eye_passed passed =
            eye_channel_receive(worker->socket_fd, true, packet, sizeof packet, &length, &memory);
        if (passed == EYE_GONE)
            return EXIT_CLOSED;
        struct eye_request request;
        struct fault fault = {0};
        if (passed != EYE_PASSED || memory < 0)
            return complain("request without its memory: restart the kiosk");
        if (!eye_request_read(packet, length, &request, &fault)) {
            (void)close(memory);
            return complain(fault.text);
        }
        (void)alarm(request.time_ms / 1000 + 1 + GRACE_S);
        const bool heard = serve(worker, &request, memory);
        (void)alarm(0);
        (void)close(memory);
        if (!heard)
            return EXIT_CLOSED;
    }
}

static bool is_kiosk_socket(int socket_fd)
{
    int type = 0;
    socklen_t size = sizeof type;
    return getsockopt(socket_fd, SOL_SOCKET, SO_TYPE, &type, &size) == 0 && type == SOCK_SEQPACKET;
}

int eye_worker_main(int socket_fd)
{
    struct fault fault = {0};
    if (!is_kiosk_socket(socket_fd)) {
        (void)complain("this is the kiosk's picture worker, which the kiosk starts itself: use 'ambershelf read'");
        return EXIT_BY_HAND;
    }
    if (!eye_cage_limit(socket_fd, &fault))
        return complain(fault.text);
    struct worker worker = {.socket_fd = socket_fd, .reader = reader_create()};
    if (!worker.reader)
        return complain("no memory for the picture reader: close other programs");
    if (!eye_cage_enter(&fault) && !eye_cage_is_lenient())
        log_line(LOG_LEVEL_WARNING, "eye worker", "%s", fault.text); /* limits alone are better than no pictures */
    const int status = serve_all(&worker);
    reader_destroy(worker.reader);
    return status;
}
