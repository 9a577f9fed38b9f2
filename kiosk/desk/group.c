#include "kiosk/desk/group.h"

bool group_read_units(struct turn *turn, const json_t *content, struct fault *fault)
{
    const json_t *list = json_object_get(content, "units");
    if (!json_is_array(list) || json_array_size(list) == 0 || json_array_size(list) > COUNTER_UNITS)
        return fault_set(fault, FAULT_INPUT, "'units' is not a list of 1 to %d serials", COUNTER_UNITS);
    counter_clear_group(&turn->counter);
    for (size_t i = 0; i < json_array_size(list); i++) {
        const char *serial = json_string_value(json_array_get(list, i));
        char letter;
        long number;
        if (!serial)
            return fault_set(fault, FAULT_INPUT, "'units' holds something that is not a serial in quotes");
        if (!serial_read(span_of(serial), &letter, &number, fault))
            return false;
        if (counter_find(&turn->counter, serial))
            return fault_set(fault, FAULT_INPUT, "unit '%s' stands in 'units' twice", serial);
        (void)counter_add(&turn->counter, serial);
    }
    return true;
}
