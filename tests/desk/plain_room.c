#include "tests/desk/plain_room.h"

#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void write_text(char to[PLAIN_TEXT], const char *from)
{
    if (snprintf(to, PLAIN_TEXT, "%s", from) >= PLAIN_TEXT)
        abort();
}

struct plain_unit *plain_find(struct plain_room *room, const char *serial)
{
    for (size_t i = 0; i < room->unit_count; i++)
        if (strcmp(room->units[i].serial, serial) == 0)
            return &room->units[i];
    return NULL;
}

static struct plain_account *account_of(struct plain_room *room, const char *item, const char *lot)
{
    for (size_t i = 0; i < room->account_count; i++)
        if (strcmp(room->accounts[i].item, item) == 0 && strcmp(room->accounts[i].lot, lot) == 0)
            return &room->accounts[i];
    if (room->account_count == PLAIN_UNITS)
        abort();
    struct plain_account *made = &room->accounts[room->account_count++];
    *made = (struct plain_account){.in = 0};
    write_text(made->item, item);
    write_text(made->lot, lot);
    return made;
}

void plain_renew(struct plain_room *room, struct plain_unit *unit, const char *serial, const char *place,
                 const char *item, const char *lot, int64_t ul)
{
    *unit = (struct plain_unit){.total = 0};
    write_text(unit->serial, serial);
    write_text(unit->place, place);
    if (item[0] == '\0')
        return;
    unit->lot_count = 1;
    write_text(unit->lots[0].item, item);
    write_text(unit->lots[0].lot, lot);
    unit->lots[0].ul = unit->total = ul;
    struct plain_account *account = account_of(room, item, lot);
    account->vague = account->vague || ul == PLAIN_UNKNOWN;
    account->in += ul == PLAIN_UNKNOWN ? 0 : ul;
}

void plain_add(struct plain_room *room, const char *serial, const char *place, const char *item, const char *lot,
               int64_t ul)
{
    if (room->unit_count == PLAIN_UNITS)
        abort();
    plain_renew(room, &room->units[room->unit_count++], serial, place, item, lot, ul);
}

void plain_take_out(struct plain_unit *unit, const char *printer, const char *holder)
{
    unit->out = true;
    unit->place[0] = '\0';
    write_text(unit->printer, printer);
    write_text(unit->holder, holder);
    unit->due = 0;
}

void plain_lend(struct plain_unit *unit, const char *room, const char *holder, int64_t due)
{
    const bool again = unit->out && strcmp(unit->place, room) == 0;
    unit->due = due;
    if (again)
        return;
    unit->out = true;
    write_text(unit->place, room);
    unit->printer[0] = '\0';
    write_text(unit->holder, holder);
}

void plain_bring_back(struct plain_unit *unit, const char *place)
{
    unit->out = false;
    unit->due = 0;
    write_text(unit->place, place);
    unit->printer[0] = unit->holder[0] = '\0';
}

static bool is_known(const struct plain_unit *unit)
{
    return unit->total != PLAIN_UNKNOWN && (unit->lot_count == 0 || unit->lots[0].ul != PLAIN_UNKNOWN);
}

static void make_vague(struct plain_room *room, struct plain_unit *unit)
{
    for (size_t i = 0; i < unit->lot_count; i++) {
        unit->lots[i].ul = PLAIN_UNKNOWN;
        account_of(room, unit->lots[i].item, unit->lots[i].lot)->vague = true;
    }
}

/* The parts of `ul` by what is there: each rounded down, then one more to those with the largest rest, the earlier one
 * first. By long division, digit by digit of the binary number, so that nothing overflows. */
static void divide(const struct plain_unit *unit, int64_t ul, int64_t parts[PLAIN_LOTS])
{
    const uint64_t total = (uint64_t)unit->total;
    uint64_t rests[PLAIN_LOTS];
    int64_t left = ul;
    for (size_t i = 0; i < unit->lot_count; i++) {
        uint64_t quotient = 0, rest = 0;
        for (int bit = 62; bit >= 0; bit--) { /* ul * lot / total, with ul's digits one by one */
            rest *= 2;
            quotient *= 2;
            if ((uint64_t)ul >> bit & 1)
                rest += (uint64_t)unit->lots[i].ul;
            while (rest >= total) {
                rest -= total;
                quotient++;
            }
        }
        parts[i] = (int64_t)quotient;
        rests[i] = rest;
        left -= parts[i];
    }
    bool given[PLAIN_LOTS] = {false};
    while (left-- > 0) {
        size_t best = PLAIN_LOTS;
        for (size_t i = 0; i < unit->lot_count; i++)
            if (!given[i] && (best == PLAIN_LOTS || rests[i] > rests[best]))
                best = i;
        given[best] = true;
        parts[best]++;
    }
}

