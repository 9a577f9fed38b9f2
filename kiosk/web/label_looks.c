#include "kiosk/web/label_looks.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/desk_rows.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/web/label_pitch.h"
#include "labels/content/calibration_symbol.h"
#include "labels/drawing/layout.h"

enum { USUAL_DPI = 203, STRETCH_MM_LEAST = 10 };

static json_t *number(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

json_t *label_looks_quality(const struct quality_brief *brief)
{
    json_t *pale = json_array();
    for (size_t i = 0; i < brief->streaks.count; i++)
        json_array_append_new(pale, json_real(brief->streaks.marks[i].at));
    return json_pack("{s:s, s:s, s:f, s:o, s:o, s:o, s:i, s:o, s:o, s:[o, o], s:o, s:o}", "standing", QUALITY_WORDING,
                     "edition", QUALITY_EDITION, "pixels_a_module", brief->pixels_a_module, "modulation",
                     number(brief->modulation), "margin", number(brief->margin), "unused", number(brief->unused),
                     "fixed_level", brief->fixed_level, "axial", number(brief->axial), "grid", number(brief->grid),
                     "growth", number(brief->growth[0]), number(brief->growth[1]), "contrast", number(brief->contrast),
                     "pale", pale);
}

static void put_thousandths(json_t *look, const char *key, double value)
{
    if (!isnan(value))
        json_object_set_new(look, key, json_integer(lround(value * 1000)));
}

static bool take_newest(const struct print *print, void *context)
{
    *(struct print *)context = *print;
    return true;
}

/* The template's only symbol of a unit; several: which of them was photographed cannot be told. */
static const struct template_element *unit_symbol(const struct template *template)
{
    const struct template_element *found = NULL;
    for (size_t i = 0; i < template->element_count; i++) {
        const struct template_element *element = &template->elements[i];
        if (element->kind != TEMPLATE_SYMBOL || element->symbol != SYMBOL_UNIT)
            continue;
        if (found)
            return NULL;
        found = element;
    }
    return found;
}

/* Where the symbol stood across the head, by the template as it is now and the printer as it is calibrated now. */
struct stand {
    bool known;
    double from_um, module_um;
};

static struct stand find_stand(const struct label_printer *printer, bool calibrated, struct template *template,
                               int modules)
{
    const struct pitch pitch = calibrated ? label_pitch_of(printer) : pitch_nominal(USUAL_DPI);
    struct layout_box ink;
    int module;
    if (calibrated && printer->module_dots != MOVEMENT_NULL)
        template_raise_modules(template, pitch_module_um(&pitch, (int)printer->module_dots));
    const struct template_element *element = unit_symbol(template);
    if (!element || !layout_symbol_place(element, modules, &pitch, &ink, &module))
        return (struct stand){.known = false};
    const double um = pitch_mm(&pitch, PITCH_ACROSS, 1) * 1000, shift = calibrated ? (double)printer->shift_right : 0;
    return (struct stand){true, (ink.x + shift) * um, module * um};
}

static void put_marks(json_t *look, const struct stand *stand, const struct reader_symbol *symbol,
                      const struct quality_brief *brief)
{
    char text[PRINT_LOOK_MARKS_SIZE];
    struct builder out;
    builder_init(&out, text, sizeof text);
    json_object_set_new(look, "from_um", json_integer(lround(stand->from_um)));
    json_object_set_new(look, "to_um", json_integer(lround(stand->from_um + symbol->columns * stand->module_um)));
    for (size_t i = 0; i < brief->streaks.count; i++)
        builder_addf(&out, "%s%ld", i > 0 ? " " : "",
                     lround(stand->from_um + brief->streaks.marks[i].at * stand->module_um));
    if (text[0])
        json_object_set_new(look, "marks", json_string(text));
}

static bool put_place(struct ledger *ledger, const struct template_files *templates, const struct print *print,
                      const struct reader_symbol *symbol, const struct quality_brief *brief, json_t *look,
                      struct fault *fault)
{
    struct label_printer printer = {.dpi = MOVEMENT_NULL};
    struct template *template = malloc(sizeof *template);
    bool found = false;
    if (!template)
        return fault_set(fault, FAULT_STORAGE, "no memory to find a symbol on its label");
    const bool read = !print->device[0] || label_printer_load(ledger, print->device, &printer, &found, fault);
    /* a template that is gone or spoilt since leaves the place unknown; the numbers stay worth keeping */
    if (read && template_files_load(templates, print->label_template, template, NULL)) {
        const struct stand stand =
            find_stand(&printer, found && printer.dpi != MOVEMENT_NULL, template, symbol->columns);
        if (stand.known)
            put_marks(look, &stand, symbol, brief);
    }
    free(template);
    return read;
}

bool label_looks_make(struct ledger *ledger, const struct template_files *templates, const char *unit,
                      const struct reader_symbol *symbol, const struct quality_brief *brief, json_t **look,
                      struct fault *fault)
{
    struct print print = {.number = 0};
    *look = NULL;
    if (!print_each_of_unit(ledger, unit, take_newest, &print, fault))
        return false;
    if (print.number == 0)
        return true;
    json_t *made = json_pack("{s:s, s:s, s:i}", "unit", unit, "edition", QUALITY_EDITION, "fixed", brief->fixed_level);
    put_thousandths(made, "pixels", brief->pixels_a_module);
    put_thousandths(made, "modulation", brief->modulation);
    put_thousandths(made, "margin", brief->margin);
    put_thousandths(made, "unused", brief->unused);
    put_thousandths(made, "axial", brief->axial);
    put_thousandths(made, "grid", brief->grid);
    put_thousandths(made, "growth_x", brief->growth[0]);
    put_thousandths(made, "growth_y", brief->growth[1]);
    put_thousandths(made, "contrast", brief->contrast);
    if (!put_place(ledger, templates, &print, symbol, brief, made, fault)) {
        json_decref(made);
        return false;
    }
    *look = made;
    return true;
}

/* To the micrometre; the errors are larger. */
static void put_mm(json_t *object, const char *key, double mm)
{
    json_object_set_new(object, key, json_real(round(mm * 1000) / 1000));
}

/* `stretch_mm` 0: the ruler is too short to have another long line, and the act wants ten at least. */
static void put_stretch(json_t *object, const char *const keys[3], int stretch_mm, double size, double error)
{
    const int stretch = stretch_mm > 0 ? stretch_mm : STRETCH_MM_LEAST;
    json_object_set_new(object, keys[0], json_integer(stretch));
    json_object_set_new(object, keys[1], json_null());
    if (error <= LABEL_LOOKS_STRETCH_ERROR)
        put_mm(object, keys[1], stretch * size);
    put_mm(object, keys[2], stretch * error);
}

static json_t *measured_json(const struct calibration_measure *measure)
{
    static const char *const across[] = {"stretch_mm", "came_out_mm", "came_out_error_mm"};
    static const char *const down[] = {"stretch_down_mm", "came_out_down_mm", "came_out_down_error_mm"};
    json_t *object = json_pack("{s:f, s:f, s:i}", "width_mm", measure->width_um / 1000.0, "height_mm",
                               measure->height_um / 1000.0, "lines", measure->lines);
    put_mm(object, "left_mm", measure->left_mm);
    put_mm(object, "left_error_mm", measure->left_error_mm);
    put_mm(object, "top_mm", measure->top_mm);
    put_mm(object, "top_error_mm", measure->top_error_mm);
    put_stretch(object, across, measure->stretch_mm, measure->size_across, measure->size_across_error);
    put_stretch(object, down, measure->stretch_down_mm, measure->size_down, measure->size_down_error);
    put_mm(object, "turn_degrees", measure->turn_degrees);
    put_mm(object, "turn_error_degrees", measure->turn_error_degrees);
    put_mm(object, "scatter_mm", measure->scatter_mm);
    return object;
}

json_t *label_looks_calibration(const struct reader_symbol *symbols, size_t count,
                                const struct eye_calibration *calibration)
{
    bool seen[CALIBRATION_DOTS_MAX + 2] = {false};
    struct calibration_symbol symbol;
    int dpi = 0, largest = 0;
    for (size_t i = 0; i < count; i++) {
        if (!calibration_symbol_read((struct span){(const char *)symbols[i].bytes, symbols[i].length}, &symbol) ||
            (dpi && symbol.dpi != dpi)) /* of another label in the picture */
            continue;
        dpi = symbol.dpi;
        seen[symbol.dots] = true;
        largest = symbol.dots > largest ? symbol.dots : largest;
    }
    if (!dpi)
        return json_null();
    json_t *read = json_array();
    int smallest = largest;
    for (int dots = CALIBRATION_DOTS_MIN; dots <= largest; dots++)
        if (seen[dots])
            json_array_append_new(read, json_integer(dots));
    while (seen[smallest - 1])
        smallest--;
    const bool measured = calibration && calibration->measured;
    return json_pack("{s:i, s:o, s:i, s:o, s:s?}", "dpi", dpi, "read", read, "smallest", smallest, "measured",
                     measured ? measured_json(&calibration->measure) : json_null(), "trouble",
                     calibration && !measured ? calibration->why.text : NULL);
}
