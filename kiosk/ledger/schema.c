#include "kiosk/ledger/schema.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/schema_parts.h"
#include "labels/basics/text.h"

enum { WORD_MOST = 20 }; /* longest word put in for one of {int}, {blob}, {text}, {rowless} */

static const struct sql_text VERSION_INSERT = {"INSERT INTO schema_version (one, version) VALUES (1, $1)", "i"};
static const struct sql_text HEAD_INSERT = {"INSERT INTO ledger_head (one, seq, hash, demo) VALUES (1, 0, $1, 0)", "b"};
static const struct sql_text VERSION_READ = {"SELECT version FROM schema_version WHERE one = 1", ""};

/* Runs a text with the engine's words in it. */
static bool run_text(struct sql *sql, const char *text, struct fault *fault)
{
    const size_t size = strlen(text) * WORD_MOST / 4 + 1;
    char *expanded = malloc(size);
    if (!expanded)
        return fault_set(fault, FAULT_STORAGE, "no memory to make the ledger's tables: end other programs");
    struct builder out;
    builder_init(&out, expanded, size);
    while (*text) {
        const char *close = *text == '{' ? strchr(text, '}') : NULL;
        const char *word = close ? sql_schema_word(sql, text + 1, (size_t)(close - text) - 1) : NULL;
        if (word)
            builder_add(&out, word);
        else
            builder_add_char(&out, *text);
        text = word ? close + 1 : text + 1;
    }
    const bool fine = sql_exec(sql, expanded, fault);
    free(expanded);
    return fine;
}

static bool insert_head(struct sql *sql, struct fault *fault)
{
    static const uint8_t zeros[32];
    struct sql_statement *statement = NULL;
    if (!sql_start(sql, &HEAD_INSERT, &statement, fault))
        return false;
    sql_bind_blob(statement, 1, zeros, sizeof zeros);
    return sql_finish(statement, NULL, fault);
}

static bool insert_version(struct sql *sql, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(sql, &VERSION_INSERT, &statement, fault))
        return false;
    sql_bind_whole(statement, 1, SCHEMA_VERSION);
    return sql_finish(statement, NULL, fault);
}

static bool make_tables(struct sql *sql, struct fault *fault)
{
    return run_text(sql, SCHEMA_TABLES, fault) && insert_version(sql, fault) && insert_head(sql, fault);
}

/* 0: no ledger yet. */
static bool read_version(struct sql *sql, int64_t *version, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    bool there = false, row = false;
    if (!sql_has_table(sql, "schema_version", &there, fault))
        return false;
    if (!there) {
        if (!sql_has_any_table(sql, &there, fault))
            return false;
        *version = 0;
        return !there ||
               fault_set(fault, FAULT_STORAGE, "'%s' is another program's database, not a ledger: give another path",
                         sql_name(sql));
    }
    if (!sql_start(sql, &VERSION_READ, &statement, fault))
        return false;
    bool fine = sql_step(statement, &row, fault);
    const int64_t found = fine && row ? sql_whole(statement, 0) : 0;
    sql_done(statement);
    if (fine && (found < 1 || found > SCHEMA_VERSION))
        fine = fault_set(fault, FAULT_STORAGE,
                         "the ledger '%s' has form %lld, this program knows 1 to %d: use the newer program",
                         sql_name(sql), (long long)found, SCHEMA_VERSION);
    if (fine)
        *version = found;
    return fine;
}

/* Looks again inside the transaction: another kiosk may have been first. */
static bool migrate(struct sql *sql, struct fault *fault)
{
    int64_t version = 0;
    if (!sql_begin(sql, fault))
        return false;
    bool fine = read_version(sql, &version, fault);
    if (fine && version == 0)
        fine = make_tables(sql, fault);
    for (int64_t at = version; fine && at > 0 && at < SCHEMA_VERSION; at++)
        fine = run_text(sql, SCHEMA_STEPS[at - 1], fault);
    fine = fine && sql_commit(sql, fault);
    if (!fine)
        sql_rollback(sql);
    return fine;
}

bool schema_prepare(struct sql *sql, struct fault *fault)
{
    int64_t version = 0;
    if (!read_version(sql, &version, fault))
        return false;
    if (version == SCHEMA_VERSION)
        return true;
    if (!sql_is_writer(sql))
        return fault_set(fault, version == 0 ? FAULT_MISSING : FAULT_STORAGE,
                         "'%s' holds no ledger of this program's form yet: start the kiosk on it once", sql_name(sql));
    struct fault trouble = {.code = FAULT_NONE};
    if (migrate(sql, &trouble))
        return true;
    /* kiosks that start together on one empty PostgreSQL database: the losers find the winner's tables */
    if (read_version(sql, &version, NULL) && version == SCHEMA_VERSION)
        return true;
    return fault_set(fault, trouble.code, "%s", trouble.text);
}
