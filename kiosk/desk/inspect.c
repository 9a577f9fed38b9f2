#include "kiosk/desk/inspect.h"

#include <string.h>

#include "kiosk/desk/check_in.h"
#include "kiosk/desk/content.h"
#include "kiosk/desk/keys.h"
#include "kiosk/desk/thing.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/rules/check_out.h"

/* What was seen of one thing. */
struct seen {
    char unit[SERIAL_SIZE];
    char what[WORD_SIZE];            /* of a vat the film, of a platform the surface */
    bool mixer_missing, mixer_there; /* of a vat; neither: not said */
    bool float_stuck, float_moves;
};

static bool is_vat(const char *serial)
{
    return serial[0] == 'V' || serial[0] == 'T';
}

static bool can_be_inspected(const char *serial)
{
    return is_vat(serial) || serial[0] == 'P';
}

/* What is wrong enough to withhold it, "" nothing; common practice, no source: a fogged film is asked about at the
 * check-out. */
static void name_trouble(const struct seen *seen, char hold[WORD_SIZE])
{
    struct builder out;
    const bool film =
        strcmp(seen->what, "dented") == 0 || strcmp(seen->what, "bits") == 0 || strcmp(seen->what, "leaking") == 0;
    const bool surface = strcmp(seen->what, "scratched") == 0 || strcmp(seen->what, "loose") == 0;
    builder_init(&out, hold, WORD_SIZE);
    if (film || surface)
        builder_addf(&out, "%s-%s", film ? "film" : "surface", seen->what);
    else if (seen->mixer_missing || seen->float_stuck)
        builder_add(&out, seen->mixer_missing ? "mixer-missing" : "float-stuck");
}

/* Was it put on hold by an inspection, or to be inspected? Then this one says what it is held for now. */
static bool is_of_inspection(const char *hold)
{
    static const char *const beginnings[] = {"film-", "surface-", "mixer-", "float-"};
    for (size_t i = 0; i < sizeof beginnings / sizeof *beginnings; i++)
        if (strncmp(hold, beginnings[i], strlen(beginnings[i])) == 0)
            return true;
    return hold[0] == '\0' || strcmp(hold, CHECK_OUT_TO_INSPECT) == 0;
}

static bool load(struct turn *turn, const char *serial, struct unit *unit, struct fault *fault)
{
    if (!thing_require_unit(turn->ledger, serial, unit, fault))
        return false;
    return can_be_inspected(serial) ||
           fault_set(fault, FAULT_INPUT, "%s is no vat and no platform: there is no film and no surface to see",
                     serial);
}

/* A platform's surface stays as it was seen, as a vat's film does. */
static bool write_detail(const struct seen *seen, char detail[DETAIL_SIZE], struct fault *fault)
{
    json_t *object = json_object();
    if (!is_vat(seen->unit))
        (void)json_object_set_new(object, "surface", json_string(seen->what));
    if (seen->mixer_missing || seen->mixer_there)
        (void)json_object_set_new(object, "mixer", json_string(seen->mixer_missing ? "missing" : "there"));
    if (seen->float_stuck || seen->float_moves)
        (void)json_object_set_new(object, "float", json_string(seen->float_stuck ? "stuck" : "moves"));
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}

static bool book_hold(struct turn *turn, enum movement_kind kind, const char *serial, const char *word,
                      struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, kind);
    turn_copy(movement.unit, sizeof movement.unit, serial);
    turn_copy(movement.word, sizeof movement.word, word);
    return turn_book(turn, &movement, fault);
}

/* Held for another reason: that stays, and the storekeeper hears what was seen. */
static bool ask_about(struct turn *turn, const struct unit *unit, const char *trouble, struct fault *fault)
{
    char note[COUNTER_TITLE_SIZE];
    struct builder out;
    builder_init(&out, note, sizeof note);
    builder_addf(&out, "%s is on hold for %s; an inspection found %s too.", unit->serial, unit->hold, trouble);
    return turn_question(turn, "inspection", unit->serial, note, fault);
}

static bool follow_hold(struct turn *turn, const struct unit *unit, const char *trouble, struct fault *fault)
{
    if (trouble[0] == '\0')
        return strcmp(unit->hold, CHECK_OUT_TO_INSPECT) != 0 ||
               book_hold(turn, MOVEMENT_RELEASE, unit->serial, unit->hold, fault);
    if (!is_of_inspection(unit->hold))
        return ask_about(turn, unit, trouble, fault);
    return strcmp(unit->hold, trouble) == 0 || book_hold(turn, MOVEMENT_HOLD, unit->serial, trouble, fault);
}

static bool book(struct turn *turn, const struct seen *seen, struct fault *fault)
{
    struct movement inspection;
    struct unit unit;
    char trouble[WORD_SIZE];
    bool found;
    movement_init(&inspection, MOVEMENT_INSPECTION);
    turn_copy(inspection.unit, sizeof inspection.unit, seen->unit);
    turn_copy(inspection.word, sizeof inspection.word, seen->what);
    name_trouble(seen, trouble);
    if (!load(turn, seen->unit, &unit, fault) || !write_detail(seen, inspection.detail, fault))
        return false;
    inspection.minutes = unit.minutes;
    if (!turn_book(turn, &inspection, fault) || !follow_hold(turn, &unit, trouble, fault) ||
        !unit_load(turn->ledger, seen->unit, &unit, &found, fault))
        return false;
    counter_clear_group(&turn->counter);
    if (unit.hold[0] == '\0')
        counter_say(&turn->counter, "Booked: %s was inspected, %s. It may be used.", seen->unit, seen->what);
    else
        counter_say(&turn->counter, "Booked: %s was inspected, %s. It is on hold: %s.", seen->unit, seen->what,
                    unit.hold);
    return true;
}

