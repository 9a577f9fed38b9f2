#include "kiosk/rules/recall.h"

#include <assert.h>

#include "kiosk/rules/mix_book.h"
#include "labels/basics/text.h"

/* --- the events of a case as edges; event i has the sequence i + 1 --- */

struct case_edges {
    const struct mix_book *book;
    uint32_t *first;  /* of each container: where its events begin in `events`; one more for the end */
    uint32_t *events; /* in the order of time, container after container */
};

static bool sort_edges(struct case_edges *edges, const struct mix_book *book)
{
    const size_t events = book->asked->event_count, containers = book->containers.count;
    *edges = (struct case_edges){book, arena_take(book->arena, containers + 2, sizeof *edges->first),
                                 arena_take(book->arena, events, sizeof *edges->events)};
    if (!edges->first || !edges->events)
        return false;
    /* counted two places on and summed up, then each count moves on while its container is filled */
    for (size_t i = 0; i < events; i++)
        edges->first[book->from[i] + 2]++;
    for (size_t i = 2; i < containers + 2; i++)
        edges->first[i] += edges->first[i - 1];
    for (size_t i = 0; i < events; i++)
        edges->events[edges->first[book->from[i] + 1]++] = (uint32_t)i;
    return true;
}

static bool next_of_case(void *context, int64_t container, int64_t sequence, struct recall_edge *edge)
{
    static const enum recall_act acts[] = {
        [MIX_POUR] = RECALL_POUR, [MIX_USE] = RECALL_USE, [MIX_WASTE] = RECALL_WASTE, [MIX_CLEAN] = RECALL_CLEAN};
    const struct case_edges *edges = context;
    uint32_t low = edges->first[container], high = edges->first[container + 1];
    const uint32_t end = high;
    while (low < high) {
        const uint32_t middle = low + (high - low) / 2;
        if ((int64_t)edges->events[middle] + 1 > sequence)
            high = middle;
        else
            low = middle + 1;
    }
    if (low == end)
        return false;
    const uint32_t event = edges->events[low];
    *edge = (struct recall_edge){(int64_t)event + 1, acts[edges->book->asked->events[event].act],
                                 edges->book->to[event], edges->book->share[event]};
    return true;
}

/* --- the answer --- */

static bool find_starts(const struct mix_book *book, const char *lot, struct recall_start **starts, size_t *count)
{
    *starts = arena_take(book->arena, book->containers.count, sizeof **starts);
    *count = 0;
    for (size_t i = 0; *starts && i < book->containers.count; i++) {
        const struct mix_container *container = &book->asked->containers[book->containers.sorted[i].index];
        double total = 0, ml = 0;
        bool in = false;
        for (size_t k = 0; k < container->content_count; k++) {
            const bool same = names_find(&book->lots, container->contents[k].lot) == names_find(&book->lots, lot);
            total += container->contents[k].ml;
            ml += same ? container->contents[k].ml : 0;
            in = in || same;
        }
        if (in)
            (*starts)[(*count)++] = (struct recall_start){(int64_t)i, 0, total < MIX_EMPTY_ML ? 0 : ml};
    }
    return *starts != NULL;
}

static struct recall_amount amount_in(const char *id, const struct mix_vessel *vessel, double ml)
{
    const bool empty = vessel->total <= 0; /* or held less than can be measured */
    return (struct recall_amount){id, empty ? 0 : ml, empty ? 0 : ml / vessel->total};
}

/* Numbers are in the order of ids, so places marked by number come out by id. */
static bool list_reached(const struct mix_book *book, const struct recall_reach *reach, struct recall_answer *answer)
{
    /* one more than the number of the place; 0: not reached */
    uint32_t *containers = arena_take(book->arena, book->containers.count, sizeof *containers);
    uint32_t *jobs = arena_take(book->arena, book->jobs.count, sizeof *jobs);
    struct recall_amount *in = arena_take(book->arena, reach->count, sizeof *in);
    struct recall_amount *into = arena_take(book->arena, reach->count, sizeof *into);
    const char **cleaned = arena_take(book->arena, reach->count, sizeof *cleaned);
    if (!containers || !jobs || !in || !into || !cleaned)
        return false;
    assert(reach->places);
    for (size_t i = 0; i < reach->count; i++)
        (reach->places[i].job ? jobs : containers)[reach->places[i].number] = (uint32_t)i + 1;
    for (size_t i = 0; i < book->containers.count; i++) {
        const char *id = book->containers.sorted[i].text;
        const struct recall_place *place = containers[i] > 0 ? &reach->places[containers[i] - 1] : NULL;
        if (place && place->present)
            in[answer->container_count++] = amount_in(id, &book->held[i], place->ml);
        else if (place)
            cleaned[answer->cleaned_count++] = id;
    }
    for (size_t i = 0; i < book->jobs.count; i++)
        if (jobs[i] > 0)
            into[answer->job_count++] =
                amount_in(book->jobs.sorted[i].text, &book->used[i], reach->places[jobs[i] - 1].ml);
    answer->containers = in;
    answer->jobs = into;
    answer->cleaned = cleaned;
    return true;
}

static const char *sentence_of(const struct recall_case *asked, const struct recall_answer *answer, struct arena *arena)
{
    double held = 0;
    for (size_t i = 0; i < answer->container_count; i++)
        held += answer->containers[i].ml;
    if (answer->container_count + answer->job_count == 0)
        return rule_text(arena, "Lot %s is in no container and went into no job.", asked->lot);
    const char *in = answer->container_count == 0
                         ? "no container now"
                         : rule_text(arena, "%zu container%s (%.0f ml of it)", answer->container_count,
                                     answer->container_count == 1 ? "" : "s", held);
    const char *into = answer->job_count == 0
                           ? "no job"
                           : rule_text(arena, "%zu job%s", answer->job_count, answer->job_count == 1 ? "" : "s");
    return rule_text(arena, "Lot %s is in %s and went into %s: %s.", asked->lot, in, into,
                     answer->container_count > 0 ? "hold what holds it" : "tell who has the parts");
}

bool recall(const struct recall_case *asked, struct arena *arena, struct recall_answer *answer,
            struct rule_fault *fault)
{
    struct mix_book book;
    struct case_edges edges;
    struct recall_reach reach;
    struct recall_start *starts = NULL;
    size_t start_count = 0;
    char shown[60];
    if (!mix_book_play(&book, &asked->mix, arena, fault))
        return false;
    if (names_find(&book.lots, asked->lot) == NAMES_NONE)
        return rule_fault_set(fault, RULE_CONFLICT, "lot", "lot '%s' is not among the lots: check its id",
                              text_show(span_of(asked->lot), shown, sizeof shown));
    *answer = (struct recall_answer){.said = {.method = "walk in the order of time"}};
    if (!sort_edges(&edges, &book) || !find_starts(&book, asked->lot, &starts, &start_count) ||
        !recall_reach_init(&reach, book.containers.count + book.jobs.count, arena) ||
        !recall_walk(&reach, starts, start_count, next_of_case, &edges) || !list_reached(&book, &reach, answer))
        return rule_fault_memory(fault);
    answer->wasted_ml = reach.wasted_ml;
    answer->said.sentence = sentence_of(asked, answer, arena);
    return true;
}
