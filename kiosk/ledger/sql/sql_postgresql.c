#include <endian.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <libpq-fe.h>

#include "kiosk/ledger/sql/sql_driver.h"
#include "labels/basics/text.h"

/* The PostgreSQL driver, over libpq's prepared statements: parameters with explicit types, whole numbers and bytes in
 * binary both ways. Several kiosks may write; the ledger's head row puts them in order (docs/sql.md). */

enum { NAME_BYTES = 16, DETAIL_SIZE_MOST = 200, OLDEST_SERVER = 120000, BINARY = 1 };
enum { OID_BYTES = 17, OID_WHOLE = 20, OID_TEXT = 25 }; /* pg_type: bytea, int8, text; fixed for ever */

struct postgresql_sql {
    struct sql base;
    PGconn *connection;
    unsigned prepared; /* names of statements count up */
};

struct value {
    uint64_t whole; /* big-endian */
    char *bytes;    /* grows, freed with the statement */
    size_t room;
    int length;
    bool null, is_whole;
};

struct postgresql_statement {
    struct sql_statement base;
    char name[NAME_BYTES];
    struct value values[SQL_PARAMETERS];
    PGresult *result; /* NULL: not run yet */
    int row, rows;
};

static struct postgresql_sql *inside(struct sql *sql)
{
    return (struct postgresql_sql *)sql; /* base is the first member */
}

static const struct postgresql_sql *look_inside(const struct sql *sql)
{
    return (const struct postgresql_sql *)sql;
}

static struct postgresql_statement *in_statement(struct sql_statement *statement)
{
    return (struct postgresql_statement *)statement;
}

/* SQLSTATE classes: PostgreSQL manual, appendix A. */
static enum sql_trouble trouble_of(const char *state)
{
    static const struct {
        const char *start;
        enum sql_trouble trouble;
    } known[] = {
        {"40001", SQL_RETRY}, /* serialization_failure */
        {"40P01", SQL_RETRY}, /* deadlock_detected */
        {"55P03", SQL_BUSY},  /* lock_not_available: lock_timeout */
        {"57014", SQL_BUSY},  /* query_canceled: statement_timeout */
        {"53300", SQL_BUSY},  /* too_many_connections */
        {"57P03", SQL_BUSY},  /* cannot_connect_now: starting up */
        {"53100", SQL_FULL},  /* disk_full */
        {"53", SQL_IO},       /* out of memory and other resources */
        {"58", SQL_IO},       /* system error outside the database */
        {"XX001", SQL_CORRUPT}, {"XX002", SQL_CORRUPT}, {"23", SQL_CONSTRAINT}, {"22", SQL_INPUT},
    };
    for (size_t i = 0; state && i < sizeof known / sizeof *known; i++)
        if (strncmp(state, known[i].start, strlen(known[i].start)) == 0)
            return known[i].trouble;
    return SQL_OTHER;
}

/* The first line of the engine's words: what follows guesses at reasons. */
static const char *flatten(const char *message, char detail[DETAIL_SIZE_MOST])
{
    const struct span line = {message, message ? strcspn(message, "\n") : 0};
    struct builder text;
    builder_init(&text, detail, DETAIL_SIZE_MOST);
    builder_add_span(&text, line);
    return detail;
}

static bool fail(struct sql *sql, const PGresult *result, struct fault *fault)
{
    PGconn *connection = inside(sql)->connection;
    char detail[DETAIL_SIZE_MOST];
    const char *primary = PQresultErrorField(result, PG_DIAG_MESSAGE_PRIMARY);
    (void)flatten(primary ? primary : PQerrorMessage(connection), detail);
    if (PQstatus(connection) != CONNECTION_OK)
        return sql_fail(sql, SQL_LOST, detail, fault);
    return sql_fail(sql, trouble_of(PQresultErrorField(result, PG_DIAG_SQLSTATE)), detail, fault);
}

static void postgresql_close(struct sql *sql)
{
    PQfinish(inside(sql)->connection); /* the server rolls back what is open */
    free(sql);
}

static bool postgresql_exec(struct sql *sql, const char *text, struct fault *fault)
{
    PGresult *result = PQexec(inside(sql)->connection, text);
    const ExecStatusType status = PQresultStatus(result);
    const bool fine = status == PGRES_COMMAND_OK || status == PGRES_TUPLES_OK;
    if (!fine)
        (void)fail(sql, result, fault);
    PQclear(result);
    return fine;
}

