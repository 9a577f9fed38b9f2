#include "labels/content/unit_label.h"

#include <string.h>

#include "labels/content/check_character.h"
#include "labels/content/unit_label_fields.h"

enum { NUMBER_DIGITS = 6, NUMBER_DIGITS_MAX = 9, CONTENT_MAX = 99999999, MILLION = 1000000 };

const char serial_letters[] = "VTCRPWH";

static const char *const content_units[] = {"ML", "GR", "KG", "LT", "EA"};

bool serial_write(char letter, long number, char serial[SERIAL_SIZE])
{
    if (letter == '\0' || !strchr(serial_letters, letter) || number < 1 || number > SERIAL_NUMBER_MAX)
        return false;
    char text[SERIAL_SIZE];
    struct builder out;
    builder_init(&out, text, sizeof text);
    builder_addf(&out, "%c%0*ld", letter, NUMBER_DIGITS, number);
    const char check = check_character_mod37_36((struct span){text, out.length});
    if (check == 'I' || check == 'O')
        return false;
    builder_add_char(&out, check);
    memcpy(serial, text, sizeof text);
    return true;
}

bool serial_has_shape(struct span text)
{
    if (text.length < 2 + NUMBER_DIGITS || text.length > 2 + NUMBER_DIGITS_MAX || text.at[0] == '\0' ||
        !strchr(serial_letters, text.at[0]))
        return false;
    for (size_t i = 1; i + 1 < text.length; i++)
        if (text.at[i] < '0' || text.at[i] > '9')
            return false;
    const char last = text.at[text.length - 1];
    return (last >= '0' && last <= '9') || (last >= 'A' && last <= 'Z');
}

bool serial_read(struct span text, char *letter, long *number, struct fault *fault)
{
    char shown[32];
    int64_t value;
    text_show(text, shown, sizeof shown);
    if (!serial_has_shape(text))
        return fault_set(
            fault, FAULT_INPUT,
            "'%s' is not one of our serials (a letter of %s, 6 to 9 digits, a check character): scan again", shown,
            serial_letters);
    const char check = check_character_mod37_36((struct span){text.at, text.length - 1});
    const bool digits = span_read_count((struct span){text.at + 1, text.length - 2}, &value);
    if (check != text.at[text.length - 1] || check == 'I' || check == 'O' || !digits || value < 1)
        return fault_set(fault, FAULT_INPUT,
                         "'%s' is not one of our serials or was misread (its check character is wrong): scan again, or "
                         "type it letter by letter",
                         shown);
    *letter = text.at[0];
    *number = (long)value;
    return true;
}

bool serial_is_demo(const char *serial)
{
    char letter = 0;
    long number = 0;
    return serial_read(span_of(serial), &letter, &number, NULL) && number >= DEMO_NUMBER_FIRST &&
           number <= DEMO_NUMBER_LAST;
}

static bool code_character(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'A' && c <= 'Z') || c == '-';
}

bool label_code_fits(struct span text, size_t longest)
{
    if (text.length < 1 || text.length > longest)
        return false;
    for (size_t i = 0; i < text.length; i++)
        if (!code_character(text.at[i]))
            return false;
    return true;
}

/* A maker's lot is kept as the maker wrote it, in any character GS1 allows; a lot of our own is plainer. */
static bool lot_fits(struct span lot, bool own_batch)
{
    if (lot.length < 1 || lot.length >= LOT_SIZE)
        return false;
    for (size_t i = 0; i < lot.length; i++) {
        const char c = lot.at[i];
        if (own_batch ? !code_character(c) && c != '.' && c != '/' : check_character_cset82(c) < 0)
            return false;
    }
    return true;
}

static bool content_unit_known(const char *unit)
{
    for (size_t i = 0; i < sizeof content_units / sizeof *content_units; i++)
        if (strcmp(unit, content_units[i]) == 0)
            return true;
    return false;
}

static bool day_fits(struct day day)
{
    return day.number >= calendar_day(CALENDAR_FIRST_YEAR, 1, 1).number &&
           day.number <= calendar_day(CALENDAR_LAST_YEAR, 12, 31).number;
}

