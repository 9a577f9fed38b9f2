#include "labels/content/hazard_words.h"

#include <string.h>

const char hazard_words_none[] = "none";

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool is_letter(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

bool hazard_words_next(struct span *list, struct span *entry)
{
    if (!list->at)
        return false;
    const char *end = memchr(list->at, HAZARD_WORDS_SEPARATOR, list->length);
    *entry = (struct span){list->at, end ? (size_t)(end - list->at) : list->length};
    *list = end ? (struct span){end + 1, list->length - entry->length - 1} : (struct span){NULL, 0};
    while (entry->length > 0 && entry->at[0] == ' ') {
        entry->at++;
        entry->length--;
    }
    while (entry->length > 0 && entry->at[entry->length - 1] == ' ')
        entry->length--;
    return true;
}

/* Bytes of one code without "+". */
static size_t single_code(struct span rest)
{
    const size_t letters = span_starts(rest, "EUH") ? 3 : span_starts(rest, "H") || span_starts(rest, "P") ? 1 : 0;
    size_t length = letters + 3;
    if (letters == 0 || rest.length < length || !is_digit(rest.at[letters]) || !is_digit(rest.at[letters + 1]) ||
        !is_digit(rest.at[letters + 2]))
        return 0;
    while (length < rest.length && is_letter(rest.at[length]))
        length++;
    return length;
}

size_t hazard_words_code(struct span entry)
{
    size_t length = single_code(entry);
    while (length > 0) {
        size_t at = length;
        while (at < entry.length && (entry.at[at] == ' ' || entry.at[at] == '+'))
            at++;
        const bool joined = at > length && memchr(entry.at + length, '+', at - length);
        const size_t next = joined ? single_code((struct span){entry.at + at, entry.length - at}) : 0;
        if (next == 0)
            return length;
        length = at + next;
    }
    return 0;
}

static bool has_words(struct span entry)
{
    for (size_t at = hazard_words_code(entry); at < entry.length; at++)
        if (!strchr(" .,:;-+", entry.at[at]))
            return true;
    return false;
}

bool hazard_words_check(const char *what, const char *list, struct fault *fault)
{
    struct span rest = span_of(list), entry;
    char shown[48];
    if (strcmp(list, hazard_words_none) == 0)
        return true;
    while (hazard_words_next(&rest, &entry)) {
        if (entry.length == 0)
            return fault_set(fault, FAULT_INPUT, "'%s' has an empty entry: take out one of the '|'", what);
        if (!has_words(entry))
            return fault_set(fault, FAULT_INPUT,
                             "'%s' has the code %s without words: copy the words from section 2 of the SDS", what,
                             text_show(entry, shown, sizeof shown));
    }
    return true;
}

static bool read_number(struct span code, int *number)
{
    if (code.length != 5 || !span_starts(code, "GHS0") || code.at[4] < '1' || code.at[4] > '0' + HAZARD_WORDS_KINDS)
        return false;
    *number = code.at[4] - '0';
    return true;
}

bool hazard_words_pictograms(const char *codes, int numbers[HAZARD_WORDS_PICTOGRAMS], size_t *count,
                             struct fault *fault)
{
    int found[HAZARD_WORDS_PICTOGRAMS];
    unsigned seen = 0;
    size_t have = 0;
    char shown[24];
    if (strcmp(codes, hazard_words_none) == 0)
        codes = "";
    for (codes += strspn(codes, " "); *codes; codes += strspn(codes, " ")) {
        const struct span code = {codes, strcspn(codes, " ")};
        int number;
        codes += code.length;
        if (!read_number(code, &number))
            return fault_set(fault, FAULT_INPUT,
                             "pictogram '%s' is not known: write GHS01 to GHS09 with spaces between, or none",
                             text_show(code, shown, sizeof shown));
        if (seen >> number & 1)
            return fault_set(fault, FAULT_INPUT, "pictogram GHS%02d is given twice: give it once", number);
        if (have == HAZARD_WORDS_PICTOGRAMS)
            return fault_set(fault, FAULT_INPUT, "over %d pictograms do not go on one label: look at the SDS again",
                             HAZARD_WORDS_PICTOGRAMS);
        seen |= 1U << number;
        found[have++] = number;
    }
    memcpy(numbers, found, have * sizeof *found);
    *count = have;
    return true;
}
