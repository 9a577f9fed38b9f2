#include "labels/quality/fixed_pattern.h"

#include "labels/quality/level.h"

enum { GROUP = 5 /* neighbours of a clock track */, GROUP_WRONG = 1 };

/* Modules in a line. */
struct run {
    int row, column, down, across, length;
};

struct look {
    const struct module_values *values;
    const struct module_contrast *contrast;
    const struct run *runs;
    int count;
    enum level_kind kind;
};

static int place_of(const struct look *look, const struct run *run, int i)
{
    return module_values_place(look->values->size, run->row + i * run->down, run->column + i * run->across);
}

static bool is_wrong(const struct look *look, int place)
{
    return module_values_seen_dark(look->values, look->contrast, place) != (look->values->dark[place] != 0);
}

static int left_of_segment(const void *context, int limit)
{
    const struct look *look = context;
    int bad = 0, all = 0;
    for (int k = 0; k < look->count; k++)
        for (int i = 0; i < look->runs[k].length; i++, all++) {
            const int place = place_of(look, &look->runs[k], i);
            bad += level_of(LEVEL_MODULATION, module_values_margin(look->values, look->contrast, place)) < limit;
        }
    return level_of(look->kind, (double)bad / all);
}

static int count_changes(const struct look *look, const struct run *run)
{
    int changes = 0;
    for (int i = 1; i < run->length; i++)
        changes += module_values_seen_dark(look->values, look->contrast, place_of(look, run, i)) !=
                   module_values_seen_dark(look->values, look->contrast, place_of(look, run, i - 1));
    return changes;
}

double fixed_pattern_transition_ratio(int clock_changes, int beside_changes)
{
    const int counted = beside_changes > 1 ? beside_changes - 1 : 0;
    return clock_changes > 0 ? (double)counted / clock_changes : 1;
}

bool fixed_pattern_regular(const uint8_t *wrong, int length)
{
    for (int i = 0; i + GROUP <= length; i++) {
        int count = 0;
        for (int k = 0; k < GROUP; k++)
            count += wrong[i + k] != 0;
        if (count > GROUP_WRONG)
            return false;
    }
    return true;
}

static struct fixed_segment measure_damage(const struct look *look, enum fixed_part part)
{
    struct fixed_segment segment = {.part = part, .regular = true};
    for (int k = 0; k < look->count; k++)
        for (int i = 0; i < look->runs[k].length; i++) {
            segment.modules++;
            segment.wrong += is_wrong(look, place_of(look, &look->runs[k], i));
        }
    segment.level = segment.damage_level = level_overlay(left_of_segment, look);
    return segment;
}

/* runs[0] is the clock track, runs[1] what lies beside it. */
static struct fixed_segment measure_clock(const struct look *look, enum fixed_part part)
{
    struct fixed_segment segment = measure_damage(look, part);
    uint8_t wrong[SYMBOL_SIDE];
    for (int i = 0; i < look->runs[0].length; i++)
        wrong[i] = is_wrong(look, place_of(look, &look->runs[0], i));
    segment.regular = fixed_pattern_regular(wrong, look->runs[0].length);
    segment.transition_ratio =
        fixed_pattern_transition_ratio(count_changes(look, &look->runs[0]), count_changes(look, &look->runs[1]));
    const int transition = level_of(LEVEL_TRANSITION, segment.transition_ratio);
    segment.level = transition < segment.level ? transition : segment.level;
    segment.level = segment.regular ? segment.level : 0;
    return segment;
}

static void measure_region(struct look look, int region_row, int region_column, struct fixed_pattern *pattern)
{
    const struct symbol_size *size = look.values->size;
    const int rows = size->region_rows + 2, columns = size->region_columns + 2;
    const int top = region_row * rows, left = region_column * columns;
    const struct run above[2] = {{top, left, 0, 1, columns}, {top - 1, left, 0, 1, columns}};
    const struct run beside[2] = {{top, left + columns - 1, 1, 0, rows}, {top, left + columns, 1, 0, rows}};
    look.kind = LEVEL_CLOCK;
    look.count = 2;
    for (enum fixed_part part = FIXED_TOP_CLOCK; part <= FIXED_RIGHT_CLOCK; part++) {
        look.runs = part == FIXED_TOP_CLOCK ? above : beside;
        struct fixed_segment segment = measure_clock(&look, part);
        segment.region_row = region_row;
        segment.region_column = region_column;
        pattern->segments[pattern->count++] = segment;
    }
}

void fixed_pattern_sum_up(struct fixed_pattern *pattern)
{
    int clock = LEVEL_BEST, sum = 0;
    pattern->worst = 0;
    for (int i = 0; i < pattern->count; i++) {
        const struct fixed_segment *segment = &pattern->segments[i];
        if (segment->part < FIXED_TOP_CLOCK)
            sum += segment->level;
        else if (segment->level < clock)
            clock = segment->level;
        if (segment->level < pattern->segments[pattern->worst].level)
            pattern->worst = i;
    }
    pattern->average = (sum + clock) / 5.0;
    pattern->average_level = level_of(LEVEL_AVERAGE, pattern->average);
    const int lowest = pattern->segments[pattern->worst].level;
    pattern->level = lowest < pattern->average_level ? lowest : pattern->average_level;
}

void fixed_pattern_measure(const struct module_values *values, const struct module_contrast *contrast,
                           struct fixed_pattern *pattern)
{
    const struct symbol_size *size = values->size;
    const struct run legs[] = {
        [FIXED_LEFT_LEG] = {0, 0, 1, 0, size->rows},
        [FIXED_BOTTOM_LEG] = {size->rows - 1, 0, 0, 1, size->columns},
        [FIXED_LEFT_QUIET] = {0, -1, 1, 0, size->rows},
        [FIXED_BOTTOM_QUIET] = {size->rows, 0, 0, 1, size->columns},
    };
    pattern->count = 0;
    for (enum fixed_part part = 0; part < FIXED_TOP_CLOCK; part++) {
        const struct look look = {values, contrast, &legs[part], 1, LEVEL_LEG};
        pattern->segments[pattern->count++] = measure_damage(&look, part);
    }
    for (int row = 0; row < size->rows / (size->region_rows + 2); row++)
        for (int column = 0; column < size->columns / (size->region_columns + 2); column++)
            measure_region((struct look){.values = values, .contrast = contrast}, row, column, pattern);
    fixed_pattern_sum_up(pattern);
}