/* The fields other than the serial, for writing and for reading alike. */
static bool fields_fit(const struct unit_label *label, struct fault *fault)
{
    char shown[48];
    if (label->item[0] && !label_code_fits(span_of(label->item), ITEM_CODE_SIZE - 1))
        return fault_set(fault, FAULT_INPUT,
                         "item '%s' does not fit a label: use 1 to %d capital letters, digits or '-'",
                         text_show(span_of(label->item), shown, sizeof shown), ITEM_CODE_SIZE - 1);
    if (label->lot[0] && !lot_fits(span_of(label->lot), label->own_batch))
        return fault_set(fault, FAULT_INPUT, "lot '%s' does not fit a label: use 1 to %d %s",
                         text_show(span_of(label->lot), shown, sizeof shown), LOT_SIZE - 1,
                         label->own_batch ? "capital letters, digits, '.', '-' or '/'"
                                          : "letters, digits or signs, no blanks, accents or # $ @ [ ] ^ { } ~");
    if ((label->has_filled && !day_fits(label->filled)) || (label->has_expires && !day_fits(label->expires)))
        return fault_set(fault, FAULT_INPUT, "the %s date is not between %d and %d: check the date",
                         label->has_filled && !day_fits(label->filled) ? "fill" : "expiry", CALENDAR_FIRST_YEAR,
                         CALENDAR_LAST_YEAR);
    if (label->content < 0 || label->content > CONTENT_MAX)
        return fault_set(fault, FAULT_INPUT, "content %ld does not fit a label: use 1 to %d", label->content,
                         CONTENT_MAX);
    if (label->content > 0 && !content_unit_known(label->content_unit))
        return fault_set(fault, FAULT_INPUT, "content unit '%s' is not known: use ML, GR, KG, LT or EA",
                         text_show(span_of(label->content_unit), shown, sizeof shown));
    return true;
}

static void add_date(struct builder *out, const char *identifier, struct day day)
{
    int year, month, day_of_month;
    calendar_split(day, &year, &month, &day_of_month);
    builder_addf(out, "\x1d%s%04d%02d%02d", identifier, year, month, day_of_month);
}

bool unit_label_write(const struct unit_label *label, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                      struct fault *fault)
{
    char letter;
    long number;
    struct builder out;
    if (!serial_read(span_of(label->serial), &letter, &number, fault) || !fields_fit(label, fault))
        return false;
    builder_init(&out, text, UNIT_LABEL_TEXT_SIZE);
    builder_addf(&out, LABEL_HEADER "S%s", label->serial);
    if (label->item[0])
        builder_addf(&out,
                     "\x1d"
                     "P%s",
                     label->item);
    if (label->lot[0])
        builder_addf(&out, "\x1d%s%s", label->own_batch ? "T" : "1T", label->lot);
    if (label->has_filled)
        add_date(&out, "16D", label->filled);
    if (label->has_expires)
        add_date(&out, "14D", label->expires);
    if (label->content > 0)
        builder_addf(&out,
                     "\x1d"
                     "7Q%ld%s",
                     label->content, label->content_unit);
    builder_add(&out, LABEL_TRAILER);
    *length = out.length;
    return true;
}

static bool copy_field(const struct data_field *field, char *at, size_t size, const char *what, struct fault *fault)
{
    char shown[48];
    return !field || span_copy(field->value, at, size) ||
           fault_set(fault, FAULT_INPUT, "our own label carries the %s '%s', longer than any we print: scan again",
                     what, text_show(field->value, shown, sizeof shown));
}

static bool content_read(const struct data_field *field, struct unit_label *label, struct fault *fault)
{
    int64_t millionths;
    char unit[3];
    if (!field || !data_identifier_measure(field->value, &millionths, unit))
        return true; /* absent; a 7Q that is no measure never comes this far */
    if (millionths % MILLION != 0 || millionths == 0)
        return fault_set(fault, FAULT_INPUT, "our own label carries a content that is no whole number: scan again");
    label->content = (long)(millionths / MILLION);
    memcpy(label->content_unit, unit, sizeof label->content_unit);
    return true;
}

bool unit_label_from_fields(const struct data_field *fields, size_t count, struct unit_label *label,
                            struct fault *fault)
{
    struct unit_label result = {0};
    char letter;
    long number;
    const struct data_field *const serial = data_identifier_find(fields, count, "S");
    if (!serial || !serial_read(serial->value, &letter, &number, fault))
        return serial ? false : fault_set(fault, FAULT_INPUT, "the code holds no serial (S): scan again");
    const struct data_field *lot = data_identifier_find(fields, count, "1T");
    if (!lot) {
        lot = data_identifier_find(fields, count, "T");
        result.own_batch = lot != NULL;
    }
    const struct data_field *const filled = data_identifier_find(fields, count, "16D");
    const struct data_field *const expires = data_identifier_find(fields, count, "14D");
    result.has_filled = filled != NULL;
    result.has_expires = expires != NULL;
    result.filled = filled ? filled->day : result.filled;
    result.expires = expires ? expires->day : result.expires;
    (void)span_copy(serial->value, result.serial, sizeof result.serial);
    if (!copy_field(data_identifier_find(fields, count, "P"), result.item, sizeof result.item, "item", fault) ||
        !copy_field(lot, result.lot, sizeof result.lot, "lot", fault) ||
        !content_read(data_identifier_find(fields, count, "7Q"), &result, fault) || !fields_fit(&result, fault))
        return false;
    *label = result;
    return true;
}
