#include "kiosk/ledger/file_check.h"

#include <inttypes.h>
#include <pthread.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include <jansson.h>

#include "kiosk/ledger/file_check_pages.h"
#include "kiosk/ledger/movement_hash.h"
#include "kiosk/ledger/verify_rows.h"

#define WAY_BACK "stop the kiosk, keep the file, and restore the newest backup ('ambershelf restore')"

enum { PAGE = 1000, WAYS = 20, WAIT_MS = 20 };
static const int64_t YIELD_MS = 1500; /* for the writer's next idle checkpoint */

struct file_check {
    char *address;
    int64_t whole_bytes;
    pthread_mutex_t lock; /* guards `ledger`, so that nobody interrupts a connection that is being closed */
    struct ledger *ledger;
    atomic_bool stop, yield;
    int ways; /* given so far */
    struct file_check_report report;
    uint8_t hash[HASH_BYTES]; /* of the last movement walked */
};

struct file_check *file_check_create(const char *address)
{
    struct file_check *check = calloc(1, sizeof *check);
    if (!check)
        return NULL;
    check->address = strdup(address);
    check->whole_bytes = FILE_CHECK_WHOLE;
    if (!check->address || pthread_mutex_init(&check->lock, NULL) != 0) {
        free(check->address);
        free(check);
        return NULL;
    }
    return check;
}

void file_check_destroy(struct file_check *check)
{
    if (!check)
        return;
    (void)pthread_mutex_destroy(&check->lock);
    free(check->address);
    free(check);
}

void file_check_limit(struct file_check *check, int64_t whole_bytes)
{
    check->whole_bytes = whole_bytes;
}

static void interrupt(struct file_check *check)
{
    (void)pthread_mutex_lock(&check->lock);
    if (check->ledger)
        sql_interrupt(ledger_sql(check->ledger));
    (void)pthread_mutex_unlock(&check->lock);
}

void file_check_stop(struct file_check *check)
{
    atomic_store(&check->stop, true);
    interrupt(check);
}

void file_check_give_way(struct file_check *check)
{
    atomic_store(&check->yield, true);
    interrupt(check);
}

/* ---- findings ---- */

static bool is_damaged(const struct file_check *check)
{
    return check->report.state >= FILE_CHECK_INDEX;
}

static void find(struct file_check *check, enum file_check_state state, const char *format, ...)
    __attribute__((format(printf, 3, 4)));

static void find(struct file_check *check, enum file_check_state state, const char *format, ...)
{
    va_list arguments;
    if (is_damaged(check))
        return;
    check->report.state = state;
    va_start(arguments, format);
    (void)vsnprintf(check->report.sentence, sizeof check->report.sentence, format, arguments);
    va_end(arguments);
    text_end_whole(check->report.sentence);
}

static void find_pages(struct file_check *check, const struct pages_damage *damage, bool rows_are_whole)
{
    const char *file = sql_name(ledger_sql(check->ledger));
    if (rows_are_whole && damage->is_index)
        find(check, FILE_CHECK_INDEX,
             "the file '%s' is damaged only in %s%s (%s), and every movement and row is whole: stop the kiosk and make "
             "the file anew (sqlite3 '%s' .dump | sqlite3 NEW), or restore the newest backup",
             file, damage->name[0] ? "its index " : "pages that are not in use", damage->name, damage->words, file);
    else
        find(check, FILE_CHECK_DAMAGED, "the file '%s' is damaged%s%s (%s): " WAY_BACK, file,
             damage->name[0] ? " in " : "", damage->name, damage->words);
}

/* ---- a small ledger: all at once ---- */

static bool check_whole(struct file_check *check, struct fault *fault)
{
    struct pages_damage damage;
    struct verify_report verified = {0};
    struct fault trouble = {FAULT_NONE, ""};
    bool clean = false;
    if (!pages_check_all(check->ledger, &damage, fault))
        return false;
    if (!verify_open_ledger(check->ledger, &verified, &clean, &trouble)) {
        if (trouble.code != FAULT_DAMAGED)
            return fault_set(fault, trouble.code, "%s", trouble.text);
        ledger_name_damage(check->ledger, &trouble);
        if (!damage.found)
            find(check, FILE_CHECK_DAMAGED, "%s", trouble.text);
    }
    if (damage.found)
        find_pages(check, &damage, clean);
    else if (!clean && !is_damaged(check))
        find(check, FILE_CHECK_DAMAGED, "the ledger '%s' is damaged or was changed: %s",
             sql_name(ledger_sql(check->ledger)), verified.sentence);
    check->report.movements = verified.movements;
    return true;
}

