#ifndef KIOSK_LEDGER_TRACE_EDGES_H
#define KIOSK_LEDGER_TRACE_EDGES_H

#include "kiosk/ledger/ledger.h"
#include "kiosk/rules/recall.h"

/* What leaves each container, from the ledger as the walk of a recall asks for it: read once a container, when it is
 * first asked for. Inside kiosk/ledger only. */

struct trace_edges;

struct trace_edges *trace_edges_create(struct ledger *ledger); /* NULL: no memory */
void trace_edges_destroy(struct trace_edges *edges);           /* accepts NULL */

/* As recall_next; `context` is a struct trace_edges. False also after a fault: ask trace_edges_good. */
bool trace_edges_next(void *context, int64_t container, int64_t sequence, struct recall_edge *edge);
bool trace_edges_good(const struct trace_edges *edges, struct fault *fault);

/* Was what movement `seq` did to the unit taken back later? `*void` untouched on a fault. */
bool trace_edges_taken_back(struct trace_edges *edges, int64_t container, int64_t seq, bool *taken_back);

/* Places in time: a movement's number as a sequence of the walk, and back. */
int64_t trace_sequence(int64_t seq);
int64_t trace_seq(int64_t sequence);

/* Numbers of containers and back; of jobs, the id. */
bool trace_number(const char *serial, int64_t *container);
void trace_serial(int64_t container, char serial[SERIAL_SIZE]);
const char *trace_edges_job(const struct trace_edges *edges, int64_t job);

void trace_edges_cost(const struct trace_edges *edges, int64_t *containers, int64_t *count);

#endif
