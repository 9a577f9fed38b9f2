#include "kiosk/ledger/sql/sql_log.h"

#include <stdlib.h>
#include <string.h>

enum {
    HEADER_BYTES = 32,
    FRAME_BYTES = 24, /* before each page */
    LEAST_PAGE = 512,
    MOST_PAGE = 65536,
    VERSION = 3007000,
    SECTOR_BYTES = 512, /* a disk writes no less at once; larger ones end there too */
    PAGE_SIZE_AT = 16   /* in the database's own header */
};
static const uint32_t MAGIC = 0x377f0682; /* the last bit says that checksums are big-endian */

struct log_walk {
    const struct sql_log_bytes *log, *file;
    uint8_t *frame; /* one frame's header and page */
    uint8_t *page;  /* the same page as the file has it */
    uint8_t *seen;  /* a bit a page number */
    size_t page_size;
    int64_t frames;
    uint8_t salts[8];
    bool big_endian, header_holds, read_failed;
    uint32_t sum[2];
};

static uint32_t read_u32(const uint8_t *at)
{
    return (uint32_t)at[0] << 24 | (uint32_t)at[1] << 16 | (uint32_t)at[2] << 8 | at[3];
}

static uint32_t read_word(const uint8_t *at, bool big_endian)
{
    return big_endian ? read_u32(at) : (uint32_t)at[3] << 24 | (uint32_t)at[2] << 16 | (uint32_t)at[1] << 8 | at[0];
}

static void add_to_sum(const uint8_t *bytes, size_t length, bool big_endian, uint32_t sum[2])
{
    for (size_t i = 0; i + 8 <= length; i += 8) {
        sum[0] += read_word(bytes + i, big_endian) + sum[1];
        sum[1] += read_word(bytes + i + 4, big_endian) + sum[0];
    }
}

static bool is_page_size(uint32_t size)
{
    return size >= LEAST_PAGE && size <= MOST_PAGE && (size & (size - 1)) == 0;
}

static bool read_bytes(struct log_walk *walk, const struct sql_log_bytes *from, int64_t at, uint8_t *bytes,
                       size_t length)
{
    if (at + (int64_t)length > from->size)
        return false;
    const bool got = from->read(from->context, at, bytes, length);
    walk->read_failed = walk->read_failed || !got;
    return got;
}

/* The log's header, or what can be known without it: the database says how large a page is, the first frame which
 * salts this round of the log has. */
static bool read_header(struct log_walk *walk)
{
    uint8_t header[HEADER_BYTES], size[2];
    if (!read_bytes(walk, walk->log, 0, header, sizeof header))
        return false;
    const uint32_t magic = read_u32(header);
    walk->big_endian = magic & 1;
    walk->page_size = read_u32(header + 8);
    memcpy(walk->salts, header + 16, sizeof walk->salts);
    add_to_sum(header, HEADER_BYTES - 8, walk->big_endian, walk->sum);
    walk->header_holds = (magic & ~UINT32_C(1)) == MAGIC && read_u32(header + 4) == VERSION &&
                         is_page_size((uint32_t)walk->page_size) && read_u32(header + 24) == walk->sum[0] &&
                         read_u32(header + 28) == walk->sum[1];
    if (walk->header_holds)
        return true;
    walk->page_size = 4096; /* what the kiosk's own files have */
    if (read_bytes(walk, walk->file, PAGE_SIZE_AT, size, sizeof size)) {
        const uint32_t said = (uint32_t)size[0] << 8 | size[1];
        if (said == 1 || is_page_size(said))
            walk->page_size = said == 1 ? MOST_PAGE : said;
    }
    return read_bytes(walk, walk->log, HEADER_BYTES + 8, walk->salts, sizeof walk->salts);
}

static int64_t frame_at(const struct log_walk *walk, int64_t number)
{
    return HEADER_BYTES + (number - 1) * (int64_t)(FRAME_BYTES + walk->page_size);
}

