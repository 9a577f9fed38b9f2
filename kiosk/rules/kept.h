#ifndef KIOSK_RULES_KEPT_H
#define KIOSK_RULES_KEPT_H

#include "kiosk/rules/verdict.h"
#include "labels/basics/calendar.h"

/* A thing may be kept for a job, by its code, or for a person, by the badge: until the end of a day, or until somebody
 * frees it. Common practice of stores, no source. Pure; texts are borrowed for the call. */

struct kept {
    const char *whom;  /* a job's code or a badge; "" nobody, and then the rest does not matter */
    const char *named; /* "job KQ-1042", "Tobias" */
    const char *by;    /* who said so; "" not known */
    bool is_person;    /* `whom` is a badge */
    bool has_until;
    struct day until; /* last day it is kept */
};

/* Who takes a thing, and for what. */
struct kept_asking {
    const char *person; /* badge; "" nobody has said yet: then what is kept for a person is not judged */
    const char *job;    /* code of the job it goes to; "" it has none */
    bool job_known;     /* where it goes has been said: else what is kept for a job is not judged */
    struct day today;
    bool clock_trusted; /* if not, no day is over */
};

/* Is it kept for somebody today? */
bool kept_counts(const struct kept *kept, struct day today, bool clock_trusted);
/* Is it kept for this job or this person? */
bool kept_suits(const struct kept *kept, const struct kept_asking *asking);
/* Adds REASON_RESERVED when it is kept for somebody else. */
void kept_judge(const char *serial, const struct kept *kept, const struct kept_asking *asking,
                struct verdict_list *list);

#endif
