#include "labels/reading/eci.h"
#include "labels/reading/reader.h"

static bool has_controls(struct span bytes)
{
    for (size_t i = 0; i < bytes.length; i++)
        if ((unsigned char)bytes.at[i] >= 0x80 && (unsigned char)bytes.at[i] <= 0x9F)
            return true;
    return false;
}

static bool add_segment(int eci, struct span bytes, struct builder *text)
{
    enum { ISO_8859_1 = 3 };
    if (bytes.length == 0)
        return true;
    if (eci >= 0)
        return eci_add_text(eci, bytes, text);
    if (text_is_utf8(bytes)) {
        builder_add_span(text, bytes);
        return !text->cut;
    }
    return !has_controls(bytes) && eci_add_text(ISO_8859_1, bytes, text);
}

bool reader_symbol_text(const struct reader_symbol *symbol, char text[READER_TEXT + 1], size_t *length)
{
    struct builder built;
    builder_init(&built, text, READER_TEXT + 1);
    if (symbol->segment_count > READER_SEGMENTS)
        return false;
    size_t start = 0;
    int eci = -1;
    for (size_t i = 0; i <= symbol->segment_count; i++) {
        const size_t end = i < symbol->segment_count ? symbol->segments[i].start : symbol->length;
        if (!add_segment(eci, (struct span){(const char *)symbol->bytes + start, end - start}, &built))
            return false;
        start = end;
        eci = i < symbol->segment_count ? symbol->segments[i].eci : -1;
    }
    *length = built.length;
    return true;
}
