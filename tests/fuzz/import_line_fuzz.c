#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/import_line.h"

/* A line of an exported ledger is strangers' bytes: whatever is taken must write and read back as the same line. */

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length);

int LLVMFuzzerTestOneInput(const uint8_t *bytes, size_t length)
{
    static struct import_line line, again; /* big, and kept between runs for speed only */
    struct fault fault = {FAULT_NONE, ""};
    if (length > IMPORT_LINE_SIZE)
        return 0;
    if (!import_line_read((struct span){(const char *)bytes, length}, &line, &fault)) {
        if (fault.code == FAULT_NONE || fault.text[0] == '\0')
            abort(); /* refused without a reason */
        return 0;
    }
    json_t *object = import_line_write(&line);
    char *text = object ? json_dumps(object, JSON_COMPACT) : NULL;
    if (!text || !import_line_read(span_of(text), &again, &fault))
        abort();
    json_t *object_again = import_line_write(&again);
    if (again.kind != line.kind || !object_again || !json_equal(object, object_again))
        abort();
    json_decref(object_again);
    import_line_clear(&again);
    import_line_clear(&line);
    free(text);
    json_decref(object);
    return 0;
}
