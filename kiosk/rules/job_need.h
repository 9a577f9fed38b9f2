#ifndef KIOSK_RULES_JOB_NEED_H
#define KIOSK_RULES_JOB_NEED_H

#include <stdint.h>

#include "kiosk/rules/verdict.h"

/* Is what stands in a printer enough for the job that begins there? enough.h with what the books know: an amount that
 * was weighed or told is good to 2 %, one that was reckoned to 10 %, a need to 5 %; of a container whose amount nobody
 * knows, anything up to full is as likely, and without that size nothing can be said but that it may be enough.
 * Stopped below a chance of 1 in 20, asked about below 19 in 20; the shares are common practice, no source.
 * Pure. Texts are borrowed for the call. */

#define JOB_NEED_UNKNOWN INT64_MIN

struct job_need_vessel {
    int64_t amount_ul; /* JOB_NEED_UNKNOWN */
    int64_t full_ul;   /* what it holds when full; JOB_NEED_UNKNOWN */
    bool estimated;
};

struct job_need_case {
    const struct job_need_vessel *vessels; /* vat and cartridges that will be in the printer */
    size_t count;
    int64_t need_ul;
    const char *printer, *printer_name;
};

/* What a container gives at least, and what a need takes at most, each at 19 in 20: who plans with these is not asked
 * afterwards whether it is enough. Whole millilitres. */
int64_t job_need_sure_ml(int64_t amount_ul, bool estimated);
int64_t job_need_most_ml(int64_t need_ul);

/* Adds to `list` what speaks against it. */
void job_need_judge(const struct job_need_case *asked, struct verdict_list *list);

#endif
