#include "labels/content/sticker_teach.h"

#include <string.h>

#include "labels/content/sticker_match.h"
#include "labels/content/sticker_piece.h"

enum { RUNS = 3, SHORT_DATE = 6, LONG_DATE = 8 };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static struct span marked(struct span example, const struct sticker_mark *mark)
{
    return (struct span){example.at + mark->start, mark->length};
}

/* What can be said of a mark alone. */
static bool mark_fits(struct span example, const struct sticker_mark *mark, struct fault *fault)
{
    if (mark->part <= STICKER_TEXT || mark->part >= STICKER_PARTS)
        return fault_set(fault, FAULT_INPUT, "point at item, lot, expires, made, quantity or other; the rest is text");
    const char *const noun = sticker_part_noun(mark->part);
    if (mark->length < 1 || mark->start > example.length || mark->length > example.length - mark->start)
        return fault_set(fault, FAULT_INPUT, "%s is not inside the example: point at 1 or more of its %zu bytes", noun,
                         example.length);
    const struct span part = marked(example, mark);
    for (size_t i = 0; i < part.length; i++)
        if (part.at[i] < 0x20 || part.at[i] > 0x7E)
            return fault_set(fault, FAULT_INPUT,
                             "%s holds a character that a label cannot carry, at place %zu: only plain letters, digits "
                             "and signs can be kept",
                             noun, mark->start + i + 1);
    if (part.at[0] == ' ' || part.at[part.length - 1] == ' ')
        return fault_set(fault, FAULT_INPUT, "%s begins or ends with a blank: point at it without", noun);
    return !sticker_part_is_date(mark->part) || mark->order == STICKER_YMD || mark->order == STICKER_DMY ||
           mark->order == STICKER_MDY ||
           fault_set(fault, FAULT_INPUT, "%s: say in which order day, month and year stand", noun);
}

/* Marks by their place; few, so a sort by insertion. */
static bool marks_sort(const struct sticker_mark *marks, size_t count, struct sticker_mark sorted[STICKER_PIECES],
                       struct fault *fault)
{
    for (size_t i = 0; i < count; i++) {
        size_t at = i;
        for (; at > 0 && sorted[at - 1].start > marks[i].start; at--)
            sorted[at] = sorted[at - 1];
        sorted[at] = marks[i];
    }
    for (size_t i = 1; i < count; i++)
        if (sorted[i - 1].start + sorted[i - 1].length > sorted[i].start)
            return fault_set(fault, FAULT_INPUT, "%s and %s overlap: point at each byte once",
                             sticker_part_noun(sorted[i - 1].part), sticker_part_noun(sorted[i].part));
    return true;
}

static const char *order_letters(enum sticker_order order)
{
    return order == STICKER_YMD ? "ymd" : order == STICKER_DMY ? "dmy" : "mdy";
}

/* Widths of the three numbers of a date: the runs of digits, or a single run of six or eight. */
static bool widths_find(struct span date, const char *letters, size_t widths[RUNS])
{
    size_t runs = 0;
    for (size_t i = 0; i < date.length; i++) {
        const bool begins = is_digit(date.at[i]) && (i == 0 || !is_digit(date.at[i - 1]));
        if (begins && runs == RUNS)
            return false;
        if (begins)
            widths[runs++] = 0;
        if (is_digit(date.at[i]))
            widths[runs - 1]++;
    }
    if (runs == 1 && (widths[0] == SHORT_DATE || widths[0] == LONG_DATE)) {
        const size_t year = widths[0] - 4;
        for (size_t i = 0; i < RUNS; i++)
            widths[i] = letters[i] == 'y' ? year : 2;
        runs = RUNS;
    }
    for (size_t i = 0; i < runs; i++)
        if (letters[i] == 'y' ? widths[i] != 2 && widths[i] != 4 : widths[i] > 2)
            return false;
    return runs == RUNS;
}

