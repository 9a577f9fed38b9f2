#include "tests/faults/act_run_state.h"

#include <stdio.h>
#include <string.h>

#include <sodium.h>
#include <sqlite3.h>

static bool say(sqlite3 *handle, const char *what, char *sentence, size_t size)
{
    (void)snprintf(sentence, size, "%s: %s", what, handle ? sqlite3_errmsg(handle) : "no memory");
    return false;
}

static void digest_row(sqlite3_stmt *row, struct state_table *table)
{
    crypto_hash_sha256_state hash;
    uint8_t digest[STATE_DIGEST];
    crypto_hash_sha256_init(&hash);
    for (int i = 0; i < sqlite3_column_count(row); i++) {
        const int type = sqlite3_column_type(row, i);
        const void *bytes =
            type == SQLITE_BLOB ? sqlite3_column_blob(row, i) : (const void *)sqlite3_column_text(row, i);
        const int head[] = {i, type, sqlite3_column_bytes(row, i)};
        crypto_hash_sha256_update(&hash, (const uint8_t *)head, sizeof head);
        if (bytes)
            crypto_hash_sha256_update(&hash, bytes, (unsigned long long)head[2]);
    }
    crypto_hash_sha256_final(&hash, digest);
    for (int i = 0; i < STATE_DIGEST; i++)
        table->digest[i] ^= digest[i]; /* rows of a table differ in their key, so none wipes another out */
    table->rows++;
}

static bool read_table(sqlite3 *handle, struct state_table *table, char *sentence, size_t size)
{
    char text[STATE_NAME + 40];
    sqlite3_stmt *rows = NULL;
    int code = SQLITE_OK;
    (void)snprintf(text, sizeof text, "SELECT * FROM \"%s\"", table->name); /* names of our own schema */
    if (sqlite3_prepare_v2(handle, text, -1, &rows, NULL) != SQLITE_OK)
        return say(handle, table->name, sentence, size);
    while ((code = sqlite3_step(rows)) == SQLITE_ROW)
        digest_row(rows, table);
    (void)sqlite3_finalize(rows);
    return code == SQLITE_DONE || say(handle, table->name, sentence, size);
}

static bool read_tables(sqlite3 *handle, struct state *state, char *sentence, size_t size)
{
    sqlite3_stmt *names = NULL;
    int code = SQLITE_OK;
    if (sqlite3_prepare_v2(handle, "SELECT name FROM sqlite_master WHERE type = 'table' ORDER BY name", -1, &names,
                           NULL) != SQLITE_OK)
        return say(handle, "the list of tables", sentence, size);
    while ((code = sqlite3_step(names)) == SQLITE_ROW && state->count < STATE_TABLES)
        (void)snprintf(state->tables[state->count++].name, STATE_NAME, "%s",
                       (const char *)sqlite3_column_text(names, 0));
    (void)sqlite3_finalize(names);
    if (code != SQLITE_DONE)
        return say(handle, "the list of tables", sentence, size);
    for (int i = 0; i < state->count; i++)
        if (!read_table(handle, &state->tables[i], sentence, size))
            return false;
    return true;
}

static int note_trouble(void *context, int columns, char **values, char **names)
{
    (void)columns, (void)names;
    char *trouble = context;
    if (values[0] && strcmp(values[0], "ok") != 0 && trouble[0] == '\0')
        (void)snprintf(trouble, 200, "%s", values[0]);
    return 0;
}

static bool is_sound(sqlite3 *handle, char *sentence, size_t size)
{
    char trouble[200] = "";
    if (sqlite3_exec(handle, "PRAGMA integrity_check", note_trouble, trouble, NULL) != SQLITE_OK)
        return say(handle, "integrity_check", sentence, size);
    if (trouble[0] == '\0')
        return true;
    (void)snprintf(sentence, size, "integrity_check: %s", trouble);
    return false;
}

bool state_read(const char *path, bool sound, struct state *state, char *sentence, size_t size)
{
    sqlite3 *handle = NULL;
    memset(state, 0, sizeof *state);
    bool fine = sqlite3_open_v2(path, &handle, SQLITE_OPEN_READONLY, NULL) == SQLITE_OK ||
                say(handle, "the ledger cannot be opened", sentence, size);
    if (fine) {
        (void)sqlite3_busy_timeout(handle, 1000);
        (void)sqlite3_db_config(handle, SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, NULL); /* look, do not touch */
        fine = (!sound || is_sound(handle, sentence, size)) &&
               sqlite3_exec(handle, "BEGIN", NULL, NULL, NULL) == SQLITE_OK &&
               read_tables(handle, state, sentence, size);
    }
    (void)sqlite3_close(handle);
    return fine;
}

const char *state_differs(const struct state *one, const struct state *two)
{
    if (one->count != two->count)
        return "the list of tables";
    for (int i = 0; i < one->count; i++) {
        const struct state_table *a = &one->tables[i], *b = &two->tables[i];
        if (strcmp(a->name, b->name) != 0 || a->rows != b->rows || memcmp(a->digest, b->digest, STATE_DIGEST) != 0)
            return a->name;
    }
    return NULL;
}
