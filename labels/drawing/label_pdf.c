#include "labels/drawing/label_pdf.h"

#include <errno.h>
#include <string.h>
#include <unistd.h>

#include <cairo-pdf.h>

#include "labels/drawing/drawer.h"
#include "labels/drawing/paint.h"

static const double points_per_um = 72.0 / 25400.0;

struct sink {
    int file;
    int error; /* errno of the write that failed */
};

static cairo_status_t write_bytes(void *closure, const unsigned char *bytes, unsigned length)
{
    struct sink *sink = closure;
    while (length > 0) {
        const ssize_t done = write(sink->file, bytes, length);
        if (done < 0 && errno == EINTR)
            continue;
        if (done < 0) {
            sink->error = errno;
            return CAIRO_STATUS_WRITE_ERROR;
        }
        bytes += done;
        length -= (unsigned)done;
    }
    return CAIRO_STATUS_SUCCESS;
}

bool label_pdf_write(int file, struct drawer *drawer, const struct template *template, const struct label_field *fields,
                     size_t field_count, int dpi, struct fault *fault)
{
    const struct layout *layout = label_layout(drawer, template, fields, field_count, dpi, fault);
    if (!layout)
        return false;
    struct sink sink = {.file = file};
    cairo_surface_t *surface = cairo_pdf_surface_create_for_stream(
        write_bytes, &sink, template->width_um * points_per_um, template->height_um * points_per_um);
    cairo_pdf_surface_set_metadata(surface, CAIRO_PDF_METADATA_TITLE, template->name);
    cairo_t *cairo = cairo_create(surface);
    cairo_scale(cairo, 72.0 / dpi, 72.0 / dpi);
    paint_layout(&(struct canvas){.cairo = cairo}, &drawer->letters, layout);
    cairo_show_page(cairo);
    const cairo_status_t painted = cairo_status(cairo);
    cairo_destroy(cairo);
    cairo_surface_finish(surface);
    const cairo_status_t status = painted ? painted : cairo_surface_status(surface);
    cairo_surface_destroy(surface);
    return status == CAIRO_STATUS_SUCCESS ||
           fault_set(fault, FAULT_STORAGE, "the PDF cannot be written: %s",
                     sink.error ? strerror(sink.error) : cairo_status_to_string(status));
}
