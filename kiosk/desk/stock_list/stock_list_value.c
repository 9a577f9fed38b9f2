#include "kiosk/desk/stock_list/stock_list_value.h"

#include <string.h>

#include "kiosk/desk/stock_list/stock_list_fold.h"
#include "labels/basics/text.h"

enum { MANTISSA_DIGITS = 15, GROUP = 3, MINUTES = 60, NUMBER_SIZE = 48 };

const char *stock_list_show(const char *cell, char buffer[STOCK_LIST_SHOW_SIZE])
{
    static const char more[] = "\xE2\x80\xA6"; /* … */
    struct builder out;
    builder_init(&out, buffer, STOCK_LIST_SHOW_SIZE - (sizeof more - 1));
    for (const char *at = cell; *at && !out.cut; at++)
        builder_add_char(&out, (unsigned char)*at < ' ' ? ' ' : *at);
    if (!out.cut)
        return buffer;
    text_end_whole(buffer);
    builder_init(&out, buffer + strlen(buffer), sizeof more);
    builder_add(&out, more);
    return buffer;
}

bool stock_list_is_unknown(const char *cell)
{
    static const char *const words[] = {
        "",   "na", "unknown",     "notknown",    "unbekannt",   "ka", "keineangabe", "unbek",    "inconnu", "inconnue",
        "nc", "sd", "desconocido", "desconocida", "sconosciuto", "nd", "sconosciuta", "onbekend", "onb",     "nvt",
        NULL};
    char folded[STOCK_LIST_FOLDED];
    if (strpbrk(cell, "0123456789#"))
        return false;
    stock_list_fold_heading(cell, folded); /* "?", "-" and dashes of any length leave nothing */
    for (size_t i = 0; words[i]; i++)
        if (strcmp(words[i], folded) == 0)
            return true;
    return false;
}

bool stock_list_is_shortened(const char *cell)
{
    size_t at = strspn(cell, "0123456789");
    if (at == 0 || !strchr(",.eE", cell[at]) || cell[at] == '\0')
        return false;
    if (cell[at] == ',' || cell[at] == '.')
        at += 1 + strspn(cell + at + 1, "0123456789");
    return (cell[at] == 'e' || cell[at] == 'E') && cell[at + 1] == '+' &&
           cell[at + 2 + strspn(cell + at + 2, "0123456789")] == '\0';
}

/* ---- numbers ---- */

static const char *const sign_words[STOCK_LIST_SIGNS] = {"", "comma", "point"};

const char *stock_list_sign_word(enum stock_list_sign sign)
{
    return sign_words[sign];
}

bool stock_list_sign_read(const char *word, enum stock_list_sign *sign)
{
    for (int i = STOCK_LIST_COMMA; i < STOCK_LIST_SIGNS; i++) {
        if (strcmp(sign_words[i], word) != 0)
            continue;
        *sign = i;
        return true;
    }
    return false;
}

struct decimal {
    int64_t mantissa;
    int decimals; /* mantissa / 10^decimals */
    bool asks;
};

static bool no_number(const char *cell, struct fault *fault)
{
    return fault_set(fault, FAULT_INPUT, "'%s' is not a number that is understood here: write it as 1234 or 12,5",
                     STOCK_LIST_SHOW(cell));
}

/* Digits with , and . alone: blanks and apostrophes between thousands (SI brochure 5.4.4, Swiss use) are taken out,
 * when three digits follow each. NULL: something else is in it. */
static const char *take_number(const char *cell, char number[NUMBER_SIZE])
{
    static const char *const gaps[] = {" ", "'", "\xC2\xA0", "\xE2\x80\xAF", "\xE2\x80\x99"};
    struct builder out;
    bool gaps_seen = false;
    builder_init(&out, number, NUMBER_SIZE);
    while (*cell) {
        size_t gap = 0;
        for (size_t i = 0; i < sizeof gaps / sizeof *gaps && gap == 0; i++)
            if (strncmp(cell, gaps[i], strlen(gaps[i])) == 0)
                gap = strlen(gaps[i]);
        if (gap > 0) {
            const bool first = strspn(number, "0123456789") == out.length && out.length > GROUP && !gaps_seen;
            if (out.length == 0 || first || number[0] == '0' || strspn(cell + gap, "0123456789") != GROUP)
                break;
            gaps_seen = true;
            cell += gap;
            continue;
        }
        if (!strchr("0123456789.,", *cell))
            break;
        builder_add_char(&out, *cell++);
    }
    return out.cut || out.length == 0 ? NULL : cell;
}

