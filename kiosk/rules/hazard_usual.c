#include "kiosk/rules/hazard_usual.h"

#include <stdarg.h>
#include <stdbool.h>
#include <stdio.h>
#include <string.h>
#include <strings.h>

#include "labels/content/hazard_words.h"

enum signal { SIGNAL_NONE, SIGNAL_WARNING, SIGNAL_DANGER, SIGNAL_OTHER };
static const char *const signal_words[] = {"none", "Warning", "Danger"};

/* Statement, pictogram (0: none), signal word. */
static const struct usual {
    const char *code;
    int pictogram;
    enum signal signal;
} usual[] = {
    {"H225", 2, SIGNAL_DANGER},  {"H302", 7, SIGNAL_WARNING}, {"H312", 7, SIGNAL_WARNING}, {"H332", 7, SIGNAL_WARNING},
    {"H314", 5, SIGNAL_DANGER},  {"H318", 5, SIGNAL_DANGER},  {"H315", 7, SIGNAL_WARNING}, {"H319", 7, SIGNAL_WARNING},
    {"H335", 7, SIGNAL_WARNING}, {"H336", 7, SIGNAL_WARNING}, {"H317", 7, SIGNAL_WARNING}, {"H334", 8, SIGNAL_DANGER},
    {"H341", 8, SIGNAL_WARNING}, {"H351", 8, SIGNAL_WARNING}, {"H361", 8, SIGNAL_WARNING}, {"H373", 8, SIGNAL_WARNING},
    {"H340", 8, SIGNAL_DANGER},  {"H350", 8, SIGNAL_DANGER},  {"H360", 8, SIGNAL_DANGER},  {"H372", 8, SIGNAL_DANGER},
    {"H400", 9, SIGNAL_WARNING}, {"H410", 9, SIGNAL_WARNING}, {"H411", 9, SIGNAL_NONE},    {"H412", 0, SIGNAL_NONE},
    {"H413", 0, SIGNAL_NONE},
};
enum { USUAL = sizeof usual / sizeof *usual, CODE_LENGTH = 4, EXCLAMATION = 7 };

struct entered {
    bool pictogram[HAZARD_WORDS_KINDS + 1], wanted[HAZARD_WORDS_KINDS + 1];
    bool said_pictograms, unknown_code;
    enum signal signal;          /* as entered */
    const struct usual *gravest; /* of the statements known; NULL: none */
};

static void ask(struct hazard_questions *questions, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void ask(struct hazard_questions *questions, const char *format, ...)
{
    if (questions->count == HAZARD_QUESTIONS)
        return;
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(questions->sentences[questions->count++], HAZARD_QUESTION_SIZE, format, arguments);
    va_end(arguments);
}

/* By its first four characters: H360FD is an H360. */
static const struct usual *find(struct span code)
{
    for (int i = 0; i < USUAL; i++)
        if (code.length >= CODE_LENGTH && memcmp(code.at, usual[i].code, CODE_LENGTH) == 0)
            return &usual[i];
    return NULL;
}

static enum signal signal_of(const char *word)
{
    for (int i = SIGNAL_NONE; i < SIGNAL_OTHER; i++)
        if (strcasecmp(word, signal_words[i]) == 0)
            return (enum signal)i;
    return SIGNAL_OTHER;
}

/* Another pictogram may stand for the exclamation mark: corrosion or skull, or health hazard beside H334. Whether it
 * does depends on the kind of effect; we then rather do not ask. */
static bool stood_in_for(const struct entered *entered, int pictogram)
{
    return pictogram == EXCLAMATION && (entered->pictogram[5] || entered->pictogram[6] || entered->pictogram[8]);
}

static void look_at(struct span code, struct entered *entered, struct hazard_questions *questions)
{
    const struct usual *known = find(code);
    if (!known) {
        entered->unknown_code = entered->unknown_code || span_starts(code, "H") || code.length == 0;
        return;
    }
    if (!entered->gravest || known->signal > entered->gravest->signal)
        entered->gravest = known;
    entered->wanted[known->pictogram] = true;
    if (entered->said_pictograms && known->pictogram > 0 && !entered->pictogram[known->pictogram] &&
        !stood_in_for(entered, known->pictogram))
        ask(questions, "%s usually goes with GHS%02d, which is not entered: is that what the SDS says?", known->code,
            known->pictogram);
}

static void ask_about_signal(const struct entered *entered, struct hazard_questions *questions)
{
    const struct usual *gravest = entered->gravest;
    if (!gravest || entered->signal == SIGNAL_OTHER || entered->signal == gravest->signal)
        return;
    if (gravest->signal > entered->signal)
        ask(questions, "%s usually goes with the signal word %s, and '%s' is entered: is that what the SDS says?",
            gravest->code, signal_words[gravest->signal], signal_words[entered->signal]);
    else if (!entered->unknown_code)
        ask(questions,
            "The signal word %s is entered, and none of these statements usually goes with it: is that what the SDS "
            "says?",
            signal_words[entered->signal]);
}

static void ask_about_more_pictograms(const struct entered *entered, struct hazard_questions *questions)
{
    for (int number = 1; number <= HAZARD_WORDS_KINDS; number++)
        if (entered->pictogram[number] && !entered->wanted[number])
            ask(questions,
                "GHS%02d is entered, and none of these statements usually goes with it: is that what the SDS says?",
                number);
}

void hazard_usual_ask(const char *statements, const char *pictograms, const char *signal_word,
                      struct hazard_questions *questions)
{
    struct entered entered = {.said_pictograms = pictograms[0] != '\0', .signal = signal_of(signal_word)};
    int numbers[HAZARD_WORDS_PICTOGRAMS];
    size_t count = 0;
    struct span rest = span_of(statements), entry;
    questions->count = 0;
    if (statements[0] == '\0' || strcmp(statements, hazard_words_none) == 0 ||
        !hazard_words_pictograms(pictograms, numbers, &count, NULL))
        return;
    for (size_t i = 0; i < count; i++)
        entered.pictogram[numbers[i]] = true;
    while (hazard_words_next(&rest, &entry))
        look_at((struct span){entry.at, hazard_words_code(entry)}, &entered, questions);
    if (signal_word[0] != '\0')
        ask_about_signal(&entered, questions);
    if (!entered.unknown_code)
        ask_about_more_pictograms(&entered, questions);
}
