#include <string.h>
#include <time.h>

#include "kiosk/basics/log.h"
#include "kiosk/ledger/writer_parts.h"

void writer_reset_ticket(struct ticket *ticket)
{
    json_decref(ticket->answer);
    ticket->answer = NULL;
    ticket->decided = ticket->stored = ticket->repeated = false;
    ticket->last_seq = 0;
    ticket->fault = (struct fault){FAULT_NONE, ""};
}

bool writer_open_ledger(struct writer *writer, struct fault *fault)
{
    return writer->ledger || ledger_open(writer->address, LEDGER_WRITER, &writer->ledger, fault);
}

static void drop_ledger(struct writer *writer)
{
    ledger_close(writer->ledger);
    writer->ledger = NULL;
}

/* A connection that failed in these ways may never answer again; a new one finds out what is so. */
static bool is_connection_suspect(const struct writer *writer)
{
    const enum sql_trouble trouble = ledger_trouble(writer->ledger);
    return trouble == SQL_LOST || trouble == SQL_IO || trouble == SQL_CORRUPT;
}

static void count_commit(struct writer *writer, bool ok)
{
    pthread_mutex_lock(&writer->lock);
    if (ok)
        writer->counts.groups++;
    else
        writer->counts.commits_failed++;
    pthread_mutex_unlock(&writer->lock);
}

/* Nothing was stored: there is nothing to make durable. */
static bool has_stored(struct ticket *const *tickets, size_t count)
{
    for (size_t i = 0; i < count; i++)
        if (tickets[i]->stored)
            return true;
    return false;
}

static bool commit(struct writer *writer, struct ticket **tickets, size_t count, struct fault *fault)
{
    if (!has_stored(tickets, count)) {
        ledger_rollback(writer->ledger);
        return true;
    }
    const bool ok = ledger_commit(writer->ledger, fault);
    count_commit(writer, ok);
    if (ok) {
        writer->dirty = true;
        return true;
    }
    /* It may have taken place all the same: only a new connection can tell, by the acts' ids. */
    for (size_t i = 0; i < count; i++)
        tickets[i]->maybe_ours = tickets[i]->maybe_ours || tickets[i]->stored;
    log_line(LOG_LEVEL_ERROR, "writer", "a commit of %zu acts was not confirmed: %s; looking again", count,
             fault->text);
    drop_ledger(writer);
    return false;
}

/* One transaction. False: nothing is decided; `fault` says why. */
static bool try_together(struct writer *writer, struct ticket **tickets, size_t count, struct fault *fault)
{
    for (size_t i = 0; i < count; i++)
        writer_reset_ticket(tickets[i]);
    if (!writer_open_ledger(writer, fault))
        return false;
    if (!ledger_begin(writer->ledger, fault)) {
        drop_ledger(writer);
        return false;
    }
    const struct moment now = clock_now(writer->options.clock);
    for (size_t i = 0; i < count; i++)
        if (!writer_run_act(writer, tickets[i], &now, count == 1)) {
            *fault = tickets[i]->fault;
            const bool suspect = is_connection_suspect(writer);
            ledger_rollback(writer->ledger);
            if (suspect)
                drop_ledger(writer);
            return false;
        }
    return commit(writer, tickets, count, fault);
}

static void pause_ms(int64_t ms)
{
    struct timespec left = {.tv_sec = (time_t)(ms / 1000), .tv_nsec = (long)(ms % 1000) * 1000000};
    while (nanosleep(&left, &left) != 0)
        ;
}

static void give_up(struct ticket *ticket, const struct fault *why)
{
    writer_reset_ticket(ticket);
    ticket->decided = true;
    if (ticket->maybe_ours)
        fault_set(&ticket->fault, FAULT_STORAGE,
                  "it is not known whether act '%s' was booked: send it again with the same id (%s)", ticket->act.id,
                  why->text);
    else
        fault_set(&ticket->fault, why->code == FAULT_NONE ? FAULT_STORAGE : why->code,
                  "%s; nothing of this act was booked", why->text);
}

/* One act in a transaction of its own, a bounded number of times. False: given up, and the next would fare no better.
 */
static bool run_singly(struct writer *writer, struct ticket *ticket, struct fault *fault)
{
    int64_t pause = WRITER_PAUSE_MS;
    for (int try = 0; try < WRITER_TRIES; try++) {
        if (try > 0) {
            pause_ms(pause);
            pause *= 4;
        }
        if (try_together(writer, &ticket, 1, fault))
            return true;
    }
    give_up(ticket, fault);
    return writer->ledger != NULL;
}

void writer_run_group(struct writer *writer, struct ticket **tickets, size_t count)
{
    struct fault fault = {FAULT_NONE, ""};
    if (try_together(writer, tickets, count, &fault))
        return;
    log_line(LOG_LEVEL_WARNING, "writer", "a group of %zu acts is run again one by one: %s", count, fault.text);
    bool reachable = true;
    for (size_t i = 0; i < count; i++) {
        if (reachable)
            reachable = run_singly(writer, tickets[i], &fault);
        else
            give_up(tickets[i], &fault);
    }
}
