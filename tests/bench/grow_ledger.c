#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "kiosk/ledger/ledger_room.h"
#include "tests/bench/big_ledger.h"

/* bench_grow_ledger LEDGER UNITS: grows a ledger (big_ledger.h) until this many units were received in all, and prints
 * what a movement cost. tests/bench/run calls it. */

static double cpu_seconds(void)
{
    struct timespec time;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &time);
    return (double)time.tv_sec + (double)time.tv_nsec / 1e9;
}

static int64_t head_of(struct ledger *ledger)
{
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    if (!ledger_head(ledger, &seq, hash, &fault))
        fprintf(stderr, "%s\n", fault.text);
    return seq;
}

int main(int argc, char **argv)
{
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    if (argc != 3) {
        fprintf(stderr, "usage: bench_grow_ledger LEDGER UNITS\n");
        return 2;
    }
    if (!ledger_open(argv[1], LEDGER_WRITER, &ledger, &fault)) {
        fprintf(stderr, "%s\n", fault.text);
        return 1;
    }
    struct big_ledger *big = big_ledger_create(ledger);
    const int64_t before = head_of(ledger);
    const double started = cpu_seconds();
    big_ledger_grow(big, atoll(argv[2]));
    const int64_t after = head_of(ledger);
    const double spent = cpu_seconds() - started;
    printf("{\"movements\": %" PRId64 ", \"cpu_us_a_movement\": %.2f, \"unit\": \"%s\"}\n", after,
           after > before ? spent * 1e6 / (double)(after - before) : 0, big_ledger_unit(big, 12345));
    big_ledger_destroy(big);
    ledger_close(ledger);
    return 0;
}
