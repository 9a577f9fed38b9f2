#include "kiosk/desk/kept_words.h"

#include <string.h>

#include "labels/basics/text.h"

static bool name_person(struct ledger *ledger, const char *serial, char *name, size_t size, bool *found,
                        struct fault *fault)
{
    struct person person;
    *found = false;
    if (serial[0] == '\0' || strlen(serial) >= sizeof person.serial)
        return true;
    if (!person_load(ledger, serial, &person, found, fault))
        return false;
    if (*found)
        (void)span_copy(span_of(person.name[0] ? person.name : serial), name, size);
    return true;
}

bool kept_words_name(struct ledger *ledger, const char *whom, struct kept_words *words, struct fault *fault)
{
    struct builder named;
    if (!name_person(ledger, whom, words->named, sizeof words->named, &words->is_person, fault))
        return false;
    (void)span_copy(span_of(whom), words->whom, sizeof words->whom);
    if (words->is_person)
        return true;
    builder_init(&named, words->named, sizeof words->named);
    builder_addf(&named, "job %s", whom);
    return true;
}

bool kept_words_load(struct ledger *ledger, const struct unit *unit, struct kept_words *words, struct fault *fault)
{
    struct movement said;
    bool found = false;
    *words = (struct kept_words){.until = unit->reserved_until};
    if (unit->reserved[0] == '\0')
        return true;
    return kept_words_name(ledger, unit->reserved, words, fault) &&
           ledger_last_of_unit(ledger, unit->serial, MOVEMENT_RESERVE, &said, &found, fault) &&
           (!found || name_person(ledger, said.person, words->by, sizeof words->by, &found, fault));
}

struct kept kept_words_for_rule(const struct kept_words *words)
{
    return (struct kept){
        .whom = words->whom,
        .named = words->named,
        .by = words->by,
        .is_person = words->is_person,
        .has_until = words->until != MOVEMENT_NULL,
        .until = {words->until != MOVEMENT_NULL ? (int32_t)words->until : 0},
    };
}
