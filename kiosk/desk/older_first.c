#include "kiosk/desk/older_first.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/stock.h"
#include "kiosk/rules/older_first.h"

enum { KINDS = 16, LINES = 32, LOOKED_AT = 256, ARENA_BYTES = 1 << 20 };

struct line {
    char lot[LOT_SIZE];
    int64_t expires;
};

/* One kind of resin: what goes out of it, and what stands in storage. */
struct search {
    struct turn *turn;
    const struct older_first_asking *asking;
    const struct thing *first; /* that goes out; all others are like it */
    struct older_first_one asked[COUNTER_UNITS];
    size_t asked_count;
    int64_t before; /* later days are of no use */
    char items[KINDS][ITEM_CODE_SIZE];
    size_t item_count;
    struct line lines[LINES]; /* of one item; the last is the one that is looked at */
    size_t line_count;
    struct unit found[OLDER_FIRST_STORED]; /* in that line */
    size_t found_count;
    struct unit stored[OLDER_FIRST_STORED]; /* the earliest of all, in order of day and serial */
    bool opened[OLDER_FIRST_STORED];
    size_t stored_count;
};

static bool is_looked_at(const struct thing *thing)
{
    return strchr("CR", thing->unit.serial[0]) && thing->unit.resin[0] != '\0' && thing->unit.status == UNIT_IN &&
           thing->unit.hold[0] == '\0' && thing->unit.expires != MOVEMENT_NULL;
}

static bool is_alike(const struct thing *one, const struct thing *two)
{
    const struct check_out_thing a = thing_for_rule(one), b = thing_for_rule(two);
    return a.letter == b.letter && one->unit.recovered == two->unit.recovered && strcmp(a.resin, b.resin) == 0 &&
           strcmp(a.revision, b.revision) == 0;
}

/* Nobody has to say that it was opened: less than full says it. */
static bool is_opened(const struct unit *unit, const struct item *item)
{
    return unit->opened != MOVEMENT_NULL || (unit->amount_ul != MOVEMENT_NULL && item->content_ul != MOVEMENT_NULL &&
                                             unit->amount_ul < item->content_ul);
}

static struct older_first_one one_of(const struct unit *unit, bool opened)
{
    return (struct older_first_one){.serial = unit->serial,
                                    .place = unit->place,
                                    .use_by = {(int32_t)unit->expires},
                                    .amount_ul = unit->amount_ul,
                                    .estimated = unit->estimated,
                                    .opened = opened};
}

/* ---- what stands in storage ---- */

static bool collect_item(const struct item *item, void *context)
{
    struct search *search = context;
    if (strcmp(item->code, search->items[0]) != 0)
        memcpy(search->items[search->item_count++], item->code, sizeof item->code);
    return search->item_count < KINDS;
}

/* Lines come in order of day; each stands for one unit or more that may be taken. */
static bool collect_line(const struct stock_line *line, void *context)
{
    struct search *search = context;
    if (line->expires == MOVEMENT_NULL || line->expires >= search->before)
        return false;
    if (line->status != UNIT_IN || line->held || !line->labelled || line->units == 0 ||
        line->expires < search->turn->act->moment.local_day.number)
        return true;
    struct line *kept = &search->lines[search->line_count++];
    memcpy(kept->lot, line->lot, sizeof kept->lot);
    kept->expires = line->expires;
    return search->line_count < LINES;
}

/* For somebody, today still. */
static bool is_kept(const struct unit *unit, struct day today)
{
    return unit->reserved[0] != '\0' && (unit->reserved_until == MOVEMENT_NULL || unit->reserved_until >= today.number);
}

/* What the rows say is looked at first: a thing costs its items' rows. */
static bool collect_unit(const struct unit *unit, void *context)
{
    struct search *search = context;
    const struct line *line = &search->lines[search->line_count - 1];
    if (unit->status != UNIT_IN || !unit->labelled || unit->hold[0] != '\0' || unit->amount_ul == 0 ||
        unit->expires != line->expires || is_kept(unit, search->turn->act->moment.local_day) ||
        counter_find(&search->turn->counter, unit->serial))
        return true;
    search->found[search->found_count++] = *unit;
    return search->found_count < OLDER_FIRST_STORED;
}

