#include "kiosk/devices/printer_answer.h"

#include <string.h>

#include "kiosk/devices/printer_message.h"
#include "labels/basics/text.h"

struct source {
    const uint8_t *at;
    size_t left;
};

static ssize_t source_read(void *context, ipp_uchar_t *buffer, size_t size)
{
    struct source *const source = context;
    const size_t length = size < source->left ? size : source->left;
    memcpy(buffer, source->at, length);
    source->at += length;
    source->left -= length;
    return (ssize_t)length;
}

ipp_t *printer_answer_read(const uint8_t *bytes, size_t length, struct fault *fault)
{
    struct source source = {bytes, length};
    if (!printer_message_check(bytes, length, fault))
        return NULL;
    ipp_t *answer = ippNew();
    ipp_state_t state = IPP_STATE_IDLE;
    if (answer)
        state = ippReadIO(&source, source_read, 1, NULL, answer);
    if (state == IPP_STATE_DATA)
        return answer;
    ippDelete(answer);
    fault_set(fault, FAULT_DEVICE, "the printer's answer of %zu bytes is no IPP message: is this a printer's address?",
              length);
    return NULL;
}

/* The length of the UTF-8 character at `text`, 0 when it is none. */
static size_t character_length(const char *text)
{
    const unsigned char first = (unsigned char)text[0];
    const size_t length = first < 0x80 ? 1 : first >= 0xF0 ? 4 : first >= 0xE0 ? 3 : 2;
    if (strnlen(text, length) < length || !text_is_utf8((struct span){text, length}))
        return 0;
    return length;
}

static bool character_is_harmless(const char *text, size_t length)
{
    const unsigned char a = (unsigned char)text[0], b = (unsigned char)text[1];
    if (length == 1)
        return a >= 0x20 && a != 0x7F;
    if (length == 2)
        return !(a == 0xC2 && b < 0xA0); /* C1 controls */
    if (length != 3 || a != 0xE2)
        return true;
    const unsigned char c = (unsigned char)text[2];
    /* U+2028 to 202E and 2066 to 2069: line ends, writing direction; U+200E, 200F likewise */
    return !(b == 0x80 && ((c >= 0xA8 && c <= 0xAE) || c == 0x8E || c == 0x8F)) &&
           !(b == 0x81 && c >= 0xA6 && c <= 0xA9);
}

void printer_answer_text(const char *text, char *buffer, size_t size)
{
    size_t written = 0;
    while (text && *text) {
        const size_t length = character_length(text);
        const bool kept = length > 0 && character_is_harmless(text, length);
        const size_t out = kept ? length : 1;
        if (written + out >= size)
            break;
        memcpy(buffer + written, kept ? text : "?", out);
        written += out;
        text += length ? length : 1;
    }
    buffer[written] = '\0';
}

void printer_answer_reasons(ipp_attribute_t *attribute, struct printer_reasons *reasons)
{
    reasons->count = 0;
    const int count = ippGetCount(attribute);
    for (int i = 0; i < count && reasons->count < PRINTER_REASONS_MOST; i++) {
        const char *const text = ippGetString(attribute, i, NULL);
        if (text && printer_reason_read(text, &reasons->list[reasons->count]))
            reasons->count++;
    }
}

int printer_answer_job_id(ipp_t *answer)
{
    const int id = ippGetInteger(ippFindAttribute(answer, "job-id", IPP_TAG_INTEGER), 0);
    return id > 0 ? id : 0;
}
