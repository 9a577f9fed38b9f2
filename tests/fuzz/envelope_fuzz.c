#include "labels/content/envelope.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/content/data_identifier.h"

/* Any bytes are a message or one sentence; every field lies inside the text and holds no separator; every field is a
 * data field or one sentence. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static void check_field(struct span field, struct span text)
{
    struct data_field out;
    struct fault fault = {FAULT_NONE, ""};
    demand(field.length > 0 && field.at >= text.at && field.at + field.length <= text.at + text.length);
    for (size_t i = 0; i < field.length; i++)
        demand(field.at[i] != 0x1D && field.at[i] != 0x1E && field.at[i] != 0x04);
    if (data_identifier_read(field, calendar_day(2026, 2, 14), &out, &fault))
        demand(strlen(out.name) + out.value.length == field.length && out.value.length > 0);
    else
        demand(fault.code == FAULT_INPUT && fault.text[0]);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    const struct span text = {(const char *)data, size};
    struct envelope envelope;
    struct fault fault = {FAULT_NONE, ""};
    const int is_one = envelope_is(text);
    if (!envelope_read(text, &envelope, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0]);
        return 0;
    }
    demand(is_one && (!envelope.trailer_missing || envelope.note[0]));
    demand(envelope.count > 0 && envelope.count <= ENVELOPE_FORMATS);
    for (size_t i = 0; i < envelope.count; i++)
        for (size_t f = 0; f < envelope.formats[i].field_count; f++)
            check_field(envelope.formats[i].fields[f], text);
    return 0;
}
