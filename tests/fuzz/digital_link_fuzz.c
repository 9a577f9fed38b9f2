#include "labels/content/digital_link.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Any bytes are elements or one sentence. The values lie in the buffer, one after the other; as a scanner would send
 * them, with a GS after each, they are read the same. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static void check_again(const struct element_string *elements, struct day today)
{
    char scanned[8192];
    struct builder sent;
    struct element_string again;
    builder_init(&sent, scanned, sizeof scanned);
    for (size_t i = 0; i < elements->count; i++) {
        builder_add(&sent, elements->elements[i].ai);
        builder_add_span(&sent, elements->elements[i].value);
        builder_add_char(&sent, 0x1D);
    }
    demand(!sent.cut && element_string_read((struct span){scanned, sent.length}, today, &again, NULL));
    demand(again.count == elements->count);
    for (size_t i = 0; i < again.count; i++)
        demand(again.elements[i].kind == elements->elements[i].kind &&
               again.elements[i].value.length == elements->elements[i].value.length &&
               memcmp(again.elements[i].value.at, elements->elements[i].value.at, again.elements[i].value.length) == 0);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct day today = calendar_day(2026, 2, 14);
    const struct span text = {(const char *)data, size};
    char buffer[DIGITAL_LINK_SIZE];
    const char *end = buffer;
    struct element_string elements = {.count = 77};
    struct fault fault = {FAULT_NONE, ""};
    if (!digital_link_read(text, today, buffer, &elements, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0] && text_is_utf8(span_of(fault.text)) && elements.count == 77);
        return 0;
    }
    demand(digital_link_starts(text) && elements.count > 0 && elements.count <= ELEMENT_STRING_ELEMENTS);
    demand(elements.elements[0].kind->link != NULL);
    for (size_t i = 0; i < elements.count; i++) {
        demand(elements.elements[i].value.at == end && elements.elements[i].value.length > 0);
        end += elements.elements[i].value.length;
    }
    demand(end < buffer + sizeof buffer);
    check_again(&elements, today);
    return 0;
}