/* COMMIT of a transaction in which a statement failed "succeeds" and rolls back: only the answer's tag tells. */
static bool postgresql_commit(struct sql *sql, struct fault *fault)
{
    PGresult *result = PQexec(inside(sql)->connection, "COMMIT");
    bool fine = PQresultStatus(result) == PGRES_COMMAND_OK;
    if (!fine) {
        (void)fail(sql, result, fault);
    } else if (strcmp(PQcmdStatus(result), "COMMIT") != 0) {
        fine = sql_fail(sql, SQL_OTHER, "a statement had failed before, so the transaction was rolled back", fault);
    }
    PQclear(result);
    return fine;
}

static bool postgresql_in_transaction(const struct sql *sql)
{
    const PGTransactionStatusType status = PQtransactionStatus(look_inside(sql)->connection);
    return status == PQTRANS_INTRANS || status == PQTRANS_INERROR || status == PQTRANS_ACTIVE;
}

static void postgresql_reset(struct sql_statement *statement)
{
    struct postgresql_statement *in = in_statement(statement);
    PQclear(in->result);
    in->result = NULL;
}

static void postgresql_finalize(struct sql_statement *statement)
{
    struct postgresql_statement *in = in_statement(statement);
    postgresql_reset(statement);
    for (int i = 0; i < SQL_PARAMETERS; i++)
        free(in->values[i].bytes);
    free(in);
}

static bool postgresql_prepare(struct sql *sql, const struct sql_text *text, struct sql_statement **statement,
                               struct fault *fault)
{
    struct postgresql_sql *connection = inside(sql);
    Oid types[SQL_PARAMETERS];
    const size_t count = strlen(text->types);
    if (count > SQL_PARAMETERS)
        return sql_fail(sql, SQL_OTHER, "a statement has too many parameters", fault);
    for (size_t i = 0; i < count; i++)
        types[i] = text->types[i] == 'i' ? OID_WHOLE : text->types[i] == 't' ? OID_TEXT : OID_BYTES;
    struct postgresql_statement *fresh = calloc(1, sizeof *fresh);
    if (!fresh)
        return sql_fail(sql, SQL_MEMORY, "no memory", fault);
    (void)snprintf(fresh->name, sizeof fresh->name, "s%u", ++connection->prepared);
    PGresult *result = PQprepare(connection->connection, fresh->name, text->text, (int)count, types);
    const bool fine = PQresultStatus(result) == PGRES_COMMAND_OK;
    if (!fine) {
        (void)fail(sql, result, fault);
        free(fresh);
    } else {
        *statement = &fresh->base;
    }
    PQclear(result);
    return fine;
}

static void postgresql_bind_whole(struct sql_statement *statement, int parameter, int64_t value)
{
    struct value *slot = &in_statement(statement)->values[parameter - 1];
    slot->whole = htobe64((uint64_t)value);
    slot->is_whole = true;
    slot->null = false;
    slot->length = (int)sizeof slot->whole;
}

static void postgresql_bind_bytes(struct sql_statement *statement, int parameter, char type, const void *bytes,
                                  size_t length)
{
    struct value *slot = &in_statement(statement)->values[parameter - 1];
    (void)type; /* text and bytea look the same in binary */
    if (length > INT32_MAX / 2) {
        sql_bind_failed(statement, SQL_INPUT, "a value is too long");
        return;
    }
    if (length + 1 > slot->room) {
        char *larger = realloc(slot->bytes, length + 1);
        if (!larger) {
            sql_bind_failed(statement, SQL_MEMORY, "no memory");
            return;
        }
        slot->bytes = larger;
        slot->room = length + 1;
    }
    if (length > 0)
        memcpy(slot->bytes, bytes, length);
    slot->is_whole = false;
    slot->null = false;
    slot->length = (int)length;
}

static void postgresql_bind_null(struct sql_statement *statement, int parameter)
{
    in_statement(statement)->values[parameter - 1].null = true;
}

