#include "kiosk/devices/eye/eye_message.h"

#include <assert.h>
#include <math.h>
#include <string.h>

#include "kiosk/devices/eye/eye_calibration.h"
#include "kiosk/devices/eye/eye_look.h"
#include "kiosk/devices/eye/eye_text.h"
#include "labels/picture/picture.h"
#include "labels/reading/carton.h"

_Static_assert(sizeof(struct eye_header) == 16, "no holes");
_Static_assert(sizeof(struct eye_request) == 16 + 3 * 8 + 6 * 4, "no holes");
_Static_assert(sizeof(struct eye_symbol) == 16 + 4 * 14 + 8 * READER_SEGMENTS + 8 * 8, "no holes");
_Static_assert(sizeof(struct eye_done) == 16 + 4 * 4 + 8 + 4 + FAULT_TEXT_SIZE + 4, "no holes");

enum {
    LEAST_SIDE = 6,        /* modules; ISO/IEC 16022 starts at 8, kept below it */
    LARGEST_SIDE = 144,    /* ISO/IEC 16022: 144 x 144 */
    MOST_CORRECTED = 2178, /* data and check codewords of 144 x 144 */
    LARGEST_ECI = 999999,
    MOST_SEGMENTS = READER_SEGMENTS + 1,
    LONGEST_SERIES = 16, /* structured append */
    LARGEST_FILE = 0xFFFF,
};

void eye_header_write(struct eye_header *header, enum eye_kind kind, uint32_t number, size_t size)
{
    *header = (struct eye_header){EYE_MAGIC, EYE_VERSION, (uint16_t)kind, (uint32_t)size, number};
}

static bool header_fits(const struct eye_header *header, size_t length)
{
    return header->magic == EYE_MAGIC && header->version == EYE_VERSION && header->size == length;
}

void eye_request_seal(struct eye_request *request, enum eye_kind kind, uint32_t number)
{
    eye_header_write(&request->header, kind, number, sizeof *request);
}

static bool limits_fit(const struct eye_request *request)
{
    return request->side >= 1 && request->side <= (uint32_t)picture_default_limits.side && request->pixels >= 1 &&
           request->pixels <= (uint64_t)picture_default_limits.pixels && request->time_ms >= 1 &&
           request->time_ms <= EYE_TIME_MS && (request->wishes & ~(unsigned)(EYE_CARTONS | EYE_LOOKS)) == 0 &&
           request->reserved == 0;
}

/* Every factor is bounded before it is multiplied. */
static bool frame_fits(const struct eye_request *request)
{
    const uint64_t width = request->width, height = request->height, stride = request->stride;
    if (width < 1 || width > request->side || height < 1 || height > request->side)
        return false;
    return width * height <= request->pixels && stride >= width && stride <= 4 * (uint64_t)request->side &&
           request->length == stride * height;
}

bool eye_request_read(const uint8_t *packet, size_t length, struct eye_request *request, struct fault *fault)
{
    struct eye_request fresh;
    if (length != sizeof fresh)
        return fault_set(fault, FAULT_INPUT, "request of %zu bytes, not %zu: kiosk and worker differ, restart both",
                         length, sizeof fresh);
    memcpy(&fresh, packet, sizeof fresh);
    if (!header_fits(&fresh.header, length))
        return fault_set(fault, FAULT_INPUT, "request of another form or version: restart the kiosk");
    if (!limits_fit(&fresh))
        return fault_set(fault, FAULT_INPUT, "request with limits or wishes out of range: restart the kiosk");
    if (fresh.header.kind == EYE_FRAME) {
        if (!frame_fits(&fresh))
            return fault_set(fault, FAULT_INPUT, "frame whose size, stride and length disagree: restart the kiosk");
    } else if (fresh.header.kind != EYE_PICTURE) {
        return fault_set(fault, FAULT_INPUT, "request of unknown kind %d: restart the kiosk", fresh.header.kind);
    } else if (fresh.length < 1 || fresh.length > EYE_PICTURE_BYTES || fresh.width || fresh.height || fresh.stride) {
        return fault_set(fault, FAULT_INPUT, "picture request with a length or size out of range: restart the kiosk");
    }
    *request = fresh;
    return true;
}

