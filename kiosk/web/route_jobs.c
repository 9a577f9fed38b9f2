#include <stdlib.h>

#include "kiosk/desk/job_plan.h"
#include "kiosk/web/json_rows.h"

/* GET /api/jobs: what is planned and what runs, machine by machine. */

enum { JOBS_MOST = 300 };

struct listing {
    struct job jobs[JOBS_MOST];
    size_t count;
    bool more;
};

static bool gather(const struct job *job, void *context)
{
    struct listing *listing = context;
    listing->more = listing->count == JOBS_MOST;
    if (listing->more)
        return false;
    listing->jobs[listing->count++] = *job;
    return true;
}

struct newest {
    bool found;
    enum print_state state;
};

/* Its ticket's newest print; a job whose ticket was never ordered has none. */
static bool newest_print(struct ledger *ledger, int64_t ticket, struct newest *newest, struct fault *fault)
{
    char place[PLACE_SIZE];
    newest->found = false;
    if (ticket == MOVEMENT_NULL)
        return true;
    print_ticket_name(ticket, place);
    for (int64_t number = 1;; number++) { /* a ticket is printed once or twice */
        struct print print;
        bool found;
        if (!print_load(ledger, "", place, number, &print, &found, fault))
            return false;
        if (!found)
            return true;
        *newest = (struct newest){true, print.state};
    }
}

static bool describe(struct ledger *ledger, const struct job *job, json_t *rows, struct fault *fault)
{
    struct machine machine = {.slots = 0};
    struct job_ticket ticket;
    struct newest newest = {.found = false};
    bool found = false;
    if (!machine_load(ledger, job->machine, &machine, &found, fault) || !job_plan_ticket(ledger, job, &ticket, fault) ||
        !newest_print(ledger, job->ticket, &newest, fault))
        return false;
    const struct span name = job_ticket_name(&ticket);
    json_t *row = json_rows_job(job);
    json_object_set_new(row, "planned", json_boolean(job->started_ms == MOVEMENT_NULL));
    json_object_set_new(row, "printer", json_rows_text(job->machine));
    json_object_set_new(row, "printer_name", json_rows_text(machine.name));
    json_object_set_new(row, "name", name.length > 0 ? json_stringn(name.at, name.length) : json_null());
    json_object_set_new(row, "resin", json_rows_text(ticket.resin));
    json_object_set_new(row, "revision", json_rows_text(ticket.revision));
    json_object_set_new(row, "parts", json_integer(job_ticket_part_count(&ticket)));
    json_object_set_new(row, "ticket", newest.found ? json_string(print_state_word(newest.state)) : json_null());
    return json_array_append_new(rows, row) == 0 ||
           fault_set(fault, FAULT_STORAGE, "no memory for the jobs: try again");
}

static bool read_jobs(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct listing *listing = calloc(1, sizeof *listing);
    json_t *rows = json_array();
    bool good = listing != NULL && rows != NULL;
    (void)request;
    if (!good)
        fault_set(fault, FAULT_STORAGE, "no memory for the jobs: try again");
    good = good && job_each_open(ledger, JOBS_MOST + 1, gather, listing, fault);
    for (size_t i = 0; good && i < listing->count; i++)
        good = describe(ledger, &listing->jobs[i], rows, fault);
    if (good)
        *body = json_pack("{s:O, s:b}", "jobs", rows, "more", (int)listing->more);
    json_decref(rows);
    free(listing);
    return good;
}

enum MHD_Result route_jobs_get(struct request *request)
{
    return json_rows_reply(request, read_jobs);
}
