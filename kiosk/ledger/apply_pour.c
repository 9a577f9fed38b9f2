#include <string.h>

#include "kiosk/ledger/apply_parts.h"
#include "kiosk/ledger/movement_detail.h"

/* What flows: from one container into another, into a job's parts, into the waste; and how much is known to be left.
 * Every such movement says in its detail what was in the container before it ("lots", "before_ul"): the past of one
 * unit can then be told without that of all others, and a movement that was meant for another content is refused. */

struct vessel {
    struct unit unit;
    struct contents contents;
    bool has_mix; /* a row of the table, if an empty one */
};

static bool is_cartridge(const struct vessel *vessel)
{
    return vessel->unit.serial[0] == 'C' || vessel->unit.serial[0] == 'R';
}

static bool is_vat(const struct vessel *vessel)
{
    return vessel->unit.serial[0] == 'V' || vessel->unit.serial[0] == 'T';
}

static bool load_vessel(const struct movement *movement, const char *serial, const char *letters,
                        const struct apply_store *store, struct vessel *vessel, struct fault *fault)
{
    struct movement about = *movement;
    struct unit_mix mix = {.lots = ""};
    memcpy(about.unit, serial, sizeof about.unit);
    if (!apply_find_unit(&about, store, false, &vessel->unit, fault))
        return false;
    if (!strchr(letters, vessel->unit.serial[0]))
        return fault_set(fault, FAULT_REFUSED, "a %s cannot be with %s: it holds no such thing",
                         movement_kind_word(movement->kind), serial);
    memcpy(mix.unit, serial, sizeof mix.unit);
    return store->load_unit_mix(store->context, &mix, &vessel->has_mix, fault) &&
           contents_of(&vessel->unit, vessel->has_mix ? mix.lots : "", &vessel->contents, fault);
}

static bool save_vessel(const struct movement *movement, struct vessel *vessel, const struct apply_store *store,
                        struct fault *fault)
{
    struct unit_mix mix = {.version = movement->seq};
    contents_put(&vessel->contents, &vessel->unit, mix.lots);
    memcpy(mix.unit, vessel->unit.serial, sizeof mix.unit);
    vessel->unit.version = movement->seq;
    return store->save_unit(store->context, &vessel->unit, fault) &&
           ((!mix.lots[0] && !vessel->has_mix) || store->save_unit_mix(store->context, &mix, fault));
}

/* Is in it what the movement says? */
static bool check_before(const struct movement *movement, const struct vessel *vessel, struct fault *fault)
{
    char said[CONTENTS_TEXT_SIZE] = "", now[CONTENTS_TEXT_SIZE];
    int64_t before = MOVEMENT_NULL;
    json_t *detail = NULL;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool read = movement_detail_text(detail, "lots", said, sizeof said, fault) &&
                      movement_detail_number(detail, "before_ul", &before, fault);
    json_decref(detail);
    if (!read)
        return false;
    contents_write(&vessel->contents, now);
    return (strcmp(said, now) == 0 && before == vessel->contents.total_ul) ||
           fault_set(fault, FAULT_CONFLICT, "what is in %s changed meanwhile: look again, then decide",
                     vessel->unit.serial);
}

/* A cartridge is open from its first drop on. */
static void note_opened(const struct movement *movement, struct vessel *from)
{
    if (is_cartridge(from) && from->unit.opened == MOVEMENT_NULL)
        from->unit.opened = movement->local_day.number;
}

static bool load_source(const struct movement *movement, const struct apply_store *store, struct vessel *from,
                        struct contents *taken, struct fault *fault)
{
    if (!load_vessel(movement, movement->unit, "VTCR", store, from, fault) || !check_before(movement, from, fault))
        return false;
    struct fault why = {0};
    if (!contents_take(&from->contents, movement->amount_ul, taken, &why))
        return fault_set(fault, why.code, "%s: %s", movement->unit, why.text);
    note_opened(movement, from);
    return true;
}

