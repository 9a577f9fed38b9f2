#include <sys/mman.h>
#include <unistd.h>

#include "kiosk/program/print_parts.h"
#include "labels/drawing/calibration_label.h"
#include "labels/drawing/label_pwg.h"

/* The calibration label: drawn for the roll that is in the printer and at its resolution, on no template, moved by
 * nothing. It is no unit's label and has no proof: nobody waits for it but the person at the printer. */

enum { UM_A_HUNDREDTH = 10, USUAL_DPI = 203 };

static const char NAME[] = "calibration label";

static bool choose_media(const struct printer_facts *facts, struct printer_media *media, struct fault *fault)
{
    *media = facts->media_ready_count > 0 ? facts->media_ready[0] : facts->media_default;
    return printer_media_check(media, fault);
}

static bool write_raster(int file, const struct dots *dots, const struct printer_media *media, struct fault *fault)
{
    const struct label_pwg_media exact = {"custom", media->x * UM_A_HUNDREDTH, media->y * UM_A_HUNDREDTH};
    return label_pwg_write(file, dots, &exact, 1, fault);
}

static bool send_it(struct print_thread *self, int file, const struct printer_media *media, int dpi,
                    const struct printer_facts *facts, struct fault *fault)
{
    struct fault why = {0};
    int job = 0;
    const struct printer_job asked = {.name = NAME,
                                      .fd = file,
                                      .media_x = media->x,
                                      .media_y = media->y,
                                      .resolution_dpi = dpi,
                                      .facts = facts,
                                      .tracking = self->options.tracking,
                                      .darkness = self->options.darkness,
                                      .speed = self->options.speed};
    const enum printer_sent sent = printer_send(self->printer, &asked, &job, &why);
    return sent == PRINTER_SENT ||
           fault_set(fault, FAULT_DEVICE, "The calibration label was not printed: %s", why.text);
}

static bool make_and_send(struct print_thread *self, struct fault *fault)
{
    struct printer_facts facts;
    struct printer_media media;
    struct dots dots = {.rows = NULL};
    if (!printer_query(self->printer, &facts, fault) || !choose_media(&facts, &media, fault))
        return false;
    const int dpi = facts.resolution_count > 0 ? facts.resolutions_dpi[0] : USUAL_DPI;
    if (!calibration_label_draw(self->drawer, media.x * UM_A_HUNDREDTH, media.y * UM_A_HUNDREDTH, dpi, &dots, fault))
        return false;
    const int file = memfd_create("calibration", MFD_CLOEXEC);
    bool good = file >= 0 || fault_set(fault, FAULT_STORAGE, "no memory to hold a calibration label");
    good = good && write_raster(file, &dots, &media, fault) && send_it(self, file, &media, dpi, &facts, fault);
    if (file >= 0)
        close(file);
    dots_clear(&dots);
    return good;
}

void print_calibration(struct print_thread *self)
{
    struct fault fault = {0};
    self->wants_calibration = false;
    print_say(self, make_and_send(self, &fault) ? "" : fault.text);
    if (fault.code != FAULT_NONE)
        print_rest(self, PRINT_RETRY_MS); /* the sentence stays a moment */
}
