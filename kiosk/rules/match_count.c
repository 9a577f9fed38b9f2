#include "kiosk/rules/match_count.h"

const char *unit_result_word(enum unit_result result)
{
    static const char *const words[] = {"duplicate", "ghost", "unknown", "missing", "not-counted", "ok", "misplaced"};
    _Static_assert(sizeof words / sizeof *words == UNIT_RESULTS, "a word for each result");
    return words[result];
}

/* "2 units ok, 1 missing." with those that there are; the good ones always. */
static const char *say_units(const struct match_units_answer *units, struct arena *arena)
{
    static const enum unit_result order[] = {UNIT_MISSING, UNIT_MISPLACED, UNIT_DUPLICATE,
                                             UNIT_UNKNOWN, UNIT_GHOST,     UNIT_NOT_COUNTED};
    static const char *const words[UNIT_RESULTS] = {
        [UNIT_DUPLICATE] = "in two places", [UNIT_GHOST] = "disposed of but there", [UNIT_UNKNOWN] = "unknown",
        [UNIT_MISSING] = "missing",         [UNIT_NOT_COUNTED] = "not counted yet", [UNIT_MISPLACED] = "misplaced"};
    const char *text = rule_text(arena, "%lld of %zu units ok", (long long)units->results[UNIT_OK], units->unit_count);
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        if (units->results[order[i]] > 0)
            text = rule_text(arena, "%s, %lld %s", text, (long long)units->results[order[i]], words[order[i]]);
    return rule_text(arena, "%s.", text);
}

static const char *say_quantities(const struct match_quantities_answer *quantities, struct arena *arena)
{
    const size_t moves = quantities->move_count, rest = quantities->unexplained_count;
    const char *text =
        rule_text(arena, "%lld of %lld quantities exact", (long long)quantities->exact, (long long)quantities->lines);
    if (quantities->gross > 0)
        text = rule_text(arena, "%s, the others off by %lld together", text, (long long)quantities->gross);
    if (moves > 0)
        text = rule_text(arena, "%s; %zu move%s would explain %s", text, moves, moves == 1 ? "" : "s",
                         rest > 0 ? "part of it" : "it");
    if (rest > 0)
        text = rule_text(arena, "%s; %zu difference%s unexplained: have somebody else count there again", text, rest,
                         rest == 1 ? " stays" : "s stay");
    return rule_text(arena, "%s.", text);
}

static const char *say(const struct match_count_answer *answer, struct arena *arena)
{
    const bool units = answer->units.unit_count > 0, quantities = answer->quantities.lines > 0;
    if (!units && !quantities)
        return "Nothing was expected and nothing was found.";
    return rule_text(arena, "%s%s%s Nothing is booked by this.", units ? say_units(&answer->units, arena) : "",
                     units && quantities ? " " : "", quantities ? say_quantities(&answer->quantities, arena) : "");
}

bool match_count(const struct match_count_case *asked, struct arena *arena, struct match_count_answer *answer,
                 struct rule_fault *fault)
{
    *answer = (struct match_count_answer){.said = {.method = "comparison with the ledger at the instant of the count"}};
    if (!match_units(&asked->units, arena, &answer->units, fault) ||
        !match_quantities(&asked->quantities, arena, &answer->quantities, fault))
        return false;
    answer->said.sentence = say(answer, arena);
    if (!answer->units.hints)
        rule_set_unknown(&answer->said, "hints",
                         rule_text(arena,
                                   "more than %d pairs of missing and misplaced units could be swapped, too many "
                                   "to name: put the misplaced ones back and count again",
                                   MATCH_HINTS));
    return true;
}
