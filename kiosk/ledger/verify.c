#include <inttypes.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/movement_hash.h"
#include "kiosk/ledger/tables.h"
#include "kiosk/ledger/verify_form.h"
#include "kiosk/ledger/verify_rows.h"

enum { PAGE = 1000 };

#define WHAT_NOW "somebody changed this ledger; restore the last backup, and keep this file for whoever looks into it"

struct walk {
    struct ledger *ledger;
    struct apply_store store;
    struct verify_report *report;
    int64_t seen; /* of the page */
    bool bad;
    bool ok; /* false: no memory */
    struct fault fault;
};

static bool is_clean(const struct verify_report *report)
{
    return report->first_bad_seq == 0 && report->rows_different == 0 && report->sentence[0] == '\0';
}

static void say(struct verify_report *report, const char *format, ...) __attribute__((format(printf, 2, 3)));

static void say(struct verify_report *report, const char *format, ...)
{
    va_list arguments;
    if (report->sentence[0]) /* the first trouble is the one to look at */
        return;
    va_start(arguments, format);
    vsnprintf(report->sentence, sizeof report->sentence, format, arguments);
    va_end(arguments);
}

/* ---- the chain ---- */

static bool stop_at(struct walk *walk, int64_t seq)
{
    walk->report->first_bad_seq = seq;
    walk->bad = true;
    return false;
}

/* An erased text leaves its row; one that is gone without a trace was taken. */
static bool is_text_there(struct walk *walk, const struct movement *movement)
{
    bool there = false;
    walk->ok = ledger_text_exists(walk->ledger, movement->text, &there, &walk->fault);
    if (!walk->ok || there)
        return walk->ok;
    say(walk->report, "movement %" PRId64 " names a text that is gone without having been erased: " WHAT_NOW,
        movement->seq);
    return stop_at(walk, movement->seq);
}

static bool check_movement(const struct movement *movement, void *context)
{
    struct walk *walk = context;
    struct verify_report *report = walk->report;
    const int64_t expected = report->movements + 1;
    uint8_t hash[HASH_BYTES];
    walk->seen++;
    if (movement->seq != expected) {
        say(report, "movement %" PRId64 " is missing: after %" PRId64 " comes %" PRId64 "; " WHAT_NOW, expected,
            report->movements, movement->seq);
        return stop_at(walk, expected);
    }
    movement_hash(report->head, movement, hash);
    if (memcmp(hash, movement->hash, HASH_BYTES) != 0) {
        say(report, "movement %" PRId64 ": hash does not follow from movement %" PRId64 ": " WHAT_NOW, movement->seq,
            report->movements);
        return stop_at(walk, movement->seq);
    }
    if (movement->text[0] && !is_text_there(walk, movement))
        return false;
    if (!apply(movement, &walk->store, &walk->fault)) {
        if (walk->fault.code == FAULT_STORAGE) {
            walk->ok = false;
            return false;
        }
        say(report, "movement %" PRId64 " cannot be: %s (the chain holds: it was booked so; report this)",
            movement->seq, walk->fault.text);
        return stop_at(walk, movement->seq);
    }
    report->movements++;
    memcpy(report->head, hash, HASH_BYTES);
    return true;
}

static bool walk_chain(struct ledger *ledger, struct walk *walk, struct fault *fault)
{
    do {
        walk->seen = 0;
        if (!ledger_each(ledger, walk->report->movements, PAGE, check_movement, walk, fault)) {
            if (fault->code != FAULT_DAMAGED)
                return false;
            say(walk->report, "%s", fault->text); /* a movement that cannot be one: that is an answer */
            (void)stop_at(walk, walk->report->movements + 1);
            return true;
        }
        if (!walk->ok)
            return fault_set(fault, walk->fault.code, "%s", walk->fault.text);
    } while (walk->seen == PAGE && !walk->bad);
    return true;
}

static bool check_head(struct ledger *ledger, struct verify_report *report, struct fault *fault)
{
    int64_t seq = 0;
    uint8_t hash[HASH_BYTES];
    if (!ledger_head(ledger, &seq, hash, fault))
        return false;
    if (seq != report->movements) {
        report->first_bad_seq = seq < report->movements ? seq + 1 : report->movements + 1;
        say(report, "the head row says %" PRId64 " movements, but there are %" PRId64 ": " WHAT_NOW, seq,
            report->movements);
    } else if (memcmp(hash, report->head, HASH_BYTES) != 0) {
        report->first_bad_seq = seq > 0 ? seq : 1;
        say(report, "the head row's hash is not that of movement %" PRId64 ": " WHAT_NOW, seq);
    }
    return true;
}

/* ---- names and notes ---- */

