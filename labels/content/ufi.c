#include "labels/content/ufi.h"

#include <string.h>

static const char alphabet[] = "0123456789ACDEFGHJKMNPQRSTUVWXY";

enum { BASE = sizeof alphabet - 1, GROUP = 5 /* four and a hyphen */ };

static bool check_form(const char *what, const char *ufi, struct fault *fault)
{
    if (strlen(ufi) != UFI_SIZE - 1)
        return fault_set(fault, FAULT_INPUT,
                         "'%s' has %zu characters, and a UFI has %d: four groups of four with hyphens, as in "
                         "N1QV-R02N-J00M-WQD5",
                         what, strlen(ufi), UFI_SIZE - 1);
    for (size_t i = 0; ufi[i]; i++) {
        const bool hyphen = i % GROUP == GROUP - 1;
        if (hyphen ? ufi[i] != '-' : !strchr(alphabet, ufi[i]))
            return fault_set(fault, FAULT_INPUT, "'%s' has at place %zu no %s: copy the UFI again", what, i + 1,
                             hyphen ? "hyphen" : "character of a UFI (digits, capitals without B, I, L, O, Z)");
    }
    return true;
}

bool ufi_check(const char *what, const char *ufi, struct fault *fault)
{
    if (!check_form(what, ufi, fault))
        return false;
    long sum = 0;
    int weight = 1; /* the check character's; the others have 2, 3, … 16 */
    for (const char *at = ufi; *at; at++)
        if (*at != '-')
            sum += weight++ * (strchr(alphabet, *at) - alphabet);
    return sum % BASE == 0 ||
           fault_set(fault, FAULT_INPUT,
                     "'%s' is '%s', whose first character does not agree with the others: copy it again", what, ufi);
}
