#include "labels/content/sticker_pattern.h"

#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "labels/content/sticker_match.h"
#include "labels/content/sticker_teach.h"

/* A pattern's text, a NUL, a sticker, a NUL, marks of three bytes. Any of it is taken or refused with one sentence; a
 * pattern that was read or taught is written as it is read; what was taught reads its own example. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void demand(int truth)
{
    if (!truth)
        abort();
}

static struct span take_part(struct span *rest)
{
    const char *const end = rest->length > 0 ? memchr(rest->at, '\0', rest->length) : NULL;
    const struct span part = {rest->at, end ? (size_t)(end - rest->at) : rest->length};
    const size_t used = part.length + (end ? 1 : 0);
    *rest = (struct span){rest->at + used, rest->length - used};
    return part;
}

static void check_pattern(const struct sticker_pattern *pattern, struct span sticker)
{
    static char written[STICKER_PATTERN_SIZE], again[STICKER_PATTERN_SIZE];
    struct sticker_pattern read;
    struct supplier_label label;
    struct fault fault = {FAULT_NONE, ""};
    sticker_pattern_write(pattern, written);
    demand(sticker_pattern_read(span_of(written), &read, &fault));
    sticker_pattern_write(&read, again);
    demand(strcmp(written, again) == 0);
    if (sticker_match(&read, sticker, calendar_day(2026, 2, 14), &label, &fault))
        demand(strlen(label.item) < sizeof label.item && strlen(label.lot) < sizeof label.lot && label.count >= 0);
    else
        demand(fault.code == FAULT_INPUT && fault.text[0]);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    struct span rest = {(const char *)data, size};
    const struct span text = take_part(&rest), sticker = take_part(&rest);
    struct sticker_pattern pattern;
    struct supplier_label label;
    struct sticker_mark marks[STICKER_PIECES + 1];
    struct fault fault = {FAULT_NONE, ""};
    size_t count = 0;
    if (sticker_pattern_read(text, &pattern, &fault))
        check_pattern(&pattern, sticker);
    else
        demand(fault.code == FAULT_INPUT && fault.text[0]);
    for (; count < sizeof marks / sizeof *marks && rest.length >= 3; count++) {
        const unsigned char kind = (unsigned char)rest.at[0];
        marks[count] = (struct sticker_mark){.part = (enum sticker_part)(kind % 8),
                                             .order = (enum sticker_order)(kind / 8 % 4),
                                             .same_length = kind / 32 % 2 != 0,
                                             .start = (unsigned char)rest.at[1],
                                             .length = (unsigned char)rest.at[2]};
        rest = (struct span){rest.at + 3, rest.length - 3};
    }
    if (!sticker_teach(sticker, marks, count, calendar_day(2026, 2, 14), &pattern, &fault)) {
        demand(fault.code == FAULT_INPUT && fault.text[0]);
        return 0;
    }
    check_pattern(&pattern, sticker);
    demand(sticker_match(&pattern, sticker, calendar_day(2026, 2, 14), &label, &fault));
    return 0;
}
