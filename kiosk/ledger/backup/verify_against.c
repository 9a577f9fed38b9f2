#include "kiosk/ledger/backup/verify_against.h"

#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "kiosk/ledger/backup/backup.h"

#define WHAT_NOW                                                                                                       \
    "somebody cut or rewrote this ledger; keep its files for whoever looks into it, and restore the newest good "      \
    "backup"

/* Fills the sentence and, for a trouble, the first bad number; returns whether all is well. */
static bool say(struct against_report *report, int64_t first_bad_seq, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static bool say(struct against_report *report, int64_t first_bad_seq, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(report->sentence, sizeof report->sentence, format, arguments);
    va_end(arguments);
    text_end_whole(report->sentence);
    report->first_bad_seq = first_bad_seq;
    return first_bad_seq == 0;
}

static bool look_for_head(struct ledger *ledger, const struct chain_mark *mark, struct against_report *report,
                          bool *clean, struct fault *fault)
{
    struct movement movement;
    uint8_t hash[HASH_BYTES];
    int64_t last = 0;
    bool found = false;
    if (!ledger_head(ledger, &last, hash, fault) || !chain_movement(ledger, mark->seq, &movement, &found, fault))
        return false;
    if (mark->seq == 0) /* an empty ledger's head is zeros, and every ledger begins with it */
        memset(hash, 0, sizeof hash);
    else if (found)
        memcpy(hash, movement.hash, sizeof hash);
    if (mark->seq > last)
        *clean = say(report, last + 1,
                     "the ledger ends at movement %" PRId64 ", but a head of movement %" PRId64
                     " was written down: %" PRId64 " movements are missing; " WHAT_NOW,
                     last, mark->seq, mark->seq - last);
    else if ((mark->seq > 0 && !found) || memcmp(hash, mark->hash, mark->bytes) != 0)
        *clean = say(report, mark->seq > 0 ? mark->seq : 1,
                     "movement %" PRId64 " or one before it is not the one whose hash was written down: " WHAT_NOW,
                     mark->seq);
    else
        *clean = say(report, 0, "the ledger holds the head of movement %" PRId64 " that was written down", mark->seq);
    return true;
}

bool verify_head(const char *address, const struct chain_mark *mark, struct against_report *report, bool *clean,
                 struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    const bool fine = ledger_begin(ledger, fault) && look_for_head(ledger, mark, report, clean, fault);
    ledger_close(ledger);
    return fine;
}

/* The first movement that differs is `common` + 1: missing here, or another one than there. */
static bool tell(struct ledger *ledger, struct ledger *copy, const char *backup, int64_t common,
                 struct against_report *report, bool *clean, struct fault *fault)
{
    struct movement here, there;
    uint8_t hash[HASH_BYTES];
    char when[CALENDAR_INSTANT_SIZE];
    int64_t last = 0, promised = 0;
    bool is_here = false, is_there = false;
    if (!ledger_head(ledger, &last, hash, fault) || !ledger_head(copy, &promised, hash, fault) ||
        !chain_movement(ledger, common + 1, &here, &is_here, fault) ||
        !chain_movement(copy, common + 1, &there, &is_there, fault))
        return false;
    if (common == promised)
        *clean = say(report, 0,
                     "the ledger holds all %" PRId64 " movements of the backup '%.160s', and %" PRId64 " newer ones",
                     promised, backup, last - promised);
    else if (!is_here)
        *clean = say(report, common + 1,
                     "the ledger ends at movement %" PRId64 ", but the backup '%.100s' holds %" PRId64
                     ": movement %" PRId64 " (%s of %s) and all after it are missing; " WHAT_NOW,
                     last, backup, promised, common + 1, movement_kind_word(there.kind),
                     calendar_write_instant(there.at, when));
    else
        *clean =
            say(report, common + 1,
                "movement %" PRId64 " is another one than in the backup '%.100s' (%s here, %s of %s there): " WHAT_NOW,
                common + 1, backup, movement_kind_word(here.kind), movement_kind_word(there.kind),
                calendar_write_instant(there.at, when));
    return true;
}

bool verify_against(const char *address, const char *backup, struct against_report *report, bool *clean,
                    struct fault *fault)
{
    struct ledger *ledger = NULL, *copy = NULL;
    struct backup_facts facts;
    int64_t common = 0;
    bool fine = false;
    if (!backup_check(backup, &facts, fault))
        return false;
    if (ledger_open(address, LEDGER_READER, &ledger, fault) && ledger_open(backup, LEDGER_READER, &copy, fault) &&
        ledger_begin(ledger, fault) && ledger_begin(copy, fault))
        fine = chain_common(ledger, copy, &common, fault) && tell(ledger, copy, backup, common, report, clean, fault);
    ledger_close(copy);
    ledger_close(ledger);
    return fine;
}
