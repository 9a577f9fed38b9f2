#include "labels/content/sticker_match.h"

#include <string.h>

#include "labels/content/gs1_date.h"
#include "labels/content/sticker_piece.h"

enum { SHOWN_BYTES = 12, MANY = 2 };

/* In how many ways (2: or more) the first pieces can take the first bytes; and the farthest place any way came to, with
 * the piece that did not fit there. */
struct course {
    unsigned char ways[STICKER_PIECES + 1][STICKER_BYTES + 1];
    size_t farthest, piece, inside; /* `inside`: how many bytes of the piece were in order before that place */
};

/* What a piece can take of a text: least to most bytes, each of these lengths; `reached` bytes were in order. */
struct fit {
    bool fits;
    size_t least, most, reached;
};

static struct span rest_of(struct span text, size_t at)
{
    return (struct span){text.at + at, text.length - at};
}

static struct fit fit_text(struct span fixed, struct span text)
{
    struct fit fit = {.least = fixed.length, .most = fixed.length};
    while (fit.reached < fixed.length && fit.reached < text.length && fixed.at[fit.reached] == text.at[fit.reached])
        fit.reached++;
    fit.fits = fit.reached == fixed.length;
    return fit;
}

static struct fit fit_characters(const struct sticker_piece *piece, struct span text)
{
    struct fit fit = {.least = piece->least};
    while (fit.reached < piece->most && fit.reached < text.length && sticker_piece_allows(piece, text.at[fit.reached]))
        fit.reached++;
    fit.most = fit.reached;
    fit.fits = fit.reached >= piece->least;
    return fit;
}

struct date_digits {
    int year, month, day;
    bool short_year;
};

static size_t digits_read(struct span text, size_t most, int *value)
{
    size_t count = 0;
    *value = 0;
    while (count < most && count < text.length && text.at[count] >= '0' && text.at[count] <= '9')
        *value = *value * 10 + (text.at[count++] - '0');
    return count;
}

static size_t run_of(struct span layout)
{
    size_t length = 1;
    while (length < layout.length && layout.at[length] == layout.at[0])
        length++;
    return length;
}

/* Walks a layout along a text. A single letter takes one digit or two: two when they are there, which only matters at
 * the layout's end, since elsewhere a sign follows. */
static struct fit fit_date(struct span layout, struct span text, struct date_digits *date)
{
    struct fit fit = {.reached = 0};
    bool last_may_shrink = false;
    for (size_t at = 0; at < layout.length;) {
        const char c = layout.at[at];
        if (c != 'y' && c != 'm' && c != 'd') {
            if (fit.reached == text.length || text.at[fit.reached] != c)
                return fit;
            fit.reached++;
            at++;
            last_may_shrink = false;
            continue;
        }
        const size_t width = run_of(rest_of(layout, at));
        int value;
        const size_t count = digits_read(rest_of(text, fit.reached), width == 1 ? 2 : width, &value);
        if (count < width)
            return fit;
        last_may_shrink = count > width;
        *(c == 'y' ? &date->year : c == 'm' ? &date->month : &date->day) = value;
        date->short_year = c == 'y' ? width == 2 : date->short_year;
        fit.reached += count;
        at += width;
    }
    fit.fits = true;
    fit.most = fit.reached;
    fit.least = fit.most - last_may_shrink;
    return fit;
}

static struct fit fit_piece(const struct sticker_pattern *pattern, size_t index, struct span text)
{
    const struct sticker_piece *const piece = &pattern->pieces[index];
    struct date_digits unused = {0};
    if (piece->part == STICKER_TEXT)
        return fit_text(sticker_piece_bytes(pattern, piece), text);
    if (sticker_part_is_date(piece->part))
        return fit_date(sticker_piece_bytes(pattern, piece), text, &unused);
    return fit_characters(piece, text);
}

static void note_stop(struct course *course, size_t begin, size_t inside, size_t piece)
{
    if (begin + inside < course->farthest)
        return;
    course->farthest = begin + inside;
    course->inside = inside;
    course->piece = piece;
}

