#include "kiosk/rules/match_count.h"

#include <string.h>

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static const int64_t MOST = INT64_C(9007199254740992); /* 2^53, up to which JSON's numbers are whole */

/* --- reading --- */

static const struct unit_place *read_places(struct case_in *in, const char *key, size_t *count)
{
    static const char *const keys[] = {"id", "place", NULL};
    const json_t *list = case_list_or(in, key, count);
    struct unit_place *places = case_room(in, *count, sizeof *places);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, key, list, i, keys);
        places[i].id = case_text(&item, "id");
        places[i].place = case_text(&item, "place");
    }
    return places;
}

static struct stock_key read_key(struct case_in *item)
{
    struct stock_key key;
    key.item = case_text(item, "item");
    key.lot = case_text_or(item, "lot", "");
    key.place = case_text(item, "place");
    return key;
}

/* All in one form, so that they compare as they are written. */
static struct instant read_instant(struct case_in *item, const char *key)
{
    struct instant instant = {0};
    struct fault fault = {0};
    const char *text = case_text(item, key);
    if (!item->object)
        return instant;
    if (strlen(text) != strlen("YYYY-MM-DDTHH:MM:SSZ"))
        case_fail(item, RULE_DATE, key, "'%s%s' must be an instant like 2026-11-26T08:30:00Z", item->path, key);
    else if (!calendar_read_instant(text, strlen(text), &instant, &fault))
        case_fail(item, RULE_DATE, key, "'%s%s': %s", item->path, key, fault.text);
    return instant;
}

static const struct counted_quantity *read_quantities(struct case_in *in, const char *key, bool with_at, size_t *count)
{
    static const char *const keys[] = {"item", "lot", "place", "quantity", NULL};
    static const char *const keys_with_at[] = {"item", "lot", "place", "quantity", "at", NULL};
    const json_t *list = case_list_or(in, key, count);
    struct counted_quantity *quantities = case_room(in, *count, sizeof *quantities);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, key, list, i, with_at ? keys_with_at : keys);
        quantities[i].key = read_key(&item);
        quantities[i].quantity = case_count(&item, "quantity", -MOST, MOST);
        quantities[i].has_at = with_at && case_has(&item, "at");
        if (quantities[i].has_at)
            quantities[i].at = read_instant(&item, "at");
    }
    return quantities;
}

static const struct stock_movement *read_movements(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"at", "item", "lot", "place", "change", NULL};
    const json_t *list = case_list_or(in, "movements", count);
    struct stock_movement *movements = case_room(in, *count, sizeof *movements);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "movements", list, i, keys);
        movements[i].at = read_instant(&item, "at");
        movements[i].key = read_key(&item);
        movements[i].change = case_count(&item, "change", -MOST, MOST);
    }
    return movements;
}

/* --- writing --- */

static void put_units(json_t *out, const struct match_units_answer *answer)
{
    json_t *units = case_put_list(out, "units");
    for (size_t i = 0; i < answer->unit_count; i++) {
        const struct matched_unit *unit = &answer->units[i];
        json_t *item = case_put_item(units), *places = NULL;
        case_put_text(item, "id", unit->id);
        case_put_text(item, "expected_place", unit->expected_place);
        places = case_put_list(item, "found_places");
        for (size_t k = 0; k < unit->found_count; k++)
            (void)json_array_append_new(places, json_string(unit->found_places[k]));
        case_put_text(item, "result", unit_result_word(unit->result));
    }
    if (!answer->hints) {
        case_put_null(out, "hints");
        return;
    }
    json_t *hints = case_put_list(out, "hints");
    for (size_t i = 0; i < answer->hint_count; i++) {
        json_t *item = case_put_item(hints);
        case_put_text(item, "missing", answer->hints[i].missing);
        case_put_text(item, "found", answer->hints[i].found);
        case_put_text(item, "place", answer->hints[i].place);
    }
}

static void put_quantities(json_t *out, const struct match_quantities_answer *answer)
{
    case_put_count(out, "lines", answer->lines);
    case_put_count(out, "exact", answer->exact);
    case_put_count(out, "net", answer->net);
    case_put_count(out, "gross", answer->gross);
    json_t *moves = case_put_list(out, "moves");
    for (size_t i = 0; i < answer->move_count; i++) {
        const struct stock_move *move = &answer->moves[i];
        json_t *item = case_put_item(moves);
        case_put_count(item, "stage", move->stage);
        case_put_text(item, "item", move->from.item);
        case_put_text(item, "from_lot", move->from.lot);
        case_put_text(item, "from_place", move->from.place);
        case_put_text(item, "to_lot", move->to.lot);
        case_put_text(item, "to_place", move->to.place);
        case_put_count(item, "quantity", move->quantity);
    }
    json_t *unexplained = case_put_list(out, "unexplained");
    for (size_t i = 0; i < answer->unexplained_count; i++) {
        json_t *item = case_put_item(unexplained);
        case_put_text(item, "item", answer->unexplained[i].key.item);
        case_put_text(item, "lot", answer->unexplained[i].key.lot);
        case_put_text(item, "place", answer->unexplained[i].key.place);
        case_put_count(item, "difference", answer->unexplained[i].difference);
    }
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {
        "expected",         "disposed",  "scans", "finished_places", "expected_quantities",
        "found_quantities", "movements", NULL};
    struct match_count_case asked = {0};
    struct match_count_answer answer;
    struct match_units_case *units = &asked.units;
    struct match_quantities_case *quantities = &asked.quantities;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    units->expected = read_places(&in, "expected", &units->expected_count);
    units->disposed = case_texts(&in, "disposed", false, &units->disposed_count);
    units->scans = read_places(&in, "scans", &units->scan_count);
    units->all_finished = !case_has(&in, "finished_places");
    units->finished = case_texts(&in, "finished_places", false, &units->finished_count);
    quantities->expected = read_quantities(&in, "expected_quantities", false, &quantities->expected_count);
    quantities->found = read_quantities(&in, "found_quantities", true, &quantities->found_count);
    quantities->movements = read_movements(&in, &quantities->movement_count);
    if (!case_good(&in) || !match_count(&asked, arena, &answer, fault))
        return false;
    put_units(out, &answer.units);
    put_quantities(out, &answer.quantities);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case match_count_rule = {"match-count", compute};