/* "1.234.567": a first group of one to three digits that is no 0, then groups of three. */
static bool is_grouped(const char *whole, size_t length, char mark)
{
    size_t digits = 0, groups = 0;
    if (whole[0] == '0')
        return false;
    for (size_t i = 0; i < length; i++) {
        if (whole[i] != mark) {
            digits++;
            continue;
        }
        if (groups == 0 ? digits < 1 || digits > GROUP : digits != GROUP)
            return false;
        groups++;
        digits = 0;
    }
    return groups == 0 || digits == GROUP;
}

static bool scale_in(const char *number, char decimal_mark, struct decimal *value)
{
    int64_t mantissa = 0;
    int decimals = -1, digits = 0;
    for (const char *at = number; *at; at++) {
        if (*at == ',' || *at == '.') {
            if (*at == decimal_mark)
                decimals = 0;
            continue;
        }
        if (++digits > MANTISSA_DIGITS)
            return false;
        mantissa = mantissa * 10 + (*at - '0');
        decimals += decimals >= 0;
    }
    *value = (struct decimal){mantissa, decimals < 0 ? 0 : decimals, false};
    return digits > 0;
}

/* What the marks of `number` can mean: the decimal mark ('\0': there is none), or both readings. */
static bool find_marks(const char *number, char *decimal_mark, bool *either)
{
    const char *last = strrchr(number, ',');
    const char *point = strrchr(number, '.');
    *decimal_mark = '\0';
    *either = false;
    if (point && (!last || point > last))
        last = point;
    if (!last)
        return true;
    const size_t before = (size_t)(last - number);
    const char other = *last == ',' ? '.' : ',';
    const bool alone = strchr(number, *last) == last, has_other = strchr(number, other) != NULL;
    if (before == 0 || last[1] == '\0')
        return false;
    if (!alone) /* repeated: it parts thousands */
        return !has_other && is_grouped(number, strlen(number), *last);
    *decimal_mark = *last;
    if (has_other)
        return is_grouped(number, before, other);
    *either = is_grouped(number, strlen(number), *last);
    return true;
}

static bool read_decimal(const char *number, enum stock_list_sign sign, struct decimal *value)
{
    char mark;
    bool either;
    if (!find_marks(number, &mark, &either))
        return false;
    if (either && sign == STOCK_LIST_SIGN_ASK) {
        *value = (struct decimal){.asks = true};
        return true;
    }
    const char chosen = sign == STOCK_LIST_COMMA ? ',' : sign == STOCK_LIST_POINT ? '.' : mark;
    if (either && chosen != mark)
        return scale_in(number, '\0', value); /* its mark parts thousands */
    const bool contradicts = mark != '\0' ? mark != chosen : chosen != '\0' && strchr(number, chosen);
    return !contradicts && scale_in(number, mark, value); /* "12.5" where the comma is the decimal sign */
}

/* value * factor, whole; false when it is not. */
static bool times(const struct decimal *value, int64_t factor, bool nearest, int64_t *product)
{
    int64_t divisor = 1, number = value->mantissa;
    for (int i = 0; i < value->decimals; i++) {
        if (factor % 10 == 0) { /* keeps both small */
            factor /= 10;
            continue;
        }
        divisor *= 10;
    }
    if (number > INT64_MAX / 2 / factor)
        return false;
    number *= factor;
    if (!nearest && number % divisor != 0)
        return false;
    *product = (number + divisor / 2) / divisor;
    return true;
}

/* ---- amounts ---- */

bool stock_list_volume_read(const char *word, enum stock_list_volume *unit)
{
    static const struct {
        const char *words;
        enum stock_list_volume unit;
    } units[] = {
        {" ml milliliter millilitre milliliters millilitres mililitros millilitri cc cm3 ccm ", STOCK_LIST_ML},
        {" cl centiliter centilitre ", STOCK_LIST_CL},
        {" dl deciliter decilitre ", STOCK_LIST_DL},
        {" l lt ltr liter litre liters litres litro litros litri ", STOCK_LIST_L},
    };
    char folded[STOCK_LIST_FOLDED], padded[STOCK_LIST_FOLDED + 2];
    struct builder key;
    builder_init(&key, padded, sizeof padded);
    builder_addf(&key, " %s ", stock_list_fold_heading(word, folded));
    for (size_t i = 0; i < sizeof units / sizeof *units && folded[0]; i++) {
        if (!strstr(units[i].words, padded))
            continue;
        *unit = units[i].unit;
        return true;
    }
    return false;
}

bool stock_list_is_mass(const char *word)
{
    static const char words[] =
        " g gr gramm gram gramme grammes grams gramos grammi kg kilo kilogramm kilogram kilograms oz lb lbs mg ";
    char folded[STOCK_LIST_FOLDED], padded[STOCK_LIST_FOLDED + 2];
    struct builder key;
    builder_init(&key, padded, sizeof padded);
    builder_addf(&key, " %s ", stock_list_fold_heading(word, folded));
    return folded[0] && strstr(words, padded);
}

