#include "labels/drawing/characters.h"

#include <stddef.h>

struct range {
    uint32_t first, last;
};

/* Made with Perl 5.36 (Unicode 14) from \p{Cc} \p{Cf} \p{Zl} \p{Zp} \p{Default_Ignorable_Code_Point} less
 * \p{Prepended_Concatenation_Mark}; the test compares with GLib's tables. */
static const struct range hidden[] = {
    {0x0000, 0x001F}, {0x007F, 0x009F},   {0x00AD, 0x00AD},   {0x034F, 0x034F},   {0x061C, 0x061C},
    {0x115F, 0x1160}, {0x17B4, 0x17B5},   {0x180B, 0x180F},   {0x200B, 0x200F},   {0x2028, 0x202E},
    {0x2060, 0x206F}, {0x3164, 0x3164},   {0xFE00, 0xFE0F},   {0xFEFF, 0xFEFF},   {0xFFA0, 0xFFA0},
    {0xFFF0, 0xFFFB}, {0x13430, 0x13438}, {0x1BCA0, 0x1BCA3}, {0x1D173, 0x1D17A}, {0xE0000, 0xE0FFF},
};

/* Unicode 14, chapter 23.5 and 23.7. The last two code points of every plane are noncharacters as well. */
static const struct range private_use[] = {
    {0xE000, 0xF8FF}, {0xFDD0, 0xFDEF}, {0xF0000, 0xFFFFF}, {0x100000, 0x10FFFF}};

static const struct range right_to_left[] = {{0x0590, 0x08FF}, {0xFB1D, 0xFDCF},   {0xFDF0, 0xFDFF},
                                             {0xFE70, 0xFEFE}, {0x10800, 0x10FFF}, {0x1E800, 0x1EFFF}};

#define IS_IN(ranges, code) is_in(ranges, sizeof(ranges) / sizeof *(ranges), code)

static bool is_in(const struct range *ranges, size_t count, uint32_t code)
{
    for (size_t i = 0; i < count; i++)
        if (code >= ranges[i].first && code <= ranges[i].last)
            return true;
    return false;
}

const char *character_next(const char *at, uint32_t *code)
{
    const unsigned char *byte = (const unsigned char *)at;
    const unsigned char first = *byte++;
    uint32_t read = first < 0x80 ? first : first < 0xE0 ? first & 0x1FU : first < 0xF0 ? first & 0x0FU : first & 0x07U;
    const int more = first < 0xC0 ? 0 : first < 0xE0 ? 1 : first < 0xF0 ? 2 : 3;
    for (int i = 0; i < more; i++)
        read = read << 6 | (*byte++ & 0x3FU);
    *code = read;
    return (const char *)byte;
}

const char *character_trouble(uint32_t code)
{
    if (IS_IN(hidden, code))
        return "an invisible character";
    if (IS_IN(private_use, code) || (code & 0xFFFE) == 0xFFFE)
        return "a character of private use";
    return code == 0xFFFD ? "the mark of a lost character" : NULL;
}

bool character_is_right_to_left(uint32_t code)
{
    return IS_IN(right_to_left, code);
}

bool characters_run_right_to_left(struct span text)
{
    const char *at = text.at, *end = text.at + text.length;
    while (at < end) {
        uint32_t code;
        at = character_next(at, &code);
        if (character_is_right_to_left(code))
            return true;
    }
    return false;
}
