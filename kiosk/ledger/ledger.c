#include "kiosk/ledger/ledger.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/row.h"
#include "kiosk/ledger/row_memory.h"
#include "kiosk/ledger/schema.h"

static const struct sql_text HEAD_READ = {"SELECT seq, hash, demo FROM ledger_head WHERE one = 1", ""};
/* Takes the row's lock: on PostgreSQL this puts the kiosks in a queue, so that the order of commits is the order of
 * numbers. */
static const struct sql_text HEAD_TAKE = {"UPDATE ledger_head SET seq = seq WHERE one = 1 RETURNING seq, hash, demo",
                                          ""};
static const struct sql_text HEAD_WRITE = {"UPDATE ledger_head SET seq = $1, hash = $2 WHERE one = 1", "ib"};
static const struct sql_text DEMO_SET = {"UPDATE ledger_head SET demo = 1 WHERE one = 1", ""};

struct head_row {
    struct ledger_position at;
    bool demo;
};
static const struct row_field HEAD_LIST[] = {
    ROW_FIELD(WHOLE, head_row, at.seq),
    ROW_FIELD(BYTES, head_row, at.hash),
    ROW_FIELD(FLAG, head_row, demo),
};
static const struct row_fields HEAD_FIELDS = ROW_FIELDS("ledger_head", HEAD_LIST);

static bool read_head(struct ledger *ledger, const struct sql_text *text, struct head_row *row, struct fault *fault)
{
    struct row_walk walk;
    if (!row_walk_start(&walk, ledger, text, NULL, fault))
        return false;
    const bool there = row_walk_next(&walk, &HEAD_FIELDS, row, fault);
    if (there) { /* UPDATE … RETURNING is only complete once stepped to its end */
        struct head_row rest;
        (void)row_walk_next(&walk, &HEAD_FIELDS, &rest, fault);
    }
    if (!row_walk_end(&walk))
        return false;
    return there ||
           fault_set(fault, FAULT_DAMAGED, "the ledger '%s' has lost its head row: go back to the newest backup",
                     sql_name(ledger->sql));
}

bool ledger_open(const char *address, enum ledger_mode mode, struct ledger **ledger, struct fault *fault)
{
    struct ledger *fresh = calloc(1, sizeof *fresh);
    struct head_row head = {0};
    if (!fresh)
        return fault_set(fault, FAULT_STORAGE, "no memory to open the ledger: end other programs");
    fresh->mode = mode;
    fresh->rows = mode == LEDGER_WRITER ? row_memory_create() : NULL;
    if (!sql_open(address, mode == LEDGER_WRITER ? SQL_WRITER : SQL_READER, &fresh->sql, fault) ||
        !schema_prepare(fresh->sql, fault) || !read_head(fresh, &HEAD_READ, &head, fault)) {
        sql_close(fresh->sql);
        row_memory_destroy(fresh->rows);
        free(fresh);
        return false;
    }
    fresh->demo = head.demo;
    *ledger = fresh;
    return true;
}

bool ledger_is_shared(const char *address)
{
    return sql_sqlite_path(address) == NULL;
}

void ledger_close(struct ledger *ledger)
{
    if (!ledger)
        return;
    ledger_rollback(ledger);
    if (ledger->mode == LEDGER_WRITER)
        (void)sql_checkpoint(ledger->sql, SQL_CHECKPOINT_CLOSE, NULL); /* what stays is found at the next start */
    sql_close(ledger->sql);
    row_memory_destroy(ledger->rows);
    free(ledger);
}

struct sql *ledger_sql(struct ledger *ledger)
{
    return ledger->sql;
}

struct row_memory *ledger_row_memory(struct ledger *ledger)
{
    return ledger->in_group ? ledger->rows : NULL;
}

/* What was read may no longer be what the ledger holds. */
static void forget(struct ledger *ledger)
{
    row_memory_drop_all(ledger->rows);
    ledger->last_act = LAST_ACT_UNKNOWN;
}

enum sql_trouble ledger_trouble(const struct ledger *ledger)
{
    return sql_trouble(ledger->sql);
}

int64_t ledger_rows_written(const struct ledger *ledger)
{
    return sql_rows_written(ledger->sql);
}

bool ledger_in_transaction(const struct ledger *ledger)
{
    return sql_in_transaction(ledger->sql);
}

void ledger_name_damage(const struct ledger *ledger, struct fault *fault)
{
    const char *name = sql_name(ledger->sql);
    if (fault->code == FAULT_DAMAGED && !strstr(fault->text, name))
        fault_set(fault, fault->code, "the ledger '%s' is damaged: %s", name, fault->text);
}

