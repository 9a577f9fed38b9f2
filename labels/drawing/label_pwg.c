#include "labels/drawing/label_pwg.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cups/raster.h>

#include "labels/basics/text.h"

/* cupsRasterOpen writes with plain write() and keeps no reason; through our own writer we do. */
struct sink {
    int file;
    int error;
};

static ssize_t write_bytes(void *closure, unsigned char *bytes, size_t length)
{
    struct sink *sink = closure;
    ssize_t done;
    do
        done = write(sink->file, bytes, length);
    while (done < 0 && errno == EINTR);
    if (done < 0)
        sink->error = errno;
    return done;
}

static bool check(const struct dots *dots, const struct label_pwg_media *media, int copies, struct fault *fault)
{
    const int width = dots_of_um(media->width_um, dots->dpi), height = dots_of_um(media->height_um, dots->dpi);
    char name[LABEL_PWG_NAME_SIZE];
    if (!span_copy(span_of(media->name), name, sizeof name) || !name[0])
        return fault_set(fault, FAULT_INPUT, "the media's name is empty or over %d bytes: take the printer's own",
                         LABEL_PWG_NAME_SIZE - 1);
    if (copies < 1 || copies > LABEL_PWG_COPIES)
        return fault_set(fault, FAULT_INPUT, "%d copies is outside 1 to %d", copies, LABEL_PWG_COPIES);
    if (abs(width - dots->width) > 1 || abs(height - dots->height) > 1)
        return fault_set(fault, FAULT_INPUT,
                         "the label has %d x %d dots and the media '%s' %d x %d: load the stock that "
                         "the template is for, or choose another template",
                         dots->width, dots->height, name, width, height);
    return true;
}

static void fill_header(const struct dots *dots, const struct label_pwg_media *media, int copies,
                        cups_page_header2_t *header)
{
    memset(header, 0, sizeof *header);
    memcpy(header->MediaClass, "PwgRaster", sizeof "PwgRaster"); /* cupsd tells the type of document by it */
    span_copy(span_of(media->name), header->cupsPageSizeName, sizeof header->cupsPageSizeName);
    header->HWResolution[0] = header->HWResolution[1] = (unsigned)dots->dpi;
    header->cupsPageSize[0] = (float)(media->width_um * 72.0 / 25400.0);
    header->cupsPageSize[1] = (float)(media->height_um * 72.0 / 25400.0);
    for (int i = 0; i < 2; i++)
        header->PageSize[i] = (unsigned)(header->cupsPageSize[i] + 0.5F);
    header->cupsWidth = (unsigned)dots->width;
    header->cupsHeight = (unsigned)dots->height;
    header->cupsBytesPerLine = (unsigned)(dots->width + 7) / 8;
    header->cupsBitsPerColor = header->cupsBitsPerPixel = header->cupsNumColors = 1;
    header->cupsColorSpace = CUPS_CSPACE_K; /* 1 is black */
    header->NumCopies = 1;
    header->cupsInteger[0] = (unsigned)copies;           /* pages of the document */
    header->cupsInteger[1] = header->cupsInteger[2] = 1; /* scales of cross-feed and feed: none */
}

static bool write_page(cups_raster_t *raster, const struct dots *dots, cups_page_header2_t *header)
{
    if (!cupsRasterWriteHeader2(raster, header))
        return false;
    for (int y = 0; y < dots->height; y++) {
        uint8_t *row = dots->rows + (size_t)y * dots->stride;
        if (cupsRasterWritePixels(raster, row, header->cupsBytesPerLine) != header->cupsBytesPerLine)
            return false;
    }
    return true;
}

bool label_pwg_write(int file, const struct dots *dots, const struct label_pwg_media *media, int copies,
                     struct fault *fault)
{
    if (!check(dots, media, copies, fault))
        return false;
    struct sink sink = {.file = file};
    cups_page_header2_t header;
    fill_header(dots, media, copies, &header);
    cups_raster_t *raster = cupsRasterOpenIO(write_bytes, &sink, CUPS_RASTER_WRITE_PWG);
    bool good = raster != NULL;
    for (int page = 0; good && page < copies; page++)
        good = write_page(raster, dots, &header);
    if (raster)
        cupsRasterClose(raster);
    if (good && !sink.error)
        return true;
    return fault_set(fault, FAULT_STORAGE, "the raster cannot be written: %s",
                     sink.error ? strerror(sink.error) : "no memory, or the raster library refused it");
}