static void course_run(const struct sticker_pattern *pattern, struct span text, struct course *course)
{
    memset(course, 0, sizeof *course);
    course->ways[0][0] = 1;
    for (size_t piece = 0; piece < pattern->count; piece++)
        for (size_t at = 0; at <= text.length; at++) {
            const unsigned char ways = course->ways[piece][at];
            if (ways == 0)
                continue;
            const struct fit fit = fit_piece(pattern, piece, rest_of(text, at));
            if (!fit.fits)
                note_stop(course, at, fit.reached, piece);
            for (size_t length = fit.least; fit.fits && length <= fit.most; length++) {
                unsigned char *const next = &course->ways[piece + 1][at + length];
                *next = (unsigned char)(*next + ways > MANY ? MANY : *next + ways);
            }
        }
    for (size_t at = 0; at < text.length; at++)
        if (course->ways[pattern->count][at] > 0)
            note_stop(course, at, 0, pattern->count);
}

static void add_class(struct builder *out, const struct sticker_piece *piece, char sample, const char *word)
{
    if (sticker_piece_allows(piece, sample))
        builder_addf(out, "%s%s", out->at[out->length - 1] == '(' ? "" : ", ", word);
}

/* "the lot (digits, capital letters, '-')" */
static void add_noun(struct builder *out, const struct sticker_pattern *pattern, const struct sticker_piece *piece)
{
    char shown[48];
    builder_add(out, sticker_part_noun(piece->part));
    if (sticker_part_is_date(piece->part)) {
        builder_addf(out, " as %s", text_show(sticker_piece_bytes(pattern, piece), shown, sizeof shown));
        return;
    }
    builder_add(out, " (");
    add_class(out, piece, '9', "digits");
    add_class(out, piece, 'A', "capital letters");
    add_class(out, piece, 'a', "small letters");
    for (char c = 0x20; c < 0x7F; c++)
        if ((c < '0' || c > '9') && (c < 'A' || c > 'Z') && (c < 'a' || c > 'z'))
            add_class(out, piece, c, (const char[]){'\'', c, '\'', '\0'});
    builder_addf(out, "; %zu to %zu of them)", piece->least, piece->most);
}

/* What would have gone on at the farthest place. */
static void add_belongs(struct builder *out, const struct sticker_pattern *pattern, const struct course *course)
{
    char shown[60];
    if (course->piece == pattern->count) {
        builder_add(out, "the end");
    } else if (pattern->pieces[course->piece].part == STICKER_TEXT) {
        const struct span fixed = sticker_piece_bytes(pattern, &pattern->pieces[course->piece]);
        builder_addf(out, "'%s'", text_show(rest_of(fixed, course->inside), shown, sizeof shown));
        if (course->inside > 0)
            builder_addf(out, " of the text '%s'", text_show(fixed, shown, sizeof shown));
    } else {
        add_noun(out, pattern, &pattern->pieces[course->piece]);
    }
    if (course->inside == 0 && course->piece > 0 &&
        sticker_piece_is_open(pattern, &pattern->pieces[course->piece - 1])) {
        builder_add(out, ", or more of ");
        add_noun(out, pattern, &pattern->pieces[course->piece - 1]);
    }
}

static bool stopped(const struct sticker_pattern *pattern, struct span text, const struct course *course,
                    struct fault *fault)
{
    char belongs[200], shown[60];
    struct builder out;
    struct span found = rest_of(text, course->farthest);
    builder_init(&out, belongs, sizeof belongs);
    add_belongs(&out, pattern, course);
    text_end_whole(belongs);
    if (found.length == 0)
        return fault_set(fault, FAULT_INPUT,
                         "the sticker ends before place %zu, where this belongs: %s; it is cut, or another kind's",
                         course->farthest + 1, belongs);
    found.length = found.length < SHOWN_BYTES ? found.length : SHOWN_BYTES;
    return fault_set(fault, FAULT_INPUT,
                     "the sticker stops matching at place %zu: '%s' stands where this belongs: %s; it is another "
                     "kind's, or the pattern has to be taught anew",
                     course->farthest + 1, text_show(found, shown, sizeof shown), belongs);
}

