#include "kiosk/program/grade_answer.h"

#include <math.h>
#include <stdio.h>

#include "labels/basics/text.h"
#include "labels/quality/advice.h"

static json_t *number(double value)
{
    return isnan(value) ? json_null() : json_real(value);
}

static json_t *level_of_one(const struct quality *quality, enum quality_parameter parameter)
{
    const int level = quality->level[parameter];
    return level == QUALITY_UNKNOWN ? json_null() : json_integer(level);
}

static json_t *measured(const struct quality *quality, enum quality_parameter parameter, double value)
{
    return json_pack("{s:o,s:o}", "value", number(value), "level", level_of_one(quality, parameter));
}

static json_t *modulation(const struct codeword_modulation *modulation)
{
    return json_pack("{s:f,s:f,s:i}", "least", modulation->least, "middle", modulation->middle, "level",
                     modulation->level);
}

static json_t *segment_row(const struct fixed_segment *segment)
{
    json_t *row =
        json_pack("{s:s,s:i,s:i,s:i,s:i}", "part", advice_part_name(segment->part), "modules", segment->modules,
                  "wrong", segment->wrong, "damage_level", segment->damage_level, "level", segment->level);
    if (segment->part >= FIXED_TOP_CLOCK) {
        json_object_set_new(row, "region", json_pack("[i,i]", segment->region_row, segment->region_column));
        json_object_set_new(row, "transition_ratio", number(segment->transition_ratio));
        json_object_set_new(row, "regular", json_boolean(segment->regular));
    }
    return row;
}

static json_t *fixed_pattern(const struct fixed_pattern *fixed)
{
    json_t *segments = json_array();
    for (int i = 0; i < fixed->count; i++)
        json_array_append_new(segments, segment_row(&fixed->segments[i]));
    return json_pack("{s:i,s:f,s:i,s:o}", "level", fixed->level, "average", fixed->average, "average_level",
                     fixed->average_level, "segments", segments);
}

static json_t *growth(const struct quality *quality)
{
    return json_pack("{s:[o,o],s:[o,o]}", "modules", number(quality->growth[0]), number(quality->growth[1]), "pixels",
                     number(quality->growth_pixels[0]), number(quality->growth_pixels[1]));
}

static json_t *worst(const struct quality *quality)
{
    if (quality->worst == QUALITY_DECODE)
        return json_null();
    return json_pack("{s:s,s:o}", "parameter", quality_parameter_name(quality->worst), "level",
                     level_of_one(quality, quality->worst));
}

static void set_place(const struct reader_symbol *symbol, json_t *row)
{
    char hex[2 * READER_BYTES + 1];
    text_write_hex(symbol->bytes, symbol->length, hex, sizeof hex);
    json_t *corners = json_array();
    for (int i = 0; i < 4; i++)
        json_array_append_new(corners, json_pack("[f,f]", symbol->corners[i][0], symbol->corners[i][1]));
    json_object_set_new(row, "hex", json_string(hex));
    json_object_set_new(row, "rows", json_integer(symbol->rows));
    json_object_set_new(row, "columns", json_integer(symbol->columns));
    json_object_set_new(row, "corners", corners);
    json_object_set_new(row, "corrected", json_integer(symbol->corrected));
    json_object_set_new(row, "inverted", json_boolean(symbol->inverted));
    json_object_set_new(row, "mirrored", json_boolean(symbol->mirrored));
}

json_t *grade_answer_json(const struct reader_symbol *symbol, const struct quality *quality)
{
    char sentence[ADVICE_SIZE];
    advice_write(quality, sentence, sizeof sentence);
    json_t *row = json_object(), *unused = measured(quality, QUALITY_UNUSED, quality->unused.unused);
    json_object_set_new(unused, "wrong_codewords", json_integer(quality->unused.wrong));
    set_place(symbol, row);
    json_object_set_new(row, "pixels_a_module", json_real(quality->pixels_a_module));
    json_object_set_new(row, "decode", json_pack("{s:o}", "level", level_of_one(quality, QUALITY_DECODE)));
    json_object_set_new(row, "modulation", modulation(&quality->modulation));
    json_object_set_new(row, "reflectance_margin", modulation(&quality->margin));
    json_object_set_new(row, "contrast",
                        json_pack("{s:f,s:f,s:f}", "relative", quality->contrast, "darkest", quality->darkest,
                                  "lightest", quality->lightest));
    json_object_set_new(row, "axial_nonuniformity", measured(quality, QUALITY_AXIAL, quality->axial));
    json_object_set_new(row, "grid_nonuniformity", measured(quality, QUALITY_GRID, quality->grid));
    json_object_set_new(row, "unused_error_correction", unused);
    json_object_set_new(row, "fixed_pattern_damage", fixed_pattern(&quality->fixed));
    json_object_set_new(row, "print_growth", growth(quality));
    json_object_set_new(row, "worst", worst(quality));
    json_object_set_new(row, "sentence", json_string(sentence));
    return row;
}

static void print_number(const struct quality *quality, enum quality_parameter parameter, double value,
                         const char *what)
{
    if (quality->level[parameter] == QUALITY_UNKNOWN)
        printf("  %-24s not measured\n", quality_parameter_name(parameter));
    else
        printf("  %-24s %d   %.3f %s\n", quality_parameter_name(parameter), quality->level[parameter], value, what);
}

static void print_growth(const struct quality *quality)
{
    if (isnan(quality->growth[0]) || isnan(quality->growth[1]))
        printf("  %-24s not measured\n", "print growth");
    else
        printf("  %-24s     %+.2f across, %+.2f down, of a module\n", "print growth", quality->growth[0],
               quality->growth[1]);
}

void grade_answer_text(const char *path, int number, const struct reader_symbol *symbol, const struct quality *quality)
{
    char sentence[ADVICE_SIZE];
    advice_write(quality, sentence, sizeof sentence);
    printf("%s: symbol %d, %d x %d modules of %.1f pixels. %s\n", path, number, symbol->rows, symbol->columns,
           quality->pixels_a_module, sentence);
    print_number(quality, QUALITY_UNUSED, quality->unused.unused, "left");
    print_number(quality, QUALITY_MODULATION, quality->modulation.least, "poorest module");
    print_number(quality, QUALITY_MARGIN, quality->margin.least, "poorest module");
    print_number(quality, QUALITY_FIXED_PATTERN, quality->fixed.average, "mean of its parts' levels");
    print_number(quality, QUALITY_GRID, quality->grid, "of a module");
    print_number(quality, QUALITY_AXIAL, quality->axial, "longer one way");
    printf("  %-24s     %.3f of the lightest grey\n", "contrast", quality->contrast);
    print_growth(quality);
}
