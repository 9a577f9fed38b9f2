#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/sql/sql.h"
#include "kiosk/ledger/trace_account.h"
#include "labels/basics/text.h"
#include "tests/reading/random.h"

/* bench_trace_ledger LEDGER MOVEMENTS LOTS   what tracing a lot, and its account, cost in a ledger of so many
 * movements; one line of JSON, medians over LOTS lots. Fills an empty LEDGER first, by rows alone (no state, no
 * hashes): a thousand vats, each retired after some 800 acts and a new one in its place; a cartridge stands over its
 * vat for eight jobs, four of five jobs are run without a new one; a vat comes back and is put away after each job, and
 * labels are printed. */

enum { VATS = 1000, VAT_LIFE = 800, POURS = 8, LOT_CARTRIDGES = 24, GROUP = 100000, MOST_LOTS = 1000 };

static const struct sql_text INSERT = {
    "INSERT INTO movement (seq, act, kind, at_ms, local_day, trusted, kiosk, person, unit, other, item, lot, place,"
    " printer, job, word, pieces, form, hash) VALUES ($1, $2, $3, $4, $5, 1, 'desk', 'H0000010', $6, $7, $8, $9, $10,"
    " $11, $12, $13, $14, 1, $15)",
    "ittiittttttttib"};

struct room {
    struct sql *sql;
    int64_t seq, jobs, cartridges;
    long next_vat, next_cartridge;
    char vats[VATS][SERIAL_SIZE], over[VATS][SERIAL_SIZE];
    int lives[VATS], poured[VATS];
    uint64_t random;
};

static void must(bool good, const struct fault *fault)
{
    if (good)
        return;
    (void)fprintf(stderr, "bench_trace_ledger: %s\n", fault->text);
    exit(1);
}

static double cpu_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

static void bind(struct sql_statement *statement, int parameter, const char *text)
{
    if (text && text[0])
        sql_bind_text(statement, parameter, text);
    else
        sql_bind_null(statement, parameter);
}

struct row {
    const char *kind, *unit, *other, *item, *lot, *place, *printer, *job, *word;
};

static void insert(struct room *room, const struct row *row)
{
    static const uint8_t hash[HASH_BYTES];
    struct sql_statement *statement = NULL;
    struct fault fault = {0};
    char act[ACT_ID_SIZE];
    if (room->seq % GROUP == 0) {
        must(room->seq == 0 || sql_commit(room->sql, &fault), &fault);
        must(sql_checkpoint(room->sql, SQL_CHECKPOINT_PASSIVE, &fault), &fault);
        must(sql_begin(room->sql, &fault), &fault);
    }
    room->seq++;
    (void)snprintf(act, sizeof act, "0f5c2d1e-7a1b-4c3d-8e9f-%012llx", (long long)room->seq / 3);
    must(sql_start(room->sql, &INSERT, &statement, &fault), &fault);
    sql_bind_whole(statement, 1, room->seq);
    sql_bind_text(statement, 2, act);
    sql_bind_text(statement, 3, row->kind);
    sql_bind_whole(statement, 4, INT64_C(1700000000000) + room->seq * 60000);
    sql_bind_whole(statement, 5, 19675 + room->seq / 1440);
    bind(statement, 6, row->unit);
    bind(statement, 7, row->other);
    bind(statement, 8, row->item);
    bind(statement, 9, row->lot);
    bind(statement, 10, row->place);
    bind(statement, 11, row->printer);
    bind(statement, 12, row->job);
    bind(statement, 13, row->word);
    if (row->word)
        sql_bind_whole(statement, 14, 1); /* of a label */
    else
        sql_bind_null(statement, 14);
    sql_bind_blob(statement, 15, hash, sizeof hash);
    must(sql_finish(statement, NULL, &fault), &fault);
}

static void next_serial(char letter, long *number, char serial[SERIAL_SIZE])
{
    do
        ++*number;
    while ((*number >= DEMO_NUMBER_FIRST && *number <= DEMO_NUMBER_LAST) || !serial_write(letter, *number, serial));
}

static void lot_name(int64_t cartridge, char lot[LOT_SIZE])
{
    (void)snprintf(lot, LOT_SIZE, "L%lld", (long long)cartridge / LOT_CARTRIDGES);
}