bool ledger_checkpoint(struct ledger *ledger, bool idle, struct fault *fault)
{
    if (!idle && sql_log_bytes(ledger->sql) <= LEDGER_LOG_BYTES)
        return true;
    const bool empty = idle && (ledger->erased || sql_log_file_bytes(ledger->sql) > LEDGER_LOG_BYTES);
    if (!sql_checkpoint(ledger->sql, empty ? SQL_CHECKPOINT_EMPTY : SQL_CHECKPOINT_PASSIVE, fault))
        return false;
    ledger->unemptied = empty && sql_log_file_bytes(ledger->sql) > 0;
    ledger->erased = ledger->erased && ledger->unemptied;
    return true;
}

bool ledger_checkpoint_is_due(const struct ledger *ledger)
{
    return ledger->erased || ledger->unemptied || sql_log_bytes(ledger->sql) > 0;
}

void ledger_text_was_erased(struct ledger *ledger)
{
    ledger->erased = true;
}

bool ledger_begin(struct ledger *ledger, struct fault *fault)
{
    struct head_row head = {0};
    if (!sql_begin(ledger->sql, fault))
        return false;
    if (ledger->mode == LEDGER_READER)
        return true;
    if (!read_head(ledger, sql_begins_locked(ledger->sql) ? &HEAD_READ : &HEAD_TAKE, &head, fault)) {
        sql_rollback(ledger->sql);
        return false;
    }
    ledger->head = ledger->saved = head.at;
    ledger->demo = head.demo;
    ledger->in_group = true;
    ledger->moved = false;
    if (!sql_alone_since(ledger->sql, &ledger->alone))
        forget(ledger);
    return true;
}

static bool write_head(struct ledger *ledger, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger->sql, &HEAD_WRITE, &statement, fault))
        return false;
    sql_bind_whole(statement, 1, ledger->head.seq);
    sql_bind_blob(statement, 2, ledger->head.hash, HASH_BYTES);
    return sql_finish(statement, NULL, fault);
}

bool ledger_commit(struct ledger *ledger, struct fault *fault)
{
    if (ledger->moved && !write_head(ledger, fault))
        return false;
    if (!sql_commit(ledger->sql, fault))
        return false;
    (void)sql_alone_since(ledger->sql, &ledger->alone); /* of this commit we know */
    ledger->in_group = false;
    ledger->moved = false;
    return true;
}

void ledger_rollback(struct ledger *ledger)
{
    sql_rollback(ledger->sql);
    forget(ledger);
    ledger->in_group = false; /* the next begin reads the head again */
    ledger->moved = false;
}

bool ledger_savepoint(struct ledger *ledger, struct fault *fault)
{
    if (!sql_savepoint(ledger->sql, fault))
        return false;
    ledger->saved = ledger->head;
    ledger->saved_moved = ledger->moved;
    return true;
}

bool ledger_release(struct ledger *ledger, struct fault *fault)
{
    return sql_release(ledger->sql, fault);
}

void ledger_rollback_to(struct ledger *ledger)
{
    (void)sql_rollback_to(ledger->sql, NULL); /* when it fails, the whole transaction is gone: ledger_in_transaction */
    forget(ledger);
    ledger->head = ledger->saved;
    ledger->moved = ledger->saved_moved;
}

void ledger_set_booking(struct ledger *ledger, const struct booking *booking)
{
    ledger->booking = *booking;
}

bool ledger_head(struct ledger *ledger, int64_t *seq, uint8_t hash[HASH_BYTES], struct fault *fault)
{
    struct head_row head = {.at = ledger->head};
    if (!ledger->in_group && !read_head(ledger, &HEAD_READ, &head, fault))
        return false;
    *seq = head.at.seq;
    memcpy(hash, head.at.hash, HASH_BYTES);
    return true;
}

bool ledger_is_demo(struct ledger *ledger)
{
    return ledger->demo;
}

bool ledger_set_demo(struct ledger *ledger, struct fault *fault)
{
    const bool own = !ledger->in_group;
    if (own && !ledger_begin(ledger, fault))
        return false;
    bool fine = ledger->demo || ledger->head.seq == 0 ||
                fault_set(fault, FAULT_REFUSED,
                          "the ledger '%s' already holds real stock and cannot become a demo: give the demo a path of "
                          "its own",
                          sql_name(ledger->sql));
    fine = fine && row_run(ledger, &DEMO_SET, NULL, NULL, fault);
    if (own && fine)
        fine = ledger_commit(ledger, fault);
    if (own && !fine)
        ledger_rollback(ledger);
    if (fine)
        ledger->demo = true; /* rolled back by the caller, the next begin reads it again */
    return fine;
}