bool stock_list_amount_read(const char *cell, enum stock_list_sign sign, enum stock_list_volume unit,
                            struct stock_list_amount *amount, struct fault *fault)
{
    static const int64_t microlitres[] = {0, 1000, 10000, 100000, 1000000};
    char number[NUMBER_SIZE];
    struct stock_list_amount read = {.asks_sign = false};
    struct decimal value;
    const char *rest = take_number(cell, number);
    if (!rest)
        return no_number(cell, fault);
    while (*rest == ' ')
        rest++;
    if (stock_list_is_mass(rest))
        return fault_set(fault, FAULT_INPUT,
                         "'%s' is a weight, and contents are kept by volume: write millilitres, or leave it empty",
                         STOCK_LIST_SHOW(cell));
    if (*rest && !stock_list_volume_read(rest, &unit))
        return no_number(cell, fault);
    if (!read_decimal(number, sign, &value))
        return no_number(cell, fault);
    read.asks_sign = value.asks;
    read.asks_unit = unit == STOCK_LIST_VOLUME_NONE;
    if (!read.asks_sign && !read.asks_unit && !times(&value, microlitres[unit], false, &read.microlitres))
        return fault_set(fault, FAULT_INPUT, "'%s' is finer than 0.001 ml or too much: round it",
                         STOCK_LIST_SHOW(cell));
    *amount = read;
    return true;
}

/* ---- hours, pieces ---- */

static bool two_digits(const char *at, int *value)
{
    if (strspn(at, "0123456789") != 2)
        return false;
    *value = (at[0] - '0') * 10 + (at[1] - '0');
    return *value < MINUTES;
}

static bool read_clock(const char *cell, int64_t *minutes)
{
    const char *colon = strchr(cell, ':');
    int64_t hours;
    int minute, second = 0;
    if (!span_read_count((struct span){cell, (size_t)(colon - cell)}, &hours) || hours > INT64_C(1000000) ||
        !two_digits(colon + 1, &minute))
        return false;
    if (colon[3] != '\0' && (colon[3] != ':' || !two_digits(colon + 4, &second) || second != 0))
        return false;
    *minutes = hours * MINUTES + minute;
    return true;
}

static bool is_hours_word(const char *word)
{
    static const char *const words[] = {"",      "h",      "hr",   "hrs",   "hour", "hours", "std", "stunde", "stunden",
                                        "heure", "heures", "hora", "horas", "ora",  "ore",   "uur", "uren",   NULL};
    char folded[STOCK_LIST_FOLDED];
    stock_list_fold_heading(word, folded);
    for (size_t i = 0; words[i]; i++)
        if (strcmp(words[i], folded) == 0)
            return true;
    return false;
}

bool stock_list_hours_read(const char *cell, enum stock_list_sign sign, struct stock_list_hours *hours,
                           struct fault *fault)
{
    char number[NUMBER_SIZE];
    struct decimal value;
    struct stock_list_hours read = {.asks_sign = false};
    if (strchr(cell, ':')) {
        if (!read_clock(cell, &read.minutes))
            return fault_set(fault, FAULT_INPUT, "'%s' is not hours and minutes: write it as 12:30 or 12,5",
                             STOCK_LIST_SHOW(cell));
        *hours = read;
        return true;
    }
    const char *rest = take_number(cell, number);
    if (!rest || !is_hours_word(rest) || !read_decimal(number, sign, &value))
        return no_number(cell, fault);
    read.asks_sign = value.asks;
    if (!read.asks_sign && !times(&value, MINUTES, true, &read.minutes))
        return no_number(cell, fault);
    *hours = read;
    return true;
}

bool stock_list_pieces_read(const char *cell, int64_t most, int64_t *pieces, struct fault *fault)
{
    static const char *const words[] = {"",   "pc",    "pcs",    "piece", "pieces", "stk",   "stuck", "st", "x",
                                        "pz", "pezzi", "piezas", "ud",    "uds",    "stuks", "pce",   NULL};
    char folded[STOCK_LIST_FOLDED];
    int64_t count = 0;
    const size_t digits = strspn(cell, "0123456789");
    stock_list_fold_heading(cell + digits, folded);
    bool known = false;
    for (size_t i = 0; words[i] && !known; i++)
        known = strcmp(words[i], folded) == 0;
    if (!known || cell[digits] == ',' || cell[digits] == '.' || !span_read_count((struct span){cell, digits}, &count))
        return fault_set(fault, FAULT_INPUT, "'%s' is not a whole number of pieces: write digits alone",
                         STOCK_LIST_SHOW(cell));
    if (count > most)
        return fault_set(fault, FAULT_INPUT, "%lld pieces in one line are more than %lld: divide the line",
                         (long long)count, (long long)most);
    *pieces = count;
    return true;
}