/* The place that `piece` begins at when it ends at `end`; `*several` says whether there is another. */
static size_t begin_of(const struct sticker_pattern *pattern, struct span text, const struct course *course,
                       size_t piece, size_t end, bool *several)
{
    size_t begin = end, found = 0;
    for (size_t at = 0; at <= end; at++) {
        if (course->ways[piece][at] == 0)
            continue;
        const struct fit fit = fit_piece(pattern, piece, rest_of(text, at));
        if (!fit.fits || end - at < fit.least || end - at > fit.most)
            continue;
        begin = at;
        found++;
    }
    *several = found > 1;
    return begin;
}

/* `piece` can begin at several places: the nearest part before it that may have any length has no sure end. */
static bool unsure(const struct sticker_pattern *pattern, size_t piece, struct fault *fault)
{
    while (piece > 1 && !sticker_piece_is_open(pattern, &pattern->pieces[piece - 1]))
        piece--;
    return fault_set(fault, FAULT_INPUT,
                     "the sticker can be read in two ways: nothing tells where %s ends; type it, or have the pattern "
                     "taught with a fixed length",
                     sticker_part_noun(pattern->pieces[piece - 1].part));
}

static bool put_date(const struct sticker_pattern *pattern, const struct sticker_piece *piece, struct span value,
                     struct day today, struct day *day, struct fault *fault)
{
    char shown[40], layout[40];
    struct date_digits date = {0};
    int this_year, month, day_of_month;
    (void)fit_date(sticker_piece_bytes(pattern, piece), value, &date);
    calendar_split(today, &this_year, &month, &day_of_month);
    const int year = date.short_year ? gs1_date_year(date.year, this_year) : date.year;
    if (year < CALENDAR_FIRST_YEAR || year > CALENDAR_LAST_YEAR || date.month < 1 || date.month > 12 || date.day < 1 ||
        date.day > calendar_days_in_month(year, date.month))
        return fault_set(fault, FAULT_INPUT, "%s '%s', read as %s, is no day that exists: check the sticker",
                         sticker_part_noun(piece->part), text_show(value, shown, sizeof shown),
                         text_show(sticker_piece_bytes(pattern, piece), layout, sizeof layout));
    *day = calendar_day(year, date.month, date.day);
    return true;
}

static bool put_value(const struct sticker_pattern *pattern, const struct sticker_piece *piece, struct span value,
                      struct day today, struct supplier_label *label, struct fault *fault)
{
    switch (piece->part) {
    case STICKER_ITEM: /* no pattern lets an item or lot be longer than its room */
        return span_copy(value, label->item, sizeof label->item);
    case STICKER_LOT:
        return span_copy(value, label->lot, sizeof label->lot);
    case STICKER_EXPIRES:
        label->has_expires = true;
        return put_date(pattern, piece, value, today, &label->expires, fault);
    case STICKER_MADE:
        label->has_made = true;
        return put_date(pattern, piece, value, today, &label->made, fault);
    case STICKER_QUANTITY:
        return (span_read_count(value, &label->count) && label->count > 0) ||
               fault_set(fault, FAULT_INPUT, "the quantity is 0: check the sticker");
    default:
        return true;
    }
}

bool sticker_match(const struct sticker_pattern *pattern, struct span text, struct day today,
                   struct supplier_label *out, struct fault *fault)
{
    struct course course;
    struct supplier_label label = {.item = ""};
    size_t ends[STICKER_PIECES + 1];
    if (text.length > STICKER_BYTES)
        return fault_set(fault, FAULT_INPUT,
                         "the sticker has %zu bytes, at most %d are taken: it is no sticker of "
                         "plain text",
                         text.length, STICKER_BYTES);
    course_run(pattern, text, &course);
    if (course.ways[pattern->count][text.length] == 0)
        return stopped(pattern, text, &course, fault);
    ends[pattern->count] = text.length;
    for (size_t piece = pattern->count; piece-- > 0;) {
        bool several;
        ends[piece] = begin_of(pattern, text, &course, piece, ends[piece + 1], &several);
        if (several)
            return unsure(pattern, piece, fault);
    }
    for (size_t i = 0; i < pattern->count; i++)
        if (!put_value(pattern, &pattern->pieces[i], (struct span){text.at + ends[i], ends[i + 1] - ends[i]}, today,
                       &label, fault))
            return false;
    *out = label;
    return true;
}
