#ifndef KIOSK_LEDGER_LEDGER_INSIDE_H
#define KIOSK_LEDGER_LEDGER_INSIDE_H

#include "kiosk/ledger/ledger_room.h"

/* The inside of struct ledger, for ledger_*.c and act_rows.c alone. */

struct ledger_position {
    int64_t seq;
    uint8_t hash[HASH_BYTES];
};

enum { LAST_ACT_UNKNOWN = -1 };

struct ledger {
    struct sql *sql;
    enum ledger_mode mode;
    bool demo;
    bool in_group;  /* a writer's transaction: `head` is what the chain has come to in it */
    bool moved;     /* `head` is ahead of the head row */
    bool unemptied; /* a reader was in the way when the long log was to be emptied */
    bool erased;    /* a text was erased, and the write-ahead log may still hold it */
    struct ledger_position head;
    struct ledger_position saved; /* at the savepoint */
    bool saved_moved;
    struct booking booking;
    struct row_memory *rows; /* a writer's; NULL: none is kept */
    int64_t alone;           /* mark of sql_alone_since: while it holds, what is kept is what the ledger holds */
    int64_t last_act;        /* number of the newest act, or LAST_ACT_UNKNOWN */
};

/* After a booking under import: serials in use are not handed out again. */
bool ledger_serial_used(struct ledger *ledger, const char *serial, struct fault *fault);

#endif
