#include "labels/content/calibration_symbol.h"

#include <string.h>

enum { DPI_MAX = 9999, UM = 1000, MM_MAX = 99 };

static bool is_whole_mm(int um)
{
    return um % UM == 0 && um / UM <= MM_MAX;
}

void calibration_symbol_write(const struct calibration_symbol *symbol, char text[CALIBRATION_SYMBOL_SIZE])
{
    struct builder out;
    builder_init(&out, text, CALIBRATION_SYMBOL_SIZE);
    builder_addf(&out, "X%dD%d", symbol->dpi, symbol->dots);
    if (symbol->width_um == 0)
        return;
    if (is_whole_mm(symbol->width_um) && is_whole_mm(symbol->height_um))
        builder_addf(&out, "S%02d%02d", symbol->width_um / UM, symbol->height_um / UM);
    else
        builder_addf(&out, "S%06d%06d", symbol->width_um, symbol->height_um);
}

/* "S" and two sides; nothing at all is fine too. */
static bool read_sides(struct span text, struct calibration_symbol *symbol)
{
    const size_t digits = text.length / 2;
    const int unit = digits == 2 ? UM : 1;
    int64_t width = 0, height = 0;
    if (text.length == 0)
        return true;
    if (text.at[0] != 'S' || (text.length != 5 && text.length != 13) ||
        !span_read_count((struct span){text.at + 1, digits}, &width) ||
        !span_read_count((struct span){text.at + 1 + digits, digits}, &height) || width < 1 || height < 1)
        return false;
    symbol->width_um = (int)width * unit;
    symbol->height_um = (int)height * unit;
    return true;
}

static struct span after(struct span text, size_t length)
{
    return (struct span){text.at + length, text.length - length};
}

/* Up to `mark`, or to the end. */
static struct span before(struct span text, char mark)
{
    const char *end = text.length > 0 ? memchr(text.at, mark, text.length) : NULL;
    return (struct span){text.at, end ? (size_t)(end - text.at) : text.length};
}

bool calibration_symbol_read(struct span text, struct calibration_symbol *symbol)
{
    int64_t dpi = 0, dots = 0;
    char again[CALIBRATION_SYMBOL_SIZE];
    if (text.length == 0 || text.at[0] != 'X')
        return false;
    const struct span first = before(after(text, 1), 'D');
    if (1 + first.length == text.length)
        return false;
    const struct span rest = after(text, 2 + first.length), second = before(rest, 'S');
    if (!span_read_count(first, &dpi) || !span_read_count(second, &dots) || dpi < 1 || dpi > DPI_MAX ||
        dots < CALIBRATION_DOTS_MIN || dots > CALIBRATION_DOTS_MAX)
        return false;
    struct calibration_symbol fresh = {(int)dpi, (int)dots, 0, 0};
    if (!read_sides(after(rest, second.length), &fresh))
        return false;
    calibration_symbol_write(&fresh, again);
    if (!span_equals(text, again)) /* leading zeros, micrometres for whole millimetres */
        return false;
    *symbol = fresh;
    return true;
}
