#include "kiosk/devices/eye/eye_calibration.h"
#include "kiosk/devices/eye/eye_look.h"
#include "labels/reading/carton.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

/* First byte even: a request, as the worker reads it. Odd (with bit 1: cartons were asked for): packets from the
 * worker, each two bytes of length (low byte first) and that many bytes, as the kiosk gathers them to answer number 1.
 * What was taken must keep the promises of the header, whatever the bytes. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void promise(bool kept)
{
    if (!kept)
        abort();
}

static void check_request(const uint8_t *data, size_t size)
{
    struct eye_request request;
    if (!eye_request_read(data, size, &request, NULL))
        return;
    promise(request.length >= 1 && request.time_ms >= 1 && request.time_ms <= EYE_TIME_MS && request.side <= 16384);
    if (request.header.kind == EYE_FRAME)
        promise(request.stride >= request.width && request.length >= (uint64_t)request.width * request.height);
    else
        promise(request.header.kind == EYE_PICTURE && request.length <= EYE_PICTURE_BYTES);
}

static void check_symbol(const struct reader_symbol *symbol, bool cartons)
{
    promise(cartons || !carton_is_symbology(symbol->symbology));
    promise(symbol->segment_count <= READER_SEGMENTS + 1);
    for (size_t i = 0; i < symbol->segment_count && i < READER_SEGMENTS; i++)
        promise(symbol->segments[i].start <= symbol->length);
    promise(symbol->length <= READER_BYTES && symbol->codeword_count <= READER_CODEWORDS);
    promise(strnlen(symbol->symbology, sizeof symbol->symbology) == 3);
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++)
            promise(isfinite(symbol->corners[i][k]) && fabs(symbol->corners[i][k]) <= EYE_CORNER);
}

static void check_look(const struct quality_brief *look)
{
    promise(look->pixels_a_module >= 0 && look->streaks.count <= STREAK_MARKS);
    promise(look->fixed_level >= 0 && look->fixed_level <= LEVEL_BEST);
    for (size_t i = 0; i < look->streaks.count; i++)
        promise(look->streaks.marks[i].at > 0 && look->streaks.marks[i].at < SYMBOL_SIDE);
}

static void check_calibration(const struct eye_calibration *calibration)
{
    if (!calibration->measured)
        promise(calibration->why.code != FAULT_NONE && calibration->why.text[0] != '\0' &&
                strnlen(calibration->why.text, FAULT_TEXT_SIZE) < FAULT_TEXT_SIZE);
    else
        promise(calibration->measure.dpi > 0 && isfinite(calibration->measure.left_mm) &&
                calibration->measure.size_across > 0.5 && calibration->measure.left_error_mm >= 0);
}

static void check_answer(const uint8_t *data, size_t size, bool cartons, struct reader_symbol *symbols,
                         struct quality_brief *looks)
{
    struct eye_calibration calibration = {.measured = false};
    struct eye_gather gather = {.request = 1,
                                .symbols = symbols,
                                .looks = looks,
                                .calibration = looks ? &calibration : NULL,
                                .cartons = cartons};
    struct eye_done done;
    struct fault fault;
    enum eye_gathered gathered = EYE_MORE;
    while (size >= 2 && gathered == EYE_MORE) {
        size_t length = data[0] | (size_t)data[1] << 8;
        data += 2;
        size -= 2;
        if (length > size)
            length = size;
        const size_t before = gather.count;
        gathered = eye_gather_take(&gather, data, length, &done, &fault);
        promise(gather.count <= READER_SYMBOLS && gather.count <= before + (gathered == EYE_MORE ? 1 : 0));
        promise(gather.count > before || gathered != EYE_MORE || looks); /* a look adds no symbol */
        if (looks && gather.count > 0)
            check_look(&looks[gather.count - 1]);
        if (gather.count > before)
            check_symbol(&symbols[before], cartons);
        data += length;
        size -= length;
    }
    if (gather.calibrated)
        check_calibration(&calibration);
    if (gathered == EYE_BROKEN)
        promise(fault.code == FAULT_DEVICE);
    if (gathered == EYE_COMPLETE && done.fault_code == FAULT_NONE)
        promise(done.count == gather.count && done.width >= 1 && done.height >= 1);
    if (gathered == EYE_COMPLETE && done.fault_code != FAULT_NONE)
        promise(done.count == 0 && strnlen(done.fault_text, sizeof done.fault_text) < sizeof done.fault_text);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    if (data[0] % 2 == 0) {
        check_request(data + 1, size - 1);
        return 0;
    }
    struct reader_symbol *symbols = calloc(READER_SYMBOLS, sizeof *symbols);
    struct quality_brief *looks = calloc(READER_SYMBOLS, sizeof *looks);
    if (symbols && looks)
        check_answer(data + 1, size - 1, data[0] & 2, symbols, data[0] & 4 ? looks : NULL);
    free(looks);
    free(symbols);
    return 0;
}
