#include "kiosk/ledger/contents.h"

#include <inttypes.h>
#include <string.h>

#include "kiosk/ledger/movement_detail.h"
#include "labels/basics/text.h"

__extension__ typedef unsigned __int128 wide; /* two amounts multiplied: up to 10^24 */

static bool is_split_known(const struct contents *contents)
{
    return contents->count == 0 || contents->lots[0].amount_ul != MOVEMENT_NULL;
}

static void forget_split(struct contents *contents)
{
    for (size_t i = 0; i < contents->count; i++)
        contents->lots[i].amount_ul = MOVEMENT_NULL;
}

/* ---- text ---- */

void contents_write(const struct contents *contents, char text[CONTENTS_TEXT_SIZE])
{
    struct builder out;
    builder_init(&out, text, CONTENTS_TEXT_SIZE);
    for (size_t i = 0; i < contents->count; i++) {
        const struct contents_lot *lot = &contents->lots[i];
        builder_add(&out, i > 0 ? " " : "");
        if (lot->amount_ul == MOVEMENT_NULL)
            builder_add(&out, "?");
        else
            builder_addf(&out, "%" PRId64, lot->amount_ul);
        builder_addf(&out, ":%s:%s", lot->item, lot->lot);
    }
}

static int compare_lots(const struct contents_lot *one, const struct contents_lot *two)
{
    const int items = strcmp(one->item, two->item);
    return items ? items : strcmp(one->lot, two->lot);
}

/* "AMOUNT:ITEM:LOT"; the lot may hold a colon itself. */
static bool read_lot(struct span text, struct contents_lot *lot)
{
    const char *amount_end = memchr(text.at, ':', text.length);
    if (!amount_end)
        return false;
    const struct span amount = {text.at, (size_t)(amount_end - text.at)};
    const char *item = amount_end + 1, *end = text.at + text.length;
    const char *item_end = memchr(item, ':', (size_t)(end - item));
    lot->amount_ul = MOVEMENT_NULL;
    return item_end && item_end > item &&
           span_copy((struct span){item, (size_t)(item_end - item)}, lot->item, sizeof lot->item) &&
           span_copy((struct span){item_end + 1, (size_t)(end - item_end - 1)}, lot->lot, sizeof lot->lot) &&
           (span_equals(amount, "?") ||
            ((amount.length == 1 || amount.at[0] != '0') && span_read_count(amount, &lot->amount_ul) &&
             lot->amount_ul <= CONTENTS_AMOUNT_MOST));
}

static bool follows(const struct contents *contents, const struct contents_lot *lot)
{
    return contents->count == 0 || (compare_lots(&contents->lots[contents->count - 1], lot) < 0 &&
                                    is_split_known(contents) == (lot->amount_ul != MOVEMENT_NULL));
}

bool contents_read(const char *text, struct contents *contents, struct fault *fault)
{
    struct contents read = {.total_ul = 0, .count = 0};
    for (const char *at = text; *at;) {
        const size_t length = strcspn(at, " ");
        struct contents_lot lot;
        if (read.count == CONTENTS_LOTS || !read_lot((struct span){at, length}, &lot) || !follows(&read, &lot) ||
            (at[length] == ' ' && at[length + 1] == '\0'))
            return fault_set(fault, FAULT_DAMAGED, "'%.60s' does not say the lots of a mix", text);
        read.total_ul = lot.amount_ul == MOVEMENT_NULL ? MOVEMENT_NULL : read.total_ul + lot.amount_ul;
        read.lots[read.count++] = lot;
        at += length + (at[length] == ' ');
    }
    *contents = read;
    return true;
}

/* ---- rows ---- */

bool contents_of(const struct unit *unit, const char *mix, struct contents *contents, struct fault *fault)
{
    struct contents read = {.total_ul = unit->amount_ul, .count = 0};
    if (unit->resin[0] == '\0') {
        *contents = (struct contents){.total_ul = 0, .count = 0};
        return true;
    }
    if (mix[0]) {
        if (!contents_read(mix, &read, fault))
            return false;
        read.total_ul = unit->amount_ul;
    } else {
        read.count = 1;
        memcpy(read.lots[0].item, unit->resin, sizeof read.lots[0].item);
        memcpy(read.lots[0].lot, unit->lot, sizeof read.lots[0].lot);
        read.lots[0].amount_ul = unit->amount_ul;
    }
    *contents = read;
    return true;
}