static bool run(struct postgresql_statement *in, struct fault *fault)
{
    const char *values[SQL_PARAMETERS];
    int lengths[SQL_PARAMETERS], formats[SQL_PARAMETERS];
    for (int i = 0; i < in->base.parameters; i++) {
        const struct value *value = &in->values[i];
        values[i] = value->null ? NULL : value->is_whole ? (const char *)&value->whole : value->bytes;
        lengths[i] = value->length;
        formats[i] = BINARY;
    }
    in->result = PQexecPrepared(inside(in->base.sql)->connection, in->name, in->base.parameters, values, lengths,
                                formats, BINARY);
    const ExecStatusType status = PQresultStatus(in->result);
    if (status != PGRES_COMMAND_OK && status != PGRES_TUPLES_OK)
        return fail(in->base.sql, in->result, fault);
    in->row = -1;
    in->rows = PQntuples(in->result);
    return true;
}

static bool postgresql_step(struct sql_statement *statement, bool *row, struct fault *fault)
{
    struct postgresql_statement *in = in_statement(statement);
    if (!in->result && !run(in, fault))
        return false;
    if (in->row < in->rows)
        in->row++;
    *row = in->row < in->rows;
    return true;
}

static bool is_there(struct postgresql_statement *in, int column)
{
    return in->result && in->row >= 0 && in->row < in->rows && column < PQnfields(in->result) &&
           !PQgetisnull(in->result, in->row, column);
}

static bool postgresql_is_null(struct sql_statement *statement, int column)
{
    return !is_there(in_statement(statement), column);
}

static int64_t postgresql_whole(struct sql_statement *statement, int column)
{
    const struct postgresql_statement *in = in_statement(statement);
    const char *bytes = PQgetvalue(in->result, in->row, column);
    uint32_t four = 0;
    uint64_t eight = 0;
    switch (PQgetlength(in->result, in->row, column)) {
    case sizeof four: /* an int4: a literal in the statement */
        memcpy(&four, bytes, sizeof four);
        return (int32_t)be32toh(four);
    case sizeof eight:
        memcpy(&eight, bytes, sizeof eight);
        return (int64_t)be64toh(eight);
    default:
        return 0;
    }
}

static const void *postgresql_bytes(struct sql_statement *statement, int column, char type, size_t *length)
{
    struct postgresql_statement *in = in_statement(statement);
    (void)type;
    if (!is_there(in, column))
        return NULL;
    *length = (size_t)PQgetlength(in->result, in->row, column);
    return PQgetvalue(in->result, in->row, column); /* libpq ends every value with a NUL */
}

static int64_t postgresql_changes(struct sql_statement *statement)
{
    int64_t changes = 0;
    const char *tuples = PQcmdTuples(in_statement(statement)->result);
    return span_read_count(span_of(tuples), &changes) ? changes : 0;
}

static bool postgresql_checkpoint(struct sql *sql, enum sql_checkpoint how, struct fault *fault)
{
    (void)sql, (void)how, (void)fault;
    return true; /* the server's own affair */
}

static int64_t postgresql_log_bytes(const struct sql *sql)
{
    (void)sql;
    return 0;
}

static const struct sql_text HAS_TABLE = {
    "SELECT CAST(1 AS BIGINT) FROM pg_catalog.pg_class WHERE oid = to_regclass($1)", "t"};
/* Other programs' tables may live in the same database: none is in the way until its name is. */
static const struct sql_text HAS_ANY_TABLE = {"SELECT CAST(1 AS BIGINT) WHERE 1 = 0", ""};

static const struct sql_driver POSTGRESQL_DRIVER = {
    .word_int = "BIGINT",
    .word_blob = "BYTEA",
    .word_text = "TEXT COLLATE \"C\"",
    .word_rowless = "",
    .begin_writer = "BEGIN ISOLATION LEVEL READ COMMITTED READ WRITE",
    .begin_reader = "BEGIN ISOLATION LEVEL REPEATABLE READ READ ONLY",
    .close = postgresql_close,
    .exec = postgresql_exec,
    .commit = postgresql_commit,
    .in_transaction = postgresql_in_transaction,
    .prepare = postgresql_prepare,
    .finalize = postgresql_finalize,
    .bind_whole = postgresql_bind_whole,
    .bind_bytes = postgresql_bind_bytes,
    .bind_null = postgresql_bind_null,
    .step = postgresql_step,
    .is_null = postgresql_is_null,
    .whole = postgresql_whole,
    .bytes = postgresql_bytes,
    .changes = postgresql_changes,
    .reset = postgresql_reset,
    .checkpoint = postgresql_checkpoint,
    .log_bytes = postgresql_log_bytes,
    .has_table = &HAS_TABLE,
    .has_any_table = &HAS_ANY_TABLE,
};

