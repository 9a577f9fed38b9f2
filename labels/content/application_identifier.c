#include "labels/content/application_identifier.h"

#include <string.h>

#include "labels/content/application_identifier_table.h"

static bool in_range(struct span text, const struct application_identifier *row, size_t length)
{
    if (text.length < length)
        return false;
    for (size_t i = 0; i < length; i++)
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
    return memcmp(text.at, row->first, length) >= 0 && memcmp(text.at, row->last, length) <= 0;
}

const struct application_identifier *application_identifier_find(struct span text, size_t *length)
{
    const struct application_identifier *row;
    for (size_t i = 0; (row = application_identifier_row(i)); i++) {
        const size_t digits = strlen(row->first);
        if (in_range(text, row, digits)) {
            *length = digits;
            return row;
        }
    }
    return NULL;
}

bool application_identifier_fits(const char *ai, const char *pattern, size_t length)
{
    if (strlen(ai) != length)
        return false;
    for (size_t i = 0; i < length; i++)
        if (pattern[i] != 'n' && pattern[i] != ai[i])
            return false;
    return true;
}

const struct application_identifier *application_identifier_row(size_t index)
{
    return index < application_identifier_rows ? &application_identifier_table[index] : NULL;
}

size_t application_identifier_longest(const struct application_identifier *kind)
{
    size_t longest = 0;
    for (size_t i = 0; i < AI_PARTS && kind->parts[i].set; i++)
        longest += kind->parts[i].max;
    return longest;
}
