#include "kiosk/desk/stock_list/stock_list_fold.h"

#include <string.h>

#include <glib.h>

#include "labels/basics/text.h"

static const char *fold(const char *text, bool spaced, char folded[STOCK_LIST_FOLDED])
{
    struct builder out;
    builder_init(&out, folded, STOCK_LIST_FOLDED);
    char *lower = g_utf8_casefold(text, -1);
    char *apart = g_utf8_normalize(lower, -1, G_NORMALIZE_ALL);
    g_free(lower);
    bool gap = false;
    for (const char *at = apart; at && *at; at = g_utf8_next_char(at)) {
        const gunichar c = g_utf8_get_char(at);
        if (g_unichar_ismark(c))
            continue;
        if (!g_unichar_isalnum(c)) {
            gap = out.length > 0;
            continue;
        }
        if (gap && spaced)
            builder_add_char(&out, ' ');
        gap = false;
        builder_add_span(&out, (struct span){at, (size_t)(g_utf8_next_char(at) - at)});
    }
    g_free(apart);
    if (out.cut)
        text_end_whole(folded);
    return folded;
}

const char *stock_list_fold_heading(const char *text, char folded[STOCK_LIST_FOLDED])
{
    return fold(text, false, folded);
}

const char *stock_list_fold_value(const char *text, char folded[STOCK_LIST_FOLDED])
{
    return fold(text, true, folded);
}
