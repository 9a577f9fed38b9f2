#include "kiosk/ledger/verify_form.h"

#include <stdio.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/sql/sql_backup.h"

#define WHAT_NOW "somebody changed this ledger; restore the last backup, and keep this file for whoever looks into it"

/* Smallest first. */
static const struct sql_text STRAY = {"SELECT seq FROM movement WHERE seq < 1 ORDER BY seq LIMIT 1", ""};

static bool first_seq(struct ledger *ledger, const struct sql_text *text, int64_t *seq, bool *found,
                      struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), text, &statement, fault))
        return false;
    const bool fine = sql_step(statement, found, fault);
    if (fine && *found)
        *seq = sql_whole(statement, 0);
    sql_done(statement);
    return fine;
}

bool verify_form(struct ledger *ledger, const char *address, char sentence[FAULT_TEXT_SIZE], struct fault *fault)
{
    const char *path = sql_sqlite_path(address);
    struct sql_odd_value odd = {.what = ""};
    int64_t number = 0;
    bool found = false;
    sentence[0] = '\0';
    if (path && !sql_find_odd_value(path, &odd, fault))
        return false;
    if (odd.what[0]) {
        (void)snprintf(sentence, FAULT_TEXT_SIZE, "%s: " WHAT_NOW, odd.what);
        return true;
    }
    if (!first_seq(ledger, &STRAY, &number, &found, fault))
        return false;
    if (found)
        (void)snprintf(sentence, FAULT_TEXT_SIZE,
                       "movement %lld has a number that no kiosk gives, they count from 1: " WHAT_NOW,
                       (long long)number);
    return true;
}
