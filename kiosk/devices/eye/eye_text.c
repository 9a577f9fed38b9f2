#include "kiosk/devices/eye/eye_text.h"

#include <string.h>

#include "labels/basics/text.h"

/* Control characters, also U+0080 to U+009F (C2 80 … C2 9F), which move the cursor of a terminal. */
static bool is_control(const char *at)
{
    const unsigned char c = (unsigned char)at[0];
    return c < ' ' || c == 0x7F || (c == 0xC2 && (unsigned char)at[1] < 0xA0);
}

void eye_text_clean(char *text, size_t length)
{
    const bool utf8 = text_is_utf8((struct span){text, length});
    for (size_t i = 0; i < length; i++) {
        if (!utf8 && (unsigned char)text[i] >= 0x80) {
            text[i] = '?';
        } else if (is_control(&text[i])) {
            if ((unsigned char)text[i] == 0xC2)
                text[i + 1] = '?';
            text[i] = '?';
        }
    }
}

bool eye_text_fits(const char text[FAULT_TEXT_SIZE])
{
    const size_t length = strnlen(text, FAULT_TEXT_SIZE);
    if (length == 0 || length == FAULT_TEXT_SIZE || !text_is_utf8((struct span){text, length}))
        return false;
    for (size_t i = 0; i < length; i++)
        if (is_control(&text[i]))
            return false;
    return true;
}
