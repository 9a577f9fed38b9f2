#ifndef KIOSK_DESK_COUNTER_JSON_H
#define KIOSK_DESK_COUNTER_JSON_H

#include <jansson.h>

#include "kiosk/desk/counter.h"

/* A counter's row is JSON of our own writing: what is not there is "" or MOVEMENT_NULL, and is not written. For
 * counter.c, counter_carton.c and counter_bare.c. */

void counter_json_text(const json_t *row, const char *key, char *value, size_t size);
int64_t counter_json_number(const json_t *row, const char *key);
void counter_json_put_text(json_t *row, const char *key, const char *value);
void counter_json_put_number(json_t *row, const char *key, int64_t value);

json_t *counter_carton_write(const struct counter_carton *carton);
void counter_carton_read(const json_t *row, struct counter_carton *carton);
json_t *counter_bare_write(const struct counter_bare *bare);
void counter_bare_read(const json_t *row, struct counter_bare *bare);

#endif
