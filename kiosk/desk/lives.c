#include "kiosk/desk/lives.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/rules/survival.h"

enum {
    LIVES_MOST = 2000,
    ROWS_MOST = 2 * LIVES_MOST /* old serials among them */,
    SERIALS_MOST = 100,
    ARENA_BYTES = 4 << 20
};

static const double minutes_an_hour = 60;
static const double shares[] = {0.1, 0.5};

struct life {
    char serial[SERIAL_SIZE];
    int64_t minutes; /* of light so far */
    bool over;
};

struct lives {
    struct life list[LIVES_MOST];
    size_t count;
    bool cut;
    /* those that say something */
    double hours[LIVES_MOST], entry_hours[LIVES_MOST];
    bool ends[LIVES_MOST];
    size_t known;
};

static bool gather(const struct unit *unit, void *context)
{
    struct lives *lives = context;
    if (unit->status == UNIT_RELABELLED)
        return true;
    lives->cut = lives->count == LIVES_MOST;
    if (lives->cut)
        return false;
    struct life *life = &lives->list[lives->count++];
    memcpy(life->serial, unit->serial, sizeof life->serial);
    life->minutes = unit->minutes;
    life->over = unit->status == UNIT_RETIRED || unit->status == UNIT_GONE;
    return true;
}

static bool keep_first(const struct movement *movement, void *context)
{
    *(struct movement *)context = *movement;
    return false;
}

/* Minutes with which a thing came here; MOVEMENT_NULL: nobody knew. A thing's first movement says it, whatever was
 * corrected later; that of a new serial is about the serial before it. */
static bool entry_minutes(struct ledger *ledger, const char *serial, int64_t *minutes, struct fault *fault)
{
    char about[SERIAL_SIZE];
    memcpy(about, serial, sizeof about);
    *minutes = MOVEMENT_NULL;
    for (int serials = 0; serials < SERIALS_MOST; serials++) {
        struct movement first;
        movement_init(&first, MOVEMENT_CORRECTION);
        if (!ledger_each_of_unit(ledger, about, 0, keep_first, &first, fault))
            return false;
        if (first.kind == MOVEMENT_RECEIPT)
            *minutes = 0;
        else if (first.kind == MOVEMENT_TAKE_ON)
            *minutes = first.minutes;
        if (first.kind != MOVEMENT_RELABEL)
            return true;
        memcpy(about, first.other, sizeof about);
    }
    return true;
}

static bool is_wear(const char *reason)
{
    static const char *const reasons[] = {"worn", "film-damaged", "leaking", "scratched"};
    for (size_t i = 0; i < sizeof reasons / sizeof *reasons; i++)
        if (strcmp(reason, reasons[i]) == 0)
            return true;
    return false;
}

static bool ended_worn(struct ledger *ledger, const char *serial, bool *worn, struct fault *fault)
{
    struct movement movement;
    bool found = false;
    if (!ledger_last_of_unit(ledger, serial, MOVEMENT_RETIRE, &movement, &found, fault))
        return false;
    *worn = found && is_wear(movement.word);
    return true;
}

static bool look_at(struct ledger *ledger, struct lives *lives, const struct life *life, struct fault *fault)
{
    int64_t entry;
    bool worn = false;
    if (life->minutes == MOVEMENT_NULL)
        return true;
    if (!entry_minutes(ledger, life->serial, &entry, fault) ||
        (life->over && !ended_worn(ledger, life->serial, &worn, fault)))
        return false;
    if (entry == MOVEMENT_NULL || entry >= life->minutes)
        return true;
    lives->hours[lives->known] = (double)life->minutes / minutes_an_hour;
    lives->entry_hours[lives->known] = (double)entry / minutes_an_hour;
    lives->ends[lives->known++] = worn;
    return true;
}

static json_t *number(double value)
{
    return rule_is_null(value) ? json_null() : json_real(value);
}

static json_t *quantiles_of(const struct survival_answer *answer)
{
    json_t *list = json_array();
    for (size_t i = 0; i < sizeof shares / sizeof *shares; i++)
        json_array_append_new(list, json_pack("{s:f, s:o}", "p", shares[i], "hours", number(answer->quantiles[i])));
    return list;
}

/* Where no life says anything there is nothing to ask the rule. */
static bool judge(const struct lives *lives, double rated_hours, struct arena *arena, json_t *into, struct fault *fault)
{
    const struct survival_case asked = {.unit_count = lives->known,
                                        .hours = lives->hours,
                                        .events = lives->ends,
                                        .entry_hours = lives->entry_hours,
                                        .interval = SURVIVAL_LOG_LOG,
                                        .confidence = 0.95,
                                        .quantiles = shares,
                                        .quantile_count = sizeof shares / sizeof *shares,
                                        .at_hours = &rated_hours,
                                        .at_count = rule_is_null(rated_hours) ? 0 : 1,
                                        .restrict_hours = RULE_NULL};
    struct survival_answer answer = {.event_count = 0};
    struct rule_fault refusal = {.code = RULE_GOOD};
    if (lives->known > 0 && !survival(&asked, arena, &answer, &refusal))
        return fault_set(fault, FAULT_STORAGE, "how long they last cannot be worked out: %s", refusal.text);
    const bool rated = lives->known > 0 && asked.at_count > 0;
    json_object_set_new(into, "ends", json_integer((json_int_t)answer.event_count));
    json_object_set_new(into, "quantiles", lives->known > 0 ? quantiles_of(&answer) : json_array());
    json_object_set_new(into, "outlast_rated", rated ? number(answer.at[0]) : json_null());
    json_object_set_new(
        into, "sentence",
        json_string(lives->known > 0 ? answer.said.sentence : "None has run here yet whose hours are known."));
    return true;
}

static bool answer_of(struct ledger *ledger, const struct item *item, struct lives *lives, struct arena *arena,
                      json_t *into, struct fault *fault)
{
    const double rated = item->life_minutes > 0 ? (double)item->life_minutes / minutes_an_hour : RULE_NULL;
    for (size_t i = 0; i < lives->count; i++)
        if (!look_at(ledger, lives, &lives->list[i], fault))
            return false;
    json_object_set_new(into, "item", json_string(item->code));
    json_object_set_new(into, "rated_hours", number(rated));
    json_object_set_new(into, "units", json_integer((json_int_t)lives->known));
    json_object_set_new(into, "left_out", json_integer((json_int_t)(lives->count - lives->known)));
    json_object_set_new(into, "cut", json_boolean(lives->cut));
    return judge(lives, rated, arena, into, fault);
}

bool lives_of_item(struct ledger *ledger, const char *item, json_t **answer, struct fault *fault)
{
    struct item row;
    struct arena arena;
    bool found = false;
    if (!item_load(ledger, item, &row, &found, fault))
        return false;
    if (!found)
        return fault_set(fault, FAULT_MISSING, "item '%.40s' is not known: look it up on the page Room", item);
    struct lives *lives = calloc(1, sizeof *lives);
    void *memory = malloc(ARENA_BYTES);
    json_t *made = json_object();
    bool good = lives && memory && made;
    if (!good)
        fault_set(fault, FAULT_STORAGE, "no memory for the lives of %s: try again", row.code);
    else
        arena_init(&arena, memory, ARENA_BYTES);
    good = good && unit_each(ledger, UNIT_BY_ITEM, row.code, "", ROWS_MOST, gather, lives, fault) &&
           answer_of(ledger, &row, lives, &arena, made, fault);
    if (good)
        *answer = json_incref(made);
    json_decref(made);
    free(memory);
    free(lives);
    return good;
}
