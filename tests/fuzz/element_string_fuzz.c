#include "labels/content/element_string.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Any bytes are element strings or one sentence; every value taken lies inside the text; concatenated again with a GS
 * after each, they are read the same. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static void check_again(const struct element_string *elements, struct day today)
{
    char text[8192];
    struct builder out;
    struct element_string again;
    struct fault fault;
    builder_init(&out, text, sizeof text);
    for (size_t i = 0; i < elements->count; i++) {
        builder_add(&out, elements->elements[i].ai);
        builder_add_span(&out, elements->elements[i].value);
        builder_add_char(&out, 0x1D);
    }
    demand(!out.cut && element_string_read((struct span){text, out.length}, today, &again, &fault));
    demand(again.count == elements->count);
    for (size_t i = 0; i < again.count; i++)
        demand(again.elements[i].kind == elements->elements[i].kind &&
               again.elements[i].value.length == elements->elements[i].value.length);
    demand(element_string_pairs(&again, NULL) == element_string_pairs(elements, &fault));
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct day today = calendar_day(2026, 2, 14);
    struct element_string elements;
    struct fault fault = {FAULT_NONE, ""};
    const struct span text = {(const char *)data, size};
    if (!element_string_read(text, today, &elements, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0]);
        return 0;
    }
    demand(elements.count > 0 && elements.count <= ELEMENT_STRING_ELEMENTS);
    for (size_t i = 0; i < elements.count; i++)
        demand(elements.elements[i].value.at >= text.at && elements.elements[i].value.length > 0 &&
               elements.elements[i].value.at + elements.elements[i].value.length <= text.at + text.length);
    check_again(&elements, today);
    return 0;
}