/* "31.01.2027" in the order dmy -> "dd.mm.yyyy" */
static bool layout_write(struct span date, const struct sticker_mark *mark, char layout[STICKER_LAYOUT_MAX],
                         struct fault *fault)
{
    char shown[40];
    const char *const letters = order_letters(mark->order);
    size_t widths[RUNS] = {0}, run = 0, used = 0;
    if (date.length > STICKER_LAYOUT_MAX || !widths_find(date, letters, widths))
        return fault_set(
            fault, FAULT_INPUT,
            "%s '%s' is no date of the order %s in digits: year of 2 or 4 digits, month and day of 1 or 2, "
            "with signs between, or 6 or 8 digits without; check what was pointed at and the order",
            sticker_part_noun(mark->part), text_show(date, shown, sizeof shown), letters);
    for (size_t i = 0; i < date.length; i++) {
        if (!is_digit(date.at[i])) {
            layout[i] = date.at[i];
            continue;
        }
        if (used == widths[run]) {
            run++;
            used = 0;
        }
        layout[i] = letters[run];
        used++;
    }
    return true;
}

static void class_allow(struct sticker_piece *piece, char c)
{
    static const char *const kinds[] = {"0123456789", "ABCDEFGHIJKLMNOPQRSTUVWXYZ", "abcdefghijklmnopqrstuvwxyz"};
    sticker_piece_allow(piece, c);
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        for (const char *one = strchr(kinds[i], c) ? kinds[i] : ""; *one; one++)
            sticker_piece_allow(piece, *one);
}

static bool part_add(struct span part, const struct sticker_mark *mark, struct sticker_pattern *pattern,
                     struct fault *fault)
{
    char layout[STICKER_LAYOUT_MAX];
    struct sticker_piece piece = {.part = mark->part};
    if (sticker_part_is_date(mark->part))
        return layout_write(part, mark, layout, fault) &&
               sticker_pattern_append(pattern, &piece, (struct span){layout, part.length}, fault);
    const size_t most = sticker_part_most(mark->part);
    if (part.length > most)
        return fault_set(fault, FAULT_INPUT, "%s has %zu characters, at most %zu can be kept: point at less",
                         sticker_part_noun(mark->part), part.length, most);
    piece.least = mark->same_length ? part.length : 1;
    piece.most = mark->same_length ? part.length : most;
    for (size_t i = 0; i < part.length; i++)
        class_allow(&piece, part.at[i]);
    return sticker_pattern_append(pattern, &piece, (struct span){NULL, 0}, fault);
}

static bool text_add(struct span text, struct sticker_pattern *pattern, struct fault *fault)
{
    const struct sticker_piece piece = {.part = STICKER_TEXT};
    return text.length == 0 || sticker_pattern_append(pattern, &piece, text, fault);
}

bool sticker_teach(struct span example, const struct sticker_mark *marks, size_t count, struct day today,
                   struct sticker_pattern *out, struct fault *fault)
{
    struct sticker_mark sorted[STICKER_PIECES];
    struct sticker_pattern pattern = {0};
    struct supplier_label unused;
    struct fault why = {FAULT_NONE, ""};
    size_t at = 0;
    if (example.length < 1 || example.length > STICKER_BYTES || !text_is_utf8(example))
        return fault_set(fault, FAULT_INPUT, "the example is not 1 to %d bytes of text: it cannot be taught",
                         STICKER_BYTES);
    if (count > STICKER_PIECES)
        return fault_set(fault, FAULT_INPUT, "%zu parts are pointed at, at most %d are taken", count, STICKER_PIECES);
    for (size_t i = 0; i < count; i++)
        if (!mark_fits(example, &marks[i], fault))
            return false;
    if (!marks_sort(marks, count, sorted, fault))
        return false;
    for (size_t i = 0; i < count; i++) {
        if (!text_add((struct span){example.at + at, sorted[i].start - at}, &pattern, fault) ||
            !part_add(marked(example, &sorted[i]), &sorted[i], &pattern, fault))
            return false;
        at = sorted[i].start + sorted[i].length;
    }
    if (!text_add((struct span){example.at + at, example.length - at}, &pattern, fault) ||
        !sticker_pattern_is_whole(&pattern, fault))
        return false;
    /* the reading pointed at is one; that no other exists, and its dates do, the match says */
    if (!sticker_match(&pattern, example, today, &unused, &why))
        return fault_set(fault, FAULT_INPUT, "this example cannot be taught: %s", why.text);
    *out = pattern;
    return true;
}
