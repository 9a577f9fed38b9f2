#include "kiosk/rules/mix_book.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "labels/basics/text.h"

enum { SHOWN = 60 };

/* A fault at LIST.INDEX.KEY, which its sentence names first. Returns false. */
static bool __attribute__((format(printf, 6, 7)))
fail(struct rule_fault *fault, enum rule_fault_code code, const char *list, size_t index, const char *key,
     const char *format, ...)
{
    char path[96], why[300];
    va_list arguments;
    va_start(arguments, format);
    (void)vsnprintf(why, sizeof why, format, arguments);
    va_end(arguments);
    (void)snprintf(path, sizeof path, "%s.%zu.%s", list, index, key);
    return rule_fault_set(fault, code, path, "'%s': %s", path, why);
}

static bool fail_mixed(struct rule_fault *fault, const char *list, size_t index, const char *key, const char *resin,
                       const char *other)
{
    char shown[2][SHOWN];
    return fail(fault, RULE_MIXED_RESIN, list, index, key, "%s would meet %s: two resins must not be mixed",
                text_show(span_of(resin), shown[0], SHOWN), text_show(span_of(other), shown[1], SHOWN));
}

/* --- one vessel --- */

/* Room for `more` parts. What is outgrown stays in the arena, as much again at most. */
static bool make_room(struct mix_vessel *vessel, uint32_t more, struct arena *arena)
{
    if (vessel->count + more <= vessel->room)
        return true;
    const uint32_t room = 2 * (vessel->count + more);
    struct mix_part *parts = arena_take(arena, room, sizeof *parts);
    if (!parts)
        return false;
    if (vessel->count > 0)
        memcpy(parts, vessel->parts, vessel->count * sizeof *parts);
    vessel->parts = parts;
    vessel->room = room;
    return true;
}

static uint32_t missing_in(const struct mix_vessel *vessel, const struct mix_part *parts, uint32_t count)
{
    uint32_t missing = 0;
    for (uint32_t i = 0, at = 0; i < count; i++) {
        while (at < vessel->count && vessel->parts[at].lot < parts[i].lot)
            at++;
        missing += at == vessel->count || vessel->parts[at].lot != parts[i].lot;
    }
    return missing;
}

/* Merges from the last to the first, so that it needs no second list. Each part is added `share` times. */
static bool add_parts(struct mix_vessel *vessel, const struct mix_part *parts, uint32_t count, double share,
                      struct arena *arena)
{
    const uint32_t missing = missing_in(vessel, parts, count);
    if (!make_room(vessel, missing, arena))
        return false;
    uint32_t at = vessel->count, out = vessel->count + missing;
    vessel->count = out;
    vessel->total = 0;
    for (uint32_t i = count; i-- > 0;) {
        while (at > 0 && vessel->parts[at - 1].lot > parts[i].lot)
            vessel->parts[--out] = vessel->parts[--at];
        if (at > 0 && vessel->parts[at - 1].lot == parts[i].lot)
            vessel->parts[--out] = vessel->parts[--at];
        else
            vessel->parts[--out] = (struct mix_part){parts[i].lot, 0};
        vessel->parts[out].ml += share * parts[i].ml;
    }
    for (uint32_t i = 0; i < vessel->count; i++)
        vessel->total += vessel->parts[i].ml;
    return true;
}

static void keep_share(struct mix_vessel *vessel, double share)
{
    vessel->total = 0;
    for (uint32_t i = 0; i < vessel->count; i++) {
        vessel->parts[i].ml *= share;
        vessel->total += vessel->parts[i].ml;
    }
}

/* Less than can be measured is nothing; the lots stay present. */
static void drop_traces(struct mix_vessel *vessel)
{
    if (vessel->total < MIX_EMPTY_ML)
        keep_share(vessel, 0);
}

/* --- what is there at first --- */

static bool take_content(struct mix_book *book, size_t container, size_t index, struct rule_fault *fault)
{
    const struct mix_container *asked = &book->asked->containers[container];
    const struct mix_content *content = &asked->contents[index];
    struct mix_vessel *vessel = &book->held[names_find(&book->containers, asked->id)];
    char list[60], shown[SHOWN];
    (void)snprintf(list, sizeof list, "containers.%zu.contents", container);
    const int64_t lot = names_find(&book->lots, content->lot);
    if (lot == NAMES_NONE)
        return fail(fault, RULE_CONFLICT, list, index, "lot", "lot '%s' is not among the lots: add it there",
                    text_show(span_of(content->lot), shown, SHOWN));
    const char *resin = book->asked->lots[book->lots.sorted[lot].index].resin;
    if (resin && vessel->resin && strcmp(resin, vessel->resin) != 0)
        return fail_mixed(fault, list, index, "lot", resin, vessel->resin);
    vessel->resin = resin ? resin : vessel->resin;
    book->received[lot] += content->ml;
    const struct mix_part part = {(uint32_t)lot, content->ml};
    return add_parts(vessel, &part, 1, 1, book->arena) || rule_fault_memory(fault);
}

static bool take_contents(struct mix_book *book, struct rule_fault *fault)
{
    for (size_t i = 0; i < book->asked->container_count; i++) {
        const struct mix_container *container = &book->asked->containers[i];
        for (size_t k = 0; k < container->content_count; k++)
            if (!take_content(book, i, k, fault))
                return false;
        drop_traces(&book->held[names_find(&book->containers, container->id)]);
    }
    return true;
}

/* --- the events --- */

static bool find_container(const struct mix_book *book, size_t index, const char *key, const char *id, uint32_t *number,
                           struct rule_fault *fault)
{
    char shown[SHOWN];
    const int64_t place = names_find(&book->containers, id);
    *number = (uint32_t)place;
    return place != NAMES_NONE ||
           fail(fault, RULE_CONFLICT, "events", index, key,
                "container '%s' is not among the containers: add it there, empty or with contents",
                text_show(span_of(id), shown, SHOWN));
}

