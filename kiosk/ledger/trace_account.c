#include "kiosk/ledger/trace_account.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/apply.h"

/* What one movement did to the lot in one container. A correction puts the container back to before what it refers to,
 * so it takes all that came since off the list again. */
struct effect {
    enum { RECEIVED, CORRECTED, USED, WASTED } what;
    int64_t seq;
    int64_t lot_ul, of_ul; /* MOVEMENT_NULL: nobody knows */
    bool estimated;
    char job[JOB_SIZE];
};

struct places {
    struct trace_place *list;
    size_t count, room;
    size_t *by_job; /* of the jobs among them, in order of id */
    size_t job_count;
};

struct accounting {
    const char *item, *lot;
    struct places places;
    struct trace_account *account;
    struct effect *effects; /* of the container under way */
    size_t effect_count, effect_room;
    struct unit_state now;
    bool ok;
    struct fault fault;
};

static bool no_memory(struct fault *fault)
{
    return fault_set(fault, FAULT_STORAGE, "no memory to add up where a lot went: end other programs");
}

/* ---- places ---- */

static bool keep_stop(const struct trace_stop *stop, void *context)
{
    struct accounting *accounting = context;
    struct places *places = &accounting->places;
    if (places->count == places->room) {
        const size_t room = places->room ? 2 * places->room : 64;
        struct trace_place *grown = realloc(places->list, room * sizeof *grown);
        if (!grown) {
            accounting->ok = no_memory(&accounting->fault);
            return false;
        }
        places->list = grown;
        places->room = room;
    }
    places->list[places->count++] =
        (struct trace_place){.stop = *stop, .lot_ul = MOVEMENT_NULL, .of_ul = MOVEMENT_NULL};
    return true;
}

static int compare_jobs(const void *one, const void *two, void *context)
{
    const struct trace_place *list = context;
    return strcmp(list[*(const size_t *)one].stop.job, list[*(const size_t *)two].stop.job);
}

static bool sort_jobs(struct places *places, struct fault *fault)
{
    places->by_job = calloc(places->count + 1, sizeof *places->by_job);
    if (!places->by_job)
        return no_memory(fault);
    for (size_t i = 0; i < places->count; i++)
        if (!places->list[i].stop.serial[0])
            places->by_job[places->job_count++] = i;
    qsort_r(places->by_job, places->job_count, sizeof *places->by_job, compare_jobs, places->list);
    return true;
}

