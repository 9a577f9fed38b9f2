#include "kiosk/desk/take_on.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/ledger/catalogue.h"

struct taken_on {
    struct movement take_on;
    char resin[ITEM_CODE_SIZE], film[WORD_SIZE];
    bool labelled;
};

static bool read_content(const json_t *content, struct taken_on *said, struct fault *fault)
{
    static const char *const keys[] = {"item",  "lot",   "expires", "filled",   "resin", "amount_ml",
                                       "hours", "place", "film",    "labelled", NULL};
    static const char *const films[] = {"clear", "fogged", "dented", "bits", "leaking", NULL};
    struct movement *in = &said->take_on;
    movement_init(in, MOVEMENT_TAKE_ON);
    return content_only(content, keys, fault) &&
           content_code(content, "item", CONTENT_REQUIRED, in->item, sizeof in->item, fault) &&
           content_code(content, "lot", CONTENT_OPTIONAL, in->lot, sizeof in->lot, fault) &&
           content_day(content, "expires", &in->expires, fault) && content_day(content, "filled", &in->filled, fault) &&
           content_code(content, "resin", CONTENT_OPTIONAL, said->resin, sizeof said->resin, fault) &&
           content_amount(content, "amount_ml", 1e6, 1000, &in->amount_ul, fault) &&
           content_amount(content, "hours", 1e6, 60, &in->minutes, fault) &&
           content_code(content, "place", CONTENT_REQUIRED, in->place, sizeof in->place, fault) &&
           content_one_of(content, "film", CONTENT_OPTIONAL, films, said->film, sizeof said->film, fault) &&
           content_flag(content, "labelled", &said->labelled, fault);
}

/* What only a vat has, said of another thing, would be kept and mean nothing. */
static bool suits_item(const struct taken_on *said, const struct item *item, struct fault *fault)
{
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

bool take_on_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct taken_on said = {.labelled = false};
    struct item item, resin;
    struct place place;
    bool item_found, place_found, resin_found = true;
    if (!turn_begin(context, &turn, fault) || !read_content(context->act->content, &said, fault) ||
        !item_load(turn.ledger, said.take_on.item, &item, &item_found, fault) ||
        !place_load(turn.ledger, said.take_on.place, &place, &place_found, fault) ||
        (said.resin[0] != '\0' && !item_load(turn.ledger, said.resin, &resin, &resin_found, fault)))
        return false;
    struct movement in = said.take_on;
    if (!item_found || !place_found || !resin_found)
        return fault_set(fault, FAULT_MISSING, "%s '%s' is not known here: enter it first",
                         !item_found    ? "item"
                         : !place_found ? "place"
                                        : "resin",
                         !item_found    ? in.item
                         : !place_found ? in.place
                                        : said.resin);
    if (strcmp(place.kind, "slot") == 0)
        return fault_set(fault, FAULT_INPUT, "'%s' is a slot of a printer: take it on at a shelf, then check it out",
                         in.place);
    if (said.resin[0] != '\0' && !strchr("CR", resin.letter))
        return fault_set(fault, FAULT_INPUT,
                         "'resin' is %s, which is no cartridge or bottle: say the item code of the resin", said.resin);
    if (!suits_item(&said, &item, fault))
        return false;
    const bool filled = said.resin[0] != '\0';
    if (!ledger_next_serial(turn.ledger, item.letter, in.unit, fault))
        return false;
    turn_copy(said.take_on.unit, sizeof said.take_on.unit, in.unit);
    if (filled) { /* the fill carries what is in it */
        in.lot[0] = '\0';
        in.expires = in.filled = in.amount_ul = MOVEMENT_NULL;
    }
    turn_copy(in.word, sizeof in.word, said.film);
    if (!turn_book(&turn, &in, fault) || (filled && !fill(&turn, &said, fault)) ||
        !labels_order(&turn, in.unit, fault) || (said.labelled && !mark_labelled(&turn, in.unit, fault)))
        return false;
    counter_say(&turn.counter, "Taken on: %s %s at %s.", item.name, in.unit, in.place);
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "serial", json_string(in.unit));
    return true;
}
