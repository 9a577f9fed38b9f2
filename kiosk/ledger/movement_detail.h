#ifndef KIOSK_LEDGER_MOVEMENT_DETAIL_H
#define KIOSK_LEDGER_MOVEMENT_DETAIL_H

#include <jansson.h>

#include "kiosk/ledger/movement.h"

/* A movement's `detail`: a JSON object of whole numbers and strings, written one way only (sorted keys, no spaces), so
 * that its bytes can be hashed. What does not fit a column of its own stands here. */

/* Writes `object` as canonical text. FAULT_INPUT: another kind of value in it, or longer than DETAIL_SIZE allows. An
 * empty object gives "". `detail` is untouched on failure. */
bool movement_detail_write(const json_t *object, char detail[DETAIL_SIZE], struct fault *fault);
/* The object of a detail; `*object` is the caller's to json_decref. "" gives an empty object. FAULT_INPUT when the
 * text is not a canonical detail. */
bool movement_detail_read(const char *detail, json_t **object, struct fault *fault);

/* A string's bytes into `buffer`, "" when the key is not there. FAULT_INPUT: not a string, or too long. */
bool movement_detail_text(const json_t *object, const char *key, char *buffer, size_t size, struct fault *fault);
/* A whole number, MOVEMENT_NULL when the key is not there. FAULT_INPUT: not a number. */
bool movement_detail_number(const json_t *object, const char *key, int64_t *number, struct fault *fault);
/* The same straight from a movement, for one key: true when it is there and not 0. */
bool movement_detail_flag(const char *detail, const char *key);

/* Adds such a key with the value 1. */
bool movement_detail_set_flag(char detail[DETAIL_SIZE], const char *key, struct fault *fault);

#endif
