#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/contents.h"

/* The lots of a mix, as a table or an imported movement says them: what is taken is written the same again, and poured,
 * weighed and put together no drop of it is lost. */

static void must_add_up(const struct contents *contents)
{
    int64_t sum = 0;
    for (size_t i = 0; i < contents->count; i++) {
        if (contents->lots[i].amount_ul == MOVEMENT_NULL)
            return;
        if (contents->lots[i].amount_ul < 0)
            abort();
        sum += contents->lots[i].amount_ul;
    }
    if (contents->count > 0 && sum != contents->total_ul)
        abort();
}

static void pour(const struct contents *from, int64_t amount_ul)
{
    struct contents left = *from, taken, back;
    if (!contents_take(&left, amount_ul, &taken, NULL))
        return;
    must_add_up(&left);
    must_add_up(&taken);
    back = left;
    if (!contents_add(&back, &taken, NULL))
        abort(); /* no lot is new */
    must_add_up(&back);
    if (from->total_ul != MOVEMENT_NULL && back.total_ul != from->total_ul)
        abort();
    contents_set_total(&back, amount_ul);
    must_add_up(&back);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    char text[CONTENTS_TEXT_SIZE + 8], again[CONTENTS_TEXT_SIZE];
    struct contents contents;
    if (size >= sizeof text)
        return 0;
    if (size > 0)
        memcpy(text, data, size);
    text[size] = '\0';
    if (!contents_read(text, &contents, NULL))
        return 0;
    contents_write(&contents, again);
    if (strcmp(text, again) != 0)
        abort();
    must_add_up(&contents);
    pour(&contents, 0);
    pour(&contents, 1);
    if (contents.total_ul != MOVEMENT_NULL)
        pour(&contents, contents.total_ul / 3);
    return 0;
}