static void ignore_notice(void *context, const PGresult *result)
{
    (void)context, (void)result;
}

/* A kiosk whose cable was pulled must not hold the head row: the server ends what stands idle in a transaction and what
 * no longer answers; on our side the same through the connection's own time-outs. */
static const char SETTINGS_BOTH[] =
    "SET standard_conforming_strings = on; SET tcp_keepalives_idle = 10; SET tcp_keepalives_interval = 3;"
    "SET tcp_keepalives_count = 3; SET tcp_user_timeout = 10000;"
    "SELECT set_config('synchronous_commit', 'on', false) WHERE current_setting('synchronous_commit') = 'off'";
static const char SETTINGS_WRITER[] = "SET lock_timeout = '5s'; SET idle_in_transaction_session_timeout = '15s'";
static const char SETTINGS_READER[] =
    "SET default_transaction_read_only = on; SET lock_timeout = '5s'; SET idle_in_transaction_session_timeout = '60s'";

static bool check_server(struct sql *sql, struct fault *fault)
{
    PGconn *connection = inside(sql)->connection;
    const char *encoding = PQparameterStatus(connection, "server_encoding");
    const char *standby = PQparameterStatus(connection, "in_hot_standby"); /* told since version 14 */
    if (PQserverVersion(connection) < OLDEST_SERVER)
        return fault_set(fault, FAULT_STORAGE,
                         "the database server '%s' is older than PostgreSQL 12: bring it up to date", sql->name);
    if (!encoding || strcmp(encoding, "UTF8") != 0)
        return fault_set(fault, FAULT_STORAGE, "the database '%s' has encoding %s, not UTF8: create it with UTF8",
                         sql->name, encoding ? encoding : "unknown");
    if (sql->mode == SQL_WRITER && standby && strcmp(standby, "on") == 0)
        return fault_set(fault, FAULT_STORAGE,
                         "the database '%s' is a replica that can only be read: give the address of the primary",
                         sql->name);
    return true;
}

static PGconn *connect_to(const char *conninfo)
{
    /* what stands before dbname the conninfo may overrule, what stands after it not */
    const char *const names[] = {"connect_timeout",  "keepalives_idle",  "keepalives_interval",
                                 "keepalives_count", "tcp_user_timeout", "application_name",
                                 "dbname",           "client_encoding",  NULL};
    const char *const values[] = {"5", "10", "3", "3", "10000", "ambershelf", conninfo, "UTF8", NULL};
    _Static_assert(sizeof names == sizeof values, "one value a name");
    return PQconnectdbParams(names, values, 1);
}

bool sql_postgresql_open(const char *conninfo, enum sql_mode mode, struct sql **sql, struct fault *fault)
{
    struct postgresql_sql *in = calloc(1, sizeof *in);
    if (!in)
        return fault_set(fault, FAULT_STORAGE, "no memory to connect to the database: end other programs");
    in->base.driver = &POSTGRESQL_DRIVER;
    in->base.mode = mode;
    in->connection = connect_to(conninfo);
    char name[SQL_NAME_SIZE], detail[DETAIL_SIZE_MOST];
    const char *host = PQhost(in->connection), *database = PQdb(in->connection);
    (void)snprintf(name, sizeof name, "%s on %s", database ? database : "?", host && *host ? host : "this machine");
    sql_set_name(&in->base, name);
    if (PQstatus(in->connection) != CONNECTION_OK) {
        (void)fault_set(fault, FAULT_STORAGE,
                        "the database '%s' cannot be reached (%s): check the address, the network "
                        "and the server",
                        in->base.name, flatten(PQerrorMessage(in->connection), detail));
        postgresql_close(&in->base);
        return false;
    }
    (void)PQsetNoticeReceiver(in->connection, ignore_notice, NULL);
    if (!check_server(&in->base, fault) || !postgresql_exec(&in->base, SETTINGS_BOTH, fault) ||
        !postgresql_exec(&in->base, mode == SQL_WRITER ? SETTINGS_WRITER : SETTINGS_READER, fault)) {
        postgresql_close(&in->base);
        return false;
    }
    *sql = &in->base;
    return true;
}
