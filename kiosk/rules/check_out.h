#ifndef KIOSK_RULES_CHECK_OUT_H
#define KIOSK_RULES_CHECK_OUT_H

#include <stdint.h>

#include "kiosk/rules/care.h"
#include "kiosk/rules/substitution.h"
#include "kiosk/rules/verdict.h"
#include "labels/basics/calendar.h"

/* May these things go to this printer? Judged by what is written down of them; the rules are common practice of the
 * trade, no source:
 *  - a thing on hold, expired, gone or out already is withheld;
 *  - after a job that failed, vat and platform are withheld until somebody has looked at film and surface;
 *  - resin of one type and one revision meets in a printer and in a vat, never two; another revision where the room's
 *    table lets it stand in for what is there (substitution.h): of two that come together the vat is there, and of two
 *    cartridges either;
 *  - a thing that names the printers it fits goes to no other;
 *  - a printer takes one vat, and cartridges up to its slots;
 *  - what is to be looked after is asked about (care.h);
 *  - what must not be used any more before the job ends is withheld: resin does not wait for the last layer;
 *  - a film whose rated hours are over, or will be when the job ends, is asked about: the rating is its maker's figure;
 *  - with a clock nobody vouched for, every dated thing is asked about, never waved through.
 * Pure. Texts are borrowed for the call. */

enum { CHECK_OUT_UNITS = 32 };

struct check_out_thing {
    const char *serial;
    char letter;             /* V C R P W T */
    const char *name;        /* of its item, for sentences */
    bool in;                 /* in storage */
    bool gone;               /* retired, disposed of, void */
    const char *now;         /* its label was given up as lost: the serial it has now; NULL or "" it was not */
    const char *holder_name; /* who has it, when it is out; "" unknown */
    const char *where;       /* printer it is in, when it is out; "" none */
    const char *hold;        /* reason, "" = not on hold; CHECK_OUT_TO_INSPECT has its own sentence */
    bool incomplete;         /* nobody has entered yet what its item is: what is held for that stays */
    const char *failed_job;  /* it waits to be looked at since that job; NULL or "" nobody knows which */
    const char *failed_how;  /* failed, aborted; NULL or "" not known */
    const char *film;        /* "" = not known */
    const char *resin;       /* type of what is in it, "" = empty or holds none */
    const char *revision;
    const char *fits; /* printer codes separated by one space, "" = all */
    bool has_expires;
    struct day expires; /* last usable day */
    struct care care;
    int64_t minutes, life_minutes; /* light so far, below 0 not known; rated, 0 and below not known */
};

/* When the job ends. */
struct check_out_job_end {
    bool known;
    struct day day;
    int64_t minutes; /* from now; below 0 not known. Of an end that only has a day, up to the beginning of that day */
    bool exact;      /* the minutes are */
};

struct check_out_case {
    const struct check_out_thing *things; /* asked for, CHECK_OUT_UNITS at most */
    size_t thing_count;
    const struct check_out_thing *inside; /* what is in the printer already */
    size_t inside_count;
    const char *printer; /* code, NULL: not said yet (then only the things themselves are judged) */
    const char *printer_name;
    int64_t slots; /* cartridges the printer takes */
    struct check_out_job_end ends;
    const struct substitution_table *substitutions; /* NULL: none */
    struct day today;
    int64_t now_ms; /* instant, of a clock that is trusted */
    bool clock_trusted;
};

#define CHECK_OUT_TO_INSPECT "to-inspect"

/* Is this printer among those that `list` names (struct check_out_thing)? */
bool check_out_fits(const char *list, const char *printer);

/* What is no longer there under this serial: in service no more, or under another one. False: it is there. */
bool check_out_judge_gone(const struct check_out_thing *thing, struct verdict_list *list);

/* What its hold says against it, if it has one. */
void check_out_judge_hold(const struct check_out_thing *thing, struct verdict_list *list);

/* Fills `list` (cleared first). */
void check_out_judge(const struct check_out_case *asked, struct verdict_list *list);

#endif
