#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/program/command.h"
#include "labels/basics/text.h"
#include "labels/drawing/calibration_label.h"
#include "labels/drawing/label.h"
#include "labels/drawing/label_pdf.h"
#include "labels/drawing/label_png.h"
#include "labels/drawing/label_pwg.h"
#include "labels/drawing/reach.h"

enum { FIELDS_MAX = 32, UM_A_MM = 1000 };
static const char CALIBRATION[] = "calibration"; /* drawn for the media, from no template */

struct label_request {
    const char *template_name, *folder, *output;
    struct label_field fields[FIELDS_MAX];
    size_t field_count;
    int dpi;
    int width_um, height_um; /* of the calibration label; 0: not said */
};

/* NAME=VALUE: ends the name in place. */
static bool add_field(char *text, struct label_request *request)
{
    char *equals = strchr(text, '=');
    if (!equals || equals == text || request->field_count == FIELDS_MAX)
        return false;
    *equals = '\0';
    request->fields[request->field_count++] = (struct label_field){text, equals + 1};
    return true;
}

/* "50x25", whole millimetres. */
static bool read_media(const char *text, struct label_request *request)
{
    const char *by = strchr(text, 'x');
    int64_t width, height;
    if (!by || !span_read_count((struct span){text, (size_t)(by - text)}, &width) ||
        !span_read_count(span_of(by + 1), &height) || width < 1 || height < 1 ||
        width > TEMPLATE_SIDE_UM_MAX / UM_A_MM || height > TEMPLATE_SIDE_UM_MAX / UM_A_MM)
        return false;
    request->width_um = (int)width * UM_A_MM;
    request->height_um = (int)height * UM_A_MM;
    return true;
}

static bool is_calibration(const struct label_request *request)
{
    return request->template_name && strcmp(request->template_name, CALIBRATION) == 0;
}

static int read_arguments(const struct command *command, int argc, char **argv, struct label_request *request)
{
    for (int i = 1; i < argc; i++) {
        int64_t dpi;
        const bool has_value = i + 1 < argc;
        if (strcmp(argv[i], "--field") == 0 && has_value) {
            if (!add_field(argv[++i], request))
                return command_misused(command, "'%s' is not NAME=VALUE, or there are more than %d fields", argv[i],
                                       FIELDS_MAX);
        } else if (strcmp(argv[i], "--dpi") == 0 && has_value) {
            if (!span_read_count(span_of(argv[++i]), &dpi) || dpi < DOTS_DPI_MIN || dpi > DOTS_DPI_MAX)
                return command_misused(command, "'%s' dots an inch is no resolution: --dpi takes %d to %d", argv[i],
                                       DOTS_DPI_MIN, DOTS_DPI_MAX);
            request->dpi = (int)dpi;
        } else if (strcmp(argv[i], "--media") == 0 && has_value) {
            if (!read_media(argv[++i], request))
                return command_misused(command, "'%s' is no size: --media takes whole millimetres, such as 50x25",
                                       argv[i]);
        } else if (strcmp(argv[i], "--templates") == 0 && has_value) {
            request->folder = argv[++i];
        } else if (strcmp(argv[i], "-o") == 0 && has_value) {
            request->output = argv[++i];
        } else if (argv[i][0] != '-' && !request->template_name) {
            request->template_name = argv[i];
        } else {
            return command_misused(command, "'%s' is not understood", argv[i]);
        }
    }
    if (!request->template_name || !request->output || request->dpi == 0)
        return command_misused(command, "say TEMPLATE, --dpi and -o");
    if (is_calibration(request) != (request->width_um > 0))
        return command_misused(command, "--media goes with the calibration label, and with that alone");
    return EXIT_DONE;
}

static bool ends_with(const char *text, const char *ending)
{
    const size_t length = strlen(text), tail = strlen(ending);
    return length > tail && strcmp(text + length - tail, ending) == 0;
}

static bool write_pwg(int file, int width_um, int height_um, const struct dots *dots, struct fault *fault)
{
    char name[LABEL_PWG_NAME_SIZE];
    struct builder out;
    builder_init(&out, name, sizeof name);
    const double width = (double)width_um / UM_A_MM, height = (double)height_um / UM_A_MM;
    builder_addf(&out, "custom_%gx%gmm_%gx%gmm", width, height, width, height);
    const struct label_pwg_media media = {name, width_um, height_um};
    return label_pwg_write(file, dots, &media, 1, fault);
}

static bool write_dots(const struct label_request *request, int width_um, int height_um, int file,
                       const struct dots *dots, struct fault *fault)
{
    return ends_with(request->output, ".pwg") ? write_pwg(file, width_um, height_um, dots, fault)
                                              : label_png_write(file, dots, fault);
}

