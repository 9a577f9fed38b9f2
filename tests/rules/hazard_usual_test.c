#include "kiosk/rules/hazard_usual.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* What usually goes together: UN GHS annex 1, CLP annex I and article 26, from memory; the propan-2-ol line as in
 * suppliers' data sheets (H225 H319 H336, GHS02 and GHS07, Danger). */

static void expect(const char *statements, const char *pictograms, const char *word, size_t count, const char *said)
{
    struct hazard_questions questions;
    hazard_usual_ask(statements, pictograms, word, &questions);
    if (questions.count != count)
        fail_msg("%s / %s / %s: %zu questions, first '%s'", statements, pictograms, word, questions.count,
                 questions.count > 0 ? questions.sentences[0] : "");
    bool found = said == NULL;
    for (size_t i = 0; i < questions.count; i++) {
        found = found || strstr(questions.sentences[i], said);
        assert_non_null(strstr(questions.sentences[i], "is that what the SDS says?"));
    }
    if (!found)
        fail_msg("'%s' is not asked: %s", said, questions.sentences[0]);
}

static void what_usually_goes_together_is_not_asked_about(void **state)
{
    (void)state;
    expect("H225 a|H319 b|H336 c", "GHS02 GHS07", "Danger", 0, NULL);
    expect("H315 a|H317 b|H319 c|H335 d|H411 e", "GHS07 GHS09", "Warning", 0, NULL);
    expect("H315 a|H319 b|H360FD c", "GHS07 GHS08", "Danger", 0, NULL);
    expect("H412 a", "none", "none", 0, NULL);
    expect("H411 a", "GHS09", "none", 0, NULL);
    expect("H314 a|H335 b", "GHS05", "Danger", 0, NULL); /* corrosion may stand in for the exclamation mark */
}

static void a_pictogram_that_seems_missing_or_too_many_is_asked_about(void **state)
{
    (void)state;
    expect("H317 a", "none", "Warning", 1, "H317 usually goes with GHS07");
    expect("H225 a|H319 b", "GHS07", "Danger", 1, "H225 usually goes with GHS02");
    expect("H317 a", "GHS06 GHS07", "Warning", 1, "GHS06 is entered, and none of these statements");
    expect("H317 a|H290 b", "GHS05 GHS07", "Warning", 0, NULL); /* H290 is not in the table: it may explain GHS05 */
}

static void a_signal_word_that_seems_wrong_is_asked_about(void **state)
{
    (void)state;
    expect("H225 a", "GHS02", "Warning", 1, "H225 usually goes with the signal word Danger, and 'Warning' is entered");
    expect("H317 a", "GHS07", "none", 1, "the signal word Warning, and 'none'");
    expect("H317 a", "GHS07", "DANGER", 1, "The signal word Danger is entered, and none");
    expect("H317 a|H290 b", "GHS07", "Danger", 0, NULL);
}

static void nothing_is_asked_about_what_was_not_entered_or_is_in_another_language(void **state)
{
    (void)state;
    expect("H317 a", "", "", 0, NULL);
    expect("", "GHS07", "Danger", 0, NULL);
    expect("none", "GHS07", "Danger", 0, NULL);
    expect("H317 a", "GHS07", "Achtung", 0, NULL);
    expect("Causes skin irritation", "GHS07", "Danger", 0, NULL); /* words without codes */
}

static void more_questions_than_there_is_room_for_are_cut(void **state)
{
    struct hazard_questions questions;
    (void)state;
    hazard_usual_ask(
        "H225 a|H302 a|H312 a|H332 a|H315 a|H319 a|H335 a|H336 a|H317 a|H334 a|H341 a|H351 a|H361 a|H400 a", "none",
        "none", &questions);
    assert_int_equal(questions.count, HAZARD_QUESTIONS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_usually_goes_together_is_not_asked_about),
        cmocka_unit_test(a_pictogram_that_seems_missing_or_too_many_is_asked_about),
        cmocka_unit_test(a_signal_word_that_seems_wrong_is_asked_about),
        cmocka_unit_test(nothing_is_asked_about_what_was_not_entered_or_is_in_another_language),
        cmocka_unit_test(more_questions_than_there_is_room_for_are_cut),
    };
    return cmocka_run_group_tests_name("rules/hazard_usual", tests, NULL, NULL);
}
