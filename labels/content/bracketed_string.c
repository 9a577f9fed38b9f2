#include "labels/content/bracketed_string.h"

enum { FEWEST_DIGITS = 2, MOST_DIGITS = 4, SHOWN_BYTES = 6 };

static struct span from(struct span text, size_t at)
{
    return (struct span){text.at + at, text.length - at};
}

static struct span trimmed(struct span text)
{
    while (text.length > 0 && text.at[0] == ' ')
        text = from(text, 1);
    while (text.length > 0 && text.at[text.length - 1] == ' ')
        text.length--;
    return text;
}

/* The digits of "(digits)" at the start of `text`; 0 when something else stands there. */
static size_t digits_in_brackets(struct span text)
{
    size_t digits = 0;
    if (text.length == 0 || text.at[0] != '(')
        return 0;
    while (1 + digits < text.length && text.at[1 + digits] >= '0' && text.at[1 + digits] <= '9')
        digits++;
    const bool closed = 1 + digits < text.length && text.at[1 + digits] == ')';
    return closed && digits >= FEWEST_DIGITS && digits <= MOST_DIGITS ? digits : 0;
}

/* The row of the identifier in brackets at the start of `text`, NULL when none of the table stands there. */
static const struct application_identifier *identifier_at(struct span text, size_t *digits)
{
    const size_t in_brackets = digits_in_brackets(text);
    if (in_brackets == 0)
        return NULL;
    const struct application_identifier *const kind =
        application_identifier_find((struct span){text.at + 1, in_brackets}, digits);
    return kind && *digits == in_brackets ? kind : NULL;
}

static bool may_hold_brackets(const struct application_identifier *kind)
{
    for (size_t i = 0; i < AI_PARTS && kind->parts[i].set; i++)
        if (kind->parts[i].set == 'X')
            return true;
    return false;
}

static size_t value_end(struct span text, size_t at, const struct application_identifier *kind)
{
    const bool any_bracket = !may_hold_brackets(kind);
    size_t digits;
    while (at < text.length && !(text.at[at] == '(' && (any_bracket || identifier_at(from(text, at), &digits))))
        at++;
    return at;
}

static bool no_identifier(struct span text, size_t at, struct fault *fault)
{
    char shown[32];
    struct span rest = from(text, at);
    if (rest.length > SHOWN_BYTES)
        rest.length = SHOWN_BYTES;
    return fault_set(fault, FAULT_INPUT,
                     "at place %zu of what was typed stands '%s', no GS1 identifier in brackets such as (01) or (10): "
                     "type it as the label shows it",
                     at + 1, text_show(rest, shown, sizeof shown));
}

static bool no_value(size_t at, const struct application_identifier *kind, struct span ai, struct fault *fault)
{
    return fault_set(
        fault, FAULT_INPUT,
        "at place %zu of what was typed: (%.*s) %s has no value: type what the label shows after the bracket", at + 1,
        (int)ai.length, ai.at, kind->title);
}

bool bracketed_string_starts(struct span text)
{
    return digits_in_brackets(trimmed(text)) > 0;
}

bool bracketed_string_read(struct span text, struct day today, struct element_string *out, struct fault *fault)
{
    struct element_string result = {0};
    size_t at = (size_t)(trimmed(text).at - text.at);
    if (at == text.length)
        return fault_set(fault, FAULT_INPUT, "nothing was typed: type identifiers in brackets, such as (01) and (10)");
    while (at < text.length) {
        struct fault why = {FAULT_NONE, ""};
        size_t digits;
        const struct application_identifier *const kind = identifier_at(from(text, at), &digits);
        if (!kind)
            return no_identifier(text, at, fault);
        const size_t start = at + 1 + digits + 1, end = value_end(text, start, kind);
        const struct span ai = {text.at + at + 1, digits};
        const struct span value = trimmed((struct span){text.at + start, end - start});
        if (value.length == 0)
            return no_value(at, kind, ai, fault);
        if (!element_string_add(&result, kind, ai, value, today, &why))
            return fault_set(fault, FAULT_INPUT, "at place %zu of what was typed: %s", at + 1, why.text);
        at = end;
    }
    *out = result;
    return true;
}
