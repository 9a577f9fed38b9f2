#include "kiosk/ledger/trace_edges.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_inside.h"
#include "kiosk/ledger/sql/sql.h"

/* A correction puts a unit back to before what it refers to: its movements from there up to the correction are void. */
struct fix {
    int64_t from, to;
};

struct container {
    int64_t number;
    size_t first_edge, edge_count, first_fix, fix_count;
};

/* Grown by doubling. */
struct list {
    void *at;
    size_t count, room;
};

struct trace_edges {
    struct ledger *ledger;
    struct list containers, edges, fixes, jobs; /* struct container, recall_edge, fix, char[JOB_SIZE] */
    size_t *container_slots, *job_slots;        /* hashed: one more than the place in the list, 0: free */
    size_t container_slot_count, job_slot_count;
    bool failed;
    struct fault fault;
};

enum { SLOTS_FIRST = 1024 };

/* A movement may be several edges: the resin runs into the vat, and from both into the job's parts. */
enum { STEPS = 4, INTO_VAT = 0, INTO_JOB = 1, VAT_INTO_JOB = 2 };

/* A unit's check-outs (its resin may go into the job's parts), its corrections, what left it, and what it was to a
 * supply. */
static const struct sql_text OUT = {
    "SELECT seq, kind, unit, other, job, refers FROM movement WHERE unit = $1"
    " AND kind IN ('check-out', 'correction', 'supply', 'pour', 'use', 'clean')"
    " UNION ALL SELECT seq, kind, unit, other, job, refers FROM movement WHERE other = $1"
    " AND kind IN ('supply', 'relabel')"
    " ORDER BY seq",
    "t"};
enum { COLUMN_SEQ, COLUMN_KIND, COLUMN_UNIT, COLUMN_OTHER, COLUMN_JOB, COLUMN_REFERS };

/* ---- lists and hashing ---- */

static bool fail(struct trace_edges *edges)
{
    edges->failed = true;
    return fault_set(&edges->fault, FAULT_STORAGE, "no memory to trace a lot so far: end other programs");
}

/* The next element, cleared; NULL: no memory. */
static void *add(struct trace_edges *edges, struct list *list, size_t size)
{
    if (list->count == list->room) {
        const size_t room = list->room ? 2 * list->room : 256;
        void *grown = realloc(list->at, room * size);
        if (!grown) {
            (void)fail(edges);
            return NULL;
        }
        list->at = grown;
        list->room = room;
    }
    void *at = (char *)list->at + list->count++ * size;
    memset(at, 0, size);
    return at;
}

static uint64_t mix_bits(uint64_t value)
{
    value *= 0x9E3779B97F4A7C15U; /* Fibonacci hashing: Knuth, The Art of Computer Programming 3, 6.4 */
    return value ^ value >> 29;
}

static uint64_t hash_text(const char *text)
{
    uint64_t hash = 0xCBF29CE484222325U; /* FNV-1a */
    for (; *text; text++)
        hash = (hash ^ (unsigned char)*text) * 0x100000001B3U;
    return mix_bits(hash);
}

static struct container *container_at(const struct trace_edges *edges, size_t index)
{
    return (struct container *)edges->containers.at + index;
}

static const char *job_at(const struct trace_edges *edges, size_t index)
{
    return (const char *)edges->jobs.at + index * JOB_SIZE;
}

static size_t container_slot(const struct trace_edges *edges, int64_t number)
{
    const size_t mask = edges->container_slot_count - 1;
    size_t slot = mix_bits((uint64_t)number) & mask;
    while (edges->container_slots[slot] > 0 && container_at(edges, edges->container_slots[slot] - 1)->number != number)
        slot = (slot + 1) & mask;
    return slot;
}

static size_t job_slot(const struct trace_edges *edges, const char *id)
{
    const size_t mask = edges->job_slot_count - 1;
    size_t slot = hash_text(id) & mask;
    while (edges->job_slots[slot] > 0 && strcmp(job_at(edges, edges->job_slots[slot] - 1), id) != 0)
        slot = (slot + 1) & mask;
    return slot;
}

/* Twice as many slots, all free. */
static bool grow_slots(struct trace_edges *edges, size_t **slots, size_t *count)
{
    size_t *grown = calloc(2 * *count, sizeof *grown);
    if (!grown)
        return fail(edges);
    free(*slots);
    *slots = grown;
    *count *= 2;
    return true;
}

static bool slot_containers(struct trace_edges *edges)
{
    if (2 * (edges->containers.count + 1) <= edges->container_slot_count)
        return true;
    if (!grow_slots(edges, &edges->container_slots, &edges->container_slot_count))
        return false;
    for (size_t i = 0; i < edges->containers.count; i++)
        edges->container_slots[container_slot(edges, container_at(edges, i)->number)] = i + 1;
    return true;
}

