#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

#include "kiosk/rules/recall.h"
#include "tests/reading/random.h"

/* bench_recall_walk MOVEMENTS LOTS   how far a recall reaches in an invented room's years of movements, and what the
 * walk costs; one line of JSON, medians over LOTS lots. In the room there are a thousand vats; a cartridge is poured
 * out in eight parts into one of them, four jobs are run for each pour, a vat is cleaned after some fifty acts and now
 * and then poured into another. The movements lie in memory, by container and sequence, as an index of a database has
 * them. */

enum { VATS = 1000, POURS = 8, LOT = 24 /* cartridges */, MOST_LOTS = 1000 };

struct movement {
    int64_t sequence, from, to;
    enum recall_act act;
};

struct room {
    struct movement *all; /* by container, then by sequence */
    size_t *first;        /* of each container; one more at the end */
    size_t movements, containers, jobs, calls;
};

static double cpu_ms(void)
{
    struct timespec now;
    (void)clock_gettime(CLOCK_PROCESS_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e3 + (double)now.tv_nsec / 1e6;
}

/* Containers: the vats, then the cartridges in the order in which they are opened. */
static struct movement draw(struct room *room, int64_t sequence, uint64_t *random)
{
    static int64_t cartridge_of[VATS];
    static int poured[VATS];
    const int vat = random_below(random, VATS), chance = random_below(random, 1000);
    if (chance < 20)
        return (struct movement){sequence, vat, 0, RECALL_CLEAN};
    if (chance < 25)
        return (struct movement){sequence, vat, (vat + 1 + random_below(random, VATS - 1)) % VATS, RECALL_POUR};
    if (chance >= 200)
        return (struct movement){sequence, vat, (int64_t)room->jobs++, RECALL_USE};
    if (poured[vat]++ % POURS == 0)
        cartridge_of[vat] = (int64_t)room->containers++;
    return (struct movement){sequence, cartridge_of[vat], vat, RECALL_POUR};
}

static void clear(struct room *room)
{
    free(room->all);
    free(room->first);
    *room = (struct room){0};
}

static bool furnish(struct room *room, size_t movements)
{
    uint64_t random = 20261126;
    struct movement *drawn = calloc(movements, sizeof *drawn);
    *room = (struct room){.all = calloc(movements, sizeof *drawn), .movements = movements, .containers = VATS};
    for (size_t i = 0; drawn && i < movements; i++)
        drawn[i] = draw(room, (int64_t)i + 1, &random);
    room->first = calloc(room->containers + 2, sizeof *room->first);
    const bool good = drawn && room->all && room->first;
    for (size_t i = 0; good && i < movements; i++)
        room->first[drawn[i].from + 2]++;
    for (size_t i = 2; good && i < room->containers + 2; i++)
        room->first[i] += room->first[i - 1];
    for (size_t i = 0; good && i < movements; i++)
        room->all[room->first[drawn[i].from + 1]++] = drawn[i];
    free(drawn);
    if (!good)
        clear(room);
    return good;
}

static bool next(void *context, int64_t container, int64_t sequence, struct recall_edge *edge)
{
    struct room *room = context;
    size_t low = room->first[container], high = room->first[container + 1];
    const size_t end = high;
    room->calls++;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (room->all[middle].sequence > sequence)
            high = middle;
        else
            low = middle + 1;
    }
    if (low == end)
        return false;
    *edge = (struct recall_edge){room->all[low].sequence, room->all[low].act, room->all[low].to, 0.125};
    return true;
}

static int by_size(const void *a, const void *b)
{
    const double one = *(const double *)a, two = *(const double *)b;
    return (one > two) - (one < two);
}

int main(int argc, char **argv)
{
    const long long movements = argc == 3 ? strtoll(argv[1], NULL, 10) : 0;
    const long lots = argc == 3 ? strtol(argv[2], NULL, 10) : 0;
    struct room room = {0};
    if (movements < 1000 || lots < 1 || lots > MOST_LOTS) {
        (void)fputs("usage: bench_recall_walk MOVEMENTS LOTS\n", stderr);
        return 2;
    }
    if (!furnish(&room, (size_t)movements)) {
        (void)fputs("bench_recall_walk: no memory for so many movements\n", stderr);
        return 1;
    }
    const size_t places = room.containers + room.jobs, size = 8 * places * sizeof(struct recall_place);
    void *memory = malloc(size);
    double cpu[MOST_LOTS], reached[MOST_LOTS], calls[MOST_LOTS];
    for (long i = 0; i < lots; i++) {
        struct arena arena;
        struct recall_reach reach;
        struct recall_start starts[LOT];
        const size_t first = VATS + (room.containers - VATS - LOT) / (size_t)lots * (size_t)i;
        for (int k = 0; k < LOT; k++)
            starts[k] = (struct recall_start){(int64_t)first + k, 0, 1000};
        room.calls = 0;
        const double start = cpu_ms();
        arena_init(&arena, memory, memory ? size : 0);
        if (!recall_reach_init(&reach, places < 1 << 20 ? places : 1 << 20, &arena) ||
            !recall_walk(&reach, starts, LOT, next, &room))
            return 1;
        cpu[i] = cpu_ms() - start;
        reached[i] = (double)reach.count;
        calls[i] = (double)room.calls;
    }
    qsort(cpu, (size_t)lots, sizeof *cpu, by_size);
    qsort(reached, (size_t)lots, sizeof *reached, by_size);
    qsort(calls, (size_t)lots, sizeof *calls, by_size);
    printf("{\"movements\": %lld, \"lots\": %ld, \"cpu_ms\": %.3f, \"most_cpu_ms\": %.3f, \"reached\": %.0f, "
           "\"calls\": %.0f}\n",
           movements, lots, cpu[lots / 2], cpu[lots - 1], reached[lots / 2], calls[lots / 2]);
    free(memory);
    clear(&room);
    return 0;
}
