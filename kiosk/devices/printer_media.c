#include "kiosk/devices/printer_media.h"

#include <stdlib.h>
#include <string.h>

#include <cups/pwg.h>

static const char *const words[PRINTER_TRACKINGS] = {
    [PRINTER_TRACKING_UNSAID] = "",
    [PRINTER_TRACKING_GAP] = "gap",
    [PRINTER_TRACKING_MARK] = "mark",
    [PRINTER_TRACKING_WEB] = "web",
    [PRINTER_TRACKING_CONTINUOUS] = "continuous",
};

const char *printer_tracking_word(enum printer_tracking tracking)
{
    return words[tracking];
}

enum printer_tracking printer_tracking_read(const char *keyword)
{
    for (int i = PRINTER_TRACKING_GAP; keyword && i < PRINTER_TRACKINGS; i++) {
        if (strcmp(keyword, words[i]) == 0)
            return (enum printer_tracking)i;
    }
    return PRINTER_TRACKING_UNSAID;
}

static bool is_side(int value)
{
    return value >= PRINTER_SIDE_LEAST && value <= PRINTER_SIDE_MOST;
}

static bool name_size(const char *name, int *x, int *y)
{
    const pwg_media_t *const size = name && *name ? pwgMediaForPWG(name) : NULL;
    if (!size || !is_side(size->width) || !is_side(size->length))
        return false;
    *x = size->width;
    *y = size->length;
    return true;
}

static bool is_near(int a, int b)
{
    return abs(a - b) <= PRINTER_SIDE_NEAR;
}

bool printer_media_name_fits(const char *name, int x, int y)
{
    int named_x, named_y;
    return name_size(name, &named_x, &named_y) && is_near(named_x, x) && is_near(named_y, y);
}

static const char *member_text(ipp_t *collection, const char *name)
{
    ipp_attribute_t *const member = collection ? ippFindAttribute(collection, name, IPP_TAG_ZERO) : NULL;
    return member ? ippGetString(member, 0, NULL) : NULL;
}

static bool is_strip(const struct printer_media *media)
{
    return media->tracking == PRINTER_TRACKING_CONTINUOUS || strncmp(media->type, "continuous", 10) == 0;
}

/* Numbers first; where they are missing or nonsense, the size in the name. */
static void size_read(ipp_t *collection, struct printer_media *media)
{
    ipp_attribute_t *const member =
        collection ? ippFindAttribute(collection, "media-size", IPP_TAG_BEGIN_COLLECTION) : NULL;
    ipp_t *const size = member ? ippGetCollection(member, 0) : NULL;
    const int x = size ? ippGetInteger(ippFindAttribute(size, "x-dimension", IPP_TAG_INTEGER), 0) : 0;
    const int y = size ? ippGetInteger(ippFindAttribute(size, "y-dimension", IPP_TAG_INTEGER), 0) : 0;
    int named_x = 0, named_y = 0;
    const bool named = name_size(media->name, &named_x, &named_y);
    if (size && is_side(x) && is_side(y)) {
        media->x = x;
        media->y = y;
        if (named && !(is_near(named_x, x) && is_near(named_y, y)))
            media->doubt = PRINTER_MEDIA_CONTRADICTS;
    } else if (size && is_side(x) && y == 0 && is_strip(media)) {
        media->x = x;
    } else if (named) {
        media->x = named_x;
        media->y = named_y;
    } else {
        media->doubt = size ? PRINTER_MEDIA_NONSENSE : PRINTER_MEDIA_UNSAID;
    }
}

struct printer_media printer_media_read(ipp_t *collection, const char *keyword)
{
    struct printer_media media = {.x = 0};
    printer_answer_text(keyword ? keyword : member_text(collection, "media-size-name"), media.name, sizeof media.name);
    printer_answer_text(member_text(collection, "media-type"), media.type, sizeof media.type);
    media.tracking = printer_tracking_read(member_text(collection, "media-tracking"));
    size_read(collection, &media);
    return media;
}

bool printer_media_check(const struct printer_media *media, struct fault *fault)
{
    switch (media->doubt) {
    case PRINTER_MEDIA_CONTRADICTS:
        return fault_set(fault, FAULT_DEVICE,
                         "the printer calls its labels '%s' and says they are %d.%02d x %d.%02d mm: measure them and "
                         "set the size at the printer or its queue",
                         media->name, media->x / 100, media->x % 100, media->y / 100, media->y % 100);
    case PRINTER_MEDIA_NONSENSE:
        return fault_set(fault, FAULT_DEVICE,
                         "the printer says a size of its labels that no label has: measure them and set the size at "
                         "the printer or its queue");
    case PRINTER_MEDIA_UNSAID:
        return fault_set(fault, FAULT_DEVICE,
                         "the printer does not say the size of its labels: set it at the printer or its queue");
    case PRINTER_MEDIA_CLEAR:
        break;
    }
    return true;
}
