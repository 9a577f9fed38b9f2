#include "tests/pictures/panel.h"

#include <stdlib.h>
#include <string.h>

/* 5 x 7, a row a byte, bit 4 on the left. */
static const uint8_t letters[37][7] = {
    {0x0E, 0x11, 0x13, 0x15, 0x19, 0x11, 0x0E}, {0x04, 0x0C, 0x04, 0x04, 0x04, 0x04, 0x0E}, /* 0 1 */
    {0x0E, 0x11, 0x01, 0x06, 0x08, 0x10, 0x1F}, {0x1E, 0x01, 0x01, 0x0E, 0x01, 0x01, 0x1E}, /* 2 3 */
    {0x02, 0x06, 0x0A, 0x12, 0x1F, 0x02, 0x02}, {0x1F, 0x10, 0x1E, 0x01, 0x01, 0x11, 0x0E}, /* 4 5 */
    {0x06, 0x08, 0x10, 0x1E, 0x11, 0x11, 0x0E}, {0x1F, 0x01, 0x02, 0x04, 0x08, 0x08, 0x08}, /* 6 7 */
    {0x0E, 0x11, 0x11, 0x0E, 0x11, 0x11, 0x0E}, {0x0E, 0x11, 0x11, 0x0F, 0x01, 0x02, 0x0C}, /* 8 9 */
    {0x0E, 0x11, 0x11, 0x1F, 0x11, 0x11, 0x11}, {0x1E, 0x11, 0x11, 0x1E, 0x11, 0x11, 0x1E}, /* A B */
    {0x0E, 0x11, 0x10, 0x10, 0x10, 0x11, 0x0E}, {0x1E, 0x11, 0x11, 0x11, 0x11, 0x11, 0x1E}, /* C D */
    {0x1F, 0x10, 0x10, 0x1E, 0x10, 0x10, 0x1F}, {0x1F, 0x10, 0x10, 0x1E, 0x10, 0x10, 0x10}, /* E F */
    {0x0E, 0x11, 0x10, 0x17, 0x11, 0x11, 0x0F}, {0x11, 0x11, 0x11, 0x1F, 0x11, 0x11, 0x11}, /* G H */
    {0x0E, 0x04, 0x04, 0x04, 0x04, 0x04, 0x0E}, {0x07, 0x02, 0x02, 0x02, 0x02, 0x12, 0x0C}, /* I J */
    {0x11, 0x12, 0x14, 0x18, 0x14, 0x12, 0x11}, {0x10, 0x10, 0x10, 0x10, 0x10, 0x10, 0x1F}, /* K L */
    {0x11, 0x1B, 0x15, 0x15, 0x11, 0x11, 0x11}, {0x11, 0x19, 0x15, 0x13, 0x11, 0x11, 0x11}, /* M N */
    {0x0E, 0x11, 0x11, 0x11, 0x11, 0x11, 0x0E}, {0x1E, 0x11, 0x11, 0x1E, 0x10, 0x10, 0x10}, /* O P */
    {0x0E, 0x11, 0x11, 0x11, 0x15, 0x12, 0x0D}, {0x1E, 0x11, 0x11, 0x1E, 0x14, 0x12, 0x11}, /* Q R */
    {0x0F, 0x10, 0x10, 0x0E, 0x01, 0x01, 0x1E}, {0x1F, 0x04, 0x04, 0x04, 0x04, 0x04, 0x04}, /* S T */
    {0x11, 0x11, 0x11, 0x11, 0x11, 0x11, 0x0E}, {0x11, 0x11, 0x11, 0x11, 0x11, 0x0A, 0x04}, /* U V */
    {0x11, 0x11, 0x11, 0x15, 0x15, 0x1B, 0x11}, {0x11, 0x11, 0x0A, 0x04, 0x0A, 0x11, 0x11}, /* W X */
    {0x11, 0x11, 0x0A, 0x04, 0x04, 0x04, 0x04}, {0x1F, 0x01, 0x02, 0x04, 0x08, 0x10, 0x1F}, /* Y Z */
    {0x00, 0x00, 0x00, 0x1F, 0x00, 0x00, 0x00},                                             /* - */
};

bool panel_create(struct panel *panel, int width, int height, int grey)
{
    *panel = (struct panel){malloc((size_t)width * (size_t)height), width, height};
    if (panel->texels)
        memset(panel->texels, grey, (size_t)width * (size_t)height);
    return panel->texels != NULL;
}

