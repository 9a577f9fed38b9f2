#include "kiosk/devices/printer_facts.h"

#include <limits.h>
#include <stdlib.h>
#include <string.h>

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

static bool numbers_hold(ipp_t *answer, const char *name, ipp_tag_t type, int wanted)
{
    ipp_attribute_t *const attribute = ippFindAttribute(answer, name, type);
    for (int i = 0; i < ippGetCount(attribute); i++) {
        if (ippGetInteger(attribute, i) == wanted)
            return true;
    }
    return false;
}

static int number_read(ipp_t *answer, const char *name, int least, int most, int otherwise)
{
    ipp_attribute_t *const attribute = ippFindAttribute(answer, name, IPP_TAG_INTEGER);
    const int value = attribute ? ippGetInteger(attribute, 0) : otherwise;
    return value >= least && value <= most ? value : otherwise;
}

/* An integer, or a range of them. False: neither, or not within `bounds`. */
static bool range_read(ipp_attribute_t *attribute, int element, struct printer_range bounds,
                       struct printer_range *range)
{
    struct printer_range read;
    const ipp_tag_t tag = ippGetValueTag(attribute);
    if (tag == IPP_TAG_RANGE)
        read.least = ippGetRange(attribute, element, &read.most);
    else if (tag == IPP_TAG_INTEGER)
        read.least = read.most = ippGetInteger(attribute, element);
    else
        return false;
    if (read.least < bounds.least || read.most > bounds.most || read.least > read.most)
        return false;
    *range = read;
    return true;
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
    ipp_attribute_t *const general = ippFindAttribute(answer, "printer-resolution-supported", IPP_TAG_RESOLUTION);
    ipp_attribute_t *supported =
        ippFindAttribute(answer, "pwg-raster-document-resolution-supported", IPP_TAG_RESOLUTION);
    ipp_attribute_t *const choice = ippFindAttribute(answer, "printer-resolution-default", IPP_TAG_RESOLUTION);
    if (!supported) /* a printer older than that attribute, or none for raster */
        supported = general;
    const int count = ippGetCount(supported), chosen = choice ? resolution_dpi(choice, 0) : 0;
    for (int i = 0; i < count; i++) {
        if (resolution_dpi(supported, i) == chosen)
            resolution_add(facts, chosen);
    }
    for (int i = 0; i < count; i++)
        resolution_add(facts, resolution_dpi(supported, i));
    if (count == 0)
        resolution_add(facts, chosen);
    facts->resolution_asked = general != NULL;
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
        const struct printer_media media = printer_media_read(size, name);
        if (media.x > 0 || media.name[0] != '\0' || media.doubt == PRINTER_MEDIA_NONSENSE)
            facts->media_ready[facts->media_ready_count++] = media;
    }
}

static void sizes_read(ipp_t *answer, struct printer_facts *facts)
{
    static const struct printer_range sides = {PRINTER_SIDE_LEAST, PRINTER_SIDE_MOST};
    ipp_attribute_t *const list = ippFindAttribute(answer, "media-size-supported", IPP_TAG_BEGIN_COLLECTION);
    const int count = ippGetCount(list);
    for (int i = 0; i < count && facts->size_count < PRINTER_SIZES_MOST; i++) {
        ipp_t *const member = ippGetCollection(list, i);
        struct printer_size *const size = &facts->sizes[facts->size_count];
        if (range_read(ippFindAttribute(member, "x-dimension", IPP_TAG_ZERO), 0, sides, &size->x) &&
            range_read(ippFindAttribute(member, "y-dimension", IPP_TAG_ZERO), 0, sides, &size->y))
            facts->size_count++;
    }
}

