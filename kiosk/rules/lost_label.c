#include "kiosk/rules/lost_label.h"

#include <string.h>

#include "labels/basics/text.h"

struct lost_finding lost_label_find(const struct lost_candidate *list, size_t count, bool more)
{
    struct lost_finding finding = {.answer = LOST_SEVERAL};
    for (size_t i = 0; i < count; i++) {
        finding.here += list[i].here;
        finding.elsewhere += !list[i].here;
        if (list[i].here || finding.here == 0)
            finding.one = i;
    }
    if (count == 0 && !more)
        finding.answer = LOST_NONE;
    else if (count == 1 && !more)
        finding.answer = LOST_SURE;
    else if (finding.here == 1 && !more)
        finding.answer = LOST_LIKELY;
    return finding;
}

/* Those that should stand here, or all when none does. */
static bool counts(const struct lost_candidate *list, size_t count, size_t index)
{
    bool any_here = false;
    for (size_t i = 0; i < count; i++)
        any_here = any_here || list[i].here;
    return list[index].here || !any_here;
}

static void add(struct builder *out, bool differs, const char *words)
{
    if (differs)
        builder_addf(out, "%s%s", out->length > 0 ? ", " : "They differ: ", words);
}

void lost_label_advise(const struct lost_candidate *list, size_t count, char advice[LOST_LABEL_ADVICE_SIZE])
{
    const struct lost_candidate *first = NULL;
    bool resin = false, lot = false, film = false, amount = false, opened = false;
    struct builder out;
    for (size_t i = 0; i < count; i++) {
        const struct lost_candidate *one = &list[i];
        if (!counts(list, count, i))
            continue;
        if (!first)
            first = one;
        resin = resin || strcmp(one->resin, first->resin) != 0;
        lot = lot || strcmp(one->lot, first->lot) != 0;
        film = film || strcmp(one->film, first->film) != 0;
        amount = amount || one->amount_ul != first->amount_ul;
        opened = opened || one->opened != first->opened;
    }
    builder_init(&out, advice, LOST_LABEL_ADVICE_SIZE);
    add(&out, resin, "resin");
    add(&out, lot, "lot (the maker's code says it)");
    add(&out, amount, "amount (weigh it)");
    add(&out, opened, "opened or not");
    add(&out, film, "film");
    if (out.length > 0)
        builder_add(&out, ".");
}