static bool is_earlier(const struct unit *one, const struct unit *two)
{
    return one->expires != two->expires ? one->expires < two->expires : strcmp(one->serial, two->serial) < 0;
}

/* Into its place; the latest falls out when there are too many. */
static void insert(struct search *search, const struct unit *unit, bool opened)
{
    size_t at = search->stored_count;
    if (at == OLDER_FIRST_STORED && !is_earlier(unit, &search->stored[at - 1]))
        return;
    if (at == OLDER_FIRST_STORED)
        at--;
    else
        search->stored_count++;
    for (; at > 0 && is_earlier(unit, &search->stored[at - 1]); at--) {
        search->stored[at] = search->stored[at - 1];
        search->opened[at] = search->opened[at - 1];
    }
    search->stored[at] = *unit;
    search->opened[at] = opened;
}

static bool keep_usable(struct search *search, struct fault *fault)
{
    const struct machine *machine = search->asking->machine;
    struct thing thing;
    for (size_t i = 0; i < search->found_count; i++) {
        if (!thing_of_unit(search->turn->ledger, &search->found[i], &thing, fault))
            return false;
        const struct check_out_thing judged = thing_for_rule(&thing);
        if (is_alike(search->first, &thing) &&
            older_first_usable(&judged, thing.unit.labelled, thing.unit.amount_ul, search->turn->act->moment.local_day,
                               machine ? machine->code : NULL))
            insert(search, &thing.unit, is_opened(&thing.unit, &thing.item));
    }
    return true;
}

static bool search_item(struct search *search, const char *item, struct fault *fault)
{
    search->line_count = 0;
    if (!stock_each_of_item(search->turn->ledger, item, collect_line, search, fault))
        return false;
    const size_t count = search->line_count;
    size_t found = 0;
    for (size_t i = 0; i < count && found < OLDER_FIRST_STORED; i++) {
        search->line_count = i + 1; /* the line that is looked at */
        search->found_count = 0;
        if (!unit_each_present_of_lot(search->turn->ledger, item, search->lines[i].lot, "", LOOKED_AT, collect_unit,
                                      search, fault) ||
            !keep_usable(search, fault))
            return false;
        found += search->found_count;
    }
    return true;
}

/* Items of the same resin; of bottles those too that have none of their own. */
static bool list_items(struct search *search, struct fault *fault)
{
    const struct thing *first = search->first;
    const char letter = first->unit.serial[0], *resin = first->resin.resin;
    memcpy(search->items[0], first->unit.item, sizeof first->unit.item);
    search->item_count = 1;
    return (resin[0] == '\0' || item_each_of_resin(search->turn->ledger, letter, resin, collect_item, search, fault)) &&
           (letter != 'R' || item_each_of_resin(search->turn->ledger, letter, "", collect_item, search, fault));
}

static bool search_stock(struct search *search, struct fault *fault)
{
    search->stored_count = 0;
    if (!list_items(search, fault))
        return false;
    for (size_t i = 0; i < search->item_count; i++)
        if (!search_item(search, search->items[i], fault))
            return false;
    return true;
}

/* ---- asking the rule ---- */

/* What is left of the need after what is in the printer; the printer keeps its vat's level, so cartridges have to hold
 * it. */
static int64_t need_of(const struct older_first_asking *asking, int64_t *slots)
{
    int64_t need_ul = asking->need_ul;
    *slots = asking->machine ? asking->machine->slots : 1;
    for (size_t i = 0; i < asking->inside_count; i++) {
        const struct unit *unit = &asking->inside[i].unit;
        if (unit->serial[0] != 'C')
            continue;
        (*slots)--;
        if (need_ul != MOVEMENT_NULL)
            need_ul = unit->amount_ul == MOVEMENT_NULL ? MOVEMENT_NULL : need_ul - unit->amount_ul;
    }
    return need_ul;
}

