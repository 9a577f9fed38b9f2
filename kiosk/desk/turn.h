#ifndef KIOSK_DESK_TURN_H
#define KIOSK_DESK_TURN_H

#include "kiosk/desk/counter.h"
#include "kiosk/ledger/catalogue.h"

/* One act's turn at a counter: the counter's state, who acts, and the movements booked. Every act that answers with a
 * view runs between turn_begin and turn_answer. */
struct turn {
    struct act_context *act;
    struct ledger *ledger;
    const struct desk *desk;
    struct counter counter;   /* name "" when the act names no counter: scripts */
    char person[SERIAL_SIZE]; /* who acts: the act's, else whoever is signed in; "" nobody */
    char role[WORD_SIZE];     /* of that person, "" nobody */
    char training[TRAINING_SIZE];
    bool booked;
};

/* Begins, whoever it is: for acts that ask themselves who may. */
bool turn_open(struct act_context *act, struct turn *turn, struct fault *fault);
/* Begins an act that only some may do (kiosk/rules/permission.h): FAULT_REFUSED with who may. */
bool turn_begin(struct act_context *act, struct turn *turn, struct fault *fault);
/* Stores the counter and makes the view. */
bool turn_answer(struct turn *turn, json_t **answer, struct fault *fault);

/* May the person do `deed`? FAULT_REFUSED with who may. */
bool turn_may(struct turn *turn, const char *deed, struct fault *fault);
/* What speaks against it, as reasons, for a verdict at the counter. */
void turn_judge_person(const struct turn *turn, const char *deed, struct verdict_list *list);

/* Did a storekeeper approve this act with a PIN? Books who did. FAULT_APPROVAL when nobody did; `what` goes on "a
 * storekeeper …". Before anything else is booked. */
bool turn_approve(struct turn *turn, const char *what, struct fault *fault);

/* Signs the person in: the following movements are theirs. */
void turn_sign_in(struct turn *turn, const struct person *person);
/* The group is closed: what is scanned next is somebody's who shows a badge. This act's movements stay the person's. */
void turn_sign_out(struct turn *turn);
/* Books, and remembers that something was. */
bool turn_book(struct turn *turn, struct movement *movement, struct fault *fault);
/* Opens a question for the storekeeper. `note` is a sentence, kept erasable. */
bool turn_question(struct turn *turn, const char *code, const char *unit, const char *note, struct fault *fault);
/* The open one of that code on that unit; `*seq` 0: there is none. */
bool turn_find_question(struct turn *turn, const char *code, const char *unit, int64_t *seq, struct fault *fault);
/* Opens it unless it is open already. */
bool turn_question_once(struct turn *turn, const char *code, const char *unit, const char *note, struct fault *fault);
/* At the counter: may whoever is signed in do `deed`, or nobody in particular? If not, the counter says who may. */
bool turn_may_here(struct turn *turn, const char *deed);
/* At the counter: is somebody there, and may they do `deed`? If not, the counter asks for a badge, or says who may. */
bool turn_has_person(struct turn *turn, const char *deed, const char *what_for);

/* Copies a code whose size both sides share; a text that does not fit is our mistake (assert). */
void turn_copy(char *to, size_t size, const char *from);

#endif