bool contents_load(struct ledger *ledger, const struct unit *unit, struct contents *contents, struct fault *fault)
{
    struct unit_mix mix = {.lots = ""};
    bool found = false;
    if (unit->lot[0] == '\0' && !unit_mix_load(ledger, unit->serial, &mix, &found, fault))
        return false;
    return contents_of(unit, found ? mix.lots : "", contents, fault);
}

static bool write_detail(const struct unit *unit, const struct contents *contents, json_t *detail,
                         struct movement *movement, struct fault *fault)
{
    char lots[CONTENTS_TEXT_SIZE];
    contents_write(contents, lots);
    const bool made = (!lots[0] || json_object_set_new(detail, "lots", json_string(lots)) == 0) &&
                      (contents->total_ul == MOVEMENT_NULL ||
                       json_object_set_new(detail, "before_ul", json_integer(contents->total_ul)) == 0) &&
                      (!unit->estimated || json_object_set_new(detail, "estimated", json_integer(1)) == 0) &&
                      (!unit->recovered || json_object_set_new(detail, "recovered", json_integer(1)) == 0);
    return made ? movement_detail_write(detail, movement->detail, fault)
                : fault_set(fault, FAULT_STORAGE, "no memory to say what is in %s: end other programs", unit->serial);
}

bool contents_say(struct ledger *ledger, const char *serial, json_t *more, struct movement *movement,
                  struct fault *fault)
{
    json_t *detail = more ? more : json_object();
    struct unit unit;
    struct contents contents;
    bool found = false;
    bool said = unit_load(ledger, serial, &unit, &found, fault) &&
                (found || fault_set(fault, FAULT_MISSING, "unit '%s' is not known here: check the serial", serial)) &&
                contents_load(ledger, &unit, &contents, fault) &&
                write_detail(&unit, &contents, detail, movement, fault);
    json_decref(detail);
    if (!said)
        return false;
    memcpy(movement->unit, unit.serial, sizeof movement->unit);
    memcpy(movement->item, unit.resin, sizeof movement->item);
    movement->expires = unit.expires;
    return true;
}

void contents_put(const struct contents *contents, struct unit *unit, char mix[CONTENTS_TEXT_SIZE])
{
    mix[0] = '\0';
    unit->lot[0] = '\0';
    unit->amount_ul = contents->total_ul;
    if (contents->count == 0)
        unit->resin[0] = '\0';
    else if (unit->resin[0] == '\0')
        memcpy(unit->resin, contents->lots[0].item, sizeof unit->resin);
    if (contents->count == 1)
        memcpy(unit->lot, contents->lots[0].lot, sizeof unit->lot);
    else if (contents->count > 1)
        contents_write(contents, mix);
}

/* ---- pouring ---- */

/* Shares `amount` out by `total`, the sum of what each lot has: each gets its part rounded down, then those with the
 * largest remainder one more, the first of equal ones first. `total` > 0. */
static void share_out(const struct contents *from, int64_t total, int64_t amount, int64_t parts[CONTENTS_LOTS])
{
    int64_t remainders[CONTENTS_LOTS], left = amount;
    for (size_t i = 0; i < from->count; i++) {
        const wide product = (wide)(uint64_t)amount * (uint64_t)from->lots[i].amount_ul;
        parts[i] = (int64_t)(product / (uint64_t)total);
        remainders[i] = (int64_t)(product % (uint64_t)total);
        left -= parts[i];
    }
    for (; left > 0; left--) {
        size_t best = 0;
        for (size_t i = 1; i < from->count; i++)
            if (remainders[i] > remainders[best])
                best = i;
        parts[best]++;
        remainders[best] = -1;
    }
}

static bool holds(const struct contents *from, int64_t amount_ul, struct fault *fault)
{
    if (from->count == 0)
        return fault_set(fault, FAULT_REFUSED, "it is empty: there is nothing to take out");
    return amount_ul == MOVEMENT_NULL || from->total_ul == MOVEMENT_NULL || amount_ul <= from->total_ul ||
           fault_set(fault, FAULT_REFUSED,
                     "%.1f ml are more than the %.1f ml that are in it by the books: weigh it, or say what is in it",
                     (double)amount_ul / 1000, (double)from->total_ul / 1000);
}

