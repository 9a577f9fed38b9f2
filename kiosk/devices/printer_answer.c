#include "kiosk/devices/printer_answer.h"

#include <string.h>

#include <cups/pwg.h>

#include "labels/basics/text.h"

struct source {
    const uint8_t *at;
    size_t left;
};

static ssize_t source_read(void *context, ipp_uchar_t *buffer, size_t size)
{
    struct source *const source = context;
    const size_t length = size < source->left ? size : source->left;
    memcpy(buffer, source->at, length);
    source->at += length;
    source->left -= length;
    return (ssize_t)length;
}

ipp_t *printer_answer_read(const uint8_t *bytes, size_t length, struct fault *fault)
{
    struct source source = {bytes, length};
    ipp_t *answer = ippNew();
    ipp_state_t state = IPP_STATE_IDLE;
    if (answer)
        state = ippReadIO(&source, source_read, 1, NULL, answer);
    if (state == IPP_STATE_DATA)
        return answer;
    ippDelete(answer);
    fault_set(fault, FAULT_DEVICE, "the printer's answer of %zu bytes is no IPP message: is this a printer's address?",
              length);
    return NULL;
}

/* The length of the UTF-8 character at `text`, 0 when it is none. */
static size_t character_length(const char *text)
{
    const unsigned char first = (unsigned char)text[0];
    const size_t length = first < 0x80 ? 1 : first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (strnlen(text, length) < length || !text_is_utf8((struct span){text, length}))
        return 0;
    return length;
}

static bool character_is_harmless(const char *text, size_t length)
{
    const unsigned char a = (unsigned char)text[0], b = (unsigned char)text[1];
    if (length == 1)
        return a >= 0x20 && a != 0x7F;
    if (length == 2)
        return !(a == 0xC2 && b < 0xA0); /* C1 controls */
    if (length != 3 || a != 0xE2)
        return true;
    const unsigned char c = (unsigned char)text[2];
    /* U+2028 to 202E and 2066 to 2069: line ends, writing direction; U+200E, 200F likewise */
    return !(b == 0x80 && ((c >= 0xA8 && c <= 0xAE) || c == 0x8E || c == 0x8F)) &&
           !(b == 0x81 && c >= 0xA6 && c <= 0xA9);
}

void printer_answer_text(const char *text, char *buffer, size_t size)
{
    size_t written = 0;
    while (text && *text) {
        const size_t length = character_length(text);
        const bool kept = length > 0 && character_is_harmless(text, length);
        const size_t out = kept ? length : 1;
        if (written + out >= size)
            break;
        memcpy(buffer + written, kept ? text : "?", out);
        written += out;
        text += length ? length : 1;
    }
    buffer[written] = '\0';
}

static void reasons_read(ipp_attribute_t *attribute, struct printer_reasons *reasons)
{
    reasons->count = 0;
    const int count = ippGetCount(attribute);
    for (int i = 0; i < count && reasons->count < PRINTER_REASONS_MOST; i++) {
        const char *const text = ippGetString(attribute, i, NULL);
        if (text && printer_reason_read(text, &reasons->list[reasons->count]))
            reasons->count++;
    }
}

static void text_read(ipp_t *answer, const char *name, char *buffer, size_t size)
{
    printer_answer_text(ippGetString(ippFindAttribute(answer, name, IPP_TAG_ZERO), 0, NULL), buffer, size);
}

/* The first attribute of that name alone: some printers give document-format-supported twice, CUPS takes the first. */
static bool list_holds(ipp_t *answer, const char *name, const char *wanted, bool when_absent)
{
    ipp_attribute_t *const attribute = ippFindAttribute(answer, name, IPP_TAG_ZERO);
    if (!attribute)
        return when_absent;
    for (int i = 0; i < ippGetCount(attribute); i++) {
        const char *const text = ippGetString(attribute, i, NULL);
        if (text && strcmp(text, wanted) == 0)
            return true;
    }
    return false;
}

