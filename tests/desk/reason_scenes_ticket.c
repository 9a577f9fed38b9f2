#include "tests/desk/reason_scenes.h"

/* What a job's ticket says, and whether it fits what goes out. Typed by its code, as one that cannot be read. */

static void plan(struct room *room, const char *resin, int need_ml)
{
    (void)room_act(
        room, "job-plan",
        json_pack("{s:s,s:s,s:i,s:s}", "job", "KQ-1042", "printer", "CAPSTAN", "need_ml", need_ml, "resin", resin));
}

/* The symbol of a small label: the code alone. */
static void scan_ticket(struct room *room, const char *more)
{
    char text[120];
    struct builder out;
    builder_init(&out, text, sizeof text);
    builder_addf(&out,
                 "[)>\x1e"
                 "06\x1dWKQ-1042%s\x1e\x04",
                 more);
    (void)room_scan_bytes(room, text, out.length, "]d1");
}

static void take_for_ticket(struct room *room, const char *thing, const char *printer)
{
    plan(room, "Flint", 100);
    (void)room_scan(room, room->tobias);
    scan_ticket(room, "");
    (void)room_scan(room, thing);
    (void)room_scan(room, printer);
}

static void a_ticket_of_a_job_that_failed(struct room *room)
{
    plan(room, "Flint", 100);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1042"));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "failed"));
    scan_ticket(room, "");
}

static void a_ticket_of_a_job_that_is_planned(struct room *room)
{
    plan(room, "Flint", 100);
    scan_ticket(room, "");
}

static void a_code_that_nobody_planned(struct room *room)
{
    scan_ticket(room, "");
}

static void a_ticket_that_says_all_itself(struct room *room)
{
    scan_ticket(room, "\x1d"
                      "10SCAPSTAN\x1dPFlint");
}

static void take_where_a_job_was_told(struct room *room)
{
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1"));
    take_for_ticket(room, room->vat_flint, "CAPSTAN");
}

static void take_where_it_ended(struct room *room)
{
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "job", "KQ-1"));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-1", "how", "done"));
    take_for_ticket(room, room->vat_flint, "CAPSTAN");
}

static void to_the_printer_beside(struct room *room)
{
    take_for_ticket(room, room->vat_flint, "HALYARD");
}

static void to_the_tickets_printer(struct room *room)
{
    take_for_ticket(room, room->vat_flint, "CAPSTAN");
}

static void take_with_paper_of(struct room *room, const char *more)
{
    plan(room, "Flint", 100);
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    scan_ticket(room, more);
}

static void a_paper_for_twice_as_much(struct room *room)
{
    take_with_paper_of(room, "\x1d"
                             "7Q200ML");
}

static void a_paper_for_the_same(struct room *room)
{
    take_with_paper_of(room, "\x1d"
                             "7Q100ML");
}

const struct reason_scenes reason_scenes_ticket[] = {
    {REASON_JOB_OVER, a_ticket_of_a_job_that_failed, "is over on CAPSTAN: failed", a_ticket_of_a_job_that_is_planned,
     "Job KQ-1042 on Capstan"},
    {REASON_JOB_UNKNOWN, a_code_that_nobody_planned, "says no more than that", a_ticket_that_says_all_itself,
     "Job KQ-1042 on Capstan: Flint"},
    {REASON_JOB_RUNS, take_where_a_job_was_told, "Capstan runs job KQ-1 by the books", take_where_it_ended,
     "Booked: Small vat"},
    {REASON_OTHER_PRINTER, to_the_printer_beside, "prepared for Capstan, not for Halyard", to_the_tickets_printer,
     "Booked: Small vat"},
    {REASON_TICKET_OLD, a_paper_for_twice_as_much, "the newer plan counts", a_paper_for_the_same, "Booked: Small vat"},
    {.comes = NULL},
};
