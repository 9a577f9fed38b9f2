#include <string.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/database_store.h"
#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/movement_hash.h"
#include "kiosk/ledger/movements.h"

static bool may_book(const struct ledger *ledger, struct fault *fault)
{
    if (!ledger->in_group)
        return fault_set(fault, FAULT_STORAGE,
                         "a movement was to be booked outside a transaction: this is a fault of "
                         "the program, report it");
    /* what the two engines show of rows that change under a walk differs */
    if (sql_open_statements(ledger->sql) > 0)
        return fault_set(fault, FAULT_STORAGE,
                         "a movement was to be booked while rows were being read: this is a fault "
                         "of the program, report it");
    return true;
}

/* Applies before appending: a movement that is refused has written nothing. */
static bool append(struct ledger *ledger, const struct movement *movement, struct fault *fault)
{
    const struct apply_store store = database_store(ledger);
    if (!apply(movement, &store, fault) || !movement_insert(ledger, movement, fault))
        return false;
    ledger->head.seq = movement->seq;
    memcpy(ledger->head.hash, movement->hash, HASH_BYTES);
    ledger->moved = true;
    return true;
}

bool ledger_book(struct ledger *ledger, struct movement *movement, struct fault *fault)
{
    if (!may_book(ledger, fault))
        return false;
    struct movement full = *movement;
    const struct booking *booking = &ledger->booking;
    full.seq = ledger->head.seq + 1;
    memcpy(full.act, booking->act, sizeof full.act);
    memcpy(full.kiosk, booking->kiosk, sizeof full.kiosk);
    memcpy(full.person, booking->person, sizeof full.person);
    full.at = booking->moment.wall;
    full.local_day = booking->moment.local_day;
    full.trusted = booking->moment.trusted;
    movement_hash(ledger->head.hash, &full, full.hash);
    if (!append(ledger, &full, fault))
        return false;
    *movement = full;
    return true;
}

bool ledger_book_as_is(struct ledger *ledger, const struct movement *movement, struct fault *fault)
{
    uint8_t hash[HASH_BYTES];
    if (!may_book(ledger, fault))
        return false;
    if (movement->seq != ledger->head.seq + 1)
        return fault_set(fault, FAULT_INPUT, "movement %lld follows number %lld: one is missing or stands twice",
                         (long long)movement->seq, (long long)ledger->head.seq);
    movement_hash(ledger->head.hash, movement, hash);
    if (memcmp(hash, movement->hash, HASH_BYTES) != 0)
        return fault_set(fault, FAULT_INPUT,
                         "movement %lld does not fit the hash chain: it, or one before it, was changed",
                         (long long)movement->seq);
    return append(ledger, movement, fault) && ledger_serial_used(ledger, movement->unit, fault);
}
