#include "kiosk/rules/lot_spelling.h"

#include <stdbool.h>
#include <string.h>

enum { FOLDED_SIZE = 64, LEAST_LETTERS = 5 };

static char upper(char c)
{
    return c >= 'a' && c <= 'z' ? (char)(c - 'a' + 'A') : c;
}

/* A digit for the capital letters that are taken for it in print and handwriting. */
static char digit_like(char c)
{
    static const char letters[] = "OQDILSBZG", digits[] = "000115826";
    const char *const at = strchr(letters, c);
    return at && c != '\0' ? digits[at - letters] : c;
}

/* Letters and digits alone, capitals; what is longer than any lot (20) is cut. */
static size_t fold(const char *lot, bool by_looks, char folded[FOLDED_SIZE])
{
    size_t length = 0;
    for (; *lot != '\0' && length + 1 < FOLDED_SIZE; lot++) {
        const char c = upper(*lot);
        const bool kept = (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || (unsigned char)c >= 0x80;
        if (kept)
            folded[length++] = by_looks ? digit_like(c) : c;
    }
    folded[length] = '\0';
    return length;
}

/* How many letters are alike from the beginning. */
static size_t same_start(const char *one, const char *other)
{
    size_t length = 0;
    while (one[length] != '\0' && one[length] == other[length])
        length++;
    return length;
}

static bool is_swapped(const char *one, const char *other)
{
    const size_t at = same_start(one, other);
    return one[at] != '\0' && one[at + 1] != '\0' && one[at] == other[at + 1] && one[at + 1] == other[at] &&
           strcmp(one + at + 2, other + at + 2) == 0;
}

static bool is_missing(const char *shorter, const char *longer)
{
    const size_t at = same_start(shorter, longer);
    return strcmp(shorter + at, longer + at + 1) == 0;
}

enum lot_spelling lot_spelling_compare(const char *one, const char *other)
{
    char a[FOLDED_SIZE], b[FOLDED_SIZE];
    if (strcmp(one, other) == 0)
        return LOT_SAME;
    if (fold(one, false, a) == 0 || fold(other, false, b) == 0)
        return LOT_OTHER;
    if (strcmp(a, b) == 0)
        return LOT_SIGNS;
    const size_t length = fold(one, true, a), other_length = fold(other, true, b);
    if (strcmp(a, b) == 0)
        return LOT_LOOKS;
    if ((length > other_length ? length : other_length) < LEAST_LETTERS)
        return LOT_OTHER;
    if (length == other_length)
        return is_swapped(a, b) ? LOT_SWAPPED : LOT_OTHER;
    if (length + 1 == other_length)
        return is_missing(a, b) ? LOT_MISSING : LOT_OTHER;
    return other_length + 1 == length && is_missing(b, a) ? LOT_MISSING : LOT_OTHER;
}

const char *lot_spelling_words(enum lot_spelling spelling)
{
    switch (spelling) {
    case LOT_SIGNS:
        return "the same but for blanks, signs or capitals";
    case LOT_LOOKS:
        return "the same but for letters that look like digits";
    case LOT_MISSING:
        return "one letter more or less";
    case LOT_SWAPPED:
        return "two letters have changed places";
    default:
        return "";
    }
}