/* Nobody can say which lot the drops were of. */
static void take_unknown(struct contents *from, int64_t amount_ul, struct contents *taken)
{
    const bool one = from->count == 1;
    taken->total_ul = amount_ul;
    from->total_ul =
        amount_ul == MOVEMENT_NULL || from->total_ul == MOVEMENT_NULL ? MOVEMENT_NULL : from->total_ul - amount_ul;
    forget_split(taken);
    forget_split(from);
    if (one) {
        taken->lots[0].amount_ul = taken->total_ul;
        from->lots[0].amount_ul = from->total_ul;
    }
}

bool contents_take(struct contents *from, int64_t amount_ul, struct contents *taken, struct fault *fault)
{
    int64_t parts[CONTENTS_LOTS];
    if (!holds(from, amount_ul, fault))
        return false;
    struct contents out = *from;
    if (amount_ul == MOVEMENT_NULL || from->total_ul == MOVEMENT_NULL || !is_split_known(from)) {
        take_unknown(from, amount_ul, &out);
    } else if (from->total_ul > 0) {
        share_out(from, from->total_ul, amount_ul, parts);
        out.total_ul = amount_ul;
        from->total_ul -= amount_ul;
        for (size_t i = 0; i < from->count; i++) {
            out.lots[i].amount_ul = parts[i];
            from->lots[i].amount_ul -= parts[i];
        }
    }
    *taken = out;
    return true;
}

/* Where the lot stands, or has to be put in. */
static size_t place_of(const struct contents *contents, const struct contents_lot *lot, bool *there)
{
    size_t at = 0;
    while (at < contents->count && compare_lots(&contents->lots[at], lot) < 0)
        at++;
    *there = at < contents->count && compare_lots(&contents->lots[at], lot) == 0;
    return at;
}

static bool add_lot(struct contents *to, const struct contents_lot *lot, struct fault *fault)
{
    bool there;
    const size_t at = place_of(to, lot, &there);
    if (there) {
        to->lots[at].amount_ul = to->lots[at].amount_ul == MOVEMENT_NULL || lot->amount_ul == MOVEMENT_NULL
                                     ? MOVEMENT_NULL
                                     : to->lots[at].amount_ul + lot->amount_ul;
        return true;
    }
    if (to->count == CONTENTS_LOTS)
        return fault_set(fault, FAULT_REFUSED, "more than %d lots would be in it: clean it first", CONTENTS_LOTS);
    memmove(&to->lots[at + 1], &to->lots[at], (to->count - at) * sizeof *to->lots);
    to->lots[at] = *lot;
    to->count++;
    return true;
}

bool contents_add(struct contents *to, const struct contents *taken, struct fault *fault)
{
    struct contents sum = *to;
    const bool known = is_split_known(to) && is_split_known(taken);
    sum.total_ul = to->total_ul == MOVEMENT_NULL || taken->total_ul == MOVEMENT_NULL ? MOVEMENT_NULL
                                                                                     : to->total_ul + taken->total_ul;
    for (size_t i = 0; i < taken->count; i++)
        if (!add_lot(&sum, &taken->lots[i], fault))
            return false;
    if (!known)
        forget_split(&sum);
    if (sum.count == 1)
        sum.lots[0].amount_ul = sum.total_ul;
    *to = sum;
    return true;
}

void contents_set_total(struct contents *contents, int64_t total_ul)
{
    int64_t parts[CONTENTS_LOTS];
    const int64_t before = contents->total_ul;
    contents->total_ul = total_ul;
    if (contents->count == 0)
        return;
    if (contents->count == 1) {
        contents->lots[0].amount_ul = total_ul;
    } else if (total_ul == MOVEMENT_NULL || before == MOVEMENT_NULL || before == 0 || !is_split_known(contents)) {
        forget_split(contents);
    } else {
        share_out(contents, before, total_ul, parts);
        for (size_t i = 0; i < contents->count; i++)
            contents->lots[i].amount_ul = parts[i];
    }
}
