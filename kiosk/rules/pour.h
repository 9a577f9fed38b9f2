#ifndef KIOSK_RULES_POUR_H
#define KIOSK_RULES_POUR_H

#include "kiosk/rules/check_out.h"

/* May resin go from this container into that one? Judged by what is written down of both; common practice of the trade,
 * no source:
 *  - resin goes from a cartridge, bottle or vat into a vat or bottle, never back into a cartridge;
 *  - resin of one type and one revision meets, never two, but where the room's table lets the one that comes stand in
 *    for the one that is there (substitution.h); what is on hold, expired or gone is withheld;
 *  - what was in a vat is recovered resin: it goes into a vat, or into a bottle that holds recovered resin or is clean,
 *    and never among fresh resin in a bottle;
 *  - more than fits, more than is there by the books, and an amount that is a thousand times too small or too large for
 *    what is there are asked about, the last with what was likely meant.
 * Pure. Texts are borrowed for the call. */

#define POUR_UNKNOWN INT64_MIN

struct pour_case {
    const struct check_out_thing *from,
        *to;                           /* `in` and `holder_name` are not looked at: a vat in a printer is filled */
    bool from_recovered, to_recovered; /* a bottle's content has been in a vat */
    int64_t from_ul, to_ul;            /* what is in them; POUR_UNKNOWN */
    int64_t room_ul;                   /* what the target holds when full; POUR_UNKNOWN */
    int64_t amount_ul;                 /* what is poured; POUR_UNKNOWN: nobody knows, or not said yet */
    const struct substitution_table *substitutions; /* NULL: none */
    struct day today;
    bool clock_trusted;
};

/* What a pour is called, by the letters of the two and whether the target is clean: fill, top-up, decant, transfer,
 * recover. NULL: resin does not go that way. */
const char *pour_word(char from, char to, bool to_is_clean);

/* Fills `list` (cleared first). */
void pour_judge(const struct pour_case *asked, struct verdict_list *list);

#endif