static void resolution_add(struct printer_facts *facts, int dpi)
{
    if (dpi < PRINTER_DPI_LEAST || dpi > PRINTER_DPI_MOST || facts->resolution_count == PRINTER_RESOLUTIONS_MOST)
        return;
    for (size_t i = 0; i < facts->resolution_count; i++) {
        if (facts->resolutions_dpi[i] == dpi)
            return;
    }
    facts->resolutions_dpi[facts->resolution_count++] = dpi;
}

static int resolution_dpi(ipp_attribute_t *attribute, int element)
{
    int y = 0;
    ipp_res_t units = IPP_RES_PER_INCH;
    const int x = ippGetResolution(attribute, element, &y, &units);
    if (x != y || x <= 0 || x > PRINTER_DPI_MOST)
        return 0;
    return units == IPP_RES_PER_CM ? (x * 254 + 50) / 100 : x;
}

static void resolutions_read(ipp_t *answer, struct printer_facts *facts)
{
    ipp_attribute_t *supported =
        ippFindAttribute(answer, "pwg-raster-document-resolution-supported", IPP_TAG_RESOLUTION);
    ipp_attribute_t *const choice = ippFindAttribute(answer, "printer-resolution-default", IPP_TAG_RESOLUTION);
    if (!supported) /* a printer older than that attribute, or none for raster */
        supported = ippFindAttribute(answer, "printer-resolution-supported", IPP_TAG_RESOLUTION);
    const int count = ippGetCount(supported), chosen = choice ? resolution_dpi(choice, 0) : 0;
    for (int i = 0; i < count; i++) {
        if (resolution_dpi(supported, i) == chosen)
            resolution_add(facts, chosen);
    }
    for (int i = 0; i < count; i++)
        resolution_add(facts, resolution_dpi(supported, i));
    if (count == 0)
        resolution_add(facts, chosen);
}

static int side_read(ipp_t *size, const char *name)
{
    ipp_attribute_t *const side = ippFindAttribute(size, name, IPP_TAG_INTEGER);
    const int value = ippGetInteger(side, 0);
    return value >= PRINTER_SIDE_LEAST && value <= PRINTER_SIDE_MOST ? value : 0;
}

/* Fills the size from a PWG 5101.1 name when a collection did not give it. */
static void media_size_from_name(struct printer_media *media)
{
    if (media->x > 0 || media->name[0] == '\0')
        return;
    const pwg_media_t *const size = pwgMediaForPWG(media->name);
    if (!size || size->width < PRINTER_SIDE_LEAST || size->width > PRINTER_SIDE_MOST ||
        size->length < PRINTER_SIDE_LEAST || size->length > PRINTER_SIDE_MOST)
        return;
    media->x = size->width;
    media->y = size->length;
}

static struct printer_media media_read(ipp_t *collection, const char *keyword)
{
    struct printer_media media = {.x = 0};
    const char *name = keyword;
    if (collection) {
        ipp_t *const size = ippGetCollection(ippFindAttribute(collection, "media-size", IPP_TAG_BEGIN_COLLECTION), 0);
        const int x = size ? side_read(size, "x-dimension") : 0, y = size ? side_read(size, "y-dimension") : 0;
        if (x > 0 && y > 0) {
            media.x = x;
            media.y = y;
        }
        ipp_attribute_t *const named = ippFindAttribute(collection, "media-size-name", IPP_TAG_ZERO);
        if (!name && named)
            name = ippGetString(named, 0, NULL);
    }
    printer_answer_text(name, media.name, sizeof media.name);
    media_size_from_name(&media);
    return media;
}

static void media_ready_read(ipp_t *answer, struct printer_facts *facts)
{
    ipp_attribute_t *const names = ippFindAttribute(answer, "media-ready", IPP_TAG_ZERO);
    ipp_attribute_t *const sizes = ippFindAttribute(answer, "media-col-ready", IPP_TAG_BEGIN_COLLECTION);
    const int name_count = ippGetCount(names), size_count = ippGetCount(sizes);
    const bool paired = name_count == size_count; /* else the lists cannot be laid side by side: sizes lead */
    const int count = size_count > 0 ? size_count : name_count;
    for (int i = 0; i < count && facts->media_ready_count < PRINTER_MEDIA_MOST; i++) {
        ipp_t *const size = size_count > 0 ? ippGetCollection(sizes, i) : NULL;
        const char *const name = paired || size_count == 0 ? ippGetString(names, i, NULL) : NULL;
        const struct printer_media media = media_read(size, name);
        if (media.x > 0 || media.name[0] != '\0')
            facts->media_ready[facts->media_ready_count++] = media;
    }
}

