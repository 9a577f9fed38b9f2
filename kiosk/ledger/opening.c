#include "kiosk/ledger/opening.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/movement_hash.h"

#define WAY_BACK "stop the kiosk, keep the file, and restore the newest backup ('ambershelf restore')"

/* ---- the last stop ---- */

void opening_look(struct ledger *ledger, struct opening *opening)
{
    static const char start[] = "the last stop was not orderly";
    struct sql_found found;
    struct builder sentence;
    sql_found(ledger_sql(ledger), &found);
    *opening = (struct opening){.orderly = found.left_by == 0 && found.log_bytes == 0,
                                .log_torn = found.log_torn,
                                .has_file = sql_has_file(ledger_sql(ledger)),
                                .bytes = found.file_bytes + found.log_bytes};
    builder_init(&sentence, opening->sentence, sizeof opening->sentence);
    if (found.left_by > 0)
        builder_addf(&sentence, "%s: process %" PRId64 " ended without closing the ledger '%s'", start, found.left_by,
                     sql_name(ledger_sql(ledger)));
    else if (found.log_bytes > 0)
        builder_addf(&sentence, "%s: the write-ahead log of the ledger '%s' still holds %" PRId64 " bytes", start,
                     sql_name(ledger_sql(ledger)), found.log_bytes);
}

/* ---- the last movements ---- */

struct touched { /* a thing that the last movements name */
    char serial[SERIAL_SIZE];
    int64_t least, most; /* its row's version is one of these or between: a label's step may touch it or not */
    enum unit_status status;
    bool says_status;
};

struct tail {
    int64_t last; /* checked last */
    uint8_t hash[HASH_BYTES];
    bool started; /* the first one read only gives the hash before */
    struct touched *touched;
    size_t count;
    struct fault fault; /* FAULT_DAMAGED: what is wrong */
};

static bool wrong(struct tail *tail, const char *format, ...) __attribute__((format(printf, 2, 3)));

static bool wrong(struct tail *tail, const char *format, ...)
{
    char text[FAULT_TEXT_SIZE];
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    return fault_set(&tail->fault, FAULT_DAMAGED, "%s; " WAY_BACK, text);
}

/* The status that the movement's unit has after it; false: it leaves that open. */
static bool says_status(enum movement_kind kind, enum unit_status *status)
{
    *status = kind == MOVEMENT_CHECK_OUT || kind == MOVEMENT_LEND ? UNIT_OUT : UNIT_IN;
    return kind == MOVEMENT_CHECK_OUT || kind == MOVEMENT_LEND || kind == MOVEMENT_RECEIPT ||
           kind == MOVEMENT_TAKE_ON || kind == MOVEMENT_PUT_AWAY || kind == MOVEMENT_CHECK_IN;
}

static struct touched *find_touched(struct tail *tail, const char *serial)
{
    size_t at = 0;
    while (at < tail->count && strcmp(tail->touched[at].serial, serial) != 0)
        at++;
    struct touched *touched = &tail->touched[at];
    if (at == tail->count) {
        *touched = (struct touched){.least = 0};
        (void)span_copy(span_of(serial), touched->serial, sizeof touched->serial);
        tail->count++;
    }
    return touched;
}

static void note_touched(struct tail *tail, const struct movement *movement)
{
    const char *units[2];
    const size_t count = movement_changes(movement, units);
    for (size_t i = 0; i < count; i++) {
        struct touched *touched = find_touched(tail, units[i]);
        touched->least = touched->most = movement->seq;
        touched->says_status = says_status(movement->kind, &touched->status);
    }
    /* a label's steps may or may not touch the thing; badges are no things */
    if (movement->kind == MOVEMENT_PRINT && movement->unit[0] && movement->unit[0] != 'H')
        find_touched(tail, movement->unit)->most = movement->seq;
}

static bool check_movement(const struct movement *movement, void *context)
{
    struct tail *tail = context;
    uint8_t hash[HASH_BYTES];
    if (movement->seq != tail->last + (tail->started ? 1 : 0))
        return wrong(tail, "after movement %" PRId64 " comes %" PRId64, tail->last, movement->seq);
    if (tail->started) {
        movement_hash(tail->hash, movement, hash);
        if (memcmp(hash, movement->hash, HASH_BYTES) != 0)
            return wrong(tail, "the hash of movement %" PRId64 " does not follow from movement %" PRId64, movement->seq,
                         tail->last);
        note_touched(tail, movement);
    }
    tail->started = true;
    tail->last = movement->seq;
    memcpy(tail->hash, movement->hash, HASH_BYTES);
    return true;
}

static bool check_chain(struct ledger *ledger, struct tail *tail, struct opening *opening, struct fault *fault)
{
    int64_t head = 0;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(ledger, &head, hash, fault))
        return false;
    /* one more is read: its hash is where the first to be checked begins */
    const int64_t first = head > OPENING_MOVEMENTS ? head - OPENING_MOVEMENTS : 0;
    tail->last = first;
    tail->started = first == 0;
    if (!ledger_each(ledger, first > 0 ? first - 1 : 0, OPENING_MOVEMENTS + 2, check_movement, tail, fault))
        return false;
    if (tail->fault.code == FAULT_NONE && tail->last != head)
        (void)wrong(tail, "the head row says %" PRId64 " movements, and the last one is %" PRId64, head, tail->last);
    if (tail->fault.code == FAULT_NONE && memcmp(hash, tail->hash, HASH_BYTES) != 0)
        (void)wrong(tail, "the head row's hash is not that of movement %" PRId64 " of %" PRId64, tail->last, head);
    opening->movements = tail->last - first;
    return tail->fault.code == FAULT_NONE || fault_set(fault, tail->fault.code, "%s", tail->fault.text);
}

static bool check_thing(struct ledger *ledger, const struct touched *touched, struct fault *fault)
{
    struct unit unit;
    bool found = false;
    if (!unit_load(ledger, touched->serial, &unit, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_DAMAGED, "%s has lost its row, though movement %" PRId64 " names it; " WAY_BACK,
                         touched->serial, touched->most);
    if (unit.version < touched->least || unit.version > touched->most)
        return fault_set(fault, FAULT_DAMAGED,
                         "the row of %s is of movement %" PRId64 ", but movement %" PRId64 " changed it; " WAY_BACK,
                         touched->serial, unit.version, touched->least > 0 ? touched->least : touched->most);
    if (touched->says_status && unit.status != touched->status)
        return fault_set(fault, FAULT_DAMAGED, "the row of %s says %s, but movement %" PRId64 " says %s; " WAY_BACK,
                         touched->serial, unit_status_word(unit.status), touched->least,
                         unit_status_word(touched->status));
    return true;
}

bool opening_check(struct ledger *ledger, struct opening *opening, struct fault *fault)
{
    struct tail tail = {.touched = calloc(2 * (OPENING_MOVEMENTS + 2), sizeof *tail.touched)};
    if (!tail.touched)
        return fault_set(fault, FAULT_STORAGE, "no memory to check the ledger: end other programs");
    bool fine = ledger_begin(ledger, fault);
    if (fine) {
        fine = check_chain(ledger, &tail, opening, fault);
        for (size_t i = 0; fine && i < tail.count; i++)
            fine = check_thing(ledger, &tail.touched[i], fault);
        ledger_rollback(ledger);
    }
    if (!fine && fault)
        ledger_name_damage(ledger, fault);
    free(tail.touched);
    return fine;
}
