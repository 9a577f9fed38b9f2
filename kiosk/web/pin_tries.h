#ifndef KIOSK_WEB_PIN_TRIES_H
#define KIOSK_WEB_PIN_TRIES_H

#include <stdint.h>

/* Wrong PINs in a row by terminal, in memory. The table is small: when it is full, the terminal whose last wrong one
 * is longest ago is forgotten, so that inventing names helps nobody for long (the person's own count stands in the
 * ledger). Pure but for its own struct; all zero to begin with. */

enum { PIN_TRIES_TERMINALS = 64, PIN_TRIES_NAME = 17 };

#define PIN_TRIES_CODE "*code*" /* no counter's name has a star */

struct pin_tries {
    struct {
        char name[PIN_TRIES_NAME];
        int64_t wrong; /* 0: the place is free */
        int64_t last_ms;
    } terminals[PIN_TRIES_TERMINALS];
};

/* Seconds that nobody may try at `name`; times are monotonic. */
int64_t pin_tries_left_s(const struct pin_tries *tries, const char *name, int64_t now_ms);
/* One more wrong one: how many in a row now. */
int64_t pin_tries_add(struct pin_tries *tries, const char *name, int64_t now_ms);
/* A right one. */
void pin_tries_forget(struct pin_tries *tries, const char *name);

#endif