size_t eye_symbol_write(const struct reader_symbol *symbol, uint32_t request, uint32_t index,
                        uint8_t packet[EYE_LONGEST])
{
    assert(symbol->length <= READER_BYTES && symbol->codeword_count <= READER_CODEWORDS);
    struct eye_symbol fixed = {
        .index = index,
        .length = (uint32_t)symbol->length,
        .codeword_count = (uint32_t)symbol->codeword_count,
        .flags = (symbol->mirrored ? EYE_MIRRORED : 0U) | (symbol->inverted ? EYE_INVERTED : 0U) |
                 (symbol->reader_programming ? EYE_READER_PROGRAMMING : 0U),
        .rows = symbol->rows,
        .columns = symbol->columns,
        .corrected = symbol->corrected,
        .eci = symbol->eci,
        .structured_index = symbol->structured_index,
        .structured_total = symbol->structured_total,
        .structured_file = symbol->structured_file,
    };
    const size_t size = sizeof fixed + symbol->length + symbol->codeword_count;
    eye_header_write(&fixed.header, EYE_SYMBOL, request, size);
    memcpy(fixed.symbology, symbol->symbology, sizeof fixed.symbology);
    fixed.segment_count = symbol->segment_count < MOST_SEGMENTS ? (uint32_t)symbol->segment_count : MOST_SEGMENTS;
    for (size_t i = 0; i < symbol->segment_count && i < READER_SEGMENTS; i++)
        fixed.segments[i] = (struct eye_segment){(uint32_t)symbol->segments[i].start, symbol->segments[i].eci};
    memcpy(fixed.corners, symbol->corners, sizeof fixed.corners);
    memcpy(packet, &fixed, sizeof fixed);
    memcpy(packet + sizeof fixed, symbol->bytes, symbol->length);
    memcpy(packet + sizeof fixed + symbol->length, symbol->codewords, symbol->codeword_count);
    return size;
}

void eye_done_write(uint32_t request, const struct reader_result *result, uint32_t width, uint32_t height,
                    const struct fault *fault, struct eye_done *done)
{
    memset(done, 0, sizeof *done);
    eye_header_write(&done->header, EYE_DONE, request, sizeof *done);
    if (!fault) {
        done->width = width;
        done->height = height;
        done->count = (uint32_t)result->count;
        done->cut_short = result->cut_short;
        done->cpu_ns = result->cpu_ns;
        return;
    }
    done->fault_code = (uint32_t)fault->code;
    const size_t length = strnlen(fault->text, sizeof done->fault_text - 1);
    memcpy(done->fault_text, fault->text, length);
    eye_text_clean(done->fault_text, length);
}

static bool within(int32_t value, int32_t least, int32_t greatest)
{
    return value >= least && value <= greatest;
}

static bool corners_fit(const struct eye_symbol *fixed)
{
    for (int i = 0; i < 4; i++)
        for (int k = 0; k < 2; k++)
            if (!isfinite(fixed->corners[i][k]) || fabs(fixed->corners[i][k]) > EYE_CORNER)
                return false;
    return true;
}

static bool symbology_fits(const char symbology[4])
{
    return symbology[0] == ']' && symbology[1] == 'd' && symbology[2] >= '1' && symbology[2] <= '6' && !symbology[3];
}

/* In order, within the bytes. */
static bool segments_fit(const struct eye_symbol *fixed)
{
    if (fixed->segment_count > MOST_SEGMENTS || fixed->reserved != 0)
        return false;
    for (uint32_t i = 0; i < fixed->segment_count && i < READER_SEGMENTS; i++)
        if (fixed->segments[i].start > fixed->length || !within(fixed->segments[i].eci, -1, LARGEST_ECI) ||
            (i > 0 && fixed->segments[i].start <= fixed->segments[i - 1].start))
            return false;
    return true;
}

