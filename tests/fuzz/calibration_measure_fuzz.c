#include <math.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/content/calibration_symbol.h"
#include "labels/drawing/calibration_plan.h"
#include "labels/quality/calibration_measure.h"

/* Two symbols of a calibration label on a small picture of any greys: a byte for their kind, the label's size as two
 * bytes each in hundredths of a millimetre, four for where the picture shows it, how large and how slanted, thirty-two
 * that move the symbols' corners (a little, or with bit 1 of the first byte anywhere), the rest pixels, repeated.
 * Whatever comes: a sentence, or numbers within their ranges. */
int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

enum { WIDTH = 160, HEIGHT = 110, HEAD = 1 + 4 + 4, CORNERS = 32, SYMBOLS = 2, UM = 10 };

static void check(const struct calibration_measure *measured)
{
    const double numbers[] = {measured->left_mm,         measured->top_mm,
                              measured->turn_degrees,    measured->left_error_mm,
                              measured->top_error_mm,    measured->size_across_error,
                              measured->size_down_error, measured->turn_error_degrees,
                              measured->scatter_mm,      measured->size_across,
                              measured->size_down};
    for (size_t i = 0; i < sizeof numbers / sizeof *numbers; i++)
        if (!isfinite(numbers[i]))
            abort();
    if (fabs(measured->size_across - 1) > 0.05 || fabs(measured->size_down - 1) > 0.05 || measured->lines < 8)
        abort();
}

static double sixteenths(const uint8_t *data)
{
    return (int16_t)(data[0] << 8 | data[1]) / 16.0;
}

/* Where the picture has it when it has it where the first bytes say; then moved. */
static void place(const struct calibration_module *module, double mm, const uint8_t *data, const uint8_t *more,
                  struct reader_symbol *symbol)
{
    const double pixels = data[7] / 32.0 + 0.5, slant = (data[8] - 128) / 512.0;
    for (int i = 0; i < 4; i++, more += 4) {
        const double x = (module->ink.x + (i >= 2 ? module->ink.width : 0)) * mm;
        const double y = (module->ink.y + (i == 0 || i == 3 ? module->ink.height : 0)) * mm;
        const bool free = data[0] & 2;
        symbol->corners[i][0] =
            free ? sixteenths(more) : data[5] / 8.0 + pixels * (x + slant * y) + (int8_t)more[0] / 64.0;
        symbol->corners[i][1] = free ? sixteenths(more + 2) : data[6] / 8.0 + pixels * y + (int8_t)more[2] / 64.0;
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static uint8_t pixels[WIDTH * HEIGHT];
    static struct reader_symbol symbols[SYMBOLS];
    static struct calibration_plan plan;
    struct calibration_measure measured;
    struct fault fault = {0};
    if (size < HEAD + CORNERS + 1)
        return 0;
    const int dpi = data[0] & 1 ? 300 : 203, wide = UM * (data[1] << 8 | data[2]), high = UM * (data[3] << 8 | data[4]);
    if (!calibration_plan_make(wide, high, dpi, &plan, NULL) || plan.symbol_count < SYMBOLS)
        return 0;
    memset(symbols, 0, sizeof symbols);
    for (int k = 0; k < SYMBOLS; k++) {
        const struct calibration_module *module = &plan.symbols[k];
        const bool says = module->says_size;
        const struct calibration_symbol said = {dpi, module->dots, says ? wide : 0, says ? high : 0};
        char text[CALIBRATION_SYMBOL_SIZE];
        calibration_symbol_write(&said, text);
        symbols[k].length = strlen(text);
        memcpy(symbols[k].bytes, text, symbols[k].length);
        symbols[k].rows = symbols[k].columns = data[0] & 4 ? 12 : module->matrix.columns;
        symbols[k].mirrored = data[0] & 8;
        place(module, 25.4 / dpi, data, data + HEAD + 16 * k, &symbols[k]);
    }
    for (size_t i = 0; i < sizeof pixels; i++)
        pixels[i] = data[HEAD + CORNERS + i % (size - HEAD - CORNERS)];
    const struct grey grey = {pixels, WIDTH, HEIGHT, WIDTH};
    if (calibration_measure_make(&grey, symbols, SYMBOLS, &measured, &fault))
        check(&measured);
    else if (fault.text[0] == '\0')
        abort();
    return 0;
}
