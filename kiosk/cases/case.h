#ifndef KIOSK_CASES_CASE_H
#define KIOSK_CASES_CASE_H

#include <jansson.h>
#include <stdbool.h>
#include <stddef.h>

#include "kiosk/rules/rule.h"

/* A rule as JSON: one object in, one object out (docs/compute says for each which keys). */

struct rule_case {
    const char *name; /* "shelf-life" */
    /* Reads the case, asks the rule, puts the answer into `out`, an empty object. False: `fault` says why. */
    bool (*compute)(const json_t *in, struct arena *arena, json_t *out, struct rule_fault *fault);
};

/* All of them, ended with NULL; one file each. */
extern const struct rule_case *const cases[];
const struct rule_case *case_find(const char *name); /* NULL: there is none */

enum {
    CASE_BYTES = 64 * 1024 * 1024, /* most of one case */
    CASE_ARENA = 512 * 1024 * 1024 /* a good size for case_compute's arena; pages that are not used cost nothing */
};

/* The answer as JSON object, the caller's to decref. False: `fault` is set; case_fault makes JSON of it. GSL's own
 * handler of errors, which ends the program, is switched off by the first call. */
bool case_compute(const struct rule_case *rule, const char *text, size_t length, struct arena *arena, json_t **answer,
                  struct rule_fault *fault);
json_t *case_fault(const struct rule_fault *fault);

#endif
