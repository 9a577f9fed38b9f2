#include "labels/reading/carton.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <zbar.h>

#include "labels/content/check_character.h"

enum { GTIN_14 = 14 };

struct carton_scanner {
    zbar_image_scanner_t *zbar;
    uint8_t *rows; /* the picture without what lies between its rows */
    size_t rows_size;
};

static const struct kind {
    zbar_symbol_type_t type;
    char letter, plain, gs1, aim; /* of the identifier; `aim`: FNC1 in second place */
} kinds[] = {
    {ZBAR_CODE128, 'C', '0', '1', '2'},     {ZBAR_EAN13, 'E', '0', '0', '0'},  {ZBAR_EAN8, 'E', '4', '4', '4'},
    {ZBAR_I25, 'I', '1', '1', '1'},         {ZBAR_CODE39, 'A', '0', '0', '0'}, {ZBAR_DATABAR, 'e', '0', '0', '0'},
    {ZBAR_DATABAR_EXP, 'e', '0', '0', '0'}, {ZBAR_QRCODE, 'Q', '1', '3', '5'},
};

struct carton_scanner *carton_scanner_create(void)
{
    struct carton_scanner *scanner = calloc(1, sizeof *scanner);
    if (!scanner)
        return NULL;
    scanner->zbar = zbar_image_scanner_create();
    if (!scanner->zbar) {
        free(scanner);
        return NULL;
    }
    (void)zbar_image_scanner_set_config(scanner->zbar, ZBAR_NONE, ZBAR_CFG_ENABLE, 0);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        (void)zbar_image_scanner_set_config(scanner->zbar, kinds[i].type, ZBAR_CFG_ENABLE, 1);
    (void)zbar_image_scanner_set_config(scanner->zbar, ZBAR_NONE, ZBAR_CFG_POSITION, 1);
    /* Bytes as they are: else libzbar guesses a character set, with files of the C library, which the eye's cage keeps
     * closed. */
    (void)zbar_image_scanner_set_config(scanner->zbar, ZBAR_QRCODE, ZBAR_CFG_BINARY, 1);
    return scanner;
}

void carton_scanner_destroy(struct carton_scanner *scanner)
{
    if (!scanner)
        return;
    zbar_image_scanner_destroy(scanner->zbar);
    free(scanner->rows);
    free(scanner);
}

static const struct kind *kind_of(zbar_symbol_type_t type)
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (kinds[i].type == type)
            return &kinds[i];
    return NULL;
}

bool carton_is_symbology(const char symbology[4])
{
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        const struct kind *kind = &kinds[i];
        const char modifier = symbology[2];
        if (symbology[0] == ']' && symbology[1] == kind->letter && symbology[3] == '\0' &&
            (modifier == kind->plain || modifier == kind->gs1 || modifier == kind->aim))
            return true;
    }
    return false;
}

static bool is_sound(const zbar_symbol_t *found, const struct kind *kind)
{
    const struct span data = {zbar_symbol_get_data(found), zbar_symbol_get_data_length(found)};
    if (data.length == 0 || data.length > READER_BYTES)
        return false;
    if (kind->type == ZBAR_QRCODE)
        return true;
    if (kind->type == ZBAR_I25 && (data.length != GTIN_14 || !check_character_mod10_ok(data)))
        return false;
    return zbar_symbol_get_quality(found) >= CARTON_LEAST_LINES;
}

/* libzbar counts from the picture's edge, so that its places are half a pixel more than ours. QR: its own corners, from
 * the upper left against the clock. */
static void set_qr_corners(const zbar_symbol_t *found, struct reader_symbol *symbol)
{
    static const unsigned from[4] = {1, 0, 3, 2};
    for (int i = 0; i < 4; i++) {
        symbol->corners[i][0] = zbar_symbol_get_loc_x(found, from[i]) - 0.5;
        symbol->corners[i][1] = zbar_symbol_get_loc_y(found, from[i]) - 0.5;
    }
}