/* ---- a large one: in pieces ---- */

static bool check_movement(const struct movement *movement, void *context)
{
    struct file_check *check = context;
    uint8_t hash[HASH_BYTES];
    movement_hash(check->hash, movement, hash);
    if (movement->seq != check->report.movements + 1 || memcmp(hash, movement->hash, HASH_BYTES) != 0) {
        find(check, FILE_CHECK_DAMAGED,
             "the ledger '%s' is damaged or was changed at movement %" PRId64
             ", which does not follow from movement %" PRId64 ": " WAY_BACK,
             sql_name(ledger_sql(check->ledger)), movement->seq, check->report.movements);
        return false;
    }
    check->report.movements = movement->seq;
    memcpy(check->hash, hash, HASH_BYTES);
    return true;
}

/* A page of the chain; `*more`: it was full. */
static bool check_chain_page(struct file_check *check, bool *more, struct fault *fault)
{
    const int64_t before = check->report.movements;
    if (!ledger_each(check->ledger, before, PAGE, check_movement, check, fault))
        return false;
    *more = !is_damaged(check) && check->report.movements - before == PAGE;
    return true;
}

static bool check_answer(const struct act_row *row, const char *answer, void *context)
{
    struct file_check *check = context;
    json_error_t error;
    if (!answer[0]) /* no longer kept */
        return !atomic_load(&check->stop);
    json_t *object = json_loads(answer, 0, &error);
    const bool is_object = json_is_object(object);
    json_decref(object);
    if (!is_object)
        find(check, FILE_CHECK_DAMAGED, "the stored answer of act '%s' in '%s' cannot be read: " WAY_BACK, row->id,
             sql_name(ledger_sql(check->ledger)));
    return is_object && !atomic_load(&check->stop);
}

static bool check_answers(struct file_check *check, struct fault *fault)
{
    return act_row_each(check->ledger, check_answer, check, fault);
}

static bool check_texts(struct file_check *check, struct fault *fault)
{
    struct verify_report texts = {0};
    if (!verify_texts(check->ledger, &texts, fault))
        return false;
    if (texts.rows_different > 0)
        find(check, FILE_CHECK_DAMAGED, "the ledger '%s' is damaged or was changed: %s",
             sql_name(ledger_sql(check->ledger)), texts.sentence);
    return true;
}

static bool check_tree(struct file_check *check, const struct pages_tree *tree, int64_t *rows, struct fault *fault)
{
    struct pages_damage damage = {0};
    int64_t entries = 0;
    if (!pages_count(check->ledger, tree, &entries, &damage, fault))
        return false;
    if (damage.found)
        find_pages(check, &damage, tree->is_index);
    if (!tree->is_index)
        *rows = entries;
    else if (!tree->is_partial && entries != *rows)
        find(check, FILE_CHECK_INDEX,
             "the file '%s' is damaged only in its index %s (%" PRId64 " entries for %" PRId64
             " rows): stop the kiosk and make the file anew (sqlite3 '%s' .dump | sqlite3 NEW), or restore the newest "
             "backup",
             sql_name(ledger_sql(check->ledger)), tree->name, entries, *rows, sql_name(ledger_sql(check->ledger)));
    return true;
}

static bool same_table(const struct pages_tree *one, const struct pages_tree *other)
{
    return strcmp(one->table, other->table) == 0;
}

/* One table and its indexes, in one transaction: their counts must agree. */
static bool check_table(struct file_check *check, size_t number, bool *more, struct fault *fault)
{
    struct pages_tree trees[PAGES_TREES];
    size_t count = 0, at = 0;
    int64_t rows = 0;
    if (!pages_trees(check->ledger, trees, &count, fault))
        return false;
    for (; at < count && number > 0; number--) { /* on to the first tree of the table of that number */
        const size_t first = at;
        while (at < count && same_table(&trees[at], &trees[first]))
            at++;
    }
    *more = at < count;
    for (const size_t first = at; at < count && same_table(&trees[at], &trees[first]); at++)
        if (!check_tree(check, &trees[at], &rows, fault))
            return false;
    return true;
}

/* ---- one step after the other, each in a read transaction of its own ---- */

struct progress { /* in the whole of the work */
    enum { STEP_WHOLE, STEP_CHAIN, STEP_TEXTS, STEP_ANSWERS, STEP_TABLES, STEP_END } step;
    size_t table;
};

