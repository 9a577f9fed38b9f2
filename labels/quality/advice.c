#include "labels/quality/advice.h"

#include <math.h>
#include <stdio.h>

#include "labels/quality/level.h"

static const double MUCH_GROWTH = 0.15; /* modules; from here on the darkness is looked at first */

static const char *const parts[FIXED_PARTS] = {
    [FIXED_LEFT_LEG] = "left leg",
    [FIXED_BOTTOM_LEG] = "bottom leg",
    [FIXED_LEFT_QUIET] = "quiet zone beside the left leg",
    [FIXED_BOTTOM_QUIET] = "quiet zone below the bottom leg",
    [FIXED_TOP_CLOCK] = "clock track on top",
    [FIXED_RIGHT_CLOCK] = "clock track on the right",
};

const char *advice_part_name(enum fixed_part part)
{
    return parts[part];
}

/* NaN counts as no growth. */
static double larger_growth(const struct quality *quality)
{
    const double x = isnan(quality->growth[0]) ? 0 : quality->growth[0];
    const double y = isnan(quality->growth[1]) ? 0 : quality->growth[1];
    return fabs(x) > fabs(y) ? x : y;
}

static const char *modulation_help(const struct quality *quality)
{
    const double growth = larger_growth(quality);
    if (growth > MUCH_GROWTH)
        return "ink spreads beyond its modules: lower the darkness a step, or print slower";
    if (growth < -MUCH_GROWTH)
        return "ink falls short of its modules: raise the darkness a step, and look whether ribbon and label suit each "
               "other";
    return "some modules are neither dark nor light: check focus and even light first, then clean the print head and "
           "the ribbon's path";
}

static const char *fixed_pattern_help(const struct quality *quality)
{
    switch (quality->fixed.segments[quality->fixed.worst].part) {
    case FIXED_LEFT_QUIET:
    case FIXED_BOTTOM_QUIET:
        return "something dark lies too near: look for dirt, a cut edge or print beside the symbol";
    default:
        return "look for a light line through it, which a dirty or dead dot of the print head leaves: clean the head";
    }
}

static const char *help(const struct quality *quality)
{
    switch (quality->worst) {
    case QUALITY_FIXED_PATTERN:
        return fixed_pattern_help(quality);
    case QUALITY_UNUSED:
    case QUALITY_MARGIN:
        return "modules have the wrong colour: clean the print head, and look for specks, scratches and ribbon creases";
    case QUALITY_MODULATION:
        return modulation_help(quality);
    case QUALITY_GRID:
        return "modules are not where they should be: lay the label flat, then look at the roller and the ribbon's "
               "tension";
    case QUALITY_AXIAL:
        return "it is longer one way than the other: hold the camera square to the label, then look at the roller";
    default:
        return "keep it to compare later labels of this printer with";
    }
}

void advice_write(const struct quality *quality, char *text, size_t size)
{
    const int level = quality->level[quality->worst];
    char lead[160], near[120] = "";
    if (quality->worst == QUALITY_DECODE)
        (void)snprintf(lead, sizeof lead, "Nothing stands out, every number is at %d of %d", level, LEVEL_BEST);
    else if (quality->worst == QUALITY_FIXED_PATTERN)
        (void)snprintf(lead, sizeof lead, "The worst is %s at %d of %d, most in the %s",
                       quality_parameter_name(quality->worst), level, LEVEL_BEST,
                       advice_part_name(quality->fixed.segments[quality->fixed.worst].part));
    else
        (void)snprintf(lead, sizeof lead, "The worst is %s at %d of %d", quality_parameter_name(quality->worst), level,
                       LEVEL_BEST);
    if (quality->pixels_a_module < QUALITY_LEAST_PIXELS)
        (void)snprintf(near, sizeof near, " With %.1f pixels a module this says little: go nearer, %d or more.",
                       quality->pixels_a_module, QUALITY_LEAST_PIXELS);
    (void)snprintf(text, size, "%s (" QUALITY_WORDING "): %s.%s", lead, help(quality), near);
}