/* A carton's code has none of what only Data Matrix has. */
static bool carton_fits(const struct eye_symbol *fixed)
{
    return fixed->rows == 0 && fixed->columns == 0 && fixed->corrected == -1 && fixed->eci == -1 &&
           fixed->segment_count == 0 && fixed->codeword_count == 0 && fixed->flags == 0 &&
           fixed->structured_index == 0 && fixed->structured_total == 0 && fixed->structured_file == 0;
}

/* NULL when the message is sound, else the word for what is not. */
static const char *symbol_trouble(const struct eye_symbol *fixed, size_t length, bool cartons)
{
    if (fixed->length > READER_BYTES || fixed->codeword_count > READER_CODEWORDS ||
        length != sizeof *fixed + fixed->length + fixed->codeword_count)
        return "length";
    if (!segments_fit(fixed))
        return "segments";
    if (!corners_fit(fixed))
        return "corners";
    if (cartons && carton_is_symbology(fixed->symbology))
        return carton_fits(fixed) ? NULL : "carton";
    if (!within(fixed->rows, LEAST_SIDE, LARGEST_SIDE) || !within(fixed->columns, LEAST_SIDE, LARGEST_SIDE))
        return "size";
    if (!within(fixed->corrected, 0, MOST_CORRECTED))
        return "corrected count";
    if (!within(fixed->eci, -1, LARGEST_ECI))
        return "ECI";
    if (!within(fixed->structured_index, -1, LONGEST_SERIES) || !within(fixed->structured_total, 0, LONGEST_SERIES) ||
        !within(fixed->structured_file, -1, LARGEST_FILE))
        return "structured append";
    if (fixed->flags & ~(unsigned)(EYE_MIRRORED | EYE_INVERTED | EYE_READER_PROGRAMMING))
        return "flags";
    return symbology_fits(fixed->symbology) ? NULL : "symbology";
}

static void unpack_symbol(const struct eye_symbol *fixed, const uint8_t *tail, struct reader_symbol *symbol)
{
    memset(symbol, 0, sizeof *symbol);
    memcpy(symbol->bytes, tail, fixed->length);
    memcpy(symbol->codewords, tail + fixed->length, fixed->codeword_count);
    memcpy(symbol->symbology, fixed->symbology, sizeof symbol->symbology);
    memcpy(symbol->corners, fixed->corners, sizeof symbol->corners);
    symbol->length = fixed->length;
    symbol->codeword_count = fixed->codeword_count;
    symbol->rows = fixed->rows;
    symbol->columns = fixed->columns;
    symbol->corrected = fixed->corrected;
    symbol->eci = fixed->eci;
    symbol->segment_count = fixed->segment_count;
    for (size_t i = 0; i < READER_SEGMENTS && i < fixed->segment_count; i++)
        symbol->segments[i] = (struct reader_segment){fixed->segments[i].start, fixed->segments[i].eci};
    symbol->structured_index = fixed->structured_index;
    symbol->structured_total = fixed->structured_total;
    symbol->structured_file = fixed->structured_file;
    symbol->mirrored = fixed->flags & EYE_MIRRORED;
    symbol->inverted = fixed->flags & EYE_INVERTED;
    symbol->reader_programming = fixed->flags & EYE_READER_PROGRAMMING;
}

static enum eye_gathered broken(struct fault *fault, const char *what)
{
    (void)fault_set(fault, FAULT_DEVICE,
                    "the picture reader gave an answer that makes no sense (%s) and was started again: take the "
                    "picture again, or use the hand scanner",
                    what);
    return EYE_BROKEN;
}