static void trackings_read(ipp_t *answer, struct printer_facts *facts)
{
    ipp_attribute_t *const list = ippFindAttribute(answer, "media-tracking-supported", IPP_TAG_KEYWORD);
    for (int i = 0; i < ippGetCount(list); i++)
        facts->trackings[printer_tracking_read(ippGetString(list, i, NULL))] = true;
    facts->trackings[PRINTER_TRACKING_UNSAID] = false;
    ipp_attribute_t *const types = ippFindAttribute(answer, "media-type-supported", IPP_TAG_ZERO);
    const int count = ippGetCount(types);
    for (int i = 0; i < count && facts->type_count < PRINTER_TYPES_MOST; i++) {
        const char *const type = ippGetString(types, i, NULL);
        if (type && *type)
            printer_answer_text(type, facts->types[facts->type_count++], PRINTER_TEXT_SIZE);
    }
}

/* One number says how many steps there are between the bounds; a few printers give the bounds themselves. */
static void darkness_read(ipp_t *answer, struct printer_facts *facts)
{
    static const struct printer_range whole = {PRINTER_DARKNESS_LEAST, PRINTER_DARKNESS_MOST};
    ipp_attribute_t *const supported = ippFindAttribute(answer, "print-darkness-supported", IPP_TAG_ZERO);
    struct printer_range range;
    facts->darkness_set = number_read(answer, "printer-darkness-configured", 0, PRINTER_DARKNESS_MOST, -1);
    if (!supported || !range_read(supported, 0, whole, &range))
        return;
    if (ippGetValueTag(supported) == IPP_TAG_RANGE) {
        facts->darkness = range;
    } else if (range.least > 0) {
        facts->darkness = whole;
        facts->darkness_steps = range.least;
    }
}

static void speeds_read(ipp_t *answer, struct printer_facts *facts)
{
    static const struct printer_range bounds = {1, PRINTER_SPEED_MOST};
    ipp_attribute_t *const supported = ippFindAttribute(answer, "print-speed-supported", IPP_TAG_ZERO);
    const int count = ippGetCount(supported);
    for (int i = 0; i < count && facts->speed_count < PRINTER_SPEEDS_MOST; i++) {
        if (range_read(supported, i, bounds, &facts->speeds[facts->speed_count]))
            facts->speed_count++;
    }
    facts->speed_usual = number_read(answer, "print-speed-default", 1, PRINTER_SPEED_MOST, 0);
}

