#include "kiosk/rules/abc_class.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static void read_items(struct case_in *in, struct abc_class_case *asked)
{
    static const char *const keys[] = {"id", "annual_use", "unit_cost", "critical", NULL};
    const json_t *list = case_list(in, "items", &asked->item_count);
    struct abc_item *items = case_room(in, asked->item_count, sizeof *items);
    for (size_t i = 0; case_good(in) && i < asked->item_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "items", list, i, keys);
        items[i].id = case_text(&item, "id");
        items[i].annual_use = case_number(&item, "annual_use", CASE_NOT_NEGATIVE);
        items[i].unit_cost = case_number(&item, "unit_cost", CASE_NOT_NEGATIVE);
        items[i].critical = case_flag_or(&item, "critical", false);
    }
    asked->items = items;
    if (case_good(in))
        (void)case_unique_in(in, "items", "id", items, asked->item_count, sizeof *items, offsetof(struct abc_item, id));
}

static void read_counts_per_year(struct case_in *in, struct abc_class_case *asked)
{
    static const char *const keys[] = {"a", "b", "c", NULL};
    static const double usual[ABC_LETTERS] = {12, 4, 2};
    struct case_in counts;
    const bool given = case_has(in, "counts_per_year");
    if (given)
        case_open_under(&counts, in, "counts_per_year", keys);
    for (int letter = ABC_A; letter < ABC_LETTERS; letter++)
        asked->counts_per_year[letter] =
            given ? case_number_or(&counts, keys[letter], CASE_NOT_NEGATIVE, usual[letter]) : usual[letter];
}

static void read_cuts(struct case_in *in, struct abc_class_case *asked)
{
    const struct case_range cut = {0, 1, true, false};
    asked->cut_a = case_number_or(in, "cut_a", cut, 0.8);
    asked->cut_b = case_number_or(in, "cut_b", cut, 0.95);
    if (case_good(in) && asked->cut_a > asked->cut_b && !case_has(in, "cut_b"))
        case_fail(in, RULE_RANGE, "cut_a",
                  "class A ends at %g of the total, behind class B (%g): give a 'cut_b' that "
                  "is not less",
                  asked->cut_a, asked->cut_b);
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"items", "cut_a", "cut_b", "counts_per_year", "working_days", NULL};
    static const char *const letters[] = {"A", "B", "C", NULL};
    struct abc_class_case asked = {0};
    struct abc_class_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    read_items(&in, &asked);
    read_cuts(&in, &asked);
    read_counts_per_year(&in, &asked);
    asked.working_days = case_number_or(&in, "working_days", CASE_POSITIVE, 250);
    if (!case_good(&in) || !abc_class(&asked, arena, &answer, fault))
        return false;
    json_t *list = case_put_list(out, "items");
    for (size_t i = 0; i < asked.item_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "id", answer.items[i].id);
        case_put_number(item, "value", answer.items[i].value);
        case_put_number(item, "share", answer.items[i].share);
        case_put_number(item, "cumulative", answer.items[i].cumulative);
        case_put_text(item, "class", letters[answer.items[i].letter]);
    }
    case_put_number(out, "total", answer.total);
    case_put_number(out, "counts_per_year", answer.counts_per_year);
    case_put_number(out, "counts_per_day", answer.counts_per_day);
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case abc_class_rule = {"abc-class", compute};
