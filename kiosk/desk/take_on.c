#include "kiosk/desk/take_on.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/rules/amount_likely.h"

struct taken_on {
    struct movement take_on;
    char resin[ITEM_CODE_SIZE], film[WORD_SIZE];
    char note[TAKE_ON_NOTE + 1];
    bool labelled;
    bool ask; /* an amount that is off by a thousand is asked about, not booked */
    struct item item;
};

/* Hours as a number, or minutes as a whole one: what was counted in minutes must not go through a fraction. */
static bool read_time(const json_t *content, int64_t *minutes, struct fault *fault)
{
    int64_t whole;
    if (!content_amount(content, "hours", 1e6, 60, minutes, fault) ||
        !content_count(content, "minutes", CONTENT_OPTIONAL, 0, 60000000, &whole, fault))
        return false;
    if (*minutes != MOVEMENT_NULL && whole != MOVEMENT_NULL)
        return fault_set(fault, FAULT_INPUT, "'hours' and 'minutes' say the same twice: leave one out");
    if (whole != MOVEMENT_NULL)
        *minutes = whole;
    return true;
}

static bool read_content(const json_t *content, struct taken_on *said, struct fault *fault)
{
    static const char *const keys[] = {"item",    "lot",   "expires", "filled",   "resin", "amount_ml", "hours",
                                       "minutes", "place", "film",    "labelled", "note",  "ask",       NULL};
    static const char *const films[] = {"clear", "fogged", "dented", "bits", "leaking", NULL};
    struct movement *in = &said->take_on;
    movement_init(in, MOVEMENT_TAKE_ON);
    return content_only(content, keys, fault) &&
           content_code(content, "item", CONTENT_REQUIRED, in->item, sizeof in->item, fault) &&
           content_code(content, "lot", CONTENT_OPTIONAL, in->lot, sizeof in->lot, fault) &&
           content_day(content, "expires", &in->expires, fault) && content_day(content, "filled", &in->filled, fault) &&
           content_code(content, "resin", CONTENT_OPTIONAL, said->resin, sizeof said->resin, fault) &&
           content_amount(content, "amount_ml", 1e6, 1000, &in->amount_ul, fault) &&
           read_time(content, &in->minutes, fault) &&
           content_code(content, "place", CONTENT_REQUIRED, in->place, sizeof in->place, fault) &&
           content_one_of(content, "film", CONTENT_OPTIONAL, films, said->film, sizeof said->film, fault) &&
           content_text(content, "note", CONTENT_OPTIONAL, said->note, sizeof said->note, fault) &&
           content_flag(content, "labelled", &said->labelled, fault) && content_flag(content, "ask", &said->ask, fault);
}

/* What only a vat has, said of another thing, would be kept and mean nothing. */
static bool suits_item(const struct taken_on *said, struct fault *fault)
{
    const struct item *item = &said->item;
    const bool vat = strchr("VT", item->letter) != NULL, wears = strchr("VTP", item->letter) != NULL;
    const char *key = !vat && said->resin[0] != '\0'                     ? "resin"
                      : !vat && said->film[0] != '\0'                    ? "film"
                      : !wears && said->take_on.minutes != MOVEMENT_NULL ? "hours"
                                                                         : NULL;
    return !key || fault_set(fault, FAULT_INPUT, "'%s' says nothing of item %s: leave it out", key, item->code);
}

/* What is in a vat is booked as a fill of its own: the fill date is the resin's, not the vat's. */
static bool fill(struct turn *turn, const struct taken_on *said, struct fault *fault)
{
    const struct movement *in = &said->take_on;
    struct movement filled;
    movement_init(&filled, MOVEMENT_FILL);
    turn_copy(filled.unit, sizeof filled.unit, in->unit);
    turn_copy(filled.item, sizeof filled.item, said->resin);
    turn_copy(filled.lot, sizeof filled.lot, in->lot);
    filled.filled = in->filled;
    filled.expires = in->expires;
    filled.amount_ul = in->amount_ul;
    return turn_book(turn, &filled, fault);
}

static bool mark_labelled(struct turn *turn, const char *serial, struct fault *fault)
{
    static const enum print_state steps[] = {PRINT_SENT, PRINT_PRINTED, PRINT_PROVED};
    for (size_t i = 0; i < sizeof steps / sizeof *steps; i++) {
        struct movement mark;
        movement_init(&mark, MOVEMENT_PRINT);
        turn_copy(mark.unit, sizeof mark.unit, serial);
        turn_copy(mark.word, sizeof mark.word, print_state_word(steps[i]));
        mark.pieces = 1;
        if (!turn_book(turn, &mark, fault))
            return false;
    }
    return true;
}