/* How old and how well known what is poured is: said too, for the same reason. */
static bool check_poured(const struct movement *movement, const struct vessel *from, struct fault *fault)
{
    return (movement->expires == from->unit.expires &&
            movement_detail_flag(movement->detail, "estimated") == from->unit.estimated &&
            movement_detail_flag(movement->detail, "recovered") == from->unit.recovered) ||
           fault_set(fault, FAULT_CONFLICT, "what is in %s changed meanwhile: look again, then decide",
                     from->unit.serial);
}

static int64_t earlier(int64_t one, int64_t two)
{
    if (one == MOVEMENT_NULL || two == MOVEMENT_NULL)
        return one == MOVEMENT_NULL ? two : one;
    return one < two ? one : two;
}

/* What is clean goes as the mix that came in went, where the movement says as which resin. */
static bool note_resin(const struct movement *movement, struct vessel *to, struct fault *fault)
{
    char as[ITEM_CODE_SIZE];
    if (!apply_detail_text(movement, "as", as, sizeof as, fault))
        return false;
    bool inside = false;
    for (size_t i = 0; i < to->contents.count; i++)
        inside = inside || strcmp(to->contents.lots[i].item, as) == 0;
    if (as[0] && !inside)
        return fault_set(fault, FAULT_REFUSED, "%s cannot go as %s: no lot of that is in it", to->unit.serial, as);
    if (to->unit.resin[0] == '\0')
        memcpy(to->unit.resin, as, sizeof as);
    return true;
}

/* What came in makes the container as old as its oldest part; its first filling is its own for life. */
static void note_filled(const struct movement *movement, struct vessel *to)
{
    struct unit *unit = &to->unit;
    const int64_t expires = movement->expires;
    const bool was_clean = unit->resin[0] == '\0';
    unit->expires = was_clean ? expires : earlier(unit->expires, expires);
    if (unit->first_filled == MOVEMENT_NULL)
        unit->first_filled = unit->filled != MOVEMENT_NULL ? unit->filled : movement->local_day.number;
    unit->filled = movement->filled != MOVEMENT_NULL ? movement->filled : movement->local_day.number;
}

bool apply_pour(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct vessel from, to;
    struct contents taken;
    if (!apply_check_word(movement, "fill top-up decant transfer recover printer", fault) ||
        !apply_needs(movement, movement->other, "where it goes", fault) || !apply_check_printer(movement, store, fault))
        return false;
    if (strcmp(movement->unit, movement->other) == 0)
        return fault_set(fault, FAULT_REFUSED, "%s is poured into itself: scan where it goes", movement->unit);
    if (!load_source(movement, store, &from, &taken, fault) || !check_poured(movement, &from, fault) ||
        !load_vessel(movement, movement->other, "VTCR", store, &to, fault))
        return false;
    struct fault why = {0};
    if (!contents_add(&to.contents, &taken, &why))
        return fault_set(fault, why.code, "%s: %s", movement->other, why.text);
    note_filled(movement, &to);
    if (!note_resin(movement, &to, fault))
        return false;
    const bool reckoned = movement_detail_flag(movement->detail, "reckoned"); /* nobody measured what ran */
    from.unit.estimated = from.unit.estimated || reckoned;
    to.unit.estimated = to.unit.estimated || from.unit.estimated;
    to.unit.recovered = to.unit.serial[0] == 'R' && (to.unit.recovered || from.unit.recovered || is_vat(&from));
    apply_note_rest(movement, &to.unit);
    return save_vessel(movement, &from, store, fault) && save_vessel(movement, &to, store, fault);
}

bool apply_use(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct vessel from;
    struct contents taken;
    if (!apply_check_word(movement, "estimate told weighed", fault) ||
        !apply_needs(movement, movement->job, "job", fault) || !apply_check_job(movement, store, fault) ||
        !load_source(movement, store, &from, &taken, fault))
        return false;
    from.unit.estimated = from.unit.estimated || strcmp(movement->word, "estimate") == 0;
    apply_note_rest(movement, &from.unit);
    return save_vessel(movement, &from, store, fault);
}

