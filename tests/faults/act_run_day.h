#ifndef TESTS_FAULTS_ACT_RUN_DAY_H
#define TESTS_FAULTS_ACT_RUN_DAY_H

#include <stdbool.h>

/* The acts themselves, for act_run.c alone.
 *
 * In `person` and `content` a text in angle brackets stands for what is known once the acts before were done:
 * <C3> the third serial with letter C, <Q> the number of the first open question, <D> the delivery opened last, <K> the
 * sticker pattern taught last, <BACK2> the id of the act two before this one, <YES!> the bytes of the card YES in hex.
 */

struct day_act {
    const char *kind, *counter, *person, *content;
    const char *refused; /* part of the sentence it is refused with on purpose; NULL: it is answered */
    bool next_day;       /* a day begins with it: whoever was signed in has long gone home */
};

extern const struct day_act act_run_day[];

#endif
