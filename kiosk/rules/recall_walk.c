#include <assert.h>

#include "kiosk/rules/recall.h"

/* The next edge of each container that has the lot, the earliest on top: a heap. So all edges are seen in the order of
 * time, and none of a container before the lot came into it. */
struct recall_step {
    struct recall_edge edge;
    uint32_t place;
};

bool recall_reach_init(struct recall_reach *reach, size_t room, struct arena *arena)
{
    *reach = (struct recall_reach){.room = room, .index_size = 16};
    if (room >= UINT32_MAX / 4)
        return false;
    while (reach->index_size < 2 * room)
        reach->index_size *= 2;
    reach->places = arena_take(arena, room, sizeof *reach->places);
    reach->index = arena_take(arena, reach->index_size, sizeof *reach->index);
    reach->steps = arena_take(arena, room, sizeof *reach->steps);
    return reach->places && reach->index && reach->steps;
}

/* --- which place --- */

/* Fibonacci hashing (Knuth, The Art of Computer Programming 3, 6.4), then the next free one. */
static size_t slot_of(const struct recall_reach *reach, int64_t number, bool job)
{
    size_t slot = (size_t)(((uint64_t)number * 2 + job) * 0x9E3779B97F4A7C15U >> 20) & (reach->index_size - 1);
    for (; reach->index[slot] > 0; slot = (slot + 1) & (reach->index_size - 1)) {
        const struct recall_place *place = &reach->places[reach->index[slot] - 1];
        if (place->number == number && place->job == job)
            break;
    }
    return slot;
}

/* NULL: there is no room. `*fresh`: it was not present before. */
static struct recall_place *arrive(struct recall_reach *reach, int64_t number, bool job, int64_t sequence, bool *fresh)
{
    const size_t slot = slot_of(reach, number, job);
    if (reach->index[slot] == 0) {
        if (reach->count == reach->room)
            return NULL;
        reach->places[reach->count++] = (struct recall_place){.number = number, .job = job};
        reach->index[slot] = (uint32_t)reach->count;
    }
    struct recall_place *place = &reach->places[reach->index[slot] - 1];
    *fresh = !place->present;
    if (*fresh)
        place->since = sequence;
    place->present = true;
    return place;
}

/* --- which edge is next --- */

static void sift_down(struct recall_reach *reach, size_t at)
{
    struct recall_step *steps = reach->steps;
    const struct recall_step moved = steps[at];
    for (size_t child; (child = 2 * at + 1) < reach->step_count; at = child) {
        if (child + 1 < reach->step_count && steps[child + 1].edge.sequence < steps[child].edge.sequence)
            child++;
        if (moved.edge.sequence <= steps[child].edge.sequence)
            break;
        steps[at] = steps[child];
    }
    steps[at] = moved;
}

static void add_step(struct recall_reach *reach, struct recall_step step)
{
    assert(reach->step_count < reach->room); /* one a place, at most */
    size_t at = reach->step_count++;
    for (; at > 0 && step.edge.sequence < reach->steps[(at - 1) / 2].edge.sequence; at = (at - 1) / 2)
        reach->steps[at] = reach->steps[(at - 1) / 2];
    reach->steps[at] = step;
}

static void drop_first(struct recall_reach *reach)
{
    reach->steps[0] = reach->steps[--reach->step_count];
    sift_down(reach, 0);
}

static bool enter(struct recall_reach *reach, int64_t container, int64_t sequence, double ml, recall_next *next,
                  void *context)
{
    bool fresh = false;
    struct recall_place *place = arrive(reach, container, false, sequence, &fresh);
    if (!place)
        return false;
    place->ml += ml;
    struct recall_step step = {.place = (uint32_t)(place - reach->places)};
    if (fresh && next(context, container, sequence, &step.edge))
        add_step(reach, step);
    return true;
}

static bool use(struct recall_reach *reach, const struct recall_edge *edge, double ml)
{
    bool fresh = false;
    struct recall_place *job = arrive(reach, edge->to, true, edge->sequence, &fresh);
    if (job)
        job->ml += ml;
    return job != NULL;
}

/* The first edge, and then the next of its container. */
static bool follow(struct recall_reach *reach, recall_next *next, void *context)
{
    struct recall_step *first = &reach->steps[0];
    const struct recall_edge edge = first->edge;
    struct recall_place *from = &reach->places[first->place];
    if (edge.act == RECALL_CLEAN) {
        from->present = false;
        from->ml = 0;
        drop_first(reach);
        return true;
    }
    const double ml = from->ml == 0 ? 0 : edge.share * from->ml;
    from->ml -= ml; /* where all of it leaves, exactly nothing stays */
    if (next(context, from->number, edge.sequence, &first->edge))
        sift_down(reach, 0);
    else
        drop_first(reach);
    if (edge.act == RECALL_WASTE) {
        reach->wasted_ml += ml;
        return true;
    }
    return edge.act == RECALL_USE ? use(reach, &edge, ml) : enter(reach, edge.to, edge.sequence, ml, next, context);
}

bool recall_walk(struct recall_reach *reach, const struct recall_start *starts, size_t start_count, recall_next *next,
                 void *context)
{
    size_t start = 0;
    while (start < start_count || reach->step_count > 0) {
        const bool starts_next =
            start < start_count && (reach->step_count == 0 || starts[start].sequence < reach->steps[0].edge.sequence);
        if (starts_next
                ? !enter(reach, starts[start].container, starts[start].sequence, starts[start].ml, next, context)
                : !follow(reach, next, context))
            return false;
        start += starts_next;
    }
    return true;
}
