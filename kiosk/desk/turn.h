#ifndef KIOSK_DESK_TURN_H
#define KIOSK_DESK_TURN_H

#include "kiosk/desk/counter.h"

/* One act's turn at a counter: the counter's state, who acts, and the movements booked. Every act that answers with a
 * view runs between turn_begin and turn_answer. */
struct turn {
    struct act_context *act;
    struct ledger *ledger;
    const struct desk *desk;
    struct counter counter;   /* name "" when the act names no counter: scripts */
    char person[SERIAL_SIZE]; /* who acts: the act's, else whoever is signed in; "" nobody */
    bool booked;
};

bool turn_begin(struct act_context *act, struct turn *turn, struct fault *fault);
/* Stores the counter and makes the view. */
bool turn_answer(struct turn *turn, json_t **answer, struct fault *fault);

/* Signs `serial` in: the following movements are that person's. */
void turn_sign_in(struct turn *turn, const char *serial);
/* The group is closed: what is scanned next is somebody's who shows a badge. This act's movements stay the person's. */
void turn_sign_out(struct turn *turn);
/* Books, and remembers that something was. */
bool turn_book(struct turn *turn, struct movement *movement, struct fault *fault);
/* Opens a question for the storekeeper. `note` is a sentence, kept erasable. */
bool turn_question(struct turn *turn, const char *code, const char *unit, const char *note, struct fault *fault);
/* Is somebody there? If not, the counter asks for a badge. */
bool turn_has_person(struct turn *turn, const char *what_for);

/* Copies a code whose size both sides share; a text that does not fit is our mistake (assert). */
void turn_copy(char *to, size_t size, const char *from);

#endif