static bool check_text(const struct text_row *row, void *context)
{
    struct verify_report *report = context;
    crypto_hash_sha256_state state;
    uint8_t digest[HASH_BYTES], id[HASH_BYTES];
    size_t length = 0;
    if (row->erased)
        return true;
    crypto_hash_sha256_init(&state);
    crypto_hash_sha256_update(&state, row->salt, TEXT_SALT_BYTES);
    crypto_hash_sha256_update(&state, (const uint8_t *)row->value, strlen(row->value));
    crypto_hash_sha256_final(&state, digest);
    report->rows_compared++;
    if (text_read_hex(span_of(row->id), id, sizeof id, &length) && length == HASH_BYTES &&
        memcmp(id, digest, HASH_BYTES) == 0)
        return true;
    report->rows_different++;
    say(report, "text %.12s… is not what was booked: " WHAT_NOW, row->id);
    return true;
}

bool verify_texts(struct ledger *ledger, struct verify_report *report, struct fault *fault)
{
    return ledger_text_each(ledger, check_text, report, fault);
}

/* ---- all of it ---- */

static bool check_form(struct ledger *ledger, const char *address, struct verify_report *report, struct fault *fault)
{
    char sentence[FAULT_TEXT_SIZE];
    if (!verify_form(ledger, address, sentence, fault))
        return false;
    if (sentence[0])
        say(report, "%s", sentence);
    return true;
}

/* Totals are no rows that movements make, but sums over such rows. */
static bool check_stock(struct ledger *ledger, struct verify_report *report, struct fault *fault)
{
    int64_t lines = 0, different = 0;
    struct stock_line first;
    if (!stock_compare(ledger, &lines, &different, &first, fault))
        return false;
    report->rows_compared += lines;
    report->rows_different += different;
    if (different > 0)
        say(report, "stock of item %s, lot '%s': the total is not the sum of its units: " WHAT_NOW, first.item,
            first.lot);
    return true;
}

static bool check_rows(struct ledger *ledger, const struct memory_store *memory, struct verify_report *report,
                       struct fault *fault)
{
    struct verify_rows rows;
    if (!verify_texts(ledger, report, fault) || !verify_rows(ledger, memory, &rows, fault))
        return false;
    report->rows_compared += rows.compared;
    report->rows_different += rows.different;
    if (rows.different > 0)
        say(report, "%s%s: somebody changed this ledger; restore the last backup, or export and import it anew",
            rows.first, rows.different > 1 ? " (and more rows differ)" : "");
    return rows.different > 0 || check_stock(ledger, report, fault); /* a wrong unit makes a wrong sum: say it once */
}

static void say_clean(struct verify_report *report, const struct memory_store *memory)
{
    char head[2 * 8 + 1];
    text_write_hex(report->head, 8, head, sizeof head);
    if (report->movements == 0)
        say(report, "no movements yet: an empty ledger, and its tables agree");
    else
        say(report,
            "%" PRId64 " movements, %zu units, %" PRId64 " rows: chain, head, texts and rows all agree; head %s…",
            report->movements, memory_store_count(memory, MEMORY_UNITS), report->rows_compared, head);
}

static bool check(struct ledger *ledger, struct memory_store *memory, struct verify_report *report, bool *clean,
                  struct fault *fault)
{
    struct walk walk = {.ledger = ledger, .store = memory_store_apply(memory), .report = report, .ok = true};
    if (!walk_chain(ledger, &walk, fault))
        return false;
    if (!walk.bad && (!check_head(ledger, report, fault) || !check_rows(ledger, memory, report, fault)))
        return false;
    *clean = is_clean(report);
    if (*clean)
        say_clean(report, memory);
    return true;
}

bool verify_open_ledger(struct ledger *ledger, struct verify_report *report, bool *clean, struct fault *fault)
{
    struct verify_report made = {0};
    bool is_good = false;
    struct memory_store *memory = memory_store_create();
    const bool ok =
        memory ? check(ledger, memory, &made, &is_good, fault)
               : fault_set(fault, FAULT_STORAGE, "no memory to verify the ledger: end other programs and try again");
    memory_store_destroy(memory);
    if (ok) {
        *report = made;
        *clean = is_good;
    }
    return ok;
}

/* What is of a form that no kiosk wrote is told first: what comes next could not be trusted. */
static bool verify_begun(struct ledger *ledger, const char *address, struct verify_report *report, bool *clean,
                         struct fault *fault)
{
    struct verify_report form = {0};
    if (!check_form(ledger, address, &form, fault))
        return false;
    if (!form.sentence[0])
        return verify_open_ledger(ledger, report, clean, fault);
    *report = form;
    *clean = false;
    return true;
}

bool ledger_verify(const char *address, struct verify_report *report, bool *clean, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!ledger_open(address, LEDGER_READER, &ledger, fault))
        return false;
    /* one state throughout, while the writer goes on */
    const bool ok = ledger_begin(ledger, fault) && verify_begun(ledger, address, report, clean, fault);
    ledger_close(ledger);
    return ok;
}
