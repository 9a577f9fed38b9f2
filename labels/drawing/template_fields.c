#include "labels/drawing/template_fields.h"

_Static_assert(LABEL_FIELD_IDS < 32, "a bit an id, and one to spare for whoever wants them all");

#define HAZARD_CONTENT                                                                                                 \
    (bit(LABEL_FIELD_SIGNAL_WORD) | bit(LABEL_FIELD_PICTOGRAMS) | bit(LABEL_FIELD_STATEMENTS) |                        \
     bit(LABEL_FIELD_PRECAUTIONS) | bit(LABEL_FIELD_SDS))

#define HAZARD_SUPPLIER                                                                                                \
    (bit(LABEL_FIELD_SUPPLIER) | bit(LABEL_FIELD_SUPPLIER_ADDRESS) | bit(LABEL_FIELD_SUPPLIER_PHONE))

static unsigned bit(enum label_field_id id)
{
    return 1U << id;
}

/* symbol_content.h says what a symbol carries. */
static unsigned symbol_needs(enum symbol_kind kind)
{
    switch (kind) {
    case SYMBOL_UNIT:
    case SYMBOL_PERSON:
        return bit(LABEL_FIELD_SERIAL);
    case SYMBOL_PLACE:
        return bit(LABEL_FIELD_PLACE);
    case SYMBOL_ITEM:
        return bit(LABEL_FIELD_ITEM);
    case SYMBOL_JOB:
    case SYMBOL_JOB_CODE:
        return bit(LABEL_FIELD_JOB);
    default:
        return 0; /* a card's word is in the template, or a field of its pattern */
    }
}

static unsigned symbol_takes(enum symbol_kind kind)
{
    if (kind == SYMBOL_JOB)
        return bit(LABEL_FIELD_PRINTER) | bit(LABEL_FIELD_RESIN) | bit(LABEL_FIELD_REVISION) |
               bit(LABEL_FIELD_CONTENT) | bit(LABEL_FIELD_ENDS);
    return kind != SYMBOL_UNIT ? 0
                               : bit(LABEL_FIELD_ITEM) | bit(LABEL_FIELD_LOT) | bit(LABEL_FIELD_BATCH) |
                                     bit(LABEL_FIELD_FILLED) | bit(LABEL_FIELD_EXPIRES) | bit(LABEL_FIELD_CONTENT);
}

/* hazard_parts.h: what is missing is refused, or the SDS is named for it when the template says so. */
static unsigned hazard_needs(const struct hazard_element *hazard)
{
    const unsigned always =
        bit(LABEL_FIELD_PRODUCT) | bit(LABEL_FIELD_CAPACITY) | (hazard->preprinted ? HAZARD_SUPPLIER : 0);
    return hazard->see_sds ? always : always | HAZARD_CONTENT;
}

static unsigned hazard_takes(const struct hazard_element *hazard)
{
    return hazard->preprinted ? bit(LABEL_FIELD_QUANTITY) | bit(LABEL_FIELD_UFI) : bit(LABEL_FIELD_LANGUAGE);
}

/* "only if A" makes an element a choice of who fills in the label; "only if no A" leaves it there until A is given. */
static bool is_choice(const struct template_element *element)
{
    for (size_t i = 0; i < element->condition_count; i++)
        if (!element->conditions[i].absent)
            return true;
    return false;
}

struct template_fields template_fields_of(const struct template *template)
{
    struct template_fields fields = {0, 0};
    for (size_t i = 0; i < template->element_count; i++) {
        const struct template_element *element = &template->elements[i];
        unsigned used = 0;
        (void)label_field_check_pattern(element->value, &used, NULL); /* it was checked when it was read */
        if (element->kind == TEMPLATE_SYMBOL) {
            used |= symbol_needs(element->symbol);
            fields.takes |= symbol_takes(element->symbol);
        }
        if (element->kind == TEMPLATE_HAZARD) {
            used |= hazard_needs(&element->hazard);
            fields.takes |= HAZARD_CONTENT | hazard_takes(&element->hazard);
        }
        if (is_choice(element))
            fields.takes |= used;
        else
            fields.needs |= used;
    }
    fields.takes &= ~fields.needs;
    return fields;
}
