#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>
#include <unistd.h>

#include <sqlite3.h>

#include "labels/basics/text.h"
#include "tests/bench/big_ledger.h"
#include "tests/bench/counter_room.h"
#include "tests/bench/disk_calls.h"

/* bench_ledger_acts FOLDER ROUNDS ACTS [LEDGER]: real acts (check-out, check-in) alone and by 8 and 32 callers, each
 * round beside a bare loop of one durable insert with the same pragmas on the same disk. Prints JSON; tests/bench/run
 * calls it. With LEDGER the acts are done on that one, which is changed. */

enum { WAYS = 4, ROUNDS_MOST = 99 };

struct way {
    const char *name;
    int callers;  /* 0: the bare loop */
    int acts_one; /* acts a caller does in a round, as a share of ACTS */
};
static const struct way ways[WAYS] = {{"bare", 0, 1}, {"alone", 1, 1}, {"8 callers", 8, 1}, {"32 callers", 32, 2}};

struct measured {
    double per_second[ROUNDS_MOST];
    double cpu, acts, syncs, pages, groups;
};

static double seconds_of(clockid_t clock)
{
    struct timespec time;
    (void)clock_gettime(clock, &time);
    return (double)time.tv_sec + (double)time.tv_nsec / 1e9;
}

/* ---- the peer: one durable insert, nothing else ---- */

static void must(sqlite3 *handle, int code)
{
    if (code == SQLITE_OK || code == SQLITE_DONE || code == SQLITE_ROW)
        return;
    fprintf(stderr, "bare loop: %s\n", sqlite3_errmsg(handle));
    abort();
}

static sqlite3 *bare_open(const char *path)
{
    sqlite3 *handle = NULL;
    must(handle, sqlite3_open(path, &handle));
    must(handle, sqlite3_exec(handle,
                              "PRAGMA journal_mode = WAL; PRAGMA synchronous = FULL; PRAGMA wal_autocheckpoint = 0;"
                              "PRAGMA secure_delete = ON; PRAGMA cell_size_check = ON; PRAGMA temp_store = MEMORY;"
                              "CREATE TABLE IF NOT EXISTS bare (id TEXT PRIMARY KEY, body TEXT)",
                              NULL, NULL, NULL));
    return handle;
}

static void bare_run(sqlite3 *handle, int inserts)
{
    static const char body[] = "one movement's worth of text, two hundred bytes of it, as a peer that does nothing but "
                               "make a row durable: no rule, no present state, no answer kept for whoever asks again, "
                               "no hash chain; just this.";
    sqlite3_stmt *insert = NULL;
    must(handle,
         sqlite3_prepare_v2(handle, "INSERT INTO bare VALUES (lower(hex(randomblob(18))), ?)", -1, &insert, NULL));
    for (int i = 0; i < inserts; i++) {
        must(handle, sqlite3_bind_text(insert, 1, body, -1, SQLITE_STATIC));
        must(handle, sqlite3_step(insert));
        must(handle, sqlite3_reset(insert));
    }
    must(handle, sqlite3_finalize(insert));
}

/* ---- rounds ---- */

static void measure(struct counter_room *room, sqlite3 *bare, const struct way *way, int acts, int round,
                    struct measured *measured)
{
    const int each = acts * way->acts_one / (way->callers > 1 ? 4 : 1), callers = way->callers > 0 ? way->callers : 1;
    const double cpu_before = way->callers ? counter_room_writer_cpu(room) : seconds_of(CLOCK_THREAD_CPUTIME_ID);
    const struct writer_counts groups_before = counter_room_counts(room);
    const struct disk_calls before = disk_calls_read();
    const double started = seconds_of(CLOCK_MONOTONIC);
    if (way->callers)
        counter_room_run(room, way->callers, each);
    else
        bare_run(bare, each);
    const double wall = seconds_of(CLOCK_MONOTONIC) - started;
    const struct disk_calls after = disk_calls_read();
    const struct writer_counts groups_after = counter_room_counts(room);
    const double cpu_after = way->callers ? counter_room_writer_cpu(room) : seconds_of(CLOCK_THREAD_CPUTIME_ID);
    measured->per_second[round] = each * callers / wall;
    measured->acts += each * callers;
    measured->cpu += cpu_after - cpu_before;
    measured->syncs += (double)(after.syncs - before.syncs);
    measured->pages +=
        (double)(after.log_bytes - before.log_bytes) / 4120; /* a page of 4096 and its frame's head of 24 */
    measured->groups += (double)(groups_after.groups - groups_before.groups);
}

static int ascending(const void *one, const void *two)
{
    const double a = *(const double *)one, b = *(const double *)two;
    return (a > b) - (a < b);
}

static double median(const double *values, int count)
{
    double sorted[ROUNDS_MOST];
    memcpy(sorted, values, (size_t)count * sizeof *values);
    qsort(sorted, (size_t)count, sizeof *sorted, ascending);
    return count % 2 ? sorted[count / 2] : (sorted[count / 2 - 1] + sorted[count / 2]) / 2;
}

static void print(const struct measured measured[WAYS], int rounds)
{
    printf("{\"rounds\": %d", rounds);
    for (int w = 0; w < WAYS; w++) {
        double ratios[ROUNDS_MOST];
        for (int r = 0; r < rounds; r++)
            ratios[r] = measured[w].per_second[r] / measured[0].per_second[r];
        const struct measured *m = &measured[w];
        printf(", \"%s\": {\"ratio_to_bare\": %.2f, \"per_second\": %.0f, \"cpu_us\": %.1f, \"syncs\": %.3f, "
               "\"pages\": %.2f, \"group\": %.1f}",
               ways[w].name, median(ratios, rounds), median(m->per_second, rounds), m->cpu * 1e6 / m->acts,
               m->syncs / m->acts, m->pages / m->acts, m->groups > 0 ? m->acts / m->groups : 1);
    }
    printf("}\n");
}

int main(int argc, char **argv)
{
    static struct measured measured[WAYS];
    int64_t rounds = 0, acts = 0;
    char ledger[512], other[512];
    struct builder path;
    if (argc < 4 || argc > 5 || !span_read_count(span_of(argv[2]), &rounds) || rounds < 1 || rounds > ROUNDS_MOST ||
        !span_read_count(span_of(argv[3]), &acts) || acts < 8) {
        fprintf(stderr, "usage: bench_ledger_acts FOLDER ROUNDS ACTS [LEDGER]\n");
        return 2;
    }
    builder_init(&path, ledger, sizeof ledger);
    builder_addf(&path, "%s/acts.sqlite", argv[1]);
    builder_init(&path, other, sizeof other);
    builder_addf(&path, "%s/bare.sqlite", argv[1]);
    char storekeeper[SERIAL_SIZE] = "";
    if (argc == 5)
        big_ledger_storekeeper(storekeeper);
    struct counter_room *room = counter_room_create(argc == 5 ? argv[4] : ledger, storekeeper);
    sqlite3 *bare = bare_open(other);
    for (int r = 0; r < rounds; r++)
        for (int w = 0; w < WAYS; w++)
            measure(room, bare, &ways[w], (int)acts, r, &measured[w]);
    print(measured, (int)rounds);
    (void)sqlite3_close(bare);
    counter_room_destroy(room);
    return 0;
}
