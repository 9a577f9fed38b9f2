#include "labels/quality/advice.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* What helps is common practice with label printers, no source. */

static struct quality at_4(void)
{
    struct quality quality = {.pixels_a_module = 9, .worst = QUALITY_DECODE, .fixed = {.count = 6}};
    for (int i = 0; i < QUALITY_PARAMETERS; i++)
        quality.level[i] = 4;
    for (int i = 0; i < 6; i++)
        quality.fixed.segments[i].part = (enum fixed_part)i;
    return quality;
}

static void check_says(const struct quality *quality, const char *word)
{
    char text[ADVICE_SIZE];
    advice_write(quality, text, sizeof text);
    if (!strstr(text, word))
        fail_msg("'%s' is not in: %s", word, text);
    /* An uncalibrated camera may say this and no more: never that a standard is met, never a letter. */
    assert_non_null(strstr(text, "process-control estimate, ISO/IEC 15415-style, uncalibrated"));
    assert_null(strstr(text, "pass"));
    assert_null(strstr(text, "grade"));
    assert_true(text[strlen(text) - 1] == '.');
}

static void each_worst_number_is_named_with_what_helps(void **state)
{
    static const struct {
        enum quality_parameter worst;
        const char *words[2];
    } cases[] = {
        {QUALITY_FIXED_PATTERN, {"fixed pattern damage at 2 of 4, most in the left leg", "clean the head"}},
        {QUALITY_UNUSED, {"unused error correction at 2", "print head"}},
        {QUALITY_MODULATION, {"modulation at 2", "focus"}},
        {QUALITY_MARGIN, {"reflectance margin at 2", "ribbon"}},
        {QUALITY_GRID, {"grid non-uniformity at 2", "flat"}},
        {QUALITY_AXIAL, {"axial non-uniformity at 2", "square"}},
    };
    (void)state;
    struct quality quality = at_4();
    check_says(&quality, "Nothing stands out");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        quality = at_4();
        quality.worst = cases[i].worst;
        quality.level[cases[i].worst] = 2;
        check_says(&quality, cases[i].words[0]);
        check_says(&quality, cases[i].words[1]);
    }
}

static void the_part_and_the_growth_change_what_helps(void **state)
{
    struct quality quality = at_4();
    (void)state;
    quality.worst = QUALITY_FIXED_PATTERN;
    quality.level[QUALITY_FIXED_PATTERN] = 1;
    quality.fixed.worst = FIXED_BOTTOM_QUIET;
    check_says(&quality, "quiet zone below the bottom leg");
    check_says(&quality, "cut edge");
    quality = at_4();
    quality.worst = QUALITY_MODULATION;
    quality.level[QUALITY_MODULATION] = 1;
    quality.growth[1] = 0.3;
    check_says(&quality, "lower the darkness");
    quality.growth[1] = -0.3;
    check_says(&quality, "raise the darkness");
    quality.growth[0] = quality.growth[1] = NAN;
    check_says(&quality, "focus");
}

static void too_few_pixels_are_said(void **state)
{
    struct quality quality = at_4();
    (void)state;
    quality.pixels_a_module = 3.2;
    check_says(&quality, "With 3.2 pixels a module this says little: go nearer, 5 or more.");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(each_worst_number_is_named_with_what_helps),
        cmocka_unit_test(the_part_and_the_growth_change_what_helps),
        cmocka_unit_test(too_few_pixels_are_said),
    };
    return cmocka_run_group_tests_name("quality/advice", tests, NULL, NULL);
}
