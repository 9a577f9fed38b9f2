#ifndef KIOSK_DEVICES_EYE_EYE_MESSAGE_H
#define KIOSK_DEVICES_EYE_EYE_MESSAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/devices/eye/eye.h"
#include "labels/basics/fault.h"
#include "labels/quality/quality_brief.h"
#include "labels/reading/reader.h"

/* What the kiosk and its picture worker say to each other, one message a packet (SOCK_SEQPACKET), both ends on one
 * machine and of one build: host byte order, fixed structs without holes, a version that must agree.
 *
 *   kiosk                                        worker
 *   eye_request (+ one sealed memfd)   ------>
 *                                      <------   eye_symbol, index 0, 1, 2, …    one a symbol, top to bottom
 *                                      <------   eye_look (eye_look.h)           after its symbol, when wished
 *                                      <------   eye_calibration (…_packet)      after the last symbol, when wished
 *                                      <------   eye_done                        always, and last
 *
 * One request at a time. After it has read a hostile picture the worker counts as hostile: the kiosk checks every
 * field of every answer, and one that does not fit ends the worker. The worker checks requests as strictly.
 * Pure: no system calls; any thread may call. */

enum { EYE_MAGIC = 0x65796541, EYE_VERSION = 4 };

enum eye_kind {
    EYE_PICTURE = 1, /* the memory holds a picture file: JPEG, PNG or PGM */
    EYE_FRAME = 2,   /* the memory holds grey pixels: width, height, stride */
    EYE_SYMBOL = 16,
    EYE_DONE = 17,
    EYE_LOOK = 18,
    EYE_CALIBRATION = 19,
};

enum {
    EYE_PICTURE_BYTES = 32 * 1024 * 1024, /* longest picture file */
    EYE_TIME_MS = 10 * 60 * 1000,         /* longest time a request may be given */
    EYE_CORNER = 2 * 16384,               /* corners lie within -EYE_CORNER … EYE_CORNER pixels */
};

struct eye_header {
    uint32_t magic;
    uint16_t version, kind;
    uint32_t size;    /* of the whole message, in bytes */
    uint32_t request; /* an answer carries the number of its request */
};

struct eye_request {
    struct eye_header header;
    uint64_t length;        /* bytes of the sealed memory */
    uint64_t stride;        /* EYE_FRAME: bytes from row to row; else 0 */
    uint64_t pixels;        /* limit: largest width * height */
    uint32_t width, height; /* EYE_FRAME; else 0 */
    uint32_t side;          /* limit: longest width or height */
    uint32_t time_ms;       /* the kiosk kills after this; the worker ends itself a little later */
    uint32_t wishes;        /* of enum eye_wish */
    uint32_t reserved;      /* 0 */
};

enum { EYE_MIRRORED = 1, EYE_INVERTED = 2, EYE_READER_PROGRAMMING = 4 };

struct eye_segment {
    uint32_t start;
    int32_t eci;
};

struct eye_symbol { /* followed by `length` bytes, then `codeword_count` bytes */
    struct eye_header header;
    uint32_t index; /* 0, 1, 2, … within the request */
    uint32_t length, codeword_count, flags;
    int32_t rows, columns, corrected, eci;
    int32_t structured_index, structured_total, structured_file;
    char symbology[4];
    uint32_t segment_count, reserved; /* one more than READER_SEGMENTS: more than are kept; reserved: 0 */
    struct eye_segment segments[READER_SEGMENTS];
    double corners[4][2];
};

struct eye_done {
    struct eye_header header;
    uint32_t width, height; /* pixels of the picture; 0 with a fault */
    uint32_t count;         /* symbols sent; 0 with a fault */
    uint32_t cut_short;     /* 0 or 1 */
    int64_t cpu_ns;
    uint32_t fault_code;              /* enum fault_code */
    char fault_text[FAULT_TEXT_SIZE]; /* UTF-8, printable, ended with NUL */
    uint32_t reserved;                /* 0 */
};

enum { EYE_LONGEST = sizeof(struct eye_symbol) + READER_BYTES + READER_CODEWORDS };

void eye_header_write(struct eye_header *header, enum eye_kind kind, uint32_t number, size_t size);

/* --- the kiosk's side --- */

/* `*request` has kind, number and fields set by the caller; this fills the header's rest. */
void eye_request_seal(struct eye_request *request, enum eye_kind kind, uint32_t number);

/* The answer to one request, as it grows. `symbols` and `looks` are the caller's, room for READER_SYMBOLS each;
 * `looks` NULL: not asked for. A symbol that came without one has pixels_a_module 0 in its look. */
struct eye_gather {
    uint32_t request;
    struct reader_symbol *symbols;
    size_t count;
    struct quality_brief *looks;
    struct eye_calibration *calibration; /* room for it; NULL: not asked for */
    bool calibrated;                     /* it came */
    bool cartons;                        /* were they asked for? else one is no sound answer */
};

enum eye_gathered { EYE_MORE, EYE_COMPLETE, EYE_BROKEN };

/* Takes one packet from the worker. EYE_COMPLETE: `*done` is checked and fits the symbols gathered. EYE_BROKEN:
 * the packet is not what a healthy worker sends; `*fault` (FAULT_DEVICE) says what was wrong with it. */
enum eye_gathered eye_gather_take(struct eye_gather *gather, const uint8_t *packet, size_t length,
                                  struct eye_done *done, struct fault *fault);

/* --- the worker's side --- */

/* False: `*request` untouched, FAULT_INPUT with what is wrong. */
bool eye_request_read(const uint8_t *packet, size_t length, struct eye_request *request, struct fault *fault);

/* Returns the length of the packet. */
size_t eye_symbol_write(const struct reader_symbol *symbol, uint32_t request, uint32_t index,
                        uint8_t packet[EYE_LONGEST]);

/* `fault` NULL: it went well. Control characters and broken UTF-8 of a fault's text become '?'. */
void eye_done_write(uint32_t request, const struct reader_result *result, uint32_t width, uint32_t height,
                    const struct fault *fault, struct eye_done *done);

#endif