static struct older_first_case case_of(const struct search *search, struct older_first_one stored[OLDER_FIRST_STORED])
{
    int64_t slots;
    const int64_t need_ul = need_of(search->asking, &slots);
    if (search->first->unit.serial[0] == 'R') /* poured by hand: no slot limits them */
        slots = (int64_t)search->asked_count;
    for (size_t i = 0; i < search->stored_count; i++)
        stored[i] = one_of(&search->stored[i], search->opened[i]);
    return (struct older_first_case){.resin = thing_for_rule(search->first).resin,
                                     .asked = search->asked,
                                     .asked_count = search->asked_count,
                                     .stored = stored,
                                     .stored_count = search->stored_count,
                                     .need_ul = need_ul,
                                     .slots = slots > 0 ? slots : 1,
                                     .job_end = search->asking->job_end};
}

static void note(const struct search *search, const struct older_first_answer *answer)
{
    for (size_t i = 0; i < search->asked_count; i++) {
        struct counter_unit *said = counter_find(&search->turn->counter, search->asked[i].serial);
        if (said && answer->instead[i])
            turn_copy(said->instead, sizeof said->instead, answer->instead[i]->serial);
    }
}

static bool ask_rule(const struct search *search, struct verdict_list *list, struct fault *fault)
{
    struct older_first_one stored[OLDER_FIRST_STORED];
    struct older_first_answer answer;
    struct arena arena;
    void *memory = malloc(ARENA_BYTES);
    if (!memory)
        return fault_set(fault, FAULT_STORAGE, "no memory to look for an older one: try again");
    arena_init(&arena, memory, ARENA_BYTES);
    const struct older_first_case asked = case_of(search, stored);
    older_first(&asked, &arena, &answer);
    older_first_judge(&asked, &answer, list);
    note(search, &answer);
    free(memory);
    return true;
}

/* Those like the first that go out, and how late the latest may be used. */
static void gather_asked(struct search *search)
{
    const struct older_first_asking *asking = search->asking;
    search->asked_count = 0;
    search->before = INT64_MIN;
    for (const struct thing *thing = search->first; thing < asking->things + asking->count; thing++) {
        if (!is_looked_at(thing) || !is_alike(search->first, thing))
            continue;
        search->asked[search->asked_count++] = one_of(&thing->unit, is_opened(&thing->unit, &thing->item));
        if (thing->unit.expires > search->before)
            search->before = thing->unit.expires;
    }
}

static bool look_at_kind(struct search *search, struct verdict_list *list, struct fault *fault)
{
    gather_asked(search);
    if (!search_stock(search, fault))
        return false;
    if (search->stored_count == 0) /* as a rule: few rows are read then */
        return true;
    if (search->asking->need_ul != MOVEMENT_NULL) {
        search->before = INT64_MAX; /* the plan may choose a later one */
        if (!search_stock(search, fault))
            return false;
    }
    return ask_rule(search, list, fault);
}

static bool is_first_of_its_kind(const struct older_first_asking *asking, size_t at)
{
    for (size_t i = 0; i < at; i++)
        if (is_looked_at(&asking->things[i]) && is_alike(&asking->things[i], &asking->things[at]))
            return false;
    return is_looked_at(&asking->things[at]);
}

bool older_first_add(struct turn *turn, const struct older_first_asking *asking, struct verdict_list *list,
                     struct fault *fault)
{
    struct search *search = malloc(sizeof *search);
    bool done = true;
    if (!search)
        return fault_set(fault, FAULT_STORAGE, "no memory to look for an older one: try again");
    search->turn = turn;
    search->asking = asking;
    for (size_t i = 0; done && i < asking->count; i++) {
        search->first = &asking->things[i];
        done = !is_first_of_its_kind(asking, i) || look_at_kind(search, list, fault);
    }
    free(search);
    return done;
}
