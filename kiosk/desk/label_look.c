#include "kiosk/desk/label_look.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/movement_detail.h"
#include "kiosk/ledger/print_looks.h"

static const char USUAL_PRINTER[] = "label-printer"; /* what the printing thread calls its printer */

enum { LOOKS_MOST = 100, EDITION_MOST = PRINT_LOOK_EDITION_SIZE };

/* Whole thousandths, but for `fixed`, a level. Ranges are apply's. */
static const char *const number_keys[] = {"pixels",   "modulation", "margin",   "axial",   "grid",  "unused", "fixed",
                                          "growth_x", "growth_y",   "contrast", "from_um", "to_um", NULL};

static bool take_newest(const struct print *print, void *context)
{
    *(struct print *)context = *print; /* in the order of their numbers */
    return true;
}

static bool copy_numbers(const json_t *look, json_t *detail, struct fault *fault)
{
    for (size_t i = 0; number_keys[i]; i++) {
        const json_t *value = json_object_get(look, number_keys[i]);
        if (!value || json_is_null(value))
            continue;
        if (!json_is_integer(value))
            return fault_set(fault, FAULT_INPUT, "'%s' of a look is not a whole number of thousandths", number_keys[i]);
        json_object_set_new(detail, number_keys[i], json_integer(json_integer_value(value)));
    }
    return true;
}

static bool copy_text(const json_t *look, const char *key, size_t size, json_t *detail, struct fault *fault)
{
    char text[PRINT_LOOK_MARKS_SIZE];
    if (!content_text(look, key, CONTENT_OPTIONAL, text, size, fault))
        return false;
    if (text[0])
        json_object_set_new(detail, key, json_string(text));
    return true;
}

static bool write_detail(const json_t *look, const struct print *print, const char *source, struct movement *movement,
                         struct fault *fault)
{
    json_t *detail = json_object();
    json_object_set_new(detail, "unit", json_string(print->unit));
    json_object_set_new(detail, "number", json_integer(print->number));
    json_object_set_new(detail, "source", json_string(source));
    const bool good = copy_numbers(look, detail, fault) &&
                      copy_text(look, "marks", PRINT_LOOK_MARKS_SIZE, detail, fault) &&
                      copy_text(look, "edition", EDITION_MOST, detail, fault) &&
                      movement_detail_write(detail, movement->detail, fault);
    json_decref(detail);
    return good;
}

/* One label. What was never printed here, or came with a kiosk of another room, is left out: `*booked` says. */
static bool book_look(struct turn *turn, const json_t *look, const char *source, size_t *booked, struct fault *fault)
{
    static const char *const keys[] = {"unit",     "marks",   "edition", "pixels", "modulation", "margin",
                                       "axial",    "grid",    "unused",  "fixed",  "growth_x",   "growth_y",
                                       "contrast", "from_um", "to_um",   NULL};
    struct print print = {.number = 0};
    struct movement movement;
    char serial[SERIAL_SIZE];
    movement_init(&movement, MOVEMENT_PRINT_LOOK);
    if (!content_only(look, keys, fault) ||
        !content_code(look, "unit", CONTENT_REQUIRED, serial, sizeof serial, fault) ||
        !print_each_of_unit(turn->ledger, serial, take_newest, &print, fault))
        return false;
    if (print.number == 0)
        return true;
    if (!write_detail(look, &print, source, &movement, fault))
        return false;
    /* a device's name that is no keyword is a foreign kiosk's */
    const bool named = print.device[0] && strlen(print.device) < sizeof movement.word;
    turn_copy(movement.word, sizeof movement.word, named ? print.device : USUAL_PRINTER);
    (*booked)++;
    return turn_book(turn, &movement, fault);
}

bool label_look_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"source", "looks", NULL};
    const json_t *content = context->act->content, *looks = json_object_get(content, "looks");
    struct turn turn;
    char source[WORD_SIZE];
    size_t booked = 0;
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_word(content, "source", CONTENT_REQUIRED, source, sizeof source, fault))
        return false;
    if (!json_is_array(looks) || json_array_size(looks) == 0 || json_array_size(looks) > LOOKS_MOST)
        return fault_set(fault, FAULT_INPUT, "'looks' is not a list of 1 to %d labels", LOOKS_MOST);
    for (size_t i = 0; i < json_array_size(looks); i++)
        if (!book_look(&turn, json_array_get(looks, i), source, &booked, fault))
            return false;
    if (!turn_answer(&turn, answer, fault))
        return false;
    json_object_set_new(*answer, "looks", json_integer((json_int_t)booked));
    return true;
}

bool label_baseline_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"printer", "from", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement movement;
    struct print_look look;
    bool found = true;
    movement_init(&movement, MOVEMENT_PRINT_BASELINE);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_word(content, "printer", CONTENT_REQUIRED, movement.word, sizeof movement.word, fault) ||
        !content_count(content, "from", CONTENT_OPTIONAL, 1, INT64_MAX, &movement.refers, fault))
        return false;
    if (movement.refers != MOVEMENT_NULL && !print_look_load(turn.ledger, movement.refers, &look, &found, fault))
        return false;
    if (!found || (movement.refers != MOVEMENT_NULL && strcmp(look.device, movement.word) != 0))
        return fault_set(fault, FAULT_MISSING, "look %lld is none of '%s': choose one from its list",
                         (long long)movement.refers, movement.word);
    if (!turn_book(&turn, &movement, fault))
        return false;
    counter_say(&turn.counter, "%s: its next labels are compared with %s.", movement.word,
                movement.refers == MOVEMENT_NULL ? "those photographed from now on" : "those from the chosen one on");
    return turn_answer(&turn, answer, fault);
}
