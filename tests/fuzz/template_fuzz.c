#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>

#include "labels/drawing/template.h"

/* Any bytes as a template: read or refused with a sentence, and what is read keeps its own promises: every room inside
 * the label, every pattern fillable. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void check(const struct template *template)
{
    struct label_values everything;
    for (int id = 0; id < LABEL_FIELD_IDS; id++)
        everything.at[id] = "a";
    for (size_t i = 0; i < template->element_count; i++) {
        const struct template_element *element = &template->elements[i];
        char text[LABEL_FIELD_TEXT_SIZE];
        if (element->box.x < 0 || element->box.y < 0 || element->box.width < 1 || element->box.height < 1 ||
            element->box.x + element->box.width > template->width_um ||
            element->box.y + element->box.height > template->height_um)
            abort();
        if (!label_field_fill(element->value, &everything, text, NULL))
            abort();
        template_is_shown(element, &everything);
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    static struct template template;
    struct fault fault = {0};
    if (template_read("fuzz", (struct span){(const char *)data, size}, &template, &fault))
        check(&template);
    else if (!fault.text[0])
        abort();
    return 0;
}