void plain_set_total(struct plain_room *room, struct plain_unit *unit, int64_t ul)
{
    int64_t parts[PLAIN_LOTS];
    if (unit->lot_count == 0)
        return;
    if (unit->lot_count == 1 && ul != PLAIN_UNKNOWN) {
        parts[0] = ul;
    } else if (!is_known(unit) || unit->total == 0 || ul == PLAIN_UNKNOWN) {
        make_vague(room, unit);
        unit->total = ul;
        return;
    } else {
        divide(unit, ul, parts);
    }
    for (size_t i = 0; i < unit->lot_count; i++) {
        struct plain_account *account = account_of(room, unit->lots[i].item, unit->lots[i].lot);
        if (unit->lots[i].ul == PLAIN_UNKNOWN)
            account->vague = true;
        else
            account->in += parts[i] - unit->lots[i].ul;
        unit->lots[i].ul = parts[i];
    }
    unit->total = ul;
}

static int order(const void *one, const void *two)
{
    const struct plain_lot *a = one, *b = two;
    const int items = strcmp(a->item, b->item);
    return items ? items : strcmp(a->lot, b->lot);
}

static void pour_in(struct plain_unit *to, const struct plain_lot *drop)
{
    for (size_t i = 0; i < to->lot_count; i++)
        if (order(&to->lots[i], drop) == 0) {
            if (drop->ul != PLAIN_UNKNOWN &&
                to->lots[i].ul != PLAIN_UNKNOWN) /* else the caller makes all of it vague */
                to->lots[i].ul += drop->ul;
            return;
        }
    if (to->lot_count == PLAIN_LOTS)
        abort();
    to->lots[to->lot_count++] = *drop;
    qsort(to->lots, to->lot_count, sizeof *to->lots, order);
}

/* What leaves, lot by lot, into `drops`; what stays is as little known as before, or less. */
static void take_out_of(struct plain_room *room, struct plain_unit *from, int64_t ul,
                        struct plain_lot drops[PLAIN_LOTS])
{
    int64_t parts[PLAIN_LOTS] = {0};
    const bool was_one = from->lot_count == 1, was_known = is_known(from);
    if (ul != PLAIN_UNKNOWN && was_known && from->total > 0)
        divide(from, ul, parts);
    for (size_t i = 0; i < from->lot_count; i++) {
        drops[i] = from->lots[i];
        drops[i].ul = ul == PLAIN_UNKNOWN ? PLAIN_UNKNOWN : was_known ? parts[i] : was_one ? ul : PLAIN_UNKNOWN;
        if (was_known && ul != PLAIN_UNKNOWN)
            from->lots[i].ul -= parts[i];
    }
    from->total = ul == PLAIN_UNKNOWN || from->total == PLAIN_UNKNOWN ? PLAIN_UNKNOWN : from->total - ul;
    if (!was_known || ul == PLAIN_UNKNOWN) {
        make_vague(room, from);
        if (was_one)
            from->lots[0].ul = from->total;
    }
}

static void write_use(struct plain_uses *uses, const char *job, const struct plain_lot *drop)
{
    if (uses->count == uses->room) {
        uses->room = uses->room ? 2 * uses->room : 256;
        uses->list = realloc(uses->list, uses->room * sizeof *uses->list);
        if (!uses->list)
            abort();
    }
    struct plain_use *use = &uses->list[uses->count++];
    *use = (struct plain_use){.ul = drop->ul};
    if (snprintf(use->job, sizeof use->job, "%s", job) >= (int)sizeof use->job)
        abort();
    write_text(use->item, drop->item);
    write_text(use->lot, drop->lot);
}

static void use(struct plain_room *room, struct plain_unit *from, int64_t ul, const char *job, struct plain_uses *uses)
{
    struct plain_lot drops[PLAIN_LOTS];
    const size_t count = from->lot_count;
    take_out_of(room, from, ul, drops);
    for (size_t i = 0; i < count; i++)
        write_use(uses, job, &drops[i]);
}

static bool comes_first(const struct plain_unit *one, const struct plain_unit *two, bool by_day)
{
    return by_day && one->last_day != two->last_day ? one->last_day < two->last_day
                                                    : strcmp(one->serial, two->serial) < 0;
}

/* By insertion: few things stand in a printer. */
static void sort(struct plain_unit *units[PLAIN_UNITS], size_t count, bool by_day)
{
    for (size_t i = 1; i < count; i++)
        for (size_t j = i; j > 0 && comes_first(units[j], units[j - 1], by_day); j--) {
            struct plain_unit *later = units[j - 1];
            units[j - 1] = units[j];
            units[j] = later;
        }
}

static int64_t what_can_run(const struct plain_unit *unit, int64_t ul)
{
    if (unit->lot_count == 0 || unit->total == 0)
        return 0;
    return ul == PLAIN_UNKNOWN || unit->total == PLAIN_UNKNOWN || ul < unit->total ? ul : unit->total;
}

