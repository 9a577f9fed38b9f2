#ifndef KIOSK_RULES_HAZARD_USUAL_H
#define KIOSK_RULES_HAZARD_USUAL_H

#include <stddef.h>

/* Does what somebody copied from an SDS look like a slip? Asked, never changed: "H317 usually goes with GHS07: is that
 * what the SDS says?" It classifies nothing, for a mixture's classification is its supplier's; codes that the table
 * does not know are passed over. Source: UN GHS annex 1 and CLP annex I, from memory, for the statements that resins
 * and wash solvents usually carry; which pictogram stands in for another: CLP article 26. Pure. */

enum { HAZARD_QUESTIONS = 12, HAZARD_QUESTION_SIZE = 200 };

struct hazard_questions {
    size_t count;
    char sentences[HAZARD_QUESTIONS][HAZARD_QUESTION_SIZE];
};

/* The texts as hazard_words.h has them; "" means not entered, and nothing is asked about it. A signal word that is
 * neither Danger nor Warning nor none is of another language: nothing is asked about it. */
void hazard_usual_ask(const char *statements, const char *pictograms, const char *signal_word,
                      struct hazard_questions *questions);

#endif
