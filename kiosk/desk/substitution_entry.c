#include "kiosk/desk/substitution_entry.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/substitutions.h"

/* Reads the three texts that are the key into `row` and the movement. */
static bool read_key(const json_t *content, struct substitution *row, struct movement *movement, struct fault *fault)
{
    *row = (struct substitution){.resin = ""};
    if (!content_text(content, "resin", CONTENT_REQUIRED, row->resin, sizeof row->resin, fault) ||
        !content_text(content, "wanted", CONTENT_REQUIRED, row->wanted, sizeof row->wanted, fault) ||
        !content_text(content, "given", CONTENT_REQUIRED, row->given, sizeof row->given, fault))
        return false;
    json_t *detail = json_pack("{s:s,s:s,s:s}", "resin", row->resin, "wanted", row->wanted, "given", row->given);
    const bool written = movement_detail_write(detail, movement->detail, fault);
    json_decref(detail);
    return written;
}

struct search {
    const struct substitution *row;
    bool found;
};

static bool look_for_given(const struct item *item, void *context)
{
    struct search *search = context;
    search->found = strcmp(item->resin, search->row->resin) == 0 && strcmp(item->revision, search->row->given) == 0;
    return !search->found;
}

/* What comes has an item; what is asked for may be older than the catalogue. */
static bool check_given(struct turn *turn, const struct substitution *row, struct fault *fault)
{
    struct search search = {.row = row};
    return item_each(turn->ledger, look_for_given, &search, fault) &&
           (search.found || fault_set(fault, FAULT_INPUT,
                                      "no item here is %s revision %s: write both as the item has them, or enter it "
                                      "first",
                                      row->resin, row->given));
}

static bool check_until(const struct turn *turn, int64_t until, struct fault *fault)
{
    char day[CALENDAR_DATE_SIZE];
    if (until == MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'until' is missing: say the last day on which it counts");
    return until >= turn->act->moment.local_day.number ||
           fault_set(fault, FAULT_INPUT, "'until' is %s, which is past: say a day to come, or end it",
                     calendar_write_date((struct day){(int32_t)until}, day));
}

bool substitution_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"resin", "wanted", "given", "until", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct substitution row;
    struct movement entry;
    char day[CALENDAR_DATE_SIZE];
    movement_init(&entry, MOVEMENT_SUBSTITUTION_ENTRY);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !read_key(content, &row, &entry, fault) || !content_day(content, "until", &entry.expires, fault) ||
        !check_until(&turn, entry.expires, fault))
        return false;
    if (strcmp(row.wanted, row.given) == 0)
        return fault_set(fault, FAULT_INPUT, "'wanted' and 'given' are both %s: say two revisions", row.given);
    if (!check_given(&turn, &row, fault) || !turn_approve(&turn, "approves what stands in for what", fault))
        return false;
    turn_copy(entry.unit, sizeof entry.unit, context->act->approver);
    if (!turn_book(&turn, &entry, fault))
        return false;
    counter_say(&turn.counter, "Entered: %s revision %s may come where %s is wanted, until %s. Not the other way.",
                row.resin, row.given, row.wanted, calendar_write_date((struct day){(int32_t)entry.expires}, day));
    return turn_answer(&turn, answer, fault);
}

bool substitution_end_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"resin", "wanted", "given", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct substitution row;
    struct movement end;
    movement_init(&end, MOVEMENT_SUBSTITUTION_END);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !read_key(content, &row, &end, fault) || !turn_book(&turn, &end, fault))
        return false;
    counter_say(&turn.counter, "Ended: %s revision %s no longer stands in for %s.", row.resin, row.given, row.wanted);
    return turn_answer(&turn, answer, fault);
}
