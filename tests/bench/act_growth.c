#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#include "kiosk/ledger/ledger_room.h"
#include "labels/basics/text.h"
#include "tests/desk/technician.h"
#include "tests/support/grown_room.h"

/* bench_act_growth FOLDER ROUNDS UNITS...: what each act costs in rooms that had so many units, all in this process and
 * in turns, so that what else the machine does falls on all alike. Median CPU time of the writer's thread. Prints JSON;
 * tests/bench/run calls it. Ledgers that stand in FOLDER already (UNITS.sqlite) are used as they are, and changed. */

enum { ROOMS_MOST = 4, ROUNDS_MOST = 1000, TODAY = 20500, WARM_UP = 3 };

struct bench_room {
    int64_t units;
    double fill_s;
    struct technician *technician;
    clockid_t clock;
    int64_t ns[TECHNICIAN_ACT_COUNT][ROUNDS_MOST];
};

static void must(bool good, const struct fault *fault)
{
    if (good)
        return;
    fprintf(stderr, "bench_act_growth: %s\n", fault->text);
    exit(1);
}

static int64_t now_ns(clockid_t clock)
{
    struct timespec time = {0};
    (void)clock_gettime(clock, &time);
    return time.tv_sec * INT64_C(1000000000) + time.tv_nsec;
}

static int64_t writer_ns(void *context)
{
    return now_ns(((struct bench_room *)context)->clock);
}

static void open_room(struct bench_room *room, const char *folder)
{
    const struct day today = {TODAY};
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    char path[512];
    (void)snprintf(path, sizeof path, "%s/%lld.sqlite", folder, (long long)room->units);
    const int64_t start = now_ns(CLOCK_PROCESS_CPUTIME_ID);
    must(ledger_open(path, LEDGER_WRITER, &ledger, &fault) && ledger_head(ledger, &seq, hash, &fault), &fault);
    if (seq == 0)
        grown_room_fill(ledger, room->units, today);
    ledger_close(ledger);
    room->fill_s = (double)(now_ns(CLOCK_PROCESS_CPUTIME_ID) - start) / 1e9;
    fprintf(stderr, "%lld units in %.0f s of CPU\n", (long long)room->units, room->fill_s);
    room->technician = technician_create(path, today);
    room->clock = technician_writer_clock(room->technician);
}

static void work(struct bench_room *room, int round)
{
    int64_t spent[TECHNICIAN_ACT_COUNT] = {0};
    technician_round(room->technician, writer_ns, room, spent);
    for (int act = 0; act < TECHNICIAN_ACT_COUNT && round >= 0; act++)
        room->ns[act][round] = spent[act];
}

static int ascending(const void *one, const void *two)
{
    const int64_t a = *(const int64_t *)one, b = *(const int64_t *)two;
    return (a > b) - (a < b);
}

static void print(struct bench_room *rooms, int count, int rounds)
{
    printf("{\"rounds\": %d, \"units\": [", rounds);
    for (int i = 0; i < count; i++)
        printf("%s%lld", i > 0 ? ", " : "", (long long)rooms[i].units);
    printf("], \"acts\": {");
    for (int act = 0; act < TECHNICIAN_ACT_COUNT; act++) {
        printf("%s\"%s\": [", act > 0 ? ", " : "", technician_act_words((enum technician_act)act));
        for (int i = 0; i < count; i++) {
            qsort(rooms[i].ns[act], (size_t)rounds, sizeof(int64_t), ascending);
            const int64_t median = rooms[i].ns[act][rounds / 2];
            printf("%s%.1f", i > 0 ? ", " : "", (double)median / 1e3);
        }
        printf("]");
    }
    printf("}}\n");
}

int main(int argc, char **argv)
{
    static struct bench_room rooms[ROOMS_MOST];
    const int count = argc - 3;
    int64_t rounds = 0;
    bool good = count >= 1 && count <= ROOMS_MOST && span_read_count(span_of(argv[2]), &rounds) && rounds >= 1 &&
                rounds <= ROUNDS_MOST;
    for (int i = 0; good && i < count; i++)
        good = span_read_count(span_of(argv[3 + i]), &rooms[i].units) && rooms[i].units >= GROWN_LOT_UNITS;
    if (!good) {
        fprintf(stderr, "usage: bench_act_growth FOLDER ROUNDS UNITS...\n");
        return 2;
    }
    for (int i = 0; i < count; i++)
        open_room(&rooms[i], argv[1]);
    for (int round = -WARM_UP; round < rounds; round++)
        for (int i = 0; i < count; i++)
            work(&rooms[i], round);
    print(rooms, count, (int)rounds);
    for (int i = 0; i < count; i++)
        technician_destroy(rooms[i].technician);
    return 0;
}
