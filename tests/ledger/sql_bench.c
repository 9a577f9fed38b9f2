#include "tests/ledger/sql_bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

const struct sql_text sql_bench_row = {"INSERT INTO thing (id, name, bytes) VALUES ($1, $2, $3)", "itb"};
const struct sql_text sql_bench_load = {"SELECT id, name, bytes FROM thing WHERE id = $1", "i"};
const struct sql_text sql_bench_each = {"SELECT id, name FROM thing ORDER BY name NULLS LAST, id", ""};
const struct sql_text sql_bench_rename = {"UPDATE thing SET name = $2 WHERE id >= $1", "it"};
static const struct sql_text COUNT = {"SELECT CAST(COUNT(*) AS BIGINT), CAST(SUM(id) AS BIGINT) FROM thing", ""};

struct sql *sql_bench_open(const struct ledger_fixture *fixture, enum sql_mode mode)
{
    struct sql *sql = NULL;
    struct fault fault = {0};
    if (!sql_open(fixture->address, mode, &sql, &fault))
        fail_msg("%s", fault.text);
    return sql;
}

void sql_bench_must_exec(struct sql *sql, const char *text)
{
    struct fault fault = {0};
    if (!sql_exec(sql, text, &fault))
        fail_msg("%s: %s", text, fault.text);
}

struct sql *sql_bench_open_with_table(const struct ledger_fixture *fixture)
{
    struct sql *sql = sql_bench_open(fixture, SQL_WRITER);
    const struct fault fault = {0};
    char text[200];
    (void)fault;
    (void)snprintf(text, sizeof text, "CREATE TABLE thing (id %s NOT NULL PRIMARY KEY, name %s, bytes %s)",
                   sql_schema_word(sql, "int", 3), sql_schema_word(sql, "text", 4), sql_schema_word(sql, "blob", 4));
    sql_bench_must_exec(sql, text);
    return sql;
}

bool sql_bench_insert(struct sql *sql, int64_t id, const char *name, struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(sql, &sql_bench_row, &statement, fault))
        return false;
    sql_bind_whole(statement, 1, id);
    sql_bind_text(statement, 2, name);
    sql_bind_null(statement, 3);
    return sql_finish(statement, NULL, fault);
}

int64_t sql_bench_count(struct sql *sql)
{
    struct sql_statement *statement = NULL;
    bool row = false;
    struct fault fault = {0};
    if (!sql_start(sql, &COUNT, &statement, &fault) || !sql_step(statement, &row, &fault))
        fail_msg("%s", fault.text);
    const int64_t number = sql_whole(statement, 0);
    sql_done(statement);
    return number;
}