static enum printer_state state_read(int value)
{
    switch (value) {
    case IPP_PSTATE_IDLE:
        return PRINTER_STATE_IDLE;
    case IPP_PSTATE_PROCESSING:
        return PRINTER_STATE_PROCESSING;
    case IPP_PSTATE_STOPPED:
        return PRINTER_STATE_STOPPED;
    default:
        return PRINTER_STATE_UNKNOWN;
    }
}

bool printer_answer_facts(ipp_t *answer, struct printer_facts *facts, struct fault *fault)
{
    ipp_attribute_t *const state = ippFindAttribute(answer, "printer-state", IPP_TAG_ENUM);
    if (!state)
        return fault_set(fault, FAULT_DEVICE,
                         "the printer's answer does not tell its state: is this a printer's address?");
    struct printer_facts read = {.state = state_read(ippGetInteger(state, 0))};
    text_read(answer, "printer-make-and-model", read.model, sizeof read.model);
    text_read(answer, "printer-state-message", read.message, sizeof read.message);
    reasons_read(ippFindAttribute(answer, "printer-state-reasons", IPP_TAG_ZERO), &read.reasons);
    ipp_attribute_t *const accepting = ippFindAttribute(answer, "printer-is-accepting-jobs", IPP_TAG_BOOLEAN);
    read.accepts_jobs = !accepting || ippGetBoolean(accepting, 0);
    read.accepts_raster = list_holds(answer, "document-format-supported", "image/pwg-raster", false);
    read.accepts_bilevel = list_holds(answer, "pwg-raster-document-type-supported", "black_1", true);
    resolutions_read(answer, &read);
    ipp_attribute_t *const col = ippFindAttribute(answer, "media-col-default", IPP_TAG_BEGIN_COLLECTION);
    ipp_attribute_t *const name = ippFindAttribute(answer, "media-default", IPP_TAG_ZERO);
    read.media_default = media_read(col ? ippGetCollection(col, 0) : NULL, name ? ippGetString(name, 0, NULL) : NULL);
    media_ready_read(answer, &read);
    *facts = read;
    return true;
}

bool printer_answer_job(ipp_t *answer, enum printer_job_state *state, struct printer_reasons *reasons,
                        struct fault *fault)
{
    static const enum printer_job_state states[] = {
        [IPP_JSTATE_PENDING] = PRINTER_JOB_PENDING,       [IPP_JSTATE_HELD] = PRINTER_JOB_PENDING,
        [IPP_JSTATE_PROCESSING] = PRINTER_JOB_PROCESSING, [IPP_JSTATE_STOPPED] = PRINTER_JOB_PROCESSING,
        [IPP_JSTATE_CANCELED] = PRINTER_JOB_CANCELED,     [IPP_JSTATE_ABORTED] = PRINTER_JOB_ABORTED,
        [IPP_JSTATE_COMPLETED] = PRINTER_JOB_COMPLETED,
    };
    ipp_attribute_t *const attribute = ippFindAttribute(answer, "job-state", IPP_TAG_ENUM);
    const int value = ippGetInteger(attribute, 0);
    if (value < IPP_JSTATE_PENDING || value > IPP_JSTATE_COMPLETED)
        return fault_set(fault, FAULT_DEVICE, "the printer does not tell the state of the job: ask again");
    *state = states[value];
    reasons_read(ippFindAttribute(answer, "job-state-reasons", IPP_TAG_ZERO), reasons);
    return true;
}

int printer_answer_job_id(ipp_t *answer)
{
    const int id = ippGetInteger(ippFindAttribute(answer, "job-id", IPP_TAG_INTEGER), 0);
    return id > 0 ? id : 0;
}