/* Of this round of the log? Frames of earlier rounds stand behind, until they are overwritten. */
static bool is_of_round(const struct log_walk *walk)
{
    return memcmp(walk->frame + 8, walk->salts, sizeof walk->salts) == 0;
}

static bool is_commit(const struct log_walk *walk)
{
    return read_u32(walk->frame + 4) != 0;
}

static bool frame_holds(struct log_walk *walk)
{
    add_to_sum(walk->frame, 8, walk->big_endian, walk->sum);
    add_to_sum(walk->frame + FRAME_BYTES, walk->page_size, walk->big_endian, walk->sum);
    return is_of_round(walk) && read_u32(walk->frame) != 0 && read_u32(walk->frame + 16) == walk->sum[0] &&
           read_u32(walk->frame + 20) == walk->sum[1];
}

static bool read_frame(struct log_walk *walk, int64_t number)
{
    return read_bytes(walk, walk->log, frame_at(walk, number), walk->frame, FRAME_BYTES + walk->page_size);
}

/* How many frames hold, one after the other. */
static int64_t count_good(struct log_walk *walk)
{
    int64_t good = 0;
    while (walk->header_holds && good < walk->frames && read_frame(walk, good + 1) && frame_holds(walk))
        good++;
    return good;
}

/* Does the file hold this frame's page just so? */
static bool is_in_file(struct log_walk *walk)
{
    const int64_t at = ((int64_t)read_u32(walk->frame) - 1) * (int64_t)walk->page_size;
    return at >= 0 && read_bytes(walk, walk->file, at, walk->page, walk->page_size) &&
           memcmp(walk->page, walk->frame + FRAME_BYTES, walk->page_size) == 0;
}

/* Was all that was committed from frame `first` to frame `last` moved into the file before? A page's last frame
 * counts: from the back, each page once. The first is the bad one, and is not compared when all behind it is there: a
 * checkpoint moves everything up to a commit. */
static bool is_moved(struct log_walk *walk, int64_t first, int64_t last)
{
    const int64_t pages = walk->file->size / (int64_t)walk->page_size;
    walk->seen = calloc((size_t)(pages / 8 + 1), 1);
    if (!walk->seen) {
        walk->read_failed = true;
        return false;
    }
    for (int64_t number = last; number >= first; number--) {
        if (number == first && walk->header_holds && last > first)
            break;
        if (!read_frame(walk, number))
            return false;
        const int64_t page = read_u32(walk->frame);
        if (!is_of_round(walk))
            return false; /* a frame of this round whose own header is spoiled: nobody knows what it held */
        if (page < 1 || page > pages)
            return false;
        if (walk->seen[page / 8] & (1 << page % 8))
            continue;
        walk->seen[page / 8] |= (uint8_t)(1 << page % 8);
        if (!is_in_file(walk))
            return false;
    }
    return true;
}

/* Undoes add_to_sum. */
static void take_from_sum(const uint8_t *bytes, size_t length, bool big_endian, uint32_t sum[2])
{
    for (size_t i = length; i >= 8; i -= 8) {
        sum[1] -= read_word(bytes + i - 4, big_endian) + sum[0];
        sum[0] -= read_word(bytes + i - 8, big_endian) + sum[1];
    }
}

/* The checksum that is stored before this frame's: of the frame before, or of the header. */
static bool read_prior_sum(struct log_walk *walk, int64_t number, uint32_t sum[2])
{
    uint8_t stored[8];
    const int64_t at = number == 1 ? HEADER_BYTES - 8 : frame_at(walk, number - 1) + 16;
    if (!read_bytes(walk, walk->log, at, stored, sizeof stored))
        return false;
    sum[0] = read_u32(stored);
    sum[1] = read_u32(stored + 4);
    return true;
}

/* The page and the end of transaction that the frame was written with: checksum, page and the checksum before it say
 * them, for each step of the sum can be undone. False when that cannot be asked; nonsense when the page is torn. */