void panel_clear(struct panel *panel)
{
    free(panel->texels);
    panel->texels = NULL;
}

void panel_box(struct panel *panel, int x, int y, int width, int height, int grey)
{
    const int left = x > 0 ? x : 0, right = x + width < panel->width ? x + width : panel->width;
    for (int row = y > 0 ? y : 0; row < y + height && row < panel->height; row++)
        if (left < right)
            memset(panel->texels + (size_t)row * (size_t)panel->width + left, grey, (size_t)(right - left));
}

static const uint8_t *letter_of(char sign)
{
    if (sign >= '0' && sign <= '9')
        return letters[sign - '0'];
    if (sign >= 'A' && sign <= 'Z')
        return letters[10 + sign - 'A'];
    return sign == '-' ? letters[36] : NULL;
}

int panel_letters(struct panel *panel, int x, int y, int height, const char *words, int grey)
{
    const int width = height * 5 / 7, pitch = height * 6 / 7;
    for (; *words; words++, x += pitch) {
        const uint8_t *shape = letter_of(*words);
        if (!shape || x < 0 || y < 0 || x + width > panel->width || y + height > panel->height)
            continue;
        for (int row = 0; row < height; row++)
            for (int column = 0; column < width; column++)
                if (shape[row * 7 / height] >> (4 - column * 5 / width) & 1)
                    panel->texels[(size_t)(y + row) * (size_t)panel->width + (size_t)(x + column)] = (uint8_t)grey;
    }
    return x;
}

void panel_symbol(struct panel *panel, int x, int y, const struct zint_modules *symbol, int dark, int light)
{
    for (int row = 0; row < symbol->size->rows; row++)
        for (int column = 0; column < symbol->size->columns; column++)
            panel_box(panel, x + column * PANEL_TEXELS, y + row * PANEL_TEXELS, PANEL_TEXELS, PANEL_TEXELS,
                      symbol->modules[row * symbol->size->columns + column] ? dark : light);
}

void panel_mirror(struct panel *panel)
{
    for (int row = 0; row < panel->height; row++) {
        uint8_t *line = panel->texels + (size_t)row * (size_t)panel->width;
        for (int a = 0, b = panel->width - 1; a < b; a++, b--) {
            const uint8_t texel = line[a];
            line[a] = line[b];
            line[b] = texel;
        }
    }
}

/* The letters shrink until the line fits into `width`, as those of a label do. */
static void write_line(struct panel *panel, int x, int y, int width, int height, const char *words, int grey)
{
    const int count = (int)strlen(words);
    while (height > 7 && (height * 6 / 7) * count > width)
        height--;
    panel_letters(panel, x, y, height, words, grey);
}

static void write_lines(struct panel *panel, const struct panel_label *label, int x, int y, int width, int height)
{
    static const int share[4] = {20, 11, 11, 11}; /* hundredths of the height that a line's letters have */
    for (int i = 0; i < 4; i++) {
        const int letter = height * share[i] / 100 < 7 ? 7 : height * share[i] / 100;
        write_line(panel, x, y, width, letter, label->line[i] ? label->line[i] : "", label->dark);
        y += letter * 3 / 2;
    }
}

bool panel_create_label(struct panel *panel, const struct panel_label *label, const struct zint_modules *symbol,
                        int *symbol_x, int *symbol_y)
{
    const int quiet = label->quiet * PANEL_TEXELS;
    const int wide = symbol->size->columns * PANEL_TEXELS, high = symbol->size->rows * PANEL_TEXELS;
    const bool oblong = symbol->size->columns > symbol->size->rows * 3 / 2;
    const int right = label->bare || oblong ? 0 : wide * 5 / 4, below = label->bare ? 0
                                                                        : oblong    ? high * 3 / 2
                                                                                    : high / 4;
    if (!panel_create(panel, wide + right + 2 * quiet, high + below + 2 * quiet, label->light))
        return false;
    panel_symbol(panel, quiet, quiet, symbol, label->dark, label->light);
    if (!label->bare && oblong) {
        write_lines(panel, label, quiet, high + 2 * quiet, wide, below);
    } else if (!label->bare) {
        write_lines(panel, label, wide + 2 * quiet, quiet, right, high);
        write_line(panel, quiet, high + 2 * quiet, wide + right, below * 2 / 3, label->line[3] ? label->line[3] : "",
                   label->dark);
    }
    *symbol_x = quiet;
    *symbol_y = quiet;
    return true;
}