static void act(struct room *room)
{
    static const char *const prints[] = {"waiting", "sent", "printed", "proved"};
    char job[JOB_SIZE], printer[PRINTER_SIZE], lot[LOT_SIZE];
    const int vat = random_below(&room->random, VATS);
    if (room->lives[vat]-- <= 0) {
        next_serial('V', &room->next_vat, room->vats[vat]);
        room->lives[vat] = VAT_LIFE / 2 + random_below(&room->random, VAT_LIFE);
        room->poured[vat] = 0;
        insert(room, &(struct row){.kind = "receipt", .unit = room->vats[vat], .item = "VAT-S"});
    }
    (void)snprintf(job, sizeof job, "job-%lld", (long long)room->jobs++);
    (void)snprintf(printer, sizeof printer, "P%d", vat % 20);
    const bool pours = random_below(&room->random, 5) == 0;
    if (pours && room->poured[vat]++ % POURS == 0) {
        next_serial('C', &room->next_cartridge, room->over[vat]);
        lot_name(room->cartridges++, lot);
        insert(room, &(struct row){.kind = "receipt", .unit = room->over[vat], .item = "FLINT", .lot = lot});
        for (size_t i = 0; i < sizeof prints / sizeof *prints; i++)
            insert(room, &(struct row){.kind = "print", .unit = room->over[vat], .word = prints[i]});
    }
    insert(room, &(struct row){.kind = "job-start", .printer = printer, .job = job});
    insert(room, &(struct row){.kind = "check-out", .unit = room->vats[vat], .printer = printer, .job = job});
    if (pours) {
        insert(room, &(struct row){.kind = "check-out", .unit = room->over[vat], .printer = printer, .job = job});
        insert(
            room,
            &(struct row){
                .kind = "supply", .unit = room->vats[vat], .other = room->over[vat], .printer = printer, .job = job});
        insert(room, &(struct row){.kind = "check-in", .unit = room->over[vat], .place = "A01"});
    }
    insert(room, &(struct row){.kind = "job-end", .printer = printer, .job = job});
    insert(room, &(struct row){.kind = "check-in", .unit = room->vats[vat], .place = "B01"});
    insert(room, &(struct row){.kind = "put-away", .unit = room->vats[vat], .place = "B02"});
}

static int64_t fill(const char *address, int64_t movements)
{
    struct room *room = calloc(1, sizeof *room);
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    must(room && ledger_open(address, LEDGER_WRITER, &ledger, &fault), &fault);
    room->sql = ledger_sql(ledger);
    room->random = 20261126;
    while (room->seq < movements)
        act(room);
    must(sql_commit(room->sql, &fault), &fault);
    must(sql_checkpoint(room->sql, SQL_CHECKPOINT_EMPTY, &fault), &fault);
    const int64_t lots = room->cartridges / LOT_CARTRIDGES;
    ledger_close(ledger);
    free(room);
    return lots;
}

static bool count_place(const struct trace_place *place, void *context)
{
    (void)place;
    ++*(int64_t *)context;
    return true;
}

/* What is asked for beside the walk: how much of the lot is where. */
static double account_ms(struct ledger *ledger, const char *lot)
{
    struct trace_account account;
    struct fault fault = {0};
    int64_t places = 0;
    const double start = cpu_ms();
    must(trace_account_read(ledger, "FLINT", lot, &account, count_place, &places, &fault), &fault);
    return cpu_ms() - start;
}

static bool count(const struct trace_stop *stop, void *context)
{
    (void)stop;
    ++*(int64_t *)context;
    return true;
}

static int by_size(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

int main(int argc, char **argv)
{
    const long long movements = argc == 4 ? strtoll(argv[2], NULL, 10) : 0;
    const long lots = argc == 4 ? strtol(argv[3], NULL, 10) : 0;
    static double cpu[MOST_LOTS], account[MOST_LOTS], reached[MOST_LOTS], edges[MOST_LOTS];
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    if (movements < 1000 || lots < 1 || lots > MOST_LOTS) {
        (void)fputs("usage: bench_trace_ledger LEDGER MOVEMENTS LOTS\n", stderr);
        return 2;
    }
    const int64_t all = fill(argv[1], movements);
    must(ledger_open(argv[1], LEDGER_READER, &ledger, &fault), &fault);
    for (long i = 0; i < lots; i++) {
        char lot[LOT_SIZE];
        int64_t stops = 0;
        struct trace_cost cost;
        (void)snprintf(lot, sizeof lot, "L%lld", (long long)(all * i / lots));
        const double start = cpu_ms();
        must(trace_lot(ledger, "FLINT", lot, count, &stops, &cost, &fault), &fault);
        cpu[i] = cpu_ms() - start;
        account[i] = account_ms(ledger, lot);
        reached[i] = (double)stops;
        edges[i] = (double)cost.edges;
    }
    ledger_close(ledger);
    qsort(cpu, (size_t)lots, sizeof *cpu, by_size);
    qsort(account, (size_t)lots, sizeof *account, by_size);
    qsort(reached, (size_t)lots, sizeof *reached, by_size);
    qsort(edges, (size_t)lots, sizeof *edges, by_size);
    printf("{\"movements\": %lld, \"lots\": %ld, \"cpu_ms\": %.3f, \"most_cpu_ms\": %.3f, \"account_ms\": %.3f, "
           "\"most_account_ms\": %.3f, \"reached\": %.0f, "
           "\"edges\": %.0f}\n",
           movements, lots, cpu[lots / 2], cpu[lots - 1], account[lots / 2], account[lots - 1], reached[lots / 2],
           edges[lots / 2]);
    return 0;
}