static bool take_step(struct file_check *check, struct progress *at, struct fault *fault)
{
    bool more = false, fine = true;
    switch (at->step) {
    case STEP_WHOLE:
        fine = check_whole(check, fault) && (is_damaged(check) || check_answers(check, fault));
        at->step = fine ? STEP_END : STEP_WHOLE;
        return fine;
    case STEP_CHAIN:
        fine = check_chain_page(check, &more, fault);
        break;
    case STEP_TEXTS:
        fine = check_texts(check, fault);
        break;
    case STEP_ANSWERS:
        fine = check_answers(check, fault);
        break;
    case STEP_TABLES:
        more = sql_has_file(ledger_sql(check->ledger));
        fine = !more || check_table(check, at->table, &more, fault);
        at->table += fine;
        break;
    case STEP_END:
        break;
    }
    if (fine && !more)
        at->step++;
    return fine;
}

static bool rest(struct file_check *check)
{
    for (int64_t waited = 0; waited < YIELD_MS && !atomic_load(&check->stop); waited += WAIT_MS) {
        const struct timespec pause = {.tv_nsec = WAIT_MS * 1000000L};
        (void)nanosleep(&pause, NULL);
    }
    atomic_store(&check->yield, false);
    return ++check->ways <= WAYS;
}

/* A failed step: damage, somebody who wants us to stop or give way, or a real trouble. False: no further. */
static bool understand(struct file_check *check, struct fault *trouble, struct fault *fault)
{
    if (atomic_load(&check->stop))
        return fault_set(fault, FAULT_BUSY, "the check of the ledger's file was stopped");
    if (trouble->code == FAULT_DAMAGED) {
        if (check->ledger)
            ledger_name_damage(check->ledger, trouble);
        find(check, FILE_CHECK_DAMAGED, "%s", trouble->text);
        return true;
    }
    if (!atomic_load(&check->yield))
        return fault_set(fault, trouble->code, "%s", trouble->text);
    if (!rest(check))
        find(check, FILE_CHECK_PART, "the check of the file gave way %d times to work at the kiosk and is not complete",
             WAYS);
    return true;
}

static bool run_steps(struct file_check *check, struct progress *at, struct fault *fault)
{
    while (at->step != STEP_END && check->report.state == FILE_CHECK_GOOD) {
        struct fault trouble = {FAULT_NONE, ""};
        if (atomic_load(&check->yield) && !rest(check))
            break;
        bool fine = !atomic_load(&check->stop) && ledger_begin(check->ledger, &trouble);
        if (fine) {
            fine = take_step(check, at, &trouble);
            ledger_rollback(check->ledger);
        }
        if (!fine && !understand(check, &trouble, fault))
            return false;
    }
    return true;
}

static bool choose(struct file_check *check, struct progress *at, struct fault *fault)
{
    int64_t bytes = 0;
    at->step = STEP_CHAIN;
    if (!sql_has_file(ledger_sql(check->ledger)))
        return true;
    if (!pages_bytes(check->ledger, &bytes, fault))
        return false;
    if (bytes <= check->whole_bytes)
        at->step = STEP_WHOLE;
    return true;
}

static void set_ledger(struct file_check *check, struct ledger *ledger)
{
    (void)pthread_mutex_lock(&check->lock);
    struct ledger *before = check->ledger;
    check->ledger = ledger;
    (void)pthread_mutex_unlock(&check->lock);
    ledger_close(before);
}

bool file_check_run(struct file_check *check, struct file_check_report *report, struct fault *fault)
{
    struct ledger *ledger = NULL;
    struct progress at = {.step = STEP_END};
    struct fault trouble = {FAULT_NONE, ""};
    check->report = (struct file_check_report){.state = FILE_CHECK_GOOD};
    memset(check->hash, 0, sizeof check->hash);
    bool fine = ledger_open(check->address, LEDGER_READER, &ledger, &trouble);
    if (fine) {
        set_ledger(check, ledger);
        fine = choose(check, &at, &trouble);
    }
    fine = fine ? run_steps(check, &at, fault) : understand(check, &trouble, fault);
    if (fine && check->report.state == FILE_CHECK_GOOD)
        find(check, FILE_CHECK_GOOD, "the file '%s' was checked whole: %" PRId64 " movements",
             sql_name(ledger_sql(ledger)), check->report.movements);
    set_ledger(check, NULL);
    if (fine)
        *report = check->report;
    return fine;
}
