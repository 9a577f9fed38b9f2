#ifndef KIOSK_RULES_RULE_H
#define KIOSK_RULES_RULE_H

#include <math.h>
#include <stdbool.h>
#include <stdint.h>

#include "kiosk/rules/arena.h"
#include "labels/basics/calendar.h"
#include "labels/basics/steady_sort.h"

/* What every rule that computes has in common. A rule is
 *     bool NAME(const struct NAME_case *asked, struct arena *arena, struct NAME_answer *answer, struct rule_fault
 * *fault) pure: no clock, no files, no globals; the answer and its lists live in the arena. False: the case makes no
 * sense, `fault` says which part and why, the answer is not to be used. An answer that says no, or that something
 * cannot be known, is an answer. */

/* --- what cannot be known --- */

/* A number, day, count or truth that cannot be known or was not asked for. Never 0. */
#define RULE_NULL ((double)NAN)
static const struct day RULE_NO_DAY = {INT32_MIN};
#define RULE_NO_COUNT INT64_MIN
enum rule_truth { TRUTH_NO, TRUTH_YES, TRUTH_NULL };

static inline bool rule_is_null(double value)
{
    return isnan(value);
}

static inline bool rule_has_day(struct day day)
{
    return day.number != INT32_MIN;
}

enum { RULE_UNKNOWNS = 12 };

/* What an answer says of itself. `unknown`: keys of the answer that are null because they cannot be known, and why. */
struct rule_said {
    const char *method;   /* name of what was used */
    const char *sentence; /* what a person reads */
    struct rule_unknown {
        const char *key, *why;
    } unknown[RULE_UNKNOWNS];
    int unknown_count;
};

/* Both strings are kept, not copied: constants, or of the arena. */
void rule_set_unknown(struct rule_said *said, const char *key, const char *why);
/* `value`, or, where it is infinite or no number, RULE_NULL with `why` under `key` (once). */
double rule_held(double value, const char *key, const char *why, struct rule_said *said);
/* printf into the arena. A constant sentence that says so when there is no room. */
const char *rule_text(struct arena *arena, const char *format, ...) __attribute__((format(printf, 2, 3)));
/* A finite number for a sentence: three digits or all of a larger one, no exponent, no zeros that say nothing. */
const char *rule_number(struct arena *arena, double value);

/* --- faults --- */

enum rule_fault_code {
    RULE_GOOD,
    RULE_JSON,        /* not one JSON object */
    RULE_MISSING,     /* a required key */
    RULE_TYPE,        /* wrong type */
    RULE_RANGE,       /* outside what is allowed; the whole case: too large */
    RULE_DATE,        /* not a real date */
    RULE_DUPLICATE,   /* an id twice */
    RULE_CONFLICT,    /* keys that exclude each other or do not fit together */
    RULE_UNKNOWN_KEY, /* a key that the rule has not */
    RULE_MIXED_RESIN, /* two resins would meet */
    RULE_FAULTS
};

struct rule_fault {
    enum rule_fault_code code;
    char key[96]; /* the offending one, dotted: "lots.2.quantity"; "" the whole */
    char text[400];
};

/* Fills `fault`, unless it is filled already (the first one counts), and returns false. */
bool rule_fault_set(struct rule_fault *fault, enum rule_fault_code code, const char *key, const char *format, ...)
    __attribute__((format(printf, 4, 5)));
/* The arena was too small. */
bool rule_fault_memory(struct rule_fault *fault);
/* "missing", "unknown_key", … Never NULL. */
const char *rule_fault_word(enum rule_fault_code code);

/* --- lists --- */

/* steady_sort with the arena's room. False: there is none, and nothing is moved. */
bool rule_sort(struct arena *arena, void *items, size_t count, size_t size, steady_compare *compare);

/* --- comparing computed numbers --- */

static const double RULE_PROBABILITY_SLACK = 1e-12; /* of a probability against a bound */
static const double RULE_SLACK = 1e-9;              /* of other computed numbers: reached, within, equal */

#endif
