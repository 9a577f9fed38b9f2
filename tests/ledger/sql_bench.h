#ifndef TESTS_LEDGER_SQL_BENCH_H
#define TESTS_LEDGER_SQL_BENCH_H

#include "kiosk/ledger/sql/sql.h"
#include "tests/support/ledger_fixture.h"

/* A database of one table, thing (id, name, bytes), for the tests of the SQL that both engines share. */

/* All fail the test when they cannot. The caller closes. */
struct sql *sql_bench_open(const struct ledger_fixture *fixture, enum sql_mode mode);
struct sql *sql_bench_open_with_table(const struct ledger_fixture *fixture);
void sql_bench_must_exec(struct sql *sql, const char *text);
int64_t sql_bench_count(struct sql *sql); /* rows of the table */

/* A row without bytes; false with its fault. */
bool sql_bench_insert(struct sql *sql, int64_t id, const char *name, struct fault *fault);

extern const struct sql_text sql_bench_load;   /* id -> id, name, bytes */
extern const struct sql_text sql_bench_each;   /* id, name; by name, nulls last */
extern const struct sql_text sql_bench_rename; /* name = $2 from id $1 on */
extern const struct sql_text sql_bench_row;    /* puts in id, name, bytes */

#endif