/* NULL: the walk did not come to it. */
static struct trace_place *find_job(struct places *places, const char *job)
{
    size_t low = 0, high = places->job_count;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        struct trace_place *place = &places->list[places->by_job[middle]];
        const int order = strcmp(place->stop.job, job);
        if (order == 0)
            return place;
        if (order < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return NULL;
}

/* ---- of one container ---- */

/* What is in it of the lot: true when the lot is among what is in it, `*ul` MOVEMENT_NULL when nobody knows how much.
 * False: none of it, 0. */
static bool amount_of_lot(const struct accounting *accounting, const struct contents *contents, int64_t *ul)
{
    *ul = 0;
    for (size_t i = 0; i < contents->count; i++)
        if (strcmp(contents->lots[i].item, accounting->item) == 0 &&
            strcmp(contents->lots[i].lot, accounting->lot) == 0) {
            *ul = contents->total_ul == 0 ? 0 : contents->lots[i].amount_ul; /* of nothing, nothing is of any lot */
            return true;
        }
    return false;
}

static bool read_contents(const struct unit_state *state, struct contents *contents, struct fault *fault)
{
    *contents = (struct contents){.total_ul = 0};
    return !state->unit.serial[0] || state->unit.status == UNIT_VOID ||
           contents_of(&state->unit, state->mix, contents, fault);
}

static bool add_effect(struct accounting *accounting, const struct effect *effect)
{
    if (accounting->effect_count == accounting->effect_room) {
        const size_t room = accounting->effect_room ? 2 * accounting->effect_room : 64;
        struct effect *grown = realloc(accounting->effects, room * sizeof *grown);
        if (!grown)
            return no_memory(&accounting->fault);
        accounting->effects = grown;
        accounting->effect_room = room;
    }
    accounting->effects[accounting->effect_count++] = *effect;
    return true;
}

/* What a use or a waste took out, of what was there before. */
static bool add_taken(struct accounting *accounting, const struct movement *movement, const struct contents *before)
{
    struct effect effect = {.what = movement->kind == MOVEMENT_USE ? USED : WASTED,
                            .seq = movement->seq,
                            .of_ul = movement->amount_ul,
                            .estimated = strcmp(movement->word, "estimate") == 0};
    struct contents rest = *before, taken;
    memcpy(effect.job, movement->job, sizeof effect.job);
    return contents_take(&rest, movement->amount_ul, &taken, &accounting->fault) &&
           (!amount_of_lot(accounting, &taken, &effect.lot_ul) || add_effect(accounting, &effect));
}

/* It is told anew what is in it: by weight, at a check-in, by somebody who saw it. */
static bool add_change(struct accounting *accounting, const struct movement *movement, int64_t before, int64_t after)
{
    if (before == MOVEMENT_NULL || after == MOVEMENT_NULL || before == after)
        return true;
    return add_effect(accounting, &(struct effect){.what = CORRECTED, .seq = movement->seq, .lot_ul = after - before});
}

static bool add_received(struct accounting *accounting, const struct movement *movement, int64_t before, int64_t after)
{
    const struct effect effect = {.what = RECEIVED, .seq = movement->seq, .lot_ul = after};
    return add_change(accounting, movement, before, 0) && add_effect(accounting, &effect);
}

static void take_back(struct accounting *accounting, int64_t refers)
{
    while (accounting->effect_count > 0 && accounting->effects[accounting->effect_count - 1].seq >= refers)
        accounting->effect_count--;
}

static bool note_step(struct accounting *accounting, const struct movement *movement, const struct contents *before,
                      const struct contents *after)
{
    int64_t was, is;
    const bool had = amount_of_lot(accounting, before, &was), has = amount_of_lot(accounting, after, &is);
    switch (movement->kind) {
    case MOVEMENT_CORRECTION:
        take_back(accounting, movement->refers);
        return true;
    case MOVEMENT_POUR: /* from one container to another: both are told here */
    case MOVEMENT_RELABEL:
        return true;
    case MOVEMENT_RECEIPT:
    case MOVEMENT_TAKE_ON:
    case MOVEMENT_FILL:
        return has ? add_received(accounting, movement, was, is) : add_change(accounting, movement, was, is);
    case MOVEMENT_USE:
    case MOVEMENT_WASTE:
        return !had || add_taken(accounting, movement, before);
    default:
        return add_change(accounting, movement, was, is);
    }
}

static bool take_step(const struct movement *movement, const struct unit_state *before, const struct unit_state *after,
                      void *context)
{
    struct accounting *accounting = context;
    struct contents was, is;
    accounting->now = *after;
    accounting->ok = read_contents(before, &was, &accounting->fault) && read_contents(after, &is, &accounting->fault) &&
                     note_step(accounting, movement, &was, &is);
    return accounting->ok;
}

/* ---- adding up ---- */

static void add_known(int64_t ul, int64_t *known, int64_t *unknown)
{
    if (ul == MOVEMENT_NULL)
        ++*unknown;
    else
        *known += ul;
}

static int64_t sum(int64_t one, int64_t two)
{
    return one == MOVEMENT_NULL || two == MOVEMENT_NULL ? MOVEMENT_NULL : one + two;
}

static void give_to_job(struct trace_place *job, const struct effect *effect)
{
    job->lot_ul = job->booked ? sum(job->lot_ul, effect->lot_ul) : effect->lot_ul;
    job->of_ul = job->booked ? sum(job->of_ul, effect->of_ul) : effect->of_ul;
    job->estimated = job->estimated || effect->estimated;
    job->booked = true;
}

static void add_effects(struct accounting *accounting)
{
    struct trace_account *account = accounting->account;
    for (size_t i = 0; i < accounting->effect_count; i++) {
        const struct effect *effect = &accounting->effects[i];
        struct trace_place *job = effect->what == USED ? find_job(&accounting->places, effect->job) : NULL;
        if (effect->what == RECEIVED)
            add_known(effect->lot_ul, &account->received_ul, &account->received_unknown);
        else if (effect->what == CORRECTED)
            account->corrected_ul += effect->lot_ul;
        else if (effect->what == WASTED)
            add_known(effect->lot_ul, &account->wasted_ul, &account->wasted_unknown);
        else
            account->used_ul += effect->lot_ul == MOVEMENT_NULL ? 0 : effect->lot_ul;
        if (job)
            give_to_job(job, effect);
    }
}

static bool add_container(struct accounting *accounting, struct trace_place *place)
{
    struct contents contents;
    const struct unit *unit = &accounting->now.unit;
    if (!read_contents(&accounting->now, &contents, &accounting->fault))
        return false;
    add_effects(accounting);
    place->booked = amount_of_lot(accounting, &contents, &place->lot_ul) || !place->stop.present;
    place->of_ul = contents.total_ul;
    place->estimated = unit->estimated;
    if (!place->booked)
        place->lot_ul = MOVEMENT_NULL;
    if (place->booked)
        add_known(place->lot_ul, &accounting->account->held_ul, &accounting->account->held_unknown);
    return true;
}

static bool read_container(struct ledger *ledger, struct accounting *accounting, struct trace_place *place,
                           struct fault *fault)
{
    accounting->effect_count = 0;
    accounting->now = (struct unit_state){.mix = ""};
    if (!apply_unit_each_step(ledger, place->stop.serial, take_step, accounting, fault))
        return false;
    return (accounting->ok && add_container(accounting, place)) ||
           fault_set(fault, accounting->fault.code, "the past of %s does not add up: %s", place->stop.serial,
                     accounting->fault.text);
}

static void close_account(struct accounting *accounting)
{
    struct trace_account *account = accounting->account;
    for (size_t i = 0; i < accounting->places.count; i++) {
        const struct trace_place *place = &accounting->places.list[i];
        account->used_unknown += !place->stop.serial[0] && place->booked && place->lot_ul == MOVEMENT_NULL;
    }
    account->unaccounted_ul =
        account->received_unknown > 0
            ? MOVEMENT_NULL
            : account->received_ul + account->corrected_ul - account->held_ul - account->used_ul - account->wasted_ul;
}

static bool read_all(struct ledger *ledger, struct accounting *accounting, struct fault *fault)
{
    struct places *places = &accounting->places;
    if (!trace_lot(ledger, accounting->item, accounting->lot, keep_stop, accounting, NULL, fault))
        return false;
    if (!accounting->ok)
        return fault_set(fault, accounting->fault.code, "%s", accounting->fault.text);
    if (!sort_jobs(places, fault))
        return false;
    for (size_t i = 0; i < places->count; i++)
        if (places->list[i].stop.serial[0] && !read_container(ledger, accounting, &places->list[i], fault))
            return false;
    close_account(accounting);
    return true;
}

bool trace_account_read(struct ledger *ledger, const char *item, const char *lot, struct trace_account *account,
                        trace_place_visitor *visit, void *context, struct fault *fault)
{
    struct trace_account made = {0};
    struct accounting accounting = {.item = item, .lot = lot, .account = &made, .ok = true};
    const bool read = read_all(ledger, &accounting, fault);
    if (read)
        *account = made;
    for (size_t i = 0; read && i < accounting.places.count; i++)
        if (!visit(&accounting.places.list[i], context))
            break;
    free(accounting.places.list);
    free(accounting.places.by_job);
    free(accounting.effects);
    return read;
}