static void offers_read(ipp_t *answer, struct printer_facts *facts)
{
    facts->unscaled = list_holds(answer, "print-scaling-supported", "none", false);
    facts->margin_bottom = numbers_hold(answer, "media-bottom-margin-supported", IPP_TAG_INTEGER, 0);
    facts->margin_left = numbers_hold(answer, "media-left-margin-supported", IPP_TAG_INTEGER, 0);
    facts->margin_right = numbers_hold(answer, "media-right-margin-supported", IPP_TAG_INTEGER, 0);
    facts->margin_top = numbers_hold(answer, "media-top-margin-supported", IPP_TAG_INTEGER, 0);
    facts->can_cancel = numbers_hold(answer, "operations-supported", IPP_TAG_ENUM, IPP_OP_CANCEL_JOB);
    facts->can_list = numbers_hold(answer, "operations-supported", IPP_TAG_ENUM, IPP_OP_GET_JOBS);
    facts->can_go = numbers_hold(answer, "operations-supported", IPP_TAG_ENUM, IPP_OP_RESUME_PRINTER);
    facts->can_accept = numbers_hold(answer, "operations-supported", IPP_TAG_ENUM, IPP_OP_ENABLE_PRINTER);
    facts->can_accept_cups = numbers_hold(answer, "operations-supported", IPP_TAG_ENUM, IPP_OP_CUPS_ACCEPT_JOBS);
    facts->is_queue = ippFindAttribute(answer, "printer-type", IPP_TAG_ENUM) != NULL; /* said by CUPS alone */
    text_read(answer, "device-uri", facts->behind, sizeof facts->behind);
    facts->up_seconds = number_read(answer, "printer-up-time", 0, INT_MAX, -1);
    facts->queued = number_read(answer, "queued-job-count", 0, PRINTER_SPEED_MOST, -1);
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

static void media_read(ipp_t *answer, struct printer_facts *facts)
{
    ipp_attribute_t *const col = ippFindAttribute(answer, "media-col-default", IPP_TAG_BEGIN_COLLECTION);
    ipp_attribute_t *const name = ippFindAttribute(answer, "media-default", IPP_TAG_ZERO);
    facts->media_default =
        printer_media_read(col ? ippGetCollection(col, 0) : NULL, name ? ippGetString(name, 0, NULL) : NULL);
    media_ready_read(answer, facts);
    sizes_read(answer, facts);
    trackings_read(answer, facts);
}

bool printer_facts_read(ipp_t *answer, struct printer_facts *facts, struct fault *fault)
{
    ipp_attribute_t *const state = ippFindAttribute(answer, "printer-state", IPP_TAG_ENUM);
    if (!state)
        return fault_set(fault, FAULT_DEVICE,
                         "the printer's answer does not tell its state: is this a printer's address?");
    struct printer_facts read = {.state = state_read(ippGetInteger(state, 0))};
    text_read(answer, "printer-make-and-model", read.model, sizeof read.model);
    text_read(answer, "printer-state-message", read.message, sizeof read.message);
    printer_answer_reasons(ippFindAttribute(answer, "printer-state-reasons", IPP_TAG_ZERO), &read.reasons);
    ipp_attribute_t *const accepting = ippFindAttribute(answer, "printer-is-accepting-jobs", IPP_TAG_BOOLEAN);
    read.accepts_jobs = !accepting || ippGetBoolean(accepting, 0);
    read.accepts_raster = list_holds(answer, "document-format-supported", "image/pwg-raster", false);
    read.accepts_bilevel = list_holds(answer, "pwg-raster-document-type-supported", "black_1", true);
    resolutions_read(answer, &read);
    media_read(answer, &read);
    offers_read(answer, &read);
    darkness_read(answer, &read);
    speeds_read(answer, &read);
    *facts = read;
    return true;
}

static bool is_near(int a, int b)
{
    return abs(a - b) <= PRINTER_SIDE_NEAR;
}

/* A strip without end takes labels of every length. */
static bool media_has(const struct printer_media *media, int x, int y)
{
    return is_near(media->x, x) && (is_near(media->y, y) || (media->x > 0 && media->y == 0));
}

static bool within(struct printer_range range, int value)
{
    return value >= range.least - PRINTER_SIDE_NEAR && value <= range.most + PRINTER_SIDE_NEAR;
}

static bool takes(const struct printer_facts *facts, int x, int y)
{
    for (size_t i = 0; i < facts->size_count; i++) {
        if (within(facts->sizes[i].x, x) && within(facts->sizes[i].y, y))
            return true;
    }
    return false;
}

bool printer_facts_media(const struct printer_facts *facts, int x, int y, struct printer_media *media,
                         struct fault *fault)
{
    const struct printer_media *found = NULL;
    for (size_t i = 0; i < facts->media_ready_count && !found; i++)
        found = media_has(&facts->media_ready[i], x, y) ? &facts->media_ready[i] : NULL;
    if (!found && facts->media_ready_count == 0 && media_has(&facts->media_default, x, y))
        found = &facts->media_default;
    if (found) {
        if (!printer_media_check(found, fault))
            return false;
        *media = *found;
        media->y = media->y > 0 ? media->y : y;
        return true;
    }
    if (facts->media_ready_count == 0 && takes(facts, x, y)) {
        *media = (struct printer_media){.x = x, .y = y};
        return true;
    }
    if (facts->media_ready_count == 0 && facts->size_count > 0)
        return fault_set(
            fault, FAULT_DEVICE,
            "the label is %d.%02d x %d.%02d mm, a size that the printer does not take: change the template", x / 100,
            x % 100, y / 100, y % 100);
    const struct printer_media *const holds =
        facts->media_ready_count > 0 ? &facts->media_ready[0] : &facts->media_default;
    if (!printer_media_check(holds, fault))
        return false;
    return fault_set(
        fault, FAULT_DEVICE,
        "the label is %d.%02d x %d.%02d mm and the printer holds %d.%02d x %d.%02d mm: put in the right roll", x / 100,
        x % 100, y / 100, y % 100, holds->x / 100, holds->x % 100, holds->y / 100, holds->y % 100);
}
