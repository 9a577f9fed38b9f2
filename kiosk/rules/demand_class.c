#include "kiosk/rules/demand_class.h"

static const char TOO_FEW_TO_CLASS[] = "the class needs the interval and the spread of the sizes";

const char *demand_class_word(enum demand_class class)
{
    static const char *const words[] = {"smooth", "intermittent", "erratic", "lumpy", NULL};
    _Static_assert(sizeof words / sizeof *words == DEMAND_CLASS_NULL + 1, "a word for each class");
    return (unsigned)class <= DEMAND_CLASS_NULL ? words[class] : NULL;
}

static void say_unknown(struct demand_class_answer *answer)
{
    struct rule_said *said = &answer->said;
    if (rule_is_null(answer->mean))
        rule_set_unknown(said, "mean", "there is no period with stock: record some first");
    if (rule_is_null(answer->adi))
        rule_set_unknown(said, "adi",
                         answer->nonzero == 0 ? "no period had demand" : "one period with demand makes no interval");
    if (rule_is_null(answer->cv2))
        rule_set_unknown(said, "cv2",
                         answer->nonzero == 0 ? "no period had demand" : "one size does not tell how sizes vary");
    rule_set_unknown(said, "class", TOO_FEW_TO_CLASS);
    rule_set_unknown(said, "estimator", TOO_FEW_TO_CLASS);
    said->sentence = answer->nonzero == 0 ? "There was no demand to classify: wait for more periods."
                                          : "One period with demand is too few to classify: wait for more.";
}

static void say_class(const struct demand_class_case *asked, struct arena *arena, struct demand_class_answer *answer)
{
    const bool often = answer->class == DEMAND_SMOOTH || answer->class == DEMAND_ERRATIC;
    const bool alike = answer->class == DEMAND_SMOOTH || answer->class == DEMAND_INTERMITTENT;
    answer->said.sentence =
        rule_text(arena, "Demand is %s: %s (every %.1f periods), sizes %s (squared variation %.2f%s).",
                  demand_class_word(answer->class), often ? "it comes often" : "it comes rarely", answer->adi,
                  alike ? "much alike" : "very unlike", answer->cv2, asked->cv2_over_n ? ", over n" : "");
}

bool demand_class(const struct demand_class_case *asked, struct arena *arena, struct demand_class_answer *answer,
                  struct rule_fault *fault)
{
    struct demand_history history;
    *answer = (struct demand_class_answer){.said = {.method = "interval and squared variation, cuts 1.32 and 0.49"}};
    if (!demand_history_of(&asked->series, 1, 1, &history, fault))
        return false;
    answer->periods = history.periods;
    answer->nonzero = history.nonzero;
    answer->mean = history.periods > 0 ? history.sum / (double)history.periods : RULE_NULL;
    answer->adi = demand_history_adi(&history, asked->adi);
    answer->cv2 = demand_history_cv2(&history, asked->cv2_over_n);
    answer->class = demand_class_of(answer->adi, answer->cv2);
    if (answer->class == DEMAND_CLASS_NULL) {
        say_unknown(answer);
        return true;
    }
    answer->estimator = answer->cv2 > 2 - 1.5 * answer->adi + RULE_SLACK ? FORECAST_SBA : FORECAST_CROSTON;
    say_class(asked, arena, answer);
    return true;
}
