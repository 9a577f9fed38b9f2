#include "labels/content/bracketed_string.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

/* Any bytes are elements or one sentence. What was read lies inside the text, and gives the same elements when it is
 * written in brackets again, and when it is written as a scanner would send it. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static void demand_same(const struct element_string *one, const struct element_string *other)
{
    demand(one->count == other->count);
    for (size_t i = 0; i < one->count; i++) {
        const struct element *const a = &one->elements[i], *const b = &other->elements[i];
        demand(strcmp(a->ai, b->ai) == 0 && a->kind == b->kind && a->value.length == b->value.length &&
               memcmp(a->value.at, b->value.at, a->value.length) == 0);
    }
}

static void check_again(const struct element_string *elements, struct day today)
{
    char bracketed[8192], scanned[8192];
    struct builder typed, sent;
    struct element_string again;
    builder_init(&typed, bracketed, sizeof bracketed);
    builder_init(&sent, scanned, sizeof scanned);
    for (size_t i = 0; i < elements->count; i++) {
        const struct element *const element = &elements->elements[i];
        builder_addf(&typed, " (%s) ", element->ai);
        builder_add_span(&typed, element->value);
        builder_add(&sent, element->ai);
        builder_add_span(&sent, element->value);
        builder_add_char(&sent, 0x1D);
    }
    demand(!typed.cut && bracketed_string_read((struct span){bracketed, typed.length}, today, &again, NULL));
    demand_same(elements, &again);
    demand(!sent.cut && element_string_read((struct span){scanned, sent.length}, today, &again, NULL));
    demand_same(elements, &again);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct day today = calendar_day(2026, 2, 14);
    const struct span text = {(const char *)data, size};
    struct element_string elements = {.count = 77};
    struct fault fault = {FAULT_NONE, ""};
    if (!bracketed_string_read(text, today, &elements, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0] && text_is_utf8(span_of(fault.text)) && elements.count == 77);
        return 0;
    }
    demand(elements.count > 0 && elements.count <= ELEMENT_STRING_ELEMENTS && bracketed_string_starts(text));
    for (size_t i = 0; i < elements.count; i++)
        demand(elements.elements[i].value.at >= text.at && elements.elements[i].value.length > 0 &&
               elements.elements[i].value.at + elements.elements[i].value.length <= text.at + text.length);
    check_again(&elements, today);
    return 0;
}
