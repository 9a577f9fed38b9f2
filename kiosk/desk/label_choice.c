#include "kiosk/desk/label_choice.h"

#include <stdlib.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "labels/basics/text.h"

static bool load_newest(struct turn *turn, const char *unit, const char *place, struct print_batch *batch,
                        struct fault *fault)
{
    struct print newest;
    bool found;
    if (!labels_newest(turn, unit, place, &newest, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "no label of '%s%s' was ever ordered here: check what it is", unit,
                         place);
    *batch = (struct print_batch){.labels = malloc(sizeof newest), .first = 1, .count = 1, .size = 1};
    if (!batch->labels)
        return fault_set(fault, FAULT_STORAGE, "no memory for a label: end other programs and try again");
    batch->labels[0] = newest;
    return true;
}

static bool load_range(struct turn *turn, const char *id, int64_t from, int64_t to, struct print_batch *batch,
                       struct fault *fault)
{
    if (from == MOVEMENT_NULL)
        from = 1;
    if (to == MOVEMENT_NULL)
        to = INT32_MAX;
    if (from > to)
        return fault_set(fault, FAULT_INPUT, "'from' is %lld and 'to' is %lld: the smaller comes first",
                         (long long)from, (long long)to);
    if (!print_batch_load(turn->ledger, id, from, to, batch, fault))
        return false;
    if (batch->count > 0)
        return true;
    const int64_t size = batch->size;
    print_batch_clear(batch);
    if (size == 0)
        return fault_set(fault, FAULT_MISSING, "batch '%s' is not known here: look at the list again", id);
    return fault_set(fault, FAULT_INPUT, "the batch has %lld label%s, so none from %lld on: say where to begin",
                     (long long)size, size == 1 ? "" : "s", (long long)from);
}

bool label_choice_load(struct turn *turn, struct label_choice *choice, struct fault *fault)
{
    const json_t *content = turn->act->act->content;
    char unit[SERIAL_SIZE], place[PLACE_SIZE], batch[ACT_ID_SIZE];
    int64_t from, to;
    if (!content_code(content, "unit", CONTENT_OPTIONAL, unit, sizeof unit, fault) ||
        !content_code(content, "place", CONTENT_OPTIONAL, place, sizeof place, fault) ||
        !content_text(content, "batch", CONTENT_OPTIONAL, batch, sizeof batch, fault) ||
        !content_count(content, "from", CONTENT_OPTIONAL, 1, INT32_MAX, &from, fault) ||
        !content_count(content, "to", CONTENT_OPTIONAL, 1, INT32_MAX, &to, fault))
        return false;
    if ((unit[0] != '\0') + (place[0] != '\0') + (batch[0] != '\0') != 1)
        return fault_set(fault, FAULT_INPUT, "say one of 'unit', 'place' and 'batch': which label is it about?");
    if (batch[0] == '\0' && (from != MOVEMENT_NULL || to != MOVEMENT_NULL))
        return fault_set(fault, FAULT_INPUT, "'from' and 'to' are of a batch: name it");
    *choice = (struct label_choice){.is_batch = batch[0] != '\0'};
    return choice->is_batch ? load_range(turn, batch, from, to, &choice->batch, fault)
                            : load_newest(turn, unit, place, &choice->batch, fault);
}

void label_choice_clear(struct label_choice *choice)
{
    print_batch_clear(&choice->batch);
}

void label_choice_words(const struct label_choice *choice, char words[LABEL_CHOICE_WORDS])
{
    const struct print_batch *batch = &choice->batch;
    struct builder out;
    builder_init(&out, words, LABEL_CHOICE_WORDS);
    if (!choice->is_batch)
        builder_addf(&out, "label %lld of %s%s", (long long)batch->labels[0].number, batch->labels[0].unit,
                     batch->labels[0].place);
    else if (batch->count == 1)
        builder_addf(&out, "label %lld of %lld", (long long)batch->first, (long long)batch->size);
    else
        builder_addf(&out, "labels %lld to %lld of %lld", (long long)batch->first,
                     (long long)(batch->first + (int64_t)batch->count - 1), (long long)batch->size);
}
