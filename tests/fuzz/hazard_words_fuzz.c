#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/content/hazard_words.h"
#include "labels/content/ufi.h"
#include "labels/content/workplace_words.h"

/* Any text as what somebody copied from an SDS: refused with a sentence or taken, and what is taken keeps its promises:
 * no entry leaves the list, no code its entry, every pictogram is one of the nine and there once. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void walk(struct span whole)
{
    struct span rest = whole, entry;
    while (hazard_words_next(&rest, &entry)) {
        if (entry.at < whole.at || entry.at + entry.length > whole.at + whole.length ||
            hazard_words_code(entry) > entry.length)
            abort();
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[1200];
    int numbers[HAZARD_WORDS_PICTOGRAMS];
    size_t count = 0;
    unsigned seen = 0;
    struct fault fault = {0};
    if (!span_copy((struct span){(const char *)data, size}, text, sizeof text))
        return 0;
    walk(span_of(text));
    if (!hazard_words_check("list", text, &fault) && !fault.text[0])
        abort();
    fault.text[0] = '\0';
    if (!hazard_words_pictograms(text, numbers, &count, &fault) && !fault.text[0])
        abort();
    for (size_t i = 0; i < count; i++) {
        if (numbers[i] < 1 || numbers[i] > HAZARD_WORDS_KINDS || seen >> numbers[i] & 1)
            abort();
        seen |= 1U << numbers[i];
    }
    fault.text[0] = '\0';
    if (ufi_check("ufi", text, &fault) ? strlen(text) != UFI_SIZE - 1 : !fault.text[0])
        abort();
    if (workplace_words_in(text) && !strstr(workplace_words_languages, text))
        abort();
    return 0;
}
