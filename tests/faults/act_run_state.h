#ifndef TESTS_FAULTS_ACT_RUN_STATE_H
#define TESTS_FAULTS_ACT_RUN_STATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* What a SQLite ledger holds, table by table, read past the ledger's own code: sqlite3 and nothing of ours. */

enum { STATE_TABLES = 40, STATE_DIGEST = 32, STATE_NAME = 40 };

struct state_table {
    char name[STATE_NAME];
    int64_t rows;
    uint8_t digest[STATE_DIGEST]; /* of all rows in any order: every column, its type and its bytes */
};

struct state {
    int count; /* 0: there is no ledger yet */
    struct state_table tables[STATE_TABLES];
};

/* Opens `path` read-only. `sound`: ask SQLite's integrity_check too. False: `sentence` says why. */
bool state_read(const char *path, bool sound, struct state *state, char *sentence, size_t size);
/* The first table that differs, NULL when both hold the same. */
const char *state_differs(const struct state *one, const struct state *two);

#endif
