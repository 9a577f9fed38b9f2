#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/json_memory.h"
#include "kiosk/ledger/writer_parts.h"

/* Would running the whole transaction again, or later, help? Then it is taken for lost: FULL, IOERR and NOMEM may have
 * rolled back everything, and a lost connection has. */
static bool is_lost(const struct writer *writer, const struct fault *fault)
{
    if (!ledger_in_transaction(writer->ledger))
        return true;
    if (fault->code == FAULT_DAMAGED)
        return true;
    if (fault->code != FAULT_STORAGE)
        return false;
    switch (ledger_trouble(writer->ledger)) {
    case SQL_BUSY:
    case SQL_FULL:
    case SQL_IO:
    case SQL_MEMORY:
    case SQL_CORRUPT:
    case SQL_LOST:
    case SQL_RETRY:
        return true;
    default:
        return false;
    }
}

static void refuse(struct ticket *ticket)
{
    json_decref(ticket->answer);
    ticket->answer = NULL;
    ticket->last_seq = 0;
    ticket->stored = false;
    ticket->decided = true;
    if (ticket->fault.code == FAULT_NONE)
        fault_set(&ticket->fault, FAULT_REFUSED, "act '%s' was refused without a reason: report this", ticket->act.id);
}

/* ---- an id that was here before ---- */

/* Instead of one that is no longer kept. */
static json_t *old_answer(const struct act_row *row)
{
    char at[CALENDAR_INSTANT_SIZE];
    return json_pack("{s:s+%, s:b}", "title", "This was done on ",
                     calendar_write_instant((struct instant){row->at_ms}, at), (size_t)10, "answer_kept", 0);
}

static void repeat(struct ticket *ticket, const struct act_row *row, const char *stored)
{
    json_error_t error;
    ticket->decided = true;
    if (memcmp(row->digest, ticket->digest, HASH_BYTES) != 0) {
        fault_set(&ticket->fault, FAULT_CONFLICT,
                  "act '%s' was already done with other content: give the new act an id of its own", ticket->act.id);
        return;
    }
    ticket->answer = stored[0] != '\0' ? json_loads(stored, JSON_REJECT_DUPLICATES, &error) : old_answer(row);
    if (!ticket->answer) {
        fault_set(&ticket->fault, FAULT_STORAGE, "the stored answer of act '%s' cannot be read: run verify",
                  ticket->act.id);
        return;
    }
    ticket->last_seq = row->last_seq == MOVEMENT_NULL ? 0 : row->last_seq;
    ticket->repeated = !ticket->maybe_ours;
}

/* ---- a new one ---- */

static bool make_moment(const struct writer *writer, const struct act *act, const struct moment *now,
                        struct moment *moment, struct fault *fault)
{
    *moment = *now;
    if (act->happened_at.ms == 0)
        return true;
    if (act->happened_at.ms > now->wall.ms + WRITER_AHEAD_MS)
        return fault_set(fault, FAULT_INPUT,
                         "act '%s' says it happened more than %d minutes from now: set the sender's clock", act->id,
                         WRITER_AHEAD_MS / 60000);
    moment->wall = act->happened_at;
    moment->local_day = clock_local_day(writer->options.clock, act->happened_at);
    return true;
}

static bool store(struct ledger *ledger, const struct ticket *ticket, const struct moment *moment, int64_t before,
                  int64_t after, bool final, struct fault *fault)
{
    struct act_row row = {.at_ms = moment->wall.ms,
                          .undone = final,
                          .first_seq = after > before ? before + 1 : MOVEMENT_NULL,
                          .last_seq = after > before ? after : MOVEMENT_NULL};
    memcpy(row.id, ticket->act.id, sizeof row.id);
    memcpy(row.kind, ticket->act.kind, sizeof row.kind);
    memcpy(row.counter, ticket->act.counter, sizeof row.counter);
    memcpy(row.person, ticket->act.person, sizeof row.person);
    memcpy(row.digest, ticket->digest, sizeof row.digest);
    char *text = json_memory_dumps(ticket->answer, JSON_COMPACT);
    if (!text)
        return fault_set(fault, FAULT_BUSY, "no memory for the answer of act '%s': try again", row.id);
    const bool ok = strlen(text) < ACT_ANSWER_SIZE
                        ? act_row_store(ledger, &row, text, fault)
                        : fault_set(fault, FAULT_REFUSED, "the answer of act '%s' has %zu bytes, %d are allowed",
                                    row.id, strlen(text), ACT_ANSWER_SIZE - 1);
    free(text);
    return ok;
}

