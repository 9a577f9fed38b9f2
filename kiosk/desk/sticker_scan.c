#include "kiosk/desk/sticker_scan.h"

#include <string.h>
#include <strings.h>

#include "labels/content/sticker_match.h"

static struct span trimmed(const char *text)
{
    struct span span = span_of(text);
    while (span.length > 0 && span.at[0] == ' ')
        span = (struct span){span.at + 1, span.length - 1};
    while (span.length > 0 && span.at[span.length - 1] == ' ')
        span.length--;
    return span;
}

bool sticker_same_supplier(const char *one, const char *other)
{
    const struct span a = trimmed(one), b = trimmed(other);
    return a.length == b.length && strncasecmp(a.at, b.at, a.length) == 0;
}

struct trial {
    const char *supplier;
    struct span text;
    struct day today;
    enum sticker_reading reading;
    struct supplier_label label;
    struct fault why;
};

static bool same_reading(const struct supplier_label *a, const struct supplier_label *b)
{
    return strcmp(a->item, b->item) == 0 && strcmp(a->lot, b->lot) == 0 && a->has_expires == b->has_expires &&
           a->expires.number == b->expires.number && a->has_made == b->has_made && a->made.number == b->made.number &&
           a->count == b->count;
}

static void say(const struct supplier_label *label, struct builder *text)
{
    char date[CALENDAR_DATE_SIZE];
    builder_addf(text, "lot %s", label->lot[0] ? label->lot : "none");
    if (label->item[0])
        builder_addf(text, ", item %s", label->item);
    if (label->has_expires)
        builder_addf(text, ", use by %s", calendar_write_date(label->expires, date));
    if (label->count > 0)
        builder_addf(text, ", %lld pieces", (long long)label->count);
}

static void two_ways(struct trial *trial, const struct supplier_label *other)
{
    char one_text[100], other_text[100];
    struct builder one, two;
    builder_init(&one, one_text, sizeof one_text);
    builder_init(&two, other_text, sizeof other_text);
    say(&trial->label, &one);
    say(other, &two);
    trial->reading = STICKER_TWO_WAYS;
    (void)fault_set(&trial->why, FAULT_INPUT, "Two patterns read this sticker differently: %s; or %s.", one_text,
                    other_text);
}

static bool try_one(const struct sticker *row, void *context)
{
    struct trial *trial = context;
    struct sticker_pattern pattern;
    struct supplier_label label;
    struct fault why = {FAULT_NONE, ""};
    if (!sticker_same_supplier(row->supplier, trial->supplier))
        return true;
    if (!sticker_pattern_read(span_of(row->pattern), &pattern, &why) ||
        !sticker_match(&pattern, trial->text, trial->today, &label, &why)) {
        if (trial->reading == STICKER_UNTAUGHT || trial->reading == STICKER_UNREAD) {
            trial->reading = STICKER_UNREAD;
            trial->why = why; /* the newest pattern's: what was taught last is most likely what is meant */
        }
        return true;
    }
    if (trial->reading == STICKER_READ && !same_reading(&trial->label, &label)) {
        two_ways(trial, &label);
        return false;
    }
    trial->reading = STICKER_READ;
    trial->label = label;
    return true;
}

bool sticker_scan(struct turn *turn, struct span text, enum sticker_reading *reading, struct supplier_label *label,
                  struct fault *why, struct fault *fault)
{
    struct delivery delivery;
    bool found = false;
    *reading = STICKER_UNTAUGHT;
    if (turn->counter.delivery[0] == '\0')
        return true;
    if (!delivery_load(turn->ledger, turn->counter.delivery, &delivery, &found, fault))
        return false;
    if (!found || !delivery.open)
        return true;
    struct trial trial = {.supplier = delivery.supplier, .text = text, .today = turn->act->moment.local_day};
    if (!sticker_each(turn->ledger, try_one, &trial, fault))
        return false;
    *reading = trial.reading;
    *label = trial.label;
    *why = trial.why;
    return true;
}