static bool number_job(struct trace_edges *edges, const char *id, int64_t *number)
{
    if (2 * (edges->jobs.count + 1) > edges->job_slot_count) {
        if (!grow_slots(edges, &edges->job_slots, &edges->job_slot_count))
            return false;
        for (size_t i = 0; i < edges->jobs.count; i++)
            edges->job_slots[job_slot(edges, job_at(edges, i))] = i + 1;
    }
    const size_t slot = job_slot(edges, id);
    if (edges->job_slots[slot] == 0) {
        char *job = add(edges, &edges->jobs, JOB_SIZE);
        if (!job)
            return false;
        (void)span_copy(span_of(id), job, JOB_SIZE);
        edges->job_slots[slot] = edges->jobs.count;
    }
    *number = (int64_t)edges->job_slots[slot] - 1;
    return true;
}

/* ---- numbers ---- */

bool trace_number(const char *serial, int64_t *container)
{
    char letter = '\0';
    long number = 0;
    if (!serial_read(span_of(serial), &letter, &number, NULL))
        return false;
    *container = (int64_t)number * 32 + (letter - 'A');
    return true;
}

void trace_serial(int64_t container, char serial[SERIAL_SIZE])
{
    (void)serial_write((char)('A' + container % 32), (long)(container / 32), serial);
}

int64_t trace_sequence(int64_t seq)
{
    return seq * STEPS;
}

int64_t trace_seq(int64_t sequence)
{
    return sequence / STEPS;
}

const char *trace_edges_job(const struct trace_edges *edges, int64_t job)
{
    return job_at(edges, (size_t)job);
}

/* ---- one container from the ledger ---- */

static bool add_edge(struct trace_edges *edges, struct container *container, const struct recall_edge *edge)
{
    struct recall_edge *added = add(edges, &edges->edges, sizeof *added);
    if (added)
        *added = *edge;
    container->edge_count += added != NULL;
    return added != NULL;
}

static bool add_fix(struct trace_edges *edges, struct container *container, int64_t refers, int64_t seq)
{
    struct fix *added = add(edges, &edges->fixes, sizeof *added);
    if (added)
        *added = (struct fix){refers, seq};
    container->fix_count += added != NULL;
    return added != NULL;
}

static const char *text_at(struct sql_statement *row, int column)
{
    size_t length = 0;
    return sql_text(row, column, &length);
}

static bool add_use(struct trace_edges *edges, struct container *container, struct sql_statement *row, int step)
{
    struct recall_edge edge = {.sequence = sql_whole(row, COLUMN_SEQ) * STEPS + step, .act = RECALL_USE, .share = NAN};
    return sql_is_null(row, COLUMN_JOB) ||
           (number_job(edges, text_at(row, COLUMN_JOB), &edge.to) && add_edge(edges, container, &edge));
}

static bool add_supply(struct trace_edges *edges, struct container *container, struct sql_statement *row)
{
    struct recall_edge edge = {
        .sequence = sql_whole(row, COLUMN_SEQ) * STEPS + INTO_VAT, .act = RECALL_POUR, .share = NAN};
    if (!trace_number(text_at(row, COLUMN_UNIT), &edge.to))
        return true;
    return edge.to == container->number ? add_use(edges, container, row, VAT_INTO_JOB)
                                        : add_edge(edges, container, &edge) && add_use(edges, container, row, INTO_JOB);
}

/* How much is not asked here: a check-out before it may have carried some away already. */
static bool add_pour(struct trace_edges *edges, struct container *container, struct sql_statement *row)
{
    struct recall_edge edge = {
        .sequence = sql_whole(row, COLUMN_SEQ) * STEPS + INTO_VAT, .act = RECALL_POUR, .share = NAN};
    return sql_is_null(row, COLUMN_OTHER) || !trace_number(text_at(row, COLUMN_OTHER), &edge.to) ||
           add_edge(edges, container, &edge);
}

static bool add_clean(struct trace_edges *edges, struct container *container, struct sql_statement *row)
{
    const struct recall_edge edge = {.sequence = sql_whole(row, COLUMN_SEQ) * STEPS, .act = RECALL_CLEAN};
    return add_edge(edges, container, &edge);
}

/* All of it is under the new serial from here on. */
static bool add_relabel(struct trace_edges *edges, struct container *container, struct sql_statement *row)
{
    const int64_t at = sql_whole(row, COLUMN_SEQ) * STEPS;
    struct recall_edge moves = {.sequence = at, .act = RECALL_POUR, .share = 1};
    const struct recall_edge leaves_nothing = {.sequence = at + 1, .act = RECALL_CLEAN};
    return !trace_number(text_at(row, COLUMN_UNIT), &moves.to) ||
           (add_edge(edges, container, &moves) && add_edge(edges, container, &leaves_nothing));
}

static bool take_row(struct trace_edges *edges, struct container *container, struct sql_statement *row)
{
    const char *kind = text_at(row, COLUMN_KIND);
    if (strcmp(kind, "correction") == 0)
        return sql_is_null(row, COLUMN_REFERS) ||
               add_fix(edges, container, sql_whole(row, COLUMN_REFERS), sql_whole(row, COLUMN_SEQ));
    if (strcmp(kind, "supply") == 0)
        return add_supply(edges, container, row);
    if (strcmp(kind, "pour") == 0)
        return add_pour(edges, container, row);
    if (strcmp(kind, "relabel") == 0)
        return add_relabel(edges, container, row);
    if (strcmp(kind, "clean") == 0)
        return add_clean(edges, container, row);
    return add_use(edges, container, row, INTO_JOB);
}