static enum eye_gathered take_symbol(struct eye_gather *gather, const uint8_t *packet, size_t length,
                                     struct fault *fault)
{
    struct eye_symbol fixed;
    if (length < sizeof fixed)
        return broken(fault, "symbol cut off");
    memcpy(&fixed, packet, sizeof fixed);
    if (gather->count >= READER_SYMBOLS || fixed.index != gather->count || gather->calibrated)
        return broken(fault, "symbol out of order");
    const char *trouble = symbol_trouble(&fixed, length, gather->cartons);
    if (trouble)
        return broken(fault, trouble);
    unpack_symbol(&fixed, packet + sizeof fixed, &gather->symbols[gather->count]);
    if (gather->looks)
        gather->looks[gather->count] = (struct quality_brief){.pixels_a_module = 0};
    gather->count++;
    return EYE_MORE;
}

/* One at most for a symbol, and right behind it. */
static enum eye_gathered take_look(struct eye_gather *gather, const uint8_t *packet, size_t length, struct fault *fault)
{
    if (!gather->looks || length != sizeof(struct eye_look) || gather->count == 0 ||
        gather->looks[gather->count - 1].pixels_a_module != 0 ||
        !eye_look_read(packet, (uint32_t)gather->count - 1, &gather->looks[gather->count - 1]))
        return broken(fault, "look");
    return EYE_MORE;
}

/* One at most, behind the last symbol. */
static enum eye_gathered take_calibration(struct eye_gather *gather, const uint8_t *packet, size_t length,
                                          struct fault *fault)
{
    if (!gather->calibration || length != sizeof(struct eye_calibration_packet) || gather->count == 0 ||
        gather->calibrated || !eye_calibration_read(packet, gather->calibration))
        return broken(fault, "calibration");
    gather->calibrated = true;
    return EYE_MORE;
}

static bool fault_fits(const struct eye_done *done)
{
    switch (done->fault_code) {
    case FAULT_INPUT:
    case FAULT_BUSY:
    case FAULT_DEVICE:
    case FAULT_STORAGE:
        break;
    default:
        return false;
    }
    return eye_text_fits(done->fault_text) && done->width == 0 && done->height == 0 && done->count == 0 &&
           done->cut_short == 0;
}

static bool success_fits(const struct eye_done *done)
{
    const uint32_t side = (uint32_t)picture_default_limits.side;
    return done->width >= 1 && done->width <= side && done->height >= 1 && done->height <= side &&
           (uint64_t)done->width * done->height <= (uint64_t)picture_default_limits.pixels && done->cut_short <= 1;
}

enum eye_gathered eye_gather_take(struct eye_gather *gather, const uint8_t *packet, size_t length,
                                  struct eye_done *done, struct fault *fault)
{
    struct eye_header header;
    if (length < sizeof header)
        return broken(fault, "message cut off");
    memcpy(&header, packet, sizeof header);
    if (!header_fits(&header, length))
        return broken(fault, "message of another form or version");
    if (header.request != gather->request)
        return broken(fault, "answer to another picture");
    if (header.kind == EYE_SYMBOL)
        return take_symbol(gather, packet, length, fault);
    if (header.kind == EYE_LOOK)
        return take_look(gather, packet, length, fault);
    if (header.kind == EYE_CALIBRATION)
        return take_calibration(gather, packet, length, fault);
    if (header.kind != EYE_DONE || length != sizeof *done)
        return broken(fault, "message of unknown kind");

    struct eye_done fresh;
    memcpy(&fresh, packet, sizeof fresh);
    if (fresh.cpu_ns < 0 || fresh.reserved != 0)
        return broken(fault, "time");
    if (fresh.fault_code == FAULT_NONE ? !success_fits(&fresh) : !fault_fits(&fresh))
        return broken(fault, "end of answer");
    if (fresh.count != (fresh.fault_code == FAULT_NONE ? gather->count : 0))
        return broken(fault, "symbol count");
    *done = fresh;
    return EYE_COMPLETE;
}
