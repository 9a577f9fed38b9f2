#include "kiosk/devices/printer_message.h"

enum {
    HEADER = 8,           /* version, operation or status, request number */
    TAG_END = 0x03,       /* end-of-attributes-tag */
    TAG_VALUE_LEAST = 16, /* below: a group begins */
    TAG_BEGIN_COLLECTION = 0x34,
    TAG_END_COLLECTION = 0x37
};

struct cursor {
    const uint8_t *bytes;
    size_t at, length;
};

/* Passes a two-byte length and as many bytes. False: they are not there. */
static bool skip_string(struct cursor *cursor)
{
    if (cursor->length - cursor->at < 2)
        return false;
    const size_t size = (size_t)cursor->bytes[cursor->at] << 8 | cursor->bytes[cursor->at + 1];
    cursor->at += 2;
    if (cursor->length - cursor->at < size)
        return false;
    cursor->at += size;
    return true;
}

static bool no_message(size_t length, struct fault *fault)
{
    return fault_set(fault, FAULT_DEVICE,
                     "the printer's answer of %zu bytes is no IPP message: is this a printer's address?", length);
}

bool printer_message_check(const uint8_t *bytes, size_t length, struct fault *fault)
{
    struct cursor cursor = {bytes, HEADER, length};
    int depth = 0, values = 0;
    if (length < HEADER)
        return no_message(length, fault);
    while (cursor.at < length) {
        const uint8_t tag = bytes[cursor.at++];
        if (tag == TAG_END)
            return true;
        if (tag < TAG_VALUE_LEAST)
            continue;
        const bool has_name = skip_string(&cursor), has_value = has_name && skip_string(&cursor);
        if (!has_value)
            return no_message(length, fault);
        depth += tag == TAG_BEGIN_COLLECTION ? 1 : tag == TAG_END_COLLECTION ? -1 : 0;
        if (depth < 0)
            return no_message(length, fault);
        if (depth > PRINTER_MESSAGE_DEPTH_MOST || ++values > PRINTER_MESSAGE_VALUES_MOST)
            return fault_set(fault, FAULT_DEVICE,
                             "the printer's answer is nested or long without end: switch the printer off and on, and "
                             "check its address");
    }
    return no_message(length, fault);
}
