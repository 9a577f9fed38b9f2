#include "kiosk/desk/entries.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/sds_entry.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/movement_detail.h"
#include "labels/content/check_character.h"

enum { DENSITY_MOST = 25 }; /* g/ml: no substance is heavier */

static bool write_name(const char *name, struct movement *entry, struct fault *fault)
{
    json_t *detail = json_pack("{s:s}", "name", name);
    const bool written = movement_detail_write(detail, entry->detail, fault);
    json_decref(detail);
    return written;
}

static bool read_gtin(const json_t *content, char gtin[15], struct fault *fault)
{
    char said[15];
    if (!content_code(content, "gtin", CONTENT_OPTIONAL, said, sizeof said, fault))
        return false;
    gtin[0] = '\0';
    if (said[0] == '\0')
        return true;
    const size_t length = strlen(said);
    if ((length != 8 && length != 12 && length != 13 && length != 14) ||
        !check_character_mod10_ok((struct span){said, length}))
        return fault_set(fault, FAULT_INPUT,
                         "'gtin' %s has a wrong check digit or not 8, 12, 13 or 14 digits: copy it anew", said);
    struct builder out;
    builder_init(&out, gtin, 15);
    for (size_t i = length; i < 14; i++)
        builder_add_char(&out, '0');
    builder_add(&out, said);
    return true;
}

/* The printers it fits: codes with one space between. A code that nobody entered would fit nothing, for ever. */
static bool check_fits(struct ledger *ledger, const char *fits, struct fault *fault)
{
    for (const char *at = fits; *at != '\0';) {
        const size_t length = strcspn(at, " ");
        char code[PRINTER_SIZE];
        struct machine machine;
        bool found = false;
        if (span_copy((struct span){at, length}, code, sizeof code) && code[0] != '\0' &&
            !machine_load(ledger, code, &machine, &found, fault))
            return false;
        if (!found || (at[length] == ' ' && at[length + 1] == '\0'))
            return fault_set(fault, FAULT_INPUT,
                             "'fits' is '%s': write codes of printers entered before, with one space "
                             "between",
                             fits);
        at += length + (at[length] == ' ');
    }
    return true;
}

static bool read_item(const json_t *content, struct item *item, struct fault *fault)
{
    static const char *const keys[] = {
        "code",       "letter",        "name",          "resin",        "revision",   "gtin",
        "maker_code", "fits",          "content_ml",    "minimum_days", "life_hours", "density_g_ml",
        "stir_days",  "inspect_hours", "surface_hours", SDS_ENTRY_KEYS, NULL};
    char letter[2];
    memset(item, 0, sizeof *item);
    if (!content_only(content, keys, fault) ||
        !content_code(content, "code", CONTENT_REQUIRED, item->code, sizeof item->code, fault) ||
        !content_code(content, "letter", CONTENT_REQUIRED, letter, sizeof letter, fault) ||
        !content_text(content, "name", CONTENT_REQUIRED, item->name, sizeof item->name, fault) ||
        !content_text(content, "resin", CONTENT_OPTIONAL, item->resin, sizeof item->resin, fault) ||
        !content_text(content, "revision", CONTENT_OPTIONAL, item->revision, sizeof item->revision, fault) ||
        !read_gtin(content, item->gtin, fault) ||
        !content_text(content, "maker_code", CONTENT_OPTIONAL, item->maker_code, sizeof item->maker_code, fault) ||
        !content_text(content, "fits", CONTENT_OPTIONAL, item->fits, sizeof item->fits, fault) ||
        !content_amount(content, "content_ml", 1e6, 1000, &item->content_ul, fault) ||
        !content_count(content, "minimum_days", CONTENT_OPTIONAL, 0, 3650, &item->minimum_days, fault) ||
        !content_amount(content, "life_hours", 1e6, 60, &item->life_minutes, fault) ||
        !content_amount(content, "density_g_ml", DENSITY_MOST, 1000, &item->density_mg_ml, fault) ||
        !content_count(content, "stir_days", CONTENT_OPTIONAL, 1, 3650, &item->stir_days, fault) ||
        !content_amount(content, "inspect_hours", 1e6, 60, &item->inspect_minutes, fault) ||
        !content_amount(content, "surface_hours", 1e6, 60, &item->surface_minutes, fault) ||
        !sds_entry_read(content, &item->sds, fault))
        return false;
    if (strpbrk(item->code, "./"))
        return fault_set(fault, FAULT_INPUT, "'code' may hold only 0-9, A-Z and '-'");
    if (!strchr("VTCRPW", letter[0]))
        return fault_set(fault, FAULT_INPUT, "'letter' is '%s', not V, T, C, R, P or W", letter);
    item->letter = letter[0];
    return true;
}

/* A maker's number stands on one item only, else a scan of it could mean two things. */
static bool maker_numbers_are_free(struct ledger *ledger, const struct item *item, struct fault *fault)
{
    const struct {
        const char *number;
        bool (*find)(struct ledger *ledger, const char *number, struct item *item, bool *found, struct fault *fault);
    } kinds[] = {{item->gtin, item_find_gtin}, {item->maker_code, item_find_maker_code}};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++) {
        struct item other;
        bool found = false;
        if (kinds[i].number[0] != '\0' && !kinds[i].find(ledger, kinds[i].number, &other, &found, fault))
            return false;
        if (found && strcmp(other.code, item->code) != 0)
            return fault_set(fault, FAULT_CONFLICT,
                             "that maker's number belongs to item %s already: correct one of them", other.code);
    }
    return true;
}

