#include "kiosk/rules/job_match.h"

#include <string.h>

static bool stands_in(const struct job_match_case *asked, const struct check_out_thing *thing,
                      struct verdict_list *list, char over[SUBSTITUTION_OVER_SIZE])
{
    return substitution_add(&(struct substitution_case){.table = asked->substitutions,
                                                        .resin = asked->resin,
                                                        .wanted = asked->revision,
                                                        .given = thing->revision,
                                                        .today = asked->today,
                                                        .clock_trusted = asked->clock_trusted},
                            thing->serial, list, over);
}

static void judge_resin(const struct job_match_case *asked, const struct check_out_thing *thing, bool inside,
                        struct verdict_list *list)
{
    const char *in = inside ? " in " : "", *where = inside ? asked->printer_name : "";
    char over[SUBSTITUTION_OVER_SIZE] = "";
    if (thing->resin[0] == '\0' || asked->resin[0] == '\0')
        return;
    if (strcmp(thing->resin, asked->resin) != 0)
        verdict_add(list, REASON_OTHER_RESIN, asked->job, "Job %s is for %s; %s%s%s holds %s.", asked->job,
                    asked->resin, thing->serial, in, where, thing->resin);
    else if (asked->revision[0] != '\0' && strcmp(thing->revision, asked->revision) != 0 &&
             !stands_in(asked, thing, list, over))
        verdict_add(list, REASON_OTHER_REVISION, asked->job,
                    "Job %s is for %s revision %s; %s%s%s holds revision %s.%s", asked->job, asked->resin,
                    asked->revision, thing->serial, in, where, thing->revision[0] ? thing->revision : "unknown", over);
}

void job_match_judge(const struct job_match_case *asked, struct verdict_list *list)
{
    for (size_t i = 0; i < asked->thing_count; i++)
        judge_resin(asked, &asked->things[i], false, list);
    for (size_t i = 0; i < asked->inside_count; i++)
        judge_resin(asked, &asked->inside[i], true, list);
    if (asked->printer[0] != '\0' && asked->prepared_for[0] != '\0' && strcmp(asked->printer, asked->prepared_for) != 0)
        verdict_add(list, REASON_OTHER_PRINTER, asked->job, "Job %s was prepared for %s, not for %s.", asked->job,
                    asked->prepared_for_name, asked->printer_name);
    if (asked->running[0] != '\0')
        verdict_add(list, REASON_JOB_RUNS, asked->running, "%s runs job %s by the books.", asked->printer_name,
                    asked->running);
    if (asked->ticket_is_old)
        verdict_add(list, REASON_TICKET_OLD, asked->job,
                    "The ticket of job %s was printed before the job was planned anew: the newer plan counts.",
                    asked->job);
}
