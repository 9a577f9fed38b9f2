#ifndef KIOSK_DESK_SUBSTITUTES_H
#define KIOSK_DESK_SUBSTITUTES_H

#include "kiosk/desk/turn.h"
#include "kiosk/rules/substitution.h"

/* The room's table of substitutions, for the rules: read, judged with, freed. */
struct substitutes {
    struct substitution_table table; /* its texts are in `kept` */
    struct substitute *kept;
    size_t room;
    bool full; /* no memory for one of them */
};

/* `substitutes` is to be freed, also when this failed. */
bool substitutes_load(struct turn *turn, struct substitutes *substitutes, struct fault *fault);
void substitutes_free(struct substitutes *substitutes);

#endif
