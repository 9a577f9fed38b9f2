#include "kiosk/ledger/print_batch.h"

#include <stdlib.h>
#include <string.h>

struct gathering {
    struct print_batch batch;
    int64_t from, to;
    size_t room;
    bool no_memory;
};

static bool make_room(struct gathering *gathering)
{
    const size_t room = gathering->room ? gathering->room * 2 : 16;
    struct print *grown = realloc(gathering->batch.labels, room * sizeof *grown);
    gathering->no_memory = grown == NULL;
    if (!grown)
        return false;
    gathering->batch.labels = grown;
    gathering->room = room;
    return true;
}

static bool gather(const struct movement *movement, void *context)
{
    struct gathering *gathering = context;
    struct print_batch *batch = &gathering->batch;
    if (movement->kind != MOVEMENT_PRINT || strcmp(movement->word, print_state_word(PRINT_WAITING)) != 0 ||
        movement->refers != MOVEMENT_NULL) /* put back, not ordered */
        return true;
    batch->size++;
    if (batch->size < gathering->from || batch->size > gathering->to)
        return true;
    if (batch->count == gathering->room && !make_room(gathering))
        return false;
    struct print *label = &batch->labels[batch->count++];
    *label = (struct print){.number = movement->pieces};
    memcpy(label->unit, movement->unit, sizeof label->unit);
    memcpy(label->place, movement->place, sizeof label->place);
    return true;
}

/* After the walk: no statement runs inside another's rows. */
static bool load_labels(struct ledger *ledger, struct print_batch *batch, struct fault *fault)
{
    for (size_t i = 0; i < batch->count; i++) {
        struct print *label = &batch->labels[i], row;
        bool found = false;
        if (!print_load(ledger, label->unit, label->place, label->number, &row, &found, fault))
            return false;
        if (!found)
            return fault_set(fault, FAULT_DAMAGED, "label %lld of '%s%s' was ordered and has no row",
                             (long long)label->number, label->unit, label->place);
        *label = row;
    }
    return true;
}

bool print_batch_load(struct ledger *ledger, const char *batch, int64_t from, int64_t to, struct print_batch *loaded,
                      struct fault *fault)
{
    struct gathering gathering = {.batch = {.first = from}, .from = from, .to = to};
    bool read = ledger_each_of_act(ledger, batch, gather, &gathering, fault);
    if (read && gathering.no_memory)
        read = fault_set(fault, FAULT_STORAGE, "no memory for the labels of a batch: end other programs and try again");
    if (read && load_labels(ledger, &gathering.batch, fault)) {
        *loaded = gathering.batch;
        return true;
    }
    free(gathering.batch.labels);
    return false;
}

void print_batch_clear(struct print_batch *batch)
{
    free(batch->labels);
    *batch = (struct print_batch){.labels = NULL};
}