static bool recover_first_eight(struct log_walk *walk, int64_t number, int64_t *page, int64_t *end)
{
    uint32_t before[2], after[2] = {read_u32(walk->frame + 16), read_u32(walk->frame + 20)};
    if (!read_prior_sum(walk, number, before))
        return false;
    take_from_sum(walk->frame + FRAME_BYTES, walk->page_size, walk->big_endian, after);
    const uint32_t first = after[0] - before[0] - before[1], second = after[1] - before[1] - after[0];
    uint8_t written[8]; /* as it stood in the file */
    for (int i = 0; i < 4; i++) {
        const int shift = walk->big_endian ? 24 - 8 * i : 8 * i;
        written[i] = (uint8_t)(first >> shift);
        written[4 + i] = (uint8_t)(second >> shift);
    }
    *page = read_u32(written);
    *end = read_u32(written + 4);
    return true;
}

/* Was the frame written as the end of a transaction? A power cut may leave the first eight bytes of its header, page
 * and end of transaction, as an older frame in this place had them, when a sector ends behind them; an old end of
 * transaction there is of no use. And of the first bad frame, whose sum before is known, a spoiled end is found again.
 * Elsewhere the header's word counts: of a torn page nothing is recovered, and sectors of zeros can make that nothing
 * look sound. */
static bool was_commit(struct log_walk *walk, int64_t number, bool first_bad)
{
    const int64_t most = walk->file->size / (int64_t)walk->page_size + walk->frames;
    const bool said = is_commit(walk), sector_ends = (frame_at(walk, number) + 8) % SECTOR_BYTES == 0;
    int64_t page = 0, end = 0;
    if (!(said ? sector_ends : first_bad) || !recover_first_eight(walk, number, &page, &end))
        return said;
    if (said)
        return page < 1 || page > most || end != 0;
    return page == read_u32(walk->frame) && end > 0 && end <= most;
}

/* What stands behind the first bad frame. */
static void judge_rest(struct log_walk *walk, int64_t good, struct sql_log_report *report)
{
    int64_t last = 0, last_commit = 0;
    for (int64_t number = good + 1; number <= walk->frames && read_frame(walk, number); number++) {
        if (!is_of_round(walk))
            continue;
        last = number;
        if (was_commit(walk, number, number == good + 1)) {
            report->lost++;
            last_commit = number;
        }
    }
    if (walk->header_holds && report->lost == 0)
        return; /* never committed: the end of a log that was being written */
    report->bad_frame = walk->header_holds ? good + 1 : 0;
    if (last_commit > 0 && is_moved(walk, good + 1, last_commit))
        report->lost = 0;
    else if (walk->header_holds && report->lost == 1 && last == last_commit)
        report->state = SQL_LOG_TORN;
    else
        report->state = SQL_LOG_DAMAGED;
}

void sql_log_judge(const struct sql_log_bytes *log, const struct sql_log_bytes *file, struct sql_log_report *report)
{
    struct log_walk walk = {.log = log, .file = file};
    *report = (struct sql_log_report){.state = SQL_LOG_WHOLE};
    if (log->size <= HEADER_BYTES + FRAME_BYTES)
        return;
    if (!read_header(&walk)) {
        report->state = SQL_LOG_UNREAD;
        return;
    }
    walk.frames = (log->size - HEADER_BYTES) / (int64_t)(FRAME_BYTES + walk.page_size);
    report->frames = walk.frames;
    walk.frame = malloc(FRAME_BYTES + walk.page_size);
    walk.page = malloc(walk.page_size);
    if (walk.frame && walk.page && walk.frames > 0) {
        const int64_t good = count_good(&walk);
        if (good < walk.frames)
            judge_rest(&walk, good, report);
    }
    if (!walk.frame || !walk.page || walk.read_failed)
        report->state = SQL_LOG_UNREAD;
    free(walk.frame);
    free(walk.page);
    free(walk.seen);
}