/* ---- at the counter ---- */

bool inspect_show(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const struct counter_unit *unit = &counter->units[0];
    if (unit->film[0] == '\0') {
        if (is_vat(unit->serial))
            counter_ask(counter, "How is the film of %s? Scan a film card; MIXER-MISSING or FLOAT-STUCK before it.",
                        unit->serial);
        else
            counter_ask(counter, "How is the surface of %s? SURFACE-FINE, SURFACE-SCRATCHED or SURFACE-LOOSE.",
                        unit->serial);
        return true;
    }
    if (!turn_has_person(turn, "inspect", "to say who inspected it"))
        return true;
    struct seen seen = {.mixer_missing = unit->mixer_missing, .float_stuck = unit->float_stuck};
    turn_copy(seen.unit, sizeof seen.unit, unit->serial);
    turn_copy(seen.what, sizeof seen.what, unit->film);
    if (!book(turn, &seen, fault))
        return false;
    turn_sign_out(turn);
    return true;
}

bool inspect_begin(struct turn *turn, struct fault *fault)
{
    struct counter *counter = &turn->counter;
    const bool may = counter->step == STEP_CHECK_OUT || counter->step == STEP_CHECK_IN || counter->step == STEP_PROOF;
    if (!may || counter->unit_count != 1 || !can_be_inspected(counter->units[0].serial)) {
        counter_note(counter, "Scan the one vat or platform that was inspected, then the card.");
        return true;
    }
    if (check_in_comes_first(counter))
        return true;
    counter->step = STEP_INSPECT;
    counter->place[0] = '\0';
    counter->units[0].film[0] = '\0';
    return inspect_show(turn, fault);
}

static const char *surface_of(const char *card)
{
    static const struct {
        const char *card, *surface;
    } cards[] = {{"SURFACE-FINE", "fine"}, {"SURFACE-SCRATCHED", "scratched"}, {"SURFACE-LOOSE", "loose"}};
    for (size_t i = 0; i < sizeof cards / sizeof *cards; i++)
        if (strcmp(cards[i].card, card) == 0)
            return cards[i].surface;
    return "";
}

bool inspect_card(struct turn *turn, const char *card, bool *mine, struct fault *fault)
{
    struct counter_unit *unit = &turn->counter.units[0];
    *mine = turn->counter.step == STEP_INSPECT;
    if (!*mine)
        return true;
    const bool vat = is_vat(unit->serial);
    const char *what = vat ? keys_film(card) : surface_of(card);
    if (what[0] != '\0') {
        turn_copy(unit->film, sizeof unit->film, what);
    } else if (vat && strcmp(card, "MIXER-MISSING") == 0) {
        unit->mixer_missing = true;
    } else if (vat && strcmp(card, "FLOAT-STUCK") == 0) {
        unit->float_stuck = true;
    } else {
        counter_note(&turn->counter, "The card %s does not say how %s is.", card, unit->serial);
        return true;
    }
    return inspect_show(turn, fault);
}

/* ---- by a script or the page ---- */

/* "there" or "missing", "moves" or "stuck": true in one of the two; a key left out in neither. */
static bool read_pair(const json_t *content, const char *key, const char *good, const char *bad, bool *is_good,
                      bool *is_bad, struct fault *fault)
{
    const char *const words[] = {good, bad, NULL};
    char said[WORD_SIZE];
    if (!content_one_of(content, key, CONTENT_OPTIONAL, words, said, sizeof said, fault))
        return false;
    *is_good = strcmp(said, good) == 0;
    *is_bad = strcmp(said, bad) == 0;
    return true;
}

static bool read_seen(const json_t *content, struct seen *seen, struct fault *fault)
{
    static const char *const films[] = {"clear", "fogged", "dented", "bits", "leaking", NULL};
    static const char *const surfaces[] = {"fine", "scratched", "loose", NULL};
    static const char *const vat_keys[] = {"unit", "film", "mixer", "float", NULL};
    static const char *const platform_keys[] = {"unit", "surface", NULL};
    if (!content_code(content, "unit", CONTENT_REQUIRED, seen->unit, sizeof seen->unit, fault))
        return false;
    const bool vat = is_vat(seen->unit);
    return content_only(content, vat ? vat_keys : platform_keys, fault) &&
           content_one_of(content, vat ? "film" : "surface", CONTENT_REQUIRED, vat ? films : surfaces, seen->what,
                          sizeof seen->what, fault) &&
           read_pair(content, "mixer", "there", "missing", &seen->mixer_there, &seen->mixer_missing, fault) &&
           read_pair(content, "float", "moves", "stuck", &seen->float_moves, &seen->float_stuck, fault);
}

bool inspect_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct seen seen = {.unit = ""};
    struct unit unit;
    if (!turn_begin(context, &turn, fault) || !read_seen(context->act->content, &seen, fault) ||
        !load(&turn, seen.unit, &unit, fault))
        return false;
    if (turn.person[0] == '\0')
        return fault_set(fault, FAULT_INPUT, "'person' is missing and nobody is signed in: say who inspected it");
    return book(&turn, &seen, fault) && turn_answer(&turn, answer, fault);
}
