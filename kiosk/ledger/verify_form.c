#include "kiosk/ledger/verify_form.h"

#include <stdio.h>

#include "kiosk/ledger/ledger_room.h"
#include "kiosk/ledger/sql/sql_backup.h"

#define WHAT_NOW "somebody changed this ledger; restore the last backup, and keep this file for whoever looks into it"

/* Smallest first. */
static const struct sql_text STRAY = {"SELECT seq FROM movement WHERE seq < 1 ORDER BY seq LIMIT 1", ""};
static const struct sql_text TEXTLESS = {"SELECT seq FROM movement WHERE text_id IS NOT NULL AND text_id NOT IN"
                                         " (SELECT id FROM erasable_text) ORDER BY seq LIMIT 1",
                                         ""};

static const struct sql_text EMPTY = {
    "SELECT seq FROM movement WHERE act = '' OR kind = '' OR kiosk = '' OR person = '' OR unit = '' OR other = '' OR"
    " item = '' OR lot = '' OR place = '' OR printer = '' OR delivery = '' OR job = '' OR word = '' OR text_id = '' OR"
    " detail = '' ORDER BY seq LIMIT 1",
    ""};

/* What a statement finds must not be there. */
static const struct {
    const struct sql_text *text;
    bool is_numbered; /* the number is one that a movement can have */
    const char *says;
} checks[] = {
    {&STRAY, false, "has a number that no kiosk gives, they count from 1"},
    {&TEXTLESS, true, "names a text that is gone without having been erased"},
    {&EMPTY, true, "holds an empty text, where a kiosk writes nothing"},
};

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

bool verify_form(struct ledger *ledger, const char *address, int64_t *seq, char sentence[FAULT_TEXT_SIZE],
                 struct fault *fault)
{
    const char *path = sql_sqlite_path(address);
    struct sql_odd_value odd = {.what = ""};
    int64_t number = 0;
    bool found = false;
    *seq = 0;
    sentence[0] = '\0';
    if (path && !sql_find_odd_value(path, &odd, fault))
        return false;
    if (odd.what[0]) {
        (void)snprintf(sentence, FAULT_TEXT_SIZE, "%s: " WHAT_NOW, odd.what);
        *seq = odd.movement;
        return true;
    }
    for (size_t i = 0; i < sizeof checks / sizeof *checks && !found; i++) {
        if (!first_seq(ledger, checks[i].text, &number, &found, fault))
            return false;
        if (found) {
            (void)snprintf(sentence, FAULT_TEXT_SIZE, "movement %lld %s: " WHAT_NOW, (long long)number, checks[i].says);
            *seq = checks[i].is_numbered ? number : 0;
        }
    }
    return true;
}
