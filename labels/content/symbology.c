#include "labels/content/symbology.h"

#include <string.h>

enum { ECI_BYTES = 7 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

enum symbology_kind symbology_kind(const char *identifier)
{
    static const struct {
        char identifier[SYMBOLOGY_BYTES + 1];
        enum symbology_kind kind;
    } table[] = {
        {"]C1", SYMBOLOGY_GS1},    {"]d2", SYMBOLOGY_GS1},   {"]d5", SYMBOLOGY_GS1},  {"]Q3", SYMBOLOGY_GS1},
        {"]Q4", SYMBOLOGY_GS1},    {"]e0", SYMBOLOGY_GS1},   {"]e1", SYMBOLOGY_GS1},  {"]e2", SYMBOLOGY_GS1},
        {"]J1", SYMBOLOGY_GS1},    {"]E0", SYMBOLOGY_EAN13}, {"]E4", SYMBOLOGY_EAN8}, {"]I0", SYMBOLOGY_CARTON},
        {"]I1", SYMBOLOGY_CARTON},
    };
    if (!identifier || !identifier[0])
        return SYMBOLOGY_NONE;
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (strcmp(table[i].identifier, identifier) == 0)
            return table[i].kind;
    return SYMBOLOGY_PLAIN;
}

const char *symbology_words(const char *identifier)
{
    static const struct {
        char identifier[SYMBOLOGY_BYTES + 1]; /* "]d": the others of that letter */
        const char *words;
    } table[] = {
        {"]E", "EAN/UPC code"},     {"]C1", "GS1-128 code"},    {"]C", "Code 128"},          {"]d2", "GS1 Data Matrix"},
        {"]d5", "GS1 Data Matrix"}, {"]d", "Data Matrix"},      {"]Q3", "GS1 QR code"},      {"]Q4", "GS1 QR code"},
        {"]Q", "QR code"},          {"]e", "GS1 DataBar code"}, {"]I", "carton code (ITF)"}, {"]A", "Code 39"},
    };
    if (!identifier || !identifier[0])
        return "typed text";
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (strncmp(identifier, table[i].identifier, strlen(table[i].identifier)) == 0)
            return table[i].words;
    return "code";
}

bool symbology_starts(struct span text)
{
    return text.length >= SYMBOLOGY_BYTES && text.at[0] == ']' && text.at[1] != '\0' &&
           strchr("dCQEeIJLzA", text.at[1]) && is_digit(text.at[2]);
}

void symbology_take(struct span *text, const char *given, char identifier[SYMBOLOGY_BYTES + 1])
{
    struct span own = {text->at, text->length < SYMBOLOGY_BYTES ? text->length : SYMBOLOGY_BYTES};
    struct span taken = span_of(given);
    if (taken.length == 0)
        taken = symbology_starts(*text) ? own : span_of("");
    if (taken.length > 0 && own.length == taken.length && memcmp(own.at, taken.at, own.length) == 0)
        *text = (struct span){text->at + own.length, text->length - own.length};
    if (!span_copy(taken, identifier, SYMBOLOGY_BYTES + 1)) /* longer than any identifier: known to be plain text */
        memcpy(identifier, "]X0", SYMBOLOGY_BYTES + 1);
}

/* ISO/IEC 15424: Data Matrix modifiers 4 to 6, QR modifiers 2, 4 and 6. */
bool symbology_has_eci(const char *identifier)
{
    static const char *const with_eci[] = {"]d4", "]d5", "]d6", "]Q2", "]Q4", "]Q6"};
    for (size_t i = 0; i < sizeof with_eci / sizeof *with_eci; i++)
        if (strcmp(with_eci[i], identifier) == 0)
            return true;
    return false;
}

void symbology_strip_eci(struct span *text)
{
    if (text->length < ECI_BYTES || text->at[0] != '\\')
        return;
    for (size_t i = 1; i < ECI_BYTES; i++)
        if (!is_digit(text->at[i]))
            return;
    *text = (struct span){text->at + ECI_BYTES, text->length - ECI_BYTES};
}
