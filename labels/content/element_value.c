#include "labels/content/element_value.h"

#include <string.h>

#include "labels/content/check_character.h"
#include "labels/content/gs1_date.h"

enum { KEY_DIGITS = 4 /* a GS1 company prefix has four digits or more */ };

static bool is_digit(char c)
{
    return c >= '0' && c <= '9';
}

static bool in_set(char set, char c)
{
    const bool capital = c >= 'A' && c <= 'Z';
    switch (set) {
    case 'N':
        return is_digit(c);
    case 'X':
        return check_character_cset82(c) >= 0;
    case 'Y':
        return is_digit(c) || capital || c == '#' || c == '-' || c == '/';
    default:
        return is_digit(c) || capital || (c >= 'a' && c <= 'z') || c == '-' || c == '_' || c == '=';
    }
}

static int two_digits(const char *at)
{
    return (at[0] - '0') * 10 + (at[1] - '0');
}

static bool time_ok(struct span part)
{
    return two_digits(part.at) <= 23 && two_digits(part.at + 2) <= 59;
}

static bool key_ok(struct span part)
{
    for (size_t i = 0; i < KEY_DIGITS; i++)
        if (i >= part.length || !is_digit(part.at[i]))
            return false;
    return true;
}

static bool zeros(struct span part)
{
    for (size_t i = 0; i < part.length; i++)
        if (part.at[i] != '0')
            return false;
    return true;
}

/* The trouble with a part of the right length and characters, NULL when there is none; dates are checked elsewhere. */
static const char *trouble(enum ai_check check, struct span part)
{
    switch (check) {
    case AI_CHECK_KEY:
        return key_ok(part) ? NULL : "does not begin with a company's number of four digits or more";
    case AI_CHECK_PAIR:
        if (!key_ok(part))
            return "does not begin with a company's number of four digits or more";
        return check_character_pair_ok(part) ? NULL : "has a wrong check character pair";
    case AI_CHECK_HOUR:
        return two_digits(part.at) <= 23 ? NULL : "has an hour that is not 00 to 23";
    case AI_CHECK_SIXTY:
        return two_digits(part.at) <= 59 ? NULL : "has minutes or seconds that are not 00 to 59";
    case AI_CHECK_TIME:
        return time_ok(part) ? NULL : "has a time that is not 0000 to 2359";
    case AI_CHECK_TIME_ANY:
        return time_ok(part) || span_equals(part, "9999") ? NULL : "has a time that is not 0000 to 2359";
    case AI_CHECK_ZERO:
        return part.at[0] == '0' ? NULL : "does not begin with 0";
    case AI_CHECK_NOT_ZERO:
        return zeros(part) ? "has a measure that is 0" : NULL;
    case AI_CHECK_NO_ZERO_FIRST:
        return part.at[0] == '0' && part.length > 1 ? "begins with 0" : NULL;
    case AI_CHECK_MINUS:
        return part.at[0] == '-' ? NULL : "has something else than a minus sign after the figure";
    case AI_CHECK_YES_NO:
        return part.at[0] <= '1' ? NULL : "is neither 0 nor 1";
    case AI_CHECK_OF_TOTAL: {
        const int piece = two_digits(part.at), total = two_digits(part.at + 2);
        return piece >= 1 && piece <= total ? NULL : "has a piece number that does not fit the total";
    }
    case AI_CHECK_OF_SEQUENCE:
        return part.at[1] == '/' && part.at[0] >= '1' && is_digit(part.at[2]) && part.at[0] <= part.at[2]
                   ? NULL
                   : "is not a place in a sequence such as 1/2";
    default:
        return NULL;
    }
}

static bool characters_check(const struct application_identifier *kind, const char *ai, char set, struct span part,
                             size_t place, struct fault *fault)
{
    char shown[16];
    for (size_t i = 0; i < part.length; i++)
        if (!in_set(set, part.at[i]))
            return fault_set(fault, FAULT_INPUT,
                             "(%s) %s has '%s' at place %zu, which %s: scan again, or type it as the label shows it",
                             ai, kind->title, text_show((struct span){part.at + i, 1}, shown, sizeof shown),
                             place + i + 1, set == 'N' ? "is not a digit" : "GS1 does not allow there");
    return true;
}

static bool date_check(const struct application_identifier *kind, const char *ai, enum ai_check check, struct span part,
                       struct day today, struct fault *fault)
{
    struct day day;
    struct fault why = {FAULT_NONE, ""};
    const bool ok = check == AI_CHECK_DATE_LONG
                        ? calendar_read_compact(part.at, part.length, &day, &why)
                        : gs1_date_read(part, today, check == AI_CHECK_DATE_00, &day, NULL, &why);
    return ok || fault_set(fault, FAULT_INPUT, "(%s) %s: %s", ai, kind->title, why.text);
}

static bool part_check(const struct application_identifier *kind, const char *ai, const struct ai_part *rule,
                       struct span part, struct day today, struct fault *fault)
{
    char shown[48];
    if (rule->check == AI_CHECK_DATE || rule->check == AI_CHECK_DATE_00 || rule->check == AI_CHECK_DATE_LONG)
        return date_check(kind, ai, rule->check, part, today, fault);
    if (rule->check == AI_CHECK_MOD10 && !check_character_mod10_ok(part))
        return fault_set(fault, FAULT_INPUT,
                         "(%s) %s %s has check digit %c, not %c: scan again, or type it as the label shows it", ai,
                         kind->title, text_show(part, shown, sizeof shown), part.at[part.length - 1],
                         check_character_mod10((struct span){part.at, part.length - 1}));
    const char *const text = trouble(rule->check, part);
    return !text || fault_set(fault, FAULT_INPUT, "(%s) %s '%s' %s: scan again", ai, kind->title,
                              text_show(part, shown, sizeof shown), text);
}

static bool too_long(const struct application_identifier *kind, const char *ai, struct span value, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT,
                     "(%s) %s is too long: %zu characters, at most %zu; scan again, or type it as the label shows it",
                     ai, kind->title, value.length, application_identifier_longest(kind));
}

bool element_value_check(const struct application_identifier *kind, const char *ai, struct span value, struct day today,
                         struct fault *fault)
{
    size_t at = 0;
    for (size_t i = 0; i < AI_PARTS && kind->parts[i].set; i++) {
        const struct ai_part *const rule = &kind->parts[i];
        const size_t rest = value.length - at;
        if (rest == 0 && rule->optional)
            continue;
        if (rest < rule->min)
            return fault_set(fault, FAULT_INPUT,
                             "(%s) %s is too short: %zu characters where %zu or more belong; the code is cut: scan "
                             "again, or type it as the label shows it",
                             ai, kind->title, value.length, at + rule->min);
        const struct span part = {value.at + at, rest < rule->max ? rest : rule->max};
        if (!characters_check(kind, ai, rule->set, part, at, fault))
            return false;
        at += part.length;
        if (at < value.length && (i + 1 == AI_PARTS || !kind->parts[i + 1].set))
            return too_long(kind, ai, value, fault);
        if (!part_check(kind, ai, rule, part, today, fault))
            return false;
    }
    return true;
}