/* The content, and whether the room knows what it names. */
static bool read_known(struct ledger *ledger, const json_t *content, struct taken_on *said, struct fault *fault)
{
    const struct movement *in = &said->take_on;
    struct item resin;
    struct place place;
    bool item_found, place_found, resin_found = true;
    if (!read_content(content, said, fault) || !item_load(ledger, in->item, &said->item, &item_found, fault) ||
        !place_load(ledger, in->place, &place, &place_found, fault) ||
        (said->resin[0] != '\0' && !item_load(ledger, said->resin, &resin, &resin_found, fault)))
        return false;
    if (!item_found || !place_found || !resin_found)
        return fault_set(fault, FAULT_MISSING, "%s '%s' is not known here: enter it first",
                         !item_found    ? "item"
                         : !place_found ? "place"
                                        : "resin",
                         !item_found    ? in->item
                         : !place_found ? in->place
                                        : said->resin);
    if (!place_keeps(&place))
        return fault_set(fault, FAULT_INPUT, "'%s' is %s: take it on at a shelf, then check it out", in->place,
                         strcmp(place.kind, "slot") == 0 ? "a slot of a printer" : "another room");
    if (said->resin[0] != '\0' && !strchr("CR", resin.letter))
        return fault_set(fault, FAULT_INPUT,
                         "'resin' is %s, which is no cartridge or bottle: say the item code of the resin", said->resin);
    return suits_item(said, fault);
}

bool take_on_check(struct ledger *ledger, const json_t *content, struct fault *fault)
{
    struct taken_on said = {.labelled = false};
    return read_known(ledger, content, &said, fault);
}

/* `said` as read_known fills it. */
static bool book(struct turn *turn, struct taken_on *said, struct fault *fault)
{
    struct movement in = said->take_on;
    const bool filled = said->resin[0] != '\0';
    if (!ledger_next_serial(turn->ledger, said->item.letter, in.unit, fault) ||
        (said->note[0] != '\0' && !ledger_text_put(turn->ledger, said->note, in.text, fault)))
        return false;
    turn_copy(said->take_on.unit, sizeof said->take_on.unit, in.unit);
    if (filled) { /* the fill carries what is in it */
        in.lot[0] = '\0';
        in.expires = in.filled = in.amount_ul = MOVEMENT_NULL;
    }
    turn_copy(in.word, sizeof in.word, said->film);
    return turn_book(turn, &in, fault) && (!filled || fill(turn, said, fault)) && labels_order(turn, in.unit, fault) &&
           (!said->labelled || mark_labelled(turn, in.unit, fault));
}

bool take_on_book(struct turn *turn, const json_t *content, char serial[SERIAL_SIZE], char name[NAME_SIZE],
                  struct fault *fault)
{
    struct taken_on said = {.labelled = false};
    if (!read_known(turn->ledger, content, &said, fault) || !book(turn, &said, fault))
        return false;
    turn_copy(serial, SERIAL_SIZE, said.take_on.unit);
    turn_copy(name, NAME_SIZE, said.item.name);
    return true;
}

void take_on_judge(const struct item *item, int64_t amount_ul, struct verdict_list *list)
{
    amount_said_judge(&(struct amount_said_case){.serial = item->code, /* it has no serial yet */
                                                 .amount_ul = amount_ul,
                                                 .full_ul = item->content_ul,
                                                 .books_ul = AMOUNT_UNKNOWN},
                      list);
}

bool take_on_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct taken_on said = {.labelled = false};
    struct verdict_list list = {.verdict = VERDICT_GO};
    if (!turn_begin(context, &turn, fault) || !read_known(turn.ledger, context->act->content, &said, fault))
        return false;
    if (said.ask)
        take_on_judge(&said.item, said.take_on.amount_ul, &list);
    if (list.verdict != VERDICT_GO) {
        counter_show(&turn.counter, &list);
        return turn_answer(&turn, answer, fault);
    }
    if (!book(&turn, &said, fault))
        return false;
    counter_say(&turn.counter, "Taken on: %s %s at %s.", said.item.name, said.take_on.unit, said.take_on.place);
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", json_string(said.take_on.unit));
    return true;
}