static bool perform(struct writer *writer, struct ticket *ticket, const struct moment *moment, struct fault *fault)
{
    struct act_context context = {.ledger = writer->ledger,
                                  .act = &ticket->act,
                                  .moment = *moment,
                                  .kiosk = writer->kiosk,
                                  .desk = writer->options.desk};
    struct booking booking = {.moment = *moment};
    uint8_t hash[HASH_BYTES];
    int64_t before = 0, after = 0;
    memcpy(booking.act, ticket->act.id, sizeof booking.act);
    memcpy(booking.person, ticket->act.person, sizeof booking.person);
    span_copy(span_of(writer->kiosk), booking.kiosk, sizeof booking.kiosk);
    ledger_set_booking(writer->ledger, &booking);
    if (!ledger_head(writer->ledger, &before, hash, fault) ||
        !ticket->kind->function(&context, &ticket->answer, fault) || !ledger_head(writer->ledger, &after, hash, fault))
        return false;
    if (!ticket->answer && !(ticket->answer = json_object()))
        return fault_set(fault, FAULT_BUSY, "no memory for the answer of act '%s': try again", ticket->act.id);
    ticket->last_seq = after > before ? after : 0;
    return store(writer->ledger, ticket, moment, before, after, context.final, fault);
}

/* Alone in its transaction an act needs no savepoint: what is refused is rolled back with all there is. */
static bool run_alone(struct writer *writer, struct ticket *ticket, const struct moment *moment)
{
    if (perform(writer, ticket, moment, &ticket->fault)) {
        ticket->stored = ticket->decided = true;
        ticket->fault = (struct fault){FAULT_NONE, ""};
        return true;
    }
    if (is_lost(writer, &ticket->fault))
        return false;
    ledger_rollback(writer->ledger);
    refuse(ticket);
    return true;
}

/* As long as it wrote nothing there is nothing to take back. */
static bool run_open(struct writer *writer, struct ticket *ticket, const struct moment *moment)
{
    const int64_t written = ledger_rows_written(writer->ledger);
    if (perform(writer, ticket, moment, &ticket->fault)) {
        ticket->stored = ticket->decided = true;
        ticket->fault = (struct fault){FAULT_NONE, ""};
        return true;
    }
    if (is_lost(writer, &ticket->fault))
        return false;
    writer->refused_late = ledger_rows_written(writer->ledger) != written;
    if (writer->refused_late)
        return false;
    refuse(ticket);
    return true;
}

static bool run_new(struct writer *writer, struct ticket *ticket, const struct moment *now, enum writer_bracket bracket)
{
    struct moment moment;
    if (!make_moment(writer, &ticket->act, now, &moment, &ticket->fault)) {
        refuse(ticket);
        return true;
    }
    if (bracket == BRACKET_ALONE)
        return run_alone(writer, ticket, &moment);
    if (bracket == BRACKET_NONE)
        return run_open(writer, ticket, &moment);
    if (!ledger_savepoint(writer->ledger, &ticket->fault))
        return false;
    if (perform(writer, ticket, &moment, &ticket->fault)) {
        if (!ledger_release(writer->ledger, &ticket->fault))
            return false;
        ticket->stored = ticket->decided = true;
        ticket->fault = (struct fault){FAULT_NONE, ""};
        return true;
    }
    if (is_lost(writer, &ticket->fault))
        return false;
    ledger_rollback_to(writer->ledger);
    if (!ledger_in_transaction(writer->ledger))
        return false;
    refuse(ticket);
    return true;
}

bool writer_run_act(struct writer *writer, struct ticket *ticket, const struct moment *now, enum writer_bracket bracket)
{
    struct act_row row;
    char *stored = NULL;
    bool found = false;
    if (!act_row_find(writer->ledger, ticket->act.id, &row, &stored, &found, &ticket->fault))
        return false;
    if (!found)
        return run_new(writer, ticket, now, bracket);
    repeat(ticket, &row, stored);
    free(stored);
    return true;
}