static bool read_container(struct trace_edges *edges, struct container *container)
{
    struct sql_statement *statement = NULL;
    char serial[SERIAL_SIZE];
    bool row = false;
    trace_serial(container->number, serial);
    if (!sql_start(ledger_sql(edges->ledger), &OUT, &statement, &edges->fault)) {
        edges->failed = true;
        return false;
    }
    sql_bind_text(statement, 1, serial);
    bool good = true;
    while (good && (good = sql_step(statement, &row, &edges->fault)) && row)
        good = take_row(edges, container, statement) && sql_check_read(statement, &edges->fault);
    sql_done(statement);
    edges->failed = edges->failed || !good;
    return good;
}

/* NULL: it failed. Borrowed until the next call. */
static const struct container *find_container(struct trace_edges *edges, int64_t number)
{
    if (edges->failed || !slot_containers(edges))
        return NULL;
    const size_t slot = container_slot(edges, number);
    if (edges->container_slots[slot] > 0)
        return container_at(edges, edges->container_slots[slot] - 1);
    struct container *container = add(edges, &edges->containers, sizeof *container);
    if (!container)
        return NULL;
    *container =
        (struct container){.number = number, .first_edge = edges->edges.count, .first_fix = edges->fixes.count};
    edges->container_slots[slot] = edges->containers.count;
    return read_container(edges, container) ? container : NULL;
}

/* ---- what the walk asks ---- */

static bool is_void(const struct trace_edges *edges, const struct container *container, int64_t seq)
{
    const struct fix *fixes = (const struct fix *)edges->fixes.at + container->first_fix;
    for (size_t i = 0; i < container->fix_count; i++)
        if (fixes[i].from <= seq && seq < fixes[i].to)
            return true;
    return false;
}

bool trace_edges_taken_back(struct trace_edges *edges, int64_t container, int64_t seq, bool *taken_back)
{
    const struct container *found = find_container(edges, container);
    if (found)
        *taken_back = is_void(edges, found, seq);
    return found != NULL;
}

/* Neither end of it was taken back. */
static bool stands(struct trace_edges *edges, int64_t container, const struct recall_edge *edge, bool *answer)
{
    bool from = false, to = false;
    const int64_t seq = trace_seq(edge->sequence);
    if (!trace_edges_taken_back(edges, container, seq, &from) ||
        (edge->act == RECALL_POUR && !trace_edges_taken_back(edges, edge->to, seq, &to)))
        return false;
    *answer = !from && !to;
    return true;
}

static size_t first_after(const struct trace_edges *edges, const struct container *container, int64_t sequence)
{
    const struct recall_edge *list = edges->edges.at;
    size_t low = container->first_edge, high = low + container->edge_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (list[middle].sequence > sequence)
            high = middle;
        else
            low = middle + 1;
    }
    return low;
}

bool trace_edges_next(void *context, int64_t container, int64_t sequence, struct recall_edge *edge)
{
    struct trace_edges *edges = context;
    const struct container *found = find_container(edges, container);
    if (!found)
        return false;
    const size_t end = found->first_edge + found->edge_count;
    for (size_t at = first_after(edges, found, sequence); at < end; at++) {
        const struct recall_edge next = ((const struct recall_edge *)edges->edges.at)[at];
        bool good = false;
        if (!stands(edges, container, &next, &good))
            return false;
        if (good) {
            *edge = next;
            return true;
        }
    }
    return false;
}

bool trace_edges_good(const struct trace_edges *edges, struct fault *fault)
{
    return !edges->failed || fault_set(fault, edges->fault.code, "%s", edges->fault.text);
}

void trace_edges_cost(const struct trace_edges *edges, int64_t *containers, int64_t *count)
{
    *containers = (int64_t)edges->containers.count;
    *count = (int64_t)edges->edges.count;
}

/* ---- all of it ---- */

struct trace_edges *trace_edges_create(struct ledger *ledger)
{
    struct trace_edges *edges = calloc(1, sizeof *edges);
    if (!edges)
        return NULL;
    edges->ledger = ledger;
    edges->container_slots = calloc(SLOTS_FIRST, sizeof *edges->container_slots);
    edges->job_slots = calloc(SLOTS_FIRST, sizeof *edges->job_slots);
    edges->container_slot_count = edges->job_slot_count = SLOTS_FIRST;
    if (edges->container_slots && edges->job_slots)
        return edges;
    trace_edges_destroy(edges);
    return NULL;
}

void trace_edges_destroy(struct trace_edges *edges)
{
    if (!edges)
        return;
    free(edges->containers.at);
    free(edges->edges.at);
    free(edges->fixes.at);
    free(edges->jobs.at);
    free(edges->container_slots);
    free(edges->job_slots);
    free(edges);
}
