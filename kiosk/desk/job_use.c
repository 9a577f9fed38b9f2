#include "kiosk/desk/job_use.h"

#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/content_label.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/catalogue.h"

enum { UL_A_ML = 1000 };

/* ---- what is in the printer ---- */

struct found {
    struct unit cartridges[JOB_CARTRIDGES];
    size_t count;
    char vat[SERIAL_SIZE];
};

static bool collect(const struct unit *unit, void *context)
{
    struct found *found = context;
    if (unit->serial[0] == 'C' && unit->amount_ul != 0 && found->count < JOB_CARTRIDGES)
        found->cartridges[found->count++] = *unit;
    else if ((unit->serial[0] == 'V' || unit->serial[0] == 'T') && found->vat[0] == '\0')
        turn_copy(found->vat, sizeof found->vat, unit->serial);
    return true;
}

static int64_t last_day(const struct unit *unit)
{
    return unit->expires == MOVEMENT_NULL ? INT64_MAX : unit->expires;
}

static int expires_first(const void *one, const void *two)
{
    const struct unit *a = one, *b = two;
    if (last_day(a) != last_day(b))
        return last_day(a) < last_day(b) ? -1 : 1;
    return strcmp(a->serial, b->serial);
}

bool job_use_inside(struct turn *turn, const char *machine, struct job_inside *inside, struct fault *fault)
{
    struct found found = {.count = 0};
    if (!unit_each(turn->ledger, UNIT_BY_PRINTER, machine, "", INT64_MAX, collect, &found, fault))
        return false;
    qsort(found.cartridges, found.count, sizeof *found.cartridges, expires_first);
    *inside = (struct job_inside){.cartridge_count = found.count};
    turn_copy(inside->vat, sizeof inside->vat, found.vat);
    for (size_t i = 0; i < found.count; i++)
        turn_copy(inside->cartridges[i], SERIAL_SIZE, found.cartridges[i].serial);
    return true;
}

/* ---- movements ---- */

struct flow {
    struct turn *turn;
    const struct job *job;
    struct job_inside inside;
    const char *word; /* of the use */
    bool reckoned;    /* how much ran out of which cartridge, nobody measured */
};

static int64_t smaller(int64_t one, int64_t two)
{
    return one < two ? one : two;
}

/* How much of `wanted` (MOVEMENT_NULL: nobody knows) can have come out of it: what is there, all of it where nobody
 * knows what is there. */
static bool can_come_out(struct flow *flow, const char *serial, int64_t wanted, int64_t *amount, struct fault *fault)
{
    struct unit unit;
    struct contents contents;
    if (!thing_require_unit(flow->turn->ledger, serial, &unit, fault) ||
        !contents_load(flow->turn->ledger, &unit, &contents, fault))
        return false;
    if (contents.count == 0 || contents.total_ul == 0)
        *amount = 0;
    else if (wanted == MOVEMENT_NULL || contents.total_ul == MOVEMENT_NULL)
        *amount = wanted;
    else
        *amount = smaller(wanted, contents.total_ul);
    return true;
}

static void say_where(const struct flow *flow, struct movement *movement)
{
    turn_copy(movement->printer, sizeof movement->printer, flow->job->machine);
    turn_copy(movement->job, sizeof movement->job, flow->job->id);
}

static bool book_run(struct flow *flow, const char *cartridge, int64_t amount_ul, struct fault *fault)
{
    struct movement pour;
    json_t *more = flow->reckoned ? json_pack("{s:i}", "reckoned", 1) : NULL;
    movement_init(&pour, MOVEMENT_POUR);
    if (!contents_say(flow->turn->ledger, cartridge, more, &pour, fault))
        return false;
    turn_copy(pour.word, sizeof pour.word, "printer");
    turn_copy(pour.other, sizeof pour.other, flow->inside.vat);
    say_where(flow, &pour);
    pour.amount_ul = amount_ul;
    pour.filled = flow->turn->act->moment.local_day.number;
    return turn_book(flow->turn, &pour, fault);
}

static bool book_use(struct flow *flow, const char *unit, int64_t amount_ul, struct fault *fault)
{
    struct movement use;
    movement_init(&use, MOVEMENT_USE);
    if (!contents_say(flow->turn->ledger, unit, NULL, &use, fault))
        return false;
    turn_copy(use.word, sizeof use.word, flow->word);
    say_where(flow, &use);
    use.amount_ul = amount_ul;
    return turn_book(flow->turn, &use, fault);
}

/* Out of a cartridge: into the vat there, or straight into the parts of a printer without one. */
static bool run_out(struct flow *flow, const char *cartridge, int64_t wanted, int64_t *ran, struct fault *fault)
{
    if (!can_come_out(flow, cartridge, wanted, ran, fault))
        return false;
    if (*ran == 0)
        return true;
    return flow->inside.vat[0] ? book_run(flow, cartridge, *ran, fault) : book_use(flow, cartridge, *ran, fault);
}

