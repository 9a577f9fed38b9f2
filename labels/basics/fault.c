#include "labels/basics/fault.h"

#include <stdarg.h>
#include <stdio.h>
#include <string.h>

#include "labels/basics/text.h"

bool fault_set(struct fault *fault, enum fault_code code, const char *format, ...)
{
    if (!fault)
        return false;
    char text[FAULT_TEXT_SIZE]; /* the arguments may point into fault->text: build beside it */
    va_list arguments;
    va_start(arguments, format);
    const int length = vsnprintf(text, sizeof text, format, arguments);
    va_end(arguments);
    if (length >= (int)sizeof text)
        text_end_whole(text);
    fault->code = code;
    memcpy(fault->text, text, sizeof text);
    return false;
}

const char *fault_code_word(enum fault_code code)
{
    static const char *const words[] = {"none",   "input",   "missing", "conflict", "busy",
                                        "device", "storage", "refused", "approval", "damaged"};
    _Static_assert(sizeof words / sizeof *words == FAULT_CODES, "one word a code");
    return code >= 0 && code < FAULT_CODES ? words[code] : "unknown";
}
