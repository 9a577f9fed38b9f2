#ifndef KIOSK_DESK_KEYS_H
#define KIOSK_DESK_KEYS_H

#include "kiosk/desk/counter.h"

/* Which cards mean something now, as the view shows them. */
json_t *keys_of(const struct counter *counter); /* [{word,label}], most likely first */

/* Film cards: the word of a card -> condition, "" when it is none. */
const char *keys_film(const char *card);

#endif
