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
    return trouble == SQL_LOST || trouble == SQL_IO;
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

/* Whoever is in the way goes again, and our lock on the file is not given up for him. When nobody is, it is ourselves:
 * a lock that could not be let go, which only a new connection is rid of. */
static bool is_another_writing(const struct writer *writer)
{
    char name[SQL_PROCESS_NAME_SIZE];
    return sql_find_writer(ledger_sql(writer->ledger), name) > 0;
}

/* Now. A clock that was set back while the kiosk ran is not trusted until a storekeeper confirms it; movements keep
 * their order by number. */
static struct moment read_clock(struct writer *writer)
{
    char before[CALENDAR_INSTANT_SIZE], after[CALENDAR_INSTANT_SIZE];
    struct moment now = clock_now(writer->options.clock);
    if (now.wall.ms < writer->last_wall_ms - WRITER_BACK_MS) {
        clock_distrust(writer->options.clock);
        now.trusted = false;
        log_line(LOG_LEVEL_WARNING, "writer",
                 "the clock went back from %s to %s: set it, or let a storekeeper confirm it",
                 calendar_write_instant((struct instant){writer->last_wall_ms}, before),
                 calendar_write_instant(now.wall, after));
    }
    writer->last_wall_ms = now.wall.ms;
    return now;
}

/* One transaction. False: nothing is decided; `fault` says why. */
static bool try_together(struct writer *writer, struct ticket **tickets, size_t count, enum writer_bracket bracket,
                         struct fault *fault)
{
    for (size_t i = 0; i < count; i++)
        writer_reset_ticket(tickets[i]);
    if (!writer_open_ledger(writer, fault))
        return false;
    if (!ledger_begin(writer->ledger, fault)) {
        if (fault->code != FAULT_BUSY || !is_another_writing(writer))
            drop_ledger(writer);
        return false;
    }
    const struct moment now = read_clock(writer);
    for (size_t i = 0; i < count; i++)
        if (!writer_run_act(writer, tickets[i], &now, bracket)) {
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
    int damaged = 0;
    for (int try = 0; try < WRITER_TRIES; try++) {
        if (try > 0) {
            pause_ms(pause);
            pause *= 4;
        }
        if (try_together(writer, &ticket, 1, BRACKET_ALONE, fault))
            return true;
        if (fault->code == FAULT_DAMAGED && damaged++ > 0) { /* it stays so, and each try could make it worse */
            if (writer->ledger)
                ledger_name_damage(writer->ledger, fault);
            writer_shut(writer, fault->text);
            break;
        }
        if (fault->code ==
            FAULT_DAMAGED) /* a disk that failed to read once looks the same: see with a new connection */
            drop_ledger(writer);
    }
    give_up(ticket, fault);
    return writer->ledger != NULL && fault->code != FAULT_BUSY && fault->code != FAULT_DAMAGED;
}

/* Without savepoints first, where it can be seen whether a refused act wrote anything. */
static bool try_group(struct writer *writer, struct ticket **tickets, size_t count, struct fault *fault)
{
    if (count == 1)
        return try_together(writer, tickets, count, BRACKET_ALONE, fault);
    if (!writer_open_ledger(writer, fault))
        return false;
    if (ledger_rows_written(writer->ledger) < 0)
        return try_together(writer, tickets, count, BRACKET_SAVEPOINT, fault);
    writer->refused_late = false;
    return try_together(writer, tickets, count, BRACKET_NONE, fault) ||
           (writer->refused_late && try_together(writer, tickets, count, BRACKET_SAVEPOINT, fault));
}

void writer_run_group(struct writer *writer, struct ticket **tickets, size_t count)
{
    struct fault fault = {FAULT_NONE, ""};
    char why[FAULT_TEXT_SIZE];
    if (writer_is_shut(writer, why)) {
        fault_set(&fault, FAULT_DAMAGED, "%s", why);
        for (size_t i = 0; i < count; i++)
            give_up(tickets[i], &fault);
        return;
    }
    if (try_group(writer, tickets, count, &fault))
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
