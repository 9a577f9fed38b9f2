#include "kiosk/desk/typed_lot.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/ledger/stock.h"
#include "kiosk/rules/lot_spelling.h"

enum { TYPED_SIZE = 41, ALIKE_MOST = 6 };

struct alike {
    char lot[LOT_SIZE];
    int64_t units;
    enum lot_spelling spelling;
};

struct search {
    const char *typed; /* as the person wrote it */
    const char *coded; /* in capitals */
    bool typed_is_here, coded_is_here;
    struct alike lots[ALIKE_MOST]; /* most alike first */
    size_t count;
};

static void put_alike(struct search *search, const struct stock_line *line, enum lot_spelling spelling)
{
    for (size_t i = 0; i < search->count; i++)
        if (strcmp(search->lots[i].lot, line->lot) == 0) {
            search->lots[i].units += line->units;
            return;
        }
    size_t at = search->count < ALIKE_MOST ? search->count : ALIKE_MOST - 1;
    if (search->count == ALIKE_MOST && search->lots[at].spelling <= spelling)
        return;
    for (; at > 0 && search->lots[at - 1].spelling > spelling; at--)
        search->lots[at] = search->lots[at - 1];
    search->lots[at] = (struct alike){.units = line->units, .spelling = spelling};
    memcpy(search->lots[at].lot, line->lot, sizeof search->lots[at].lot);
    search->count += search->count < ALIKE_MOST;
}

static bool look(const struct stock_line *line, void *context)
{
    struct search *search = context;
    const enum lot_spelling spelling = lot_spelling_compare(search->typed, line->lot);
    search->typed_is_here = search->typed_is_here || spelling == LOT_SAME;
    search->coded_is_here = search->coded_is_here || strcmp(search->coded, line->lot) == 0;
    if (spelling != LOT_SAME && spelling != LOT_OTHER)
        put_alike(search, line, spelling);
    return true;
}

static json_t *make_ask(const struct search *search)
{
    json_t *lots = json_array();
    for (size_t i = 0; i < search->count; i++)
        json_array_append_new(lots, json_pack("{s:s,s:I,s:s}", "lot", search->lots[i].lot, "units",
                                              (json_int_t)search->lots[i].units, "how",
                                              lot_spelling_words(search->lots[i].spelling)));
    char sentence[160];
    struct builder text;
    builder_init(&text, sentence, sizeof sentence);
    builder_addf(&text, "Lot %s is spelt almost like %s. Look at the pack: is it the same lot?", search->typed,
                 search->count == 1 ? "a lot that is here" : "lots that are here");
    return json_pack("{s:s,s:s,s:o}", "sentence", sentence, "typed", search->typed, "lots", lots);
}

bool typed_lot_read(struct ledger *ledger, const json_t *content, const char *item, char lot[LOT_SIZE], json_t **ask,
                    struct fault *fault)
{
    char typed[TYPED_SIZE], coded[LOT_SIZE] = "";
    struct fault refused = {FAULT_NONE, ""};
    bool sure;
    *ask = NULL;
    if (!content_text(content, "lot", CONTENT_OPTIONAL, typed, sizeof typed, fault) ||
        !content_flag(content, "lot_sure", &sure, fault))
        return false;
    const bool fits = content_code(content, "lot", CONTENT_OPTIONAL, coded, sizeof coded, &refused);
    struct search search = {.typed = typed, .coded = fits ? coded : ""};
    if (typed[0] != '\0' && !stock_each_of_item(ledger, item, look, &search, fault))
        return false;
    if (search.typed_is_here)
        return span_copy(span_of(typed), lot, LOT_SIZE);
    if (search.count > 0 && !sure && !(fits && search.coded_is_here)) {
        *ask = make_ask(&search);
        return true;
    }
    return fits ? span_copy(span_of(coded), lot, LOT_SIZE) : fault_set(fault, refused.code, "%s", refused.text);
}
