#include "labels/content/calibration_symbol.h"

#include <string.h>

enum { DPI_MAX = 9999 };

void calibration_symbol_write(struct calibration_symbol symbol, char text[CALIBRATION_SYMBOL_SIZE])
{
    struct builder out;
    builder_init(&out, text, CALIBRATION_SYMBOL_SIZE);
    builder_addf(&out, "X%dD%d", symbol.dpi, symbol.dots);
}

bool calibration_symbol_read(struct span text, struct calibration_symbol *symbol)
{
    int64_t dpi = 0, dots = 0;
    char again[CALIBRATION_SYMBOL_SIZE];
    const char *middle = text.length > 0 ? memchr(text.at, 'D', text.length) : NULL;
    if (!middle || text.at[0] != 'X')
        return false;
    const struct span before = {text.at + 1, (size_t)(middle - text.at) - 1};
    const struct span after = {middle + 1, text.length - before.length - 2};
    if (!span_read_count(before, &dpi) || !span_read_count(after, &dots) || dpi < 1 || dpi > DPI_MAX ||
        dots < CALIBRATION_DOTS_MIN || dots > CALIBRATION_DOTS_MAX)
        return false;
    const struct calibration_symbol fresh = {(int)dpi, (int)dots};
    calibration_symbol_write(fresh, again);
    if (!span_equals(text, again)) /* leading zeros */
        return false;
    *symbol = fresh;
    return true;
}
