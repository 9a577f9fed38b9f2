#ifndef KIOSK_CASES_CASE_OUT_H
#define KIOSK_CASES_CASE_OUT_H

#include <jansson.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/pmf.h"
#include "kiosk/rules/rule.h"

/* Writes the keys of an answer. What is null of a rule (RULE_NULL and its like) is null here. */

void case_put(json_t *object, const char *key, json_t *value); /* takes `value` over */
void case_put_number(json_t *object, const char *key, double value);
void case_put_count(json_t *object, const char *key, int64_t value);
void case_put_truth(json_t *object, const char *key, enum rule_truth value);
void case_put_flag(json_t *object, const char *key, bool value);
void case_put_text(json_t *object, const char *key, const char *value); /* NULL: null */
void case_put_day(json_t *object, const char *key, struct day value);
void case_put_null(json_t *object, const char *key);
json_t *case_put_list(json_t *object, const char *key); /* an empty one, borrowed */
json_t *case_put_item(json_t *list);                    /* an empty object behind the others, borrowed */
json_t *case_put_row(json_t *list);                     /* likewise an empty list, for lists of lists */
void case_add_numbers(json_t *list, const double *values, size_t count);
void case_put_numbers(json_t *object, const char *key, const double *values, size_t count);
void case_put_pmf(json_t *object, const char *key, const struct pmf *pmf);
/* method, sentence and, when there is something, unknown. */
void case_put_said(json_t *object, const struct rule_said *said);

#endif