enum { RELEASE_PAGE = 200 };

/* A page of them: a statement can't be open while another books. */
struct release_list {
    char serials[RELEASE_PAGE][SERIAL_SIZE];
    size_t count;
};

static bool collect_provisional(const struct unit *unit, void *context)
{
    struct release_list *list = context;
    if (strcmp(unit->hold, "provisional") == 0)
        turn_copy(list->serials[list->count++], SERIAL_SIZE, unit->serial);
    return list->count < sizeof list->serials / sizeof *list->serials;
}

static bool release_provisional(struct turn *turn, const char *code, size_t *released, struct fault *fault)
{
    struct release_list list;
    char after[SERIAL_SIZE] = "";
    do {
        list.count = 0;
        if (!unit_each(turn->ledger, UNIT_BY_ITEM, code, after, INT64_MAX, collect_provisional, &list, fault))
            return false;
        for (size_t i = 0; i < list.count; i++) {
            struct movement release;
            movement_init(&release, MOVEMENT_RELEASE);
            turn_copy(release.unit, sizeof release.unit, list.serials[i]);
            turn_copy(release.word, sizeof release.word, "provisional");
            if (!turn_book(turn, &release, fault))
                return false;
            turn_copy(after, sizeof after, list.serials[i]);
        }
        *released += list.count;
    } while (list.count == sizeof list.serials / sizeof *list.serials);
    return true;
}

bool item_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct turn turn;
    struct item item, before;
    struct movement entry;
    bool found;
    movement_init(&entry, MOVEMENT_ITEM_ENTRY);
    if (!turn_begin(context, &turn, fault) || !read_item(context->act->content, &item, fault) ||
        !item_load(turn.ledger, item.code, &before, &found, fault) ||
        !maker_numbers_are_free(turn.ledger, &item, fault) || !check_fits(turn.ledger, item.fits, fault))
        return false;
    if (found && before.letter != item.letter)
        return fault_set(fault, FAULT_REFUSED, "item %s has units labelled %c: its letter stays", item.code,
                         before.letter);
    if (found && !sds_entry_is_said(context->act->content)) /* who does not speak of it takes nothing away */
        item.sds = before.sds;
    turn_copy(entry.item, sizeof entry.item, item.code);
    size_t released = 0;
    if (!item_write_detail(&item, entry.detail, fault) || !turn_book(&turn, &entry, fault) ||
        (found && before.provisional && !release_provisional(&turn, item.code, &released, fault)))
        return false;
    if (released > 0)
        counter_say(&turn.counter, "Entered: %s, %s. %zu thing%s of it %s released.", item.code, item.name, released,
                    released == 1 ? "" : "s", released == 1 ? "is" : "are");
    else
        counter_say(&turn.counter, "Entered: %s, %s.", item.code, item.name);
    return turn_answer(&turn, answer, fault) && sds_entry_ask(&item.sds, *answer, fault);
}

bool place_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"code", "kind", "printer", "name", "label", NULL};
    static const char *const kinds[] = {"shelf", "slot", "counter", "room", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement entry;
    struct machine machine;
    char name[NAME_SIZE];
    bool label, found = false;
    movement_init(&entry, MOVEMENT_PLACE_ENTRY);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "code", CONTENT_REQUIRED, entry.place, sizeof entry.place, fault) ||
        !content_one_of(content, "kind", CONTENT_REQUIRED, kinds, entry.word, sizeof entry.word, fault) ||
        !content_code(content, "printer", CONTENT_OPTIONAL, entry.printer, sizeof entry.printer, fault) ||
        !content_text(content, "name", CONTENT_OPTIONAL, name, sizeof name, fault) ||
        !content_flag(content, "label", &label, fault) ||
        !machine_load(turn.ledger, entry.printer, &machine, &found, fault))
        return false;
    if (strpbrk(entry.place, "./"))
        return fault_set(fault, FAULT_INPUT, "'code' may hold only 0-9, A-Z and '-'");
    if ((strcmp(entry.word, "slot") == 0) != found)
        return fault_set(fault, FAULT_INPUT, "a slot names a printer that was entered before, a shelf names none");
    if (!write_name(name, &entry, fault) || !turn_book(&turn, &entry, fault) ||
        (label && !labels_order_place(&turn, entry.place, fault)))
        return false;
    counter_say(&turn.counter, "Entered: place %s.", entry.place);
    return turn_answer(&turn, answer, fault);
}

bool printer_entry_act(struct act_context *context, json_t **answer, struct fault *fault)
{
    static const char *const keys[] = {"code", "name", "slots", NULL};
    const json_t *content = context->act->content;
    struct turn turn;
    struct movement entry;
    char name[NAME_SIZE];
    movement_init(&entry, MOVEMENT_PRINTER_ENTRY);
    if (!turn_begin(context, &turn, fault) || !content_only(content, keys, fault) ||
        !content_code(content, "code", CONTENT_REQUIRED, entry.printer, sizeof entry.printer, fault) ||
        !content_text(content, "name", CONTENT_REQUIRED, name, sizeof name, fault) ||
        !content_count(content, "slots", CONTENT_REQUIRED, 0, 16, &entry.pieces, fault) ||
        !write_name(name, &entry, fault) || !turn_book(&turn, &entry, fault))
        return false;
    counter_say(&turn.counter, "Entered: printer %s, %s.", entry.printer, name);
    return turn_answer(&turn, answer, fault);
}
