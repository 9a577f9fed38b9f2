#ifndef KIOSK_RULES_RECALL_H
#define KIOSK_RULES_RECALL_H

#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/mix.h"

/* Where a lot went: which containers it is in and which jobs it went into. Time decides: a pour carries only what was
 * there before it, so who leaves time out calls back too much. */

/* --- the walk: over the movements of a ledger, or of a case --- */

enum recall_act { RECALL_POUR, RECALL_USE, RECALL_WASTE, RECALL_CLEAN };

/* Something that leaves a container, or its cleaning. Numbers are the caller's: of containers among themselves, of jobs
 * among themselves. Mixing is perfect (mix.h), so of all that is in a container the same share leaves. */
struct recall_edge {
    int64_t sequence; /* its place in time; no two are the same */
    enum recall_act act;
    int64_t to;   /* the container, the job; not of waste or a cleaning */
    double share; /* of what was in the container, 0..1; NAN: nobody knows; not of a cleaning */
};

/* The first edge out of a container after `sequence`: true and `*edge`, or false when there is none. Asked for reached
 * containers only, about once for each of their edges: with an index by container and sequence the walk costs what is
 * reached, not what there is. A caller whose reading can fail keeps that in `context` and returns false. */
typedef bool recall_next(void *context, int64_t container, int64_t sequence, struct recall_edge *edge);

struct recall_start {
    int64_t container;
    int64_t sequence; /* the lot is in it after this */
    double ml;        /* so much of it; NAN: nobody knows */
};

/* Present: of a container, the lot is there now, else it was and was cleaned away; of a job, always. */
struct recall_place {
    int64_t number;
    bool job, present;
    int64_t since; /* when it came there, the last time */
    double ml;     /* of the lot; NAN: nobody knows, for one of the numbers on its way was not known */
};

/* What was reached, in memory of the caller. */
struct recall_reach {
    struct recall_place *places; /* in the order in which they were reached */
    size_t count, room;
    uint32_t *index; /* the walk's own: which place a number has, which edge comes next */
    struct recall_step *steps;
    size_t index_size, step_count;
    double wasted_ml; /* of the lot */
};

/* Room for so many containers and jobs. False: the arena is full. */
bool recall_reach_init(struct recall_reach *reach, size_t room, struct arena *arena);
/* `starts` in the order of their sequences. False: there is no room for all that is reached. */
bool recall_walk(struct recall_reach *reach, const struct recall_start *starts, size_t start_count, recall_next *next,
                 void *context);

/* --- the rule --- */

struct recall_case {
    struct mix_case mix;
    const char *lot; /* one of the lots */
};

struct recall_amount {
    const char *id;
    double ml, fraction; /* of the lot; of all that is in there */
};

struct recall_answer {
    struct rule_said said;
    const struct recall_amount *containers, *jobs; /* by id; the lot is present, if with 0 ml */
    size_t container_count, job_count;
    const char *const *cleaned; /* by id: it was in these, and they were cleaned since */
    size_t cleaned_count;
    double wasted_ml;
};

bool recall(const struct recall_case *asked, struct arena *arena, struct recall_answer *answer,
            struct rule_fault *fault);

#endif
