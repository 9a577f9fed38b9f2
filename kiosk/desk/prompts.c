#include "kiosk/desk/prompts.h"

#include <string.h>

#define RULES   "follow the SDS, your local rules and the maker's instructions."
#define UNCURED "Uncured resin irritates skin and eyes and may cause allergy: nitrile gloves and eye protection; " RULES
#define CARRY   "Carry the vat level and in its closed case: light cures what is in it."
#define PACK                                                                                                           \
    "A pack that leaks goes on hold, upright in a tray, gloves on; follow the SDS, your local rules and the maker's "  \
    "instructions. Stick the label clear of valve, vent, contacts and the maker's own text."

/* Said at `step`, when a thing whose serial begins with one of `letters` is there ("": whatever is there). Common
 * practice, no source. */
static const struct {
    enum counter_step step;
    const char *letters;
    bool unopened; /* only of one that nothing has come out of yet */
    const char *sentence;
} table[] = {
    {STEP_CHECK_OUT, "VCR", false, UNCURED},
    {STEP_CHECK_OUT, "V", false, CARRY},
    {STEP_LEND, "VCR", false, UNCURED},
    {STEP_LEND, "V", false, CARRY},
    {STEP_CHECK_OUT, "C", true,
     "First time in a printer: look whether the outlet opens under a gentle press of a gloved finger, with no pointed "
     "tool. One that sticks or leaks: scan OUTLET-STUCK or OUTLET-LEAKS; " RULES},
    {STEP_CHECK_IN, "C", false, "Close the vent before the cartridge is carried, and keep it upright."},
    {STEP_CHECK_IN, "V", false,
     "Look at the film from above and below, do not touch it; cured bits are sharp: gloves on, no metal tool; " RULES},
    {STEP_POUR, "", false,
     "Nitrile gloves and eye protection, over a tray, away from daylight; wipe up what drips before it cures; " RULES},
    {STEP_RETIRE, "P", false, "An edge that has worn may be sharp: gloves on; wipe it clean before it goes; " RULES},
    {STEP_RETIRE, "VT", false,
     "A film that is taken out is wet with resin and its frame may be sharp: gloves and eye protection; what cannot be "
     "cleaned is waste like resin; " RULES},
    {STEP_INSPECT, "VT", false,
     "Look against the light, from above and below, and never touch the film; cured bits are sharp; a slack film on a "
     "large vat at rest is no fault; nitrile gloves and eye protection; " RULES},
    {STEP_INSPECT, "P", false,
     "Look along the surface in good light, and press its corners: none may give; resin on it is uncured, edges are "
     "sharp: gloves on; " RULES},
    {STEP_LIFE, "", false,
     "Read it on the printer's own screen, for what is in it now; do not open the cover while the light is on; follow "
     "the maker's instructions."},
    {STEP_CLEAN, "", false,
     "Soft lint-free wipes only, no solvent on the inner film, a clean surface under the vat; cured bits are sharp; "
     "wipes with resin are waste like resin; " RULES},
    {STEP_RECEIPT, "", false, PACK},
    {STEP_PROOF, "", false, PACK},
};

static bool is_there(const json_t *units, const char *letters, bool unopened)
{
    size_t i;
    json_t *unit;
    json_array_foreach(units, i, unit)
    {
        const char *serial = json_string_value(json_object_get(unit, "serial"));
        if (serial && strchr(letters, serial[0]) && (!unopened || json_is_null(json_object_get(unit, "opened"))))
            return true;
    }
    return letters[0] == '\0';
}

json_t *prompts_of(const struct counter *counter, const json_t *units)
{
    json_t *prompts = json_array();
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (table[i].step == counter->step && is_there(units, table[i].letters, table[i].unopened))
            json_array_append_new(prompts, json_string(table[i].sentence));
    return prompts;
}