/* A waste container is told how full it is, not of what. */
static bool fill_waste(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct movement about = *movement;
    struct unit waste;
    if (!movement->other[0])
        return true;
    memcpy(about.unit, movement->other, sizeof about.unit);
    if (!apply_find_unit(&about, store, false, &waste, fault))
        return false;
    if (waste.serial[0] != 'W')
        return fault_set(fault, FAULT_REFUSED, "%s is no waste container: scan the one it goes into", waste.serial);
    waste.amount_ul = waste.amount_ul == MOVEMENT_NULL || movement->amount_ul == MOVEMENT_NULL
                          ? MOVEMENT_NULL
                          : waste.amount_ul + movement->amount_ul;
    waste.version = movement->seq;
    return store->save_unit(store->context, &waste, fault);
}

bool apply_waste(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct vessel from;
    struct contents taken;
    return apply_needs(movement, movement->word, "a reason", fault) &&
           load_source(movement, store, &from, &taken, fault) && fill_waste(movement, store, fault) &&
           save_vessel(movement, &from, store, fault);
}

bool apply_clean(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct vessel vessel;
    if (!load_vessel(movement, movement->unit, "VTR", store, &vessel, fault) || !check_before(movement, &vessel, fault))
        return false;
    if (vessel.contents.total_ul != MOVEMENT_NULL && vessel.contents.total_ul > 0)
        return fault_set(fault, FAULT_REFUSED,
                         "%.1f ml are in %s by the books: say first where they went, then that it is clean",
                         (double)vessel.contents.total_ul / 1000, movement->unit);
    vessel.contents = (struct contents){.total_ul = 0, .count = 0};
    vessel.unit.filled = vessel.unit.expires = MOVEMENT_NULL;
    vessel.unit.estimated = vessel.unit.recovered = false;
    vessel.unit.stood_ms = MOVEMENT_NULL;
    return save_vessel(movement, &vessel, store, fault);
}

bool apply_weighing(const struct movement *movement, const struct apply_store *store, struct fault *fault)
{
    struct vessel vessel;
    int64_t tare = MOVEMENT_NULL;
    json_t *detail = NULL;
    if (!load_vessel(movement, movement->unit, "VTCR", store, &vessel, fault) ||
        !check_before(movement, &vessel, fault) || !movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool read = movement_detail_number(detail, "tare_dg", &tare, fault);
    json_decref(detail);
    if (!read)
        return false;
    if (movement->amount_ul == MOVEMENT_NULL)
        return fault_set(fault, FAULT_REFUSED, "a weighing of %s without what came out of it: weigh it again",
                         movement->unit);
    if (vessel.contents.count == 0 && movement->amount_ul > 0)
        return fault_set(fault, FAULT_REFUSED, "%s is empty by the books: say what was filled into it first",
                         movement->unit);
    contents_set_total(&vessel.contents, movement->amount_ul);
    vessel.unit.estimated = false;
    if (tare != MOVEMENT_NULL)
        vessel.unit.tare_dg = tare;
    return save_vessel(movement, &vessel, store, fault);
}

bool apply_mix_total(const struct movement *movement, const struct unit *before, int64_t total_ul,
                     const struct apply_store *store, struct fault *fault)
{
    struct unit_mix mix = {.lots = ""};
    struct contents contents;
    struct unit unit = *before;
    bool found = false;
    memcpy(mix.unit, before->serial, sizeof mix.unit);
    if (before->lot[0] || before->amount_ul == total_ul)
        return true;
    if (!store->load_unit_mix(store->context, &mix, &found, fault))
        return false;
    if (!found || !mix.lots[0])
        return true;
    if (!contents_of(before, mix.lots, &contents, fault))
        return false;
    contents_set_total(&contents, total_ul);
    contents_put(&contents, &unit, mix.lots);
    mix.version = movement->seq;
    return store->save_unit_mix(store->context, &mix, fault);
}

bool apply_mix_set(const struct movement *movement, const char *lots, const struct apply_store *store,
                   struct fault *fault)
{
    struct unit_mix mix = {.lots = ""};
    bool found = false;
    memcpy(mix.unit, movement->unit, sizeof mix.unit);
    if (!store->load_unit_mix(store->context, &mix, &found, fault))
        return false;
    if (!lots[0] && !found)
        return true;
    mix.version = movement->seq;
    return span_copy(span_of(lots), mix.lots, sizeof mix.lots) && store->save_unit_mix(store->context, &mix, fault);
}
