#include "labels/reading/eci.h"

#include <iconv.h>
#include <stdint.h>

/* As glibc calls them (iconv -l); the place is the number. */
static const char *const sets[] = {
    [0] = "CP437",        [1] = "ISO-8859-1",   [2] = "CP437",        [3] = "ISO-8859-1",   [4] = "ISO-8859-2",
    [5] = "ISO-8859-3",   [6] = "ISO-8859-4",   [7] = "ISO-8859-5",   [8] = "ISO-8859-6",   [9] = "ISO-8859-7",
    [10] = "ISO-8859-8",  [11] = "ISO-8859-9",  [12] = "ISO-8859-10", [13] = "ISO-8859-11", [15] = "ISO-8859-13",
    [16] = "ISO-8859-14", [17] = "ISO-8859-15", [18] = "ISO-8859-16", [20] = "SHIFT_JIS",   [21] = "CP1250",
    [22] = "CP1251",      [23] = "CP1252",      [24] = "CP1256",      [25] = "UTF-16BE",    [26] = "UTF-8",
    [27] = "US-ASCII",    [28] = "BIG5",        [29] = "EUC-CN",      [30] = "EUC-KR",      [31] = "GBK",
    [32] = "GB18030",     [33] = "UTF-16LE",    [34] = "UTF-32BE",    [35] = "UTF-32LE",
};

bool eci_is_wide(int number)
{
    return number == 25 || (number >= 33 && number <= 35);
}

static const char *set_of(int number)
{
    return number >= 0 && number < (int)(sizeof sets / sizeof *sets) ? sets[number] : NULL;
}

bool eci_add_text(int number, struct span bytes, struct builder *text)
{
    const char *set = set_of(number);
    if (!set)
        return false;
    iconv_t way = iconv_open("UTF-8", set);
    if ((intptr_t)way == -1)
        return false;
    char *in = (char *)bytes.at; /* iconv reads it only; its type is older than const */
    char *out = text->at + text->length;
    size_t left = bytes.length, room = text->size - 1 - text->length;
    const bool good = iconv(way, &in, &left, &out, &room) != (size_t)-1 && iconv(way, NULL, NULL, &out, &room) == 0;
    text->length = (size_t)(out - text->at);
    text->at[text->length] = '\0';
    (void)iconv_close(way);
    return good;
}