/* A point for each scan line that read it, at the end where it came out. */
static void set_box(const zbar_symbol_t *found, struct reader_symbol *symbol)
{
    int left = INT32_MAX, top = INT32_MAX, right = 0, bottom = 0;
    for (unsigned i = 0; i < zbar_symbol_get_loc_size(found); i++) {
        const int x = zbar_symbol_get_loc_x(found, i), y = zbar_symbol_get_loc_y(found, i);
        left = x < left ? x : left;
        right = x > right ? x : right;
        top = y < top ? y : top;
        bottom = y > bottom ? y : bottom;
    }
    const double box[4][2] = {
        {left - 0.5, bottom - 0.5}, {left - 0.5, top - 0.5}, {right - 0.5, top - 0.5}, {right - 0.5, bottom - 0.5}};
    const zbar_orientation_t turned = zbar_symbol_get_orientation(found);
    const int first = turned == ZBAR_ORIENT_RIGHT  ? 1
                      : turned == ZBAR_ORIENT_DOWN ? 2
                      : turned == ZBAR_ORIENT_LEFT ? 3
                                                   : 0;
    for (int i = 0; i < 4; i++)
        memcpy(symbol->corners[i], box[(first + i) % 4], sizeof symbol->corners[i]);
}

static void describe(const zbar_symbol_t *found, const struct kind *kind, struct reader_symbol *symbol)
{
    const unsigned modifiers = zbar_symbol_get_modifiers(found);
    const char modifier = modifiers & 1U << ZBAR_MOD_GS1   ? kind->gs1
                          : modifiers & 1U << ZBAR_MOD_AIM ? kind->aim
                                                           : kind->plain;
    memset(symbol, 0, sizeof *symbol);
    symbol->length = zbar_symbol_get_data_length(found);
    memcpy(symbol->bytes, zbar_symbol_get_data(found), symbol->length);
    memcpy(symbol->symbology, (const char[]){']', kind->letter, modifier, '\0'}, sizeof symbol->symbology);
    symbol->corrected = -1;
    symbol->eci = -1;
    if (kind->type == ZBAR_QRCODE && zbar_symbol_get_loc_size(found) == 4)
        set_qr_corners(found, symbol);
    else
        set_box(found, symbol);
}

/* libzbar wants rows without anything between. NULL: no memory. */
static const uint8_t *join_rows(struct carton_scanner *scanner, const struct grey *picture)
{
    const size_t width = (size_t)picture->width, size = width * (size_t)picture->height;
    if (picture->stride == width)
        return picture->pixels;
    if (scanner->rows_size < size) {
        free(scanner->rows);
        scanner->rows = malloc(size);
        scanner->rows_size = scanner->rows ? size : 0;
    }
    for (size_t y = 0; scanner->rows && y < (size_t)picture->height; y++)
        memcpy(scanner->rows + y * width, picture->pixels + y * picture->stride, width);
    return scanner->rows;
}

bool carton_read(struct carton_scanner *scanner, const struct grey *picture, struct reader_symbol *symbols, size_t room,
                 size_t *count, bool *cut_short, struct fault *fault)
{
    const uint8_t *pixels = join_rows(scanner, picture);
    zbar_image_t *image = pixels ? zbar_image_create() : NULL;
    if (!image)
        return fault_set(fault, FAULT_STORAGE, "no memory to search a picture of %d x %d pixels: make it smaller",
                         picture->width, picture->height);
    zbar_image_set_format(image, zbar_fourcc('Y', '8', '0', '0'));
    zbar_image_set_size(image, (unsigned)picture->width, (unsigned)picture->height);
    zbar_image_set_data(image, pixels, (size_t)picture->width * (size_t)picture->height, NULL);
    const bool scanned = zbar_scan_image(scanner->zbar, image) >= 0;
    const zbar_symbol_t *found = scanned ? zbar_image_first_symbol(image) : NULL;
    for (; found; found = zbar_symbol_next(found)) {
        const struct kind *kind = kind_of(zbar_symbol_get_type(found));
        if (!kind || !is_sound(found, kind))
            continue;
        if (*count == room) {
            *cut_short = true;
            break;
        }
        describe(found, kind, &symbols[(*count)++]);
    }
    zbar_image_destroy(image);
    return scanned ||
           fault_set(fault, FAULT_STORAGE, "the picture could not be searched for bar codes: make it smaller");
}