void plain_end_job(struct plain_room *room, const char *printer, const char *job, int64_t ul, size_t cartridges,
                   struct plain_uses *uses)
{
    struct plain_unit *inside[PLAIN_UNITS], *full[PLAIN_UNITS], *vat = NULL;
    size_t inside_count = 0, full_count = 0;
    int64_t rest = ul;
    for (size_t i = 0; i < room->unit_count; i++)
        if (room->units[i].out && strcmp(room->units[i].printer, printer) == 0)
            inside[inside_count++] = &room->units[i];
    sort(inside, inside_count, false);
    for (size_t i = 0; i < inside_count; i++) {
        if (inside[i]->serial[0] == 'C' && inside[i]->total != 0 && full_count < cartridges)
            full[full_count++] = inside[i];
        if (inside[i]->serial[0] == 'V' && !vat)
            vat = inside[i];
    }
    sort(full, full_count, true);
    for (size_t i = 0; i < full_count && rest != 0; i++) {
        const int64_t runs = what_can_run(full[i], rest);
        if (runs != 0 && vat)
            plain_pour(room, full[i], vat, runs, false);
        else if (runs != 0)
            use(room, full[i], runs, job, uses);
        rest = rest == PLAIN_UNKNOWN ? PLAIN_UNKNOWN : rest - runs;
    }
    const int64_t taken = vat ? what_can_run(vat, ul) : 0;
    if (taken != 0)
        use(room, vat, taken, job, uses);
}

bool plain_holds_the_same(const struct plain_unit *one, const struct plain_unit *two)
{
    bool same = one->total == two->total && one->last_day == two->last_day && one->lot_count == two->lot_count;
    for (size_t i = 0; same && i < one->lot_count; i++)
        same = order(&one->lots[i], &two->lots[i]) == 0 && one->lots[i].ul == two->lots[i].ul;
    return same;
}

int64_t plain_used(const struct plain_uses *uses, const char *item, const char *lot, const char *job, size_t *unknown)
{
    int64_t sum = 0;
    for (size_t i = 0; i < uses->count; i++) {
        const struct plain_use *one = &uses->list[i];
        if (one->undone || strcmp(one->item, item) != 0 || strcmp(one->lot, lot) != 0 ||
            (job && strcmp(one->job, job) != 0))
            continue;
        if (one->ul == PLAIN_UNKNOWN && unknown)
            ++*unknown;
        sum += one->ul == PLAIN_UNKNOWN ? 0 : one->ul;
    }
    return sum;
}

void plain_pour(struct plain_room *room, struct plain_unit *from, struct plain_unit *to, int64_t ul, bool all)
{
    struct plain_lot drops[PLAIN_LOTS];
    if (ul != PLAIN_UNKNOWN && from->total != PLAIN_UNKNOWN && ul > from->total)
        plain_set_total(room, from, ul);
    /* of one lot alone it is known which, however much is left */
    const bool exact = ul != PLAIN_UNKNOWN && is_known(to) && (is_known(from) || from->lot_count == 1);
    if (to->lot_count == 0 || from->last_day < to->last_day) /* as old as its oldest part */
        to->last_day = from->last_day;
    take_out_of(room, from, ul, drops);
    for (size_t i = 0; i < from->lot_count; i++)
        pour_in(to, &drops[i]);
    const bool unknown = ul == PLAIN_UNKNOWN || to->total == PLAIN_UNKNOWN;
    to->total = unknown ? PLAIN_UNKNOWN : to->total + ul;
    if (!exact)
        make_vague(room, to);
    if (to->lot_count == 1)
        to->lots[0].ul = to->total;
    if (all && ul == PLAIN_UNKNOWN)
        plain_set_total(room, from, 0);
}

void plain_clean(struct plain_room *room, struct plain_unit *unit)
{
    for (size_t i = 0; i < unit->lot_count; i++) {
        struct plain_account *account = account_of(room, unit->lots[i].item, unit->lots[i].lot);
        if (unit->lots[i].ul == PLAIN_UNKNOWN)
            account->vague = true;
        else
            account->wasted += unit->lots[i].ul;
    }
    unit->lot_count = 0;
    unit->total = 0;
}

const char *plain_balance(const struct plain_room *room, const struct plain_uses *uses, plain_sum *in_units,
                          void *context)
{
    static char sentence[300];
    for (size_t i = 0; i < room->account_count; i++) {
        const struct plain_account *account = &room->accounts[i];
        if (account->vague)
            continue;
        const int64_t there = in_units(context, account->item, account->lot);
        const int64_t used = plain_used(uses, account->item, account->lot, NULL, NULL);
        if (account->in != there + used + account->wasted) {
            (void)snprintf(sentence, sizeof sentence,
                           "%s %s: %" PRId64 " came in, %" PRId64 " are in the units, %" PRId64
                           " went into parts, %" PRId64 " were wasted",
                           account->item, account->lot, account->in, there, used, account->wasted);
            return sentence;
        }
    }
    return NULL;
}
