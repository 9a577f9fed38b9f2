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

void plain_add(struct plain_room *room, const char *serial, const char *place, const char *item, const char *lot,
               int64_t ul)
{
    if (room->unit_count == PLAIN_UNITS)
        abort();
    struct plain_unit *unit = &room->units[room->unit_count++];
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

void plain_take_out(struct plain_unit *unit, const char *printer, const char *holder)
{
    unit->out = true;
    unit->place[0] = '\0';
    write_text(unit->printer, printer);
    write_text(unit->holder, holder);
}

void plain_bring_back(struct plain_unit *unit, const char *place)
{
    unit->out = false;
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
            to->lots[i].ul += drop->ul;
            return;
        }
    if (to->lot_count == PLAIN_LOTS)
        abort();
    to->lots[to->lot_count++] = *drop;
    qsort(to->lots, to->lot_count, sizeof *to->lots, order);
}

void plain_pour(struct plain_room *room, struct plain_unit *from, struct plain_unit *to, int64_t ul, bool all)
{
    int64_t parts[PLAIN_LOTS] = {0};
    if (ul != PLAIN_UNKNOWN && from->total != PLAIN_UNKNOWN && ul > from->total)
        plain_set_total(room, from, ul);
    /* of one lot alone it is known which, however much is left */
    const bool exact = ul != PLAIN_UNKNOWN && is_known(to) && (is_known(from) || from->lot_count == 1);
    if (ul != PLAIN_UNKNOWN && is_known(from) && from->total > 0)
        divide(from, ul, parts);
    else if (ul != PLAIN_UNKNOWN && from->lot_count == 1)
        parts[0] = ul;
    const bool was_one = from->lot_count == 1, was_known = is_known(from);
    for (size_t i = 0; i < from->lot_count; i++) {
        struct plain_lot drop = from->lots[i];
        drop.ul = parts[i];
        pour_in(to, &drop);
        if (was_known && ul != PLAIN_UNKNOWN)
            from->lots[i].ul -= parts[i];
    }
    const bool unknown = ul == PLAIN_UNKNOWN || to->total == PLAIN_UNKNOWN;
    to->total = unknown ? PLAIN_UNKNOWN : to->total + ul;
    from->total = ul == PLAIN_UNKNOWN || from->total == PLAIN_UNKNOWN ? PLAIN_UNKNOWN : from->total - ul;
    if (!was_known || ul == PLAIN_UNKNOWN) {
        make_vague(room, from);
        if (was_one)
            from->lots[0].ul = from->total;
    }
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

const char *plain_balance(const struct plain_room *room, plain_sum *in_units, void *context)
{
    static char sentence[200];
    for (size_t i = 0; i < room->account_count; i++) {
        const struct plain_account *account = &room->accounts[i];
        if (account->vague)
            continue;
        const int64_t there = in_units(context, account->item, account->lot);
        if (account->in != there + account->wasted) {
            (void)snprintf(sentence, sizeof sentence,
                           "%s %s: %" PRId64 " came in, %" PRId64 " are in the units, %" PRId64 " were wasted",
                           account->item, account->lot, account->in, there, account->wasted);
            return sentence;
        }
    }
    return NULL;
}