static bool write_label(const struct label_request *request, struct drawer *drawer, const struct template *template,
                        int file, struct fault *fault)
{
    if (ends_with(request->output, ".pdf"))
        return label_pdf_write(file, drawer, template, request->fields, request->field_count, request->dpi, fault);
    struct dots dots = {.rows = NULL};
    if (!label_draw(drawer, template, request->fields, request->field_count, request->dpi, &dots, fault))
        return false;
    const bool done = write_dots(request, template->width_um, template->height_um, file, &dots, fault);
    dots_clear(&dots);
    return done;
}

static bool write_calibration(const struct label_request *request, struct drawer *drawer, int file, struct fault *fault)
{
    struct dots dots = {.rows = NULL};
    if (ends_with(request->output, ".pdf"))
        return fault_set(fault, FAULT_INPUT,
                         "a calibration label is no PDF, for a driver would scale its dots: write a .pwg or .png");
    if (!calibration_label_draw(drawer, request->width_um, request->height_um, request->dpi, &dots, fault))
        return false;
    const bool done = write_dots(request, request->width_um, request->height_um, file, &dots, fault);
    dots_clear(&dots);
    return done;
}

/* The label is made all the same: on small stock it is the best there is. */
static void tell_reach(const struct label_request *request, struct drawer *drawer, const struct template *template)
{
    struct fault note = {0};
    const struct layout *layout =
        label_layout(drawer, template, request->fields, request->field_count, request->dpi, NULL);
    if (layout && !reach_check(layout, &note))
        fprintf(stderr, "note: %s\n", note.text);
}

static bool draw(const struct label_request *request, struct fault *fault)
{
    static struct template template;
    struct drawer *drawer = NULL;
    const bool calibration = is_calibration(request);
    if ((!calibration && !template_load(request->folder, request->template_name, &template, fault)) ||
        !(drawer = drawer_create(fault)))
        return false;
    const int file = open(request->output, O_RDWR | O_CREAT | O_TRUNC | O_CLOEXEC, 0644);
    bool done = file >= 0;
    if (!done)
        fault_set(fault, FAULT_STORAGE, "'%s' cannot be written (%s): choose another place", request->output,
                  strerror(errno));
    done = done && (calibration ? write_calibration(request, drawer, file, fault)
                                : write_label(request, drawer, &template, file, fault));
    if (done && !calibration)
        tell_reach(request, drawer, &template);
    if (file >= 0) {
        close(file);
        if (!done)
            unlink(request->output); /* no half label for somebody to print */
    }
    drawer_destroy(drawer);
    return done;
}

static int run_label(const struct command *command, int argc, char **argv)
{
    struct label_request request = {.folder = command_data_folder("templates")};
    struct fault fault = {0};
    const int wrong = read_arguments(command, argc, argv, &request);
    if (wrong != EXIT_DONE || !request.output)
        return wrong;
    if (!ends_with(request.output, ".png") && !ends_with(request.output, ".pdf") && !ends_with(request.output, ".pwg"))
        return command_misused(command, "'%s' ends neither in .png nor .pdf nor .pwg", request.output);
    return draw(&request, &fault) ? EXIT_DONE : command_failed("", &fault);
}

const struct command command_label = {
    "label", "TEMPLATE --field NAME=VALUE… --dpi N -o FILE.{png,pdf,pwg}",
    "Draws one label to a file, at the printer's resolution.\n"
    "  TEMPLATE      vat-case, vat, cartridge, bottle, platform, waste, place, person, card, hold (50 x 25 mm), the "
    "same\n"
    "                for another roll (vat-case-25x13, -100x50, -100x150), card-sheet, card-sheet-ml, "
    "card-sheet-hours,\n"
    "                card-sheet-resin, card-sheet-fault (on US Letter card-sheet-279x216 and so on),\n"
    "                or a file of --templates; calibration, with --media\n"
    "  --field       serial, item, item-name, lot, filled, expires, content, resin, place, person, card, note, "
    "sample;\n"
    "                of a hazard part product, signal-word, pictograms, statements, precautions, sds, capacity,\n"
    "                supplier, supplier-address, supplier-phone, quantity, ufi, language;\n"
    "                days as YYYY-MM-DD, content in whole ml\n"
    "  --dpi         dots an inch, 100 to 1200\n"
    "  --media       with TEMPLATE calibration alone: the label's width x height, whole mm, such as 50x25;\n"
    "                rulers, corner marks and symbols to measure a label printer by (docs/calibration.md)\n"
    "  --templates   a folder of NAME.label files",
    run_label};