static bool find_ends(const struct mix_book *book, size_t index, struct rule_fault *fault)
{
    const struct mix_event *event = &book->asked->events[index];
    if (!find_container(book, index, "from", event->from, &book->from[index], fault))
        return false;
    if (event->act == MIX_USE)
        book->to[index] = (uint32_t)names_find(&book->jobs, event->job);
    if (event->act != MIX_POUR)
        return true;
    if (!find_container(book, index, "to", event->to, &book->to[index], fault))
        return false;
    return book->from[index] != book->to[index] ||
           fail(fault, RULE_CONFLICT, "events", index, "to", "a container is poured into itself: name the other one");
}

static bool check_amount(const struct mix_book *book, size_t index, struct rule_fault *fault)
{
    char shown[SHOWN];
    const struct mix_event *event = &book->asked->events[index];
    const double total = book->held[book->from[index]].total;
    if (event->act == MIX_CLEAN ? total < MIX_EMPTY_ML : event->ml <= total + MIX_EMPTY_ML)
        return true;
    (void)text_show(span_of(event->from), shown, SHOWN);
    if (event->act == MIX_CLEAN)
        return fail(fault, RULE_RANGE, "events", index, "from",
                    "'%s' is cleaned, but %.10g ml are in it: book them out before", shown, total);
    return fail(fault, RULE_RANGE, "events", index, "quantity_ml",
                "%.10g ml are taken out of '%s', in which there are %.10g ml: weigh it", event->ml, shown, total);
}

static bool check_resin(const struct mix_book *book, size_t index, struct rule_fault *fault)
{
    const char *from = book->held[book->from[index]].resin, *to = book->held[book->to[index]].resin;
    return !from || !to || strcmp(from, to) == 0 || fail_mixed(fault, "events", index, "to", from, to);
}

/* `share` of what is in `from` goes to `to` (NULL: to waste). */
static bool move(struct mix_book *book, struct mix_vessel *from, struct mix_vessel *to, double share)
{
    if (to && !add_parts(to, from->parts, from->count, share, book->arena))
        return false;
    keep_share(from, 1 - share);
    drop_traces(from);
    return true;
}

static bool play(struct mix_book *book, size_t index, struct rule_fault *fault)
{
    const struct mix_event *event = &book->asked->events[index];
    if (!find_ends(book, index, fault) || !check_amount(book, index, fault))
        return false;
    struct mix_vessel *from = &book->held[book->from[index]], *to = NULL;
    if (event->act == MIX_CLEAN) {
        from->count = 0;
        from->resin = NULL;
        return true;
    }
    /* what would be left as a trace goes too */
    const double share = from->total - event->ml < MIX_EMPTY_ML ? 1 : event->ml / from->total;
    book->share[index] = share;
    if (event->act == MIX_POUR) {
        if (!check_resin(book, index, fault))
            return false;
        to = &book->held[book->to[index]];
        to->resin = from->resin ? from->resin : to->resin;
    } else if (event->act == MIX_USE) {
        to = &book->used[book->to[index]];
    }
    double *sums = event->act == MIX_USE ? book->used_up : event->act == MIX_WASTE ? book->wasted : NULL;
    for (uint32_t i = 0; sums && i < from->count; i++)
        sums[from->parts[i].lot] += share * from->parts[i].ml;
    if (!move(book, from, to, share))
        return rule_fault_memory(fault);
    if (event->act == MIX_POUR)
        drop_traces(to);
    return true;
}

/* --- all of it --- */

static bool name_all(struct mix_book *book)
{
    const struct mix_case *asked = book->asked;
    size_t uses = 0;
    const char **jobs = arena_take(book->arena, asked->event_count, sizeof *jobs);
    if (!jobs)
        return false;
    for (size_t i = 0; i < asked->event_count; i++)
        if (asked->events[i].act == MIX_USE)
            jobs[uses++] = asked->events[i].job;
    return names_init(&book->lots, asked->lot_count > 0 ? &asked->lots->id : NULL, asked->lot_count,
                      sizeof *asked->lots, book->arena) &&
           names_init(&book->containers, asked->container_count > 0 ? &asked->containers->id : NULL,
                      asked->container_count, sizeof *asked->containers, book->arena) &&
           names_init(&book->jobs, jobs, uses, sizeof *jobs, book->arena);
}

static bool make_book(struct mix_book *book)
{
    if (!name_all(book))
        return false;
    book->held = arena_take(book->arena, book->containers.count, sizeof *book->held);
    book->used = arena_take(book->arena, book->jobs.count, sizeof *book->used);
    book->received = arena_take(book->arena, book->lots.count, sizeof *book->received);
    book->used_up = arena_take(book->arena, book->lots.count, sizeof *book->used_up);
    book->wasted = arena_take(book->arena, book->lots.count, sizeof *book->wasted);
    book->from = arena_take(book->arena, book->asked->event_count, sizeof *book->from);
    book->to = arena_take(book->arena, book->asked->event_count, sizeof *book->to);
    book->share = arena_take(book->arena, book->asked->event_count, sizeof *book->share);
    return book->held && book->used && book->received && book->used_up && book->wasted && book->from && book->to &&
           book->share;
}

bool mix_book_play(struct mix_book *book, const struct mix_case *asked, struct arena *arena, struct rule_fault *fault)
{
    *book = (struct mix_book){.asked = asked, .arena = arena};
    if (!make_book(book))
        return rule_fault_memory(fault);
    if (!take_contents(book, fault))
        return false;
    for (size_t i = 0; i < asked->event_count; i++)
        if (!play(book, i, fault))
            return false;
    return true;
}