/* One after the other, in their order; of an unknown amount nobody knows which gave how much. */
static bool run_out_in_order(struct flow *flow, int64_t wanted, int64_t *ran, struct fault *fault)
{
    int64_t rest = wanted;
    for (size_t i = 0; i < flow->inside.cartridge_count && rest != 0; i++) {
        int64_t one = 0;
        if (!run_out(flow, flow->inside.cartridges[i], rest, &one, fault))
            return false;
        rest = rest == MOVEMENT_NULL ? MOVEMENT_NULL : rest - one;
    }
    *ran = wanted == MOVEMENT_NULL ? MOVEMENT_NULL : wanted - rest;
    return true;
}

static bool ask_for_the_rest(struct flow *flow, const char *unit, int64_t used_ul, int64_t there_ul,
                             struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    if (used_ul == MOVEMENT_NULL || there_ul == MOVEMENT_NULL || used_ul <= there_ul)
        return true;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "The job%s%s on %s used %g ml%s%s, and %g ml were there by the books.",
                 flow->job->code[0] ? " " : "", flow->job->code, flow->job->machine, (double)used_ul / UL_A_ML,
                 unit[0] ? " of " : "", unit, (double)there_ul / UL_A_ML);
    return turn_question(flow->turn, "more-than-booked", unit, note, fault);
}

/* As the printer told for each cartridge. One that is not in the printer by the books gives its resin all the same. */
static bool run_out_as_told(struct flow *flow, const struct job_used *used, int64_t *ran, struct fault *fault)
{
    *ran = 0;
    for (size_t i = 0; i < used->told_count; i++) {
        const char *unit = used->told[i].unit;
        struct unit row;
        int64_t one = 0;
        bool found;
        if (!run_out(flow, unit, used->told[i].amount_ul, &one, fault) ||
            !ask_for_the_rest(flow, unit, used->told[i].amount_ul, one, fault) ||
            !unit_load(flow->turn->ledger, unit, &row, &found, fault))
            return false;
        if (strcmp(row.printer, flow->job->machine) != 0) {
            char note[COUNTER_TITLE_SIZE];
            struct builder out;
            builder_init(&out, note, sizeof note);
            builder_addf(&out, "%s says that %s gave it resin; by the books it is not in there.", flow->job->machine,
                         unit);
            if (!turn_question(flow->turn, "cartridge-elsewhere", unit, note, fault))
                return false;
        }
        *ran += one;
    }
    return true;
}

/* What came from the cartridges is in the vat now, and goes into the parts with the rest that the vat itself gave. */
static bool use_of_vat(struct flow *flow, int64_t amount_ul, struct fault *fault)
{
    int64_t there = 0;
    if (!can_come_out(flow, flow->inside.vat, amount_ul, &there, fault))
        return false;
    return (there == 0 || book_use(flow, flow->inside.vat, there, fault)) &&
           ask_for_the_rest(flow, flow->inside.vat, amount_ul, there, fault);
}

bool job_use_book(struct turn *turn, const struct job *job, const struct job_used *used, struct fault *fault)
{
    struct flow flow = {.turn = turn, .job = job, .word = used->word, .reckoned = used->told_count == 0};
    struct content_label label;
    int64_t ran = 0;
    if (used->amount_ul == 0)
        return true;
    if (!job_use_inside(turn, job->machine, &flow.inside, fault))
        return false;
    const bool has_vat = flow.inside.vat[0] != '\0';
    if (has_vat && !content_label_note(turn, flow.inside.vat, &label, fault))
        return false;
    if (used->told_count > 0 ? !run_out_as_told(&flow, used, &ran, fault)
                             : !run_out_in_order(&flow, used->amount_ul, &ran, fault))
        return false;
    if (has_vat)
        return use_of_vat(&flow, used->told_count > 0 ? ran : used->amount_ul, fault) &&
               content_label_follow(turn, &label, fault);
    return used->told_count > 0 || ask_for_the_rest(&flow, "", used->amount_ul, ran, fault);
}

/* ---- the first filling ---- */

bool job_use_fill(struct turn *turn, const struct job *job, struct fault *fault)
{
    struct flow flow = {.turn = turn, .job = job, .word = "estimate", .reckoned = true};
    struct content_label label;
    struct item item;
    bool found;
    int64_t ran;
    if (!job_use_inside(turn, job->machine, &flow.inside, fault))
        return false;
    if (flow.inside.vat[0] == '\0' || flow.inside.cartridge_count == 0)
        return true;
    if (!content_label_note(turn, flow.inside.vat, &label, fault))
        return false;
    if (label.contents.count > 0)
        return true;
    if (!item_load(turn->ledger, label.unit.item, &item, &found, fault))
        return false;
    return run_out_in_order(&flow, found ? item.content_ul : MOVEMENT_NULL, &ran, fault) &&
           content_label_follow(turn, &label, fault);
}
