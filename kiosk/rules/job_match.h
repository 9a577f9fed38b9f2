#ifndef KIOSK_RULES_JOB_MATCH_H
#define KIOSK_RULES_JOB_MATCH_H

#include "kiosk/rules/check_out.h"

/* Do the things that go out match the job whose ticket was scanned? The ticket says resin and printer before anything
 * leaves the storeroom (common practice, no source):
 *  - what holds another resin or another revision than the job is for stays here, and so does all where it is in the
 *    printer already; a revision that stands in by a storekeeper's word (substitution.h) goes;
 *  - another printer than the job was prepared for is asked about;
 *  - where another job runs by the books, it is asked whether that one has ended;
 *  - a ticket that was printed before its job was planned anew is asked about: the newer plan counts.
 * Pure. Texts are borrowed for the call; "" is not said. */

struct job_match_case {
    const char *job;                              /* its code */
    const char *resin, *revision;                 /* that it is for */
    const char *prepared_for, *prepared_for_name; /* printer */
    const char *printer, *printer_name;           /* that the things go to; "" not said yet */
    const char *running;                          /* job that runs there by the books; "" none, or this one */
    bool ticket_is_old;
    const struct substitution_table *substitutions; /* NULL: none */
    struct day today;
    bool clock_trusted;
    const struct check_out_thing *things, *inside; /* that go there, that are there */
    size_t thing_count, inside_count;
};

/* Adds to `list`. */
void job_match_judge(const struct job_match_case *asked, struct verdict_list *list);

#endif
