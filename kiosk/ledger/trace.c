#include "kiosk/ledger/trace.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/sql/sql.h"
#include "kiosk/ledger/trace_edges.h"

enum { ROOM_FIRST = 4096, ROOM_MOST = 1 << 24, BYTES_A_PLACE = 160 };

/* What came in with the lot, or was filled with it by hand. */
static const struct sql_text ENTRIES = {"SELECT seq, unit FROM movement WHERE item = $1 AND lot = $2"
                                        " AND kind IN ('receipt', 'take-on', 'fill') ORDER BY seq",
                                        "tt"};
enum { COLUMN_SEQ, COLUMN_UNIT };

struct starts {
    struct recall_start *list;
    size_t count, room;
};

static bool add_start(struct starts *starts, struct recall_start start, struct fault *fault)
{
    if (starts->count == starts->room) {
        const size_t room = starts->room ? 2 * starts->room : 64;
        struct recall_start *grown = realloc(starts->list, room * sizeof *grown);
        if (!grown)
            return fault_set(fault, FAULT_STORAGE, "no memory to trace a lot: end other programs");
        starts->list = grown;
        starts->room = room;
    }
    starts->list[starts->count++] = start;
    return true;
}

static bool read_starts(struct ledger *ledger, const char *item, const char *lot, struct starts *starts,
                        struct fault *fault)
{
    struct sql_statement *statement = NULL;
    if (!sql_start(ledger_sql(ledger), &ENTRIES, &statement, fault))
        return false;
    sql_bind_text(statement, 1, item);
    sql_bind_text(statement, 2, lot);
    bool row = false, good = true;
    while (good && (good = sql_step(statement, &row, fault)) && row) {
        struct recall_start start = {.sequence = trace_sequence(sql_whole(statement, COLUMN_SEQ)), .ml = NAN};
        size_t length = 0;
        if (trace_number(sql_text(statement, COLUMN_UNIT, &length), &start.container))
            good = add_start(starts, start, fault);
        good = good && sql_check_read(statement, fault);
    }
    sql_done(statement);
    return good;
}

/* A receipt that was taken back brought nothing. */
static bool drop_taken_back(struct trace_edges *edges, struct starts *starts)
{
    size_t kept = 0;
    for (size_t i = 0; i < starts->count; i++) {
        bool taken_back = false;
        if (!trace_edges_taken_back(edges, starts->list[i].container, trace_seq(starts->list[i].sequence), &taken_back))
            return false;
        if (!taken_back)
            starts->list[kept++] = starts->list[i];
    }
    starts->count = kept;
    return true;
}

static bool tell(const struct recall_reach *reach, const struct trace_edges *edges, trace_visitor *visit, void *context)
{
    for (size_t i = 0; i < reach->count; i++) {
        const struct recall_place *place = &reach->places[i];
        struct trace_stop stop = {.present = place->present, .since_seq = trace_seq(place->since)};
        if (place->job)
            (void)span_copy(span_of(trace_edges_job(edges, place->number)), stop.job, sizeof stop.job);
        else
            trace_serial(place->number, stop.serial);
        if (!visit(&stop, context))
            break;
    }
    return true;
}

/* Nobody knows how far a lot has come: with more and more room, what was read once is not read again. */
static bool walk(struct trace_edges *edges, const struct starts *starts, trace_visitor *visit, void *context,
                 struct fault *fault)
{
    bool done = false;
    for (size_t room = ROOM_FIRST; !done && room <= ROOM_MOST; room *= 4) {
        struct recall_reach reach;
        struct arena arena;
        void *memory = malloc(room * BYTES_A_PLACE);
        if (!memory)
            return fault_set(fault, FAULT_STORAGE, "no memory to trace a lot so far: end other programs");
        arena_init(&arena, memory, room * BYTES_A_PLACE);
        done = recall_reach_init(&reach, room, &arena) &&
               recall_walk(&reach, starts->list, starts->count, trace_edges_next, edges) &&
               trace_edges_good(edges, NULL);
        if (done)
            (void)tell(&reach, edges, visit, context);
        free(memory);
        if (!trace_edges_good(edges, fault))
            return false;
    }
    return done || fault_set(fault, FAULT_STORAGE,
                             "the lot went into more than %d containers and jobs: trace a part of "
                             "it by its cartridges",
                             ROOM_MOST);
}

bool trace_lot(struct ledger *ledger, const char *item, const char *lot, trace_visitor *visit, void *context,
               struct trace_cost *cost, struct fault *fault)
{
    struct starts starts = {0};
    struct trace_edges *edges = trace_edges_create(ledger);
    if (!edges)
        return fault_set(fault, FAULT_STORAGE, "no memory to trace a lot: end other programs");
    bool good = read_starts(ledger, item, lot, &starts, fault);
    if (good && !drop_taken_back(edges, &starts))
        good = trace_edges_good(edges, fault);
    good = good && walk(edges, &starts, visit, context, fault);
    if (cost)
        trace_edges_cost(edges, &cost->containers, &cost->edges);
    free(starts.list);
    trace_edges_destroy(edges);
    return good;
}
