#include "labels/drawing/symbol_content.h"

#include <string.h>

#include "labels/basics/calendar.h"
#include "labels/basics/text.h"
#include "labels/content/scan.h"

enum { CONTENT_ML_MAX = 99999999 }; /* 7Q: eight digits at most (ANSI MH10.8.2) */

const char *symbol_kind_word(enum symbol_kind kind)
{
    static const char *const words[] = {"unit", "serial", "place", "person", "card", "item", "job", "job-code"};
    _Static_assert(sizeof words / sizeof *words == SYMBOL_KINDS, "one word a kind");
    return words[kind];
}

static bool need(const struct label_values *values, enum label_field_id id, struct fault *fault)
{
    return values->at[id] ||
           fault_set(fault, FAULT_INPUT, "field '%s' is missing: this label needs it", label_field_name(id));
}

static bool put_text(const struct label_values *values, enum label_field_id id, char *buffer, size_t size,
                     struct fault *fault)
{
    if (!values->at[id] || span_copy(span_of(values->at[id]), buffer, size))
        return true;
    return fault_set(fault, FAULT_INPUT, "field '%s' is longer than %zu characters: shorten it", label_field_name(id),
                     size - 1);
}

static bool put_date(const struct label_values *values, enum label_field_id id, bool *has, struct day *day,
                     struct fault *fault)
{
    if (!values->at[id])
        return true;
    struct fault reason = {0};
    const struct span span = span_of(values->at[id]);
    if (!calendar_read_date(span.at, span.length, day, &reason))
        return fault_set(fault, FAULT_INPUT, "field '%s': %s", label_field_name(id), reason.text);
    *has = true;
    return true;
}

static bool read_content(const struct label_values *values, long *content, struct fault *fault)
{
    const char *value = values->at[LABEL_FIELD_CONTENT];
    int64_t ml = 0;
    if (!span_read_count(span_of(value), &ml) || ml < 1 || ml > CONTENT_ML_MAX)
        return fault_set(fault, FAULT_INPUT,
                         "field 'content' is not whole millilitres from 1 to %d: write 1000 for 1 l", CONTENT_ML_MAX);
    *content = (long)ml;
    return true;
}

static bool put_content(const struct label_values *values, struct unit_label *label, struct fault *fault)
{
    if (!values->at[LABEL_FIELD_CONTENT])
        return true;
    memcpy(label->content_unit, "ML", sizeof "ML");
    return read_content(values, &label->content, fault);
}

static bool put_lot(const struct label_values *values, struct unit_label *label, struct fault *fault)
{
    if (values->at[LABEL_FIELD_LOT] && values->at[LABEL_FIELD_BATCH])
        return fault_set(fault, FAULT_INPUT, "fields 'lot' and 'batch' are both given: a unit carries one of them");
    label->own_batch = values->at[LABEL_FIELD_BATCH] != NULL;
    return put_text(values, LABEL_FIELD_LOT, label->lot, sizeof label->lot, fault) &&
           put_text(values, LABEL_FIELD_BATCH, label->lot, sizeof label->lot, fault);
}

/* Serial alone, checked; a badge has the letter H and nothing else has. */
static bool put_serial(const struct label_values *values, bool person, struct unit_label *label, struct fault *fault)
{
    if (!need(values, LABEL_FIELD_SERIAL, fault))
        return false;
    char letter = 0;
    long number = 0;
    struct fault reason = {0};
    if (!serial_read(span_of(values->at[LABEL_FIELD_SERIAL]), &letter, &number, &reason))
        return fault_set(fault, FAULT_INPUT, "field 'serial': %s", reason.text);
    if ((letter == 'H') != person)
        return fault_set(fault, FAULT_INPUT, "field 'serial' is '%s': %s", values->at[LABEL_FIELD_SERIAL],
                         person ? "a badge's serial starts with H" : "H is for badges, not for units");
    return put_text(values, LABEL_FIELD_SERIAL, label->serial, sizeof label->serial, fault);
}

static bool write_unit(const struct label_values *values, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                       struct fault *fault)
{
    struct unit_label label = {0};
    return put_serial(values, false, &label, fault) &&
           put_text(values, LABEL_FIELD_ITEM, label.item, sizeof label.item, fault) && put_lot(values, &label, fault) &&
           put_date(values, LABEL_FIELD_FILLED, &label.has_filled, &label.filled, fault) &&
           put_date(values, LABEL_FIELD_EXPIRES, &label.has_expires, &label.expires, fault) &&
           put_content(values, &label, fault) && unit_label_write(&label, text, length, fault);
}

static bool put_ends(const struct label_values *values, struct job_label *label, struct fault *fault)
{
    struct fault reason = {0};
    label->has_ends = values->at[LABEL_FIELD_ENDS] != NULL;
    if (!label->has_ends || ticket_time_read(span_of(values->at[LABEL_FIELD_ENDS]), &label->ends, &reason))
        return true;
    return fault_set(fault, FAULT_INPUT, "field 'ends': %s", reason.text);
}

static bool write_job(const struct label_values *values, bool alone, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                      struct fault *fault)
{
    struct job_label label = {.need_ml = 0};
    if (!need(values, LABEL_FIELD_JOB, fault) ||
        !put_text(values, LABEL_FIELD_JOB, label.code, sizeof label.code, fault))
        return false;
    if (!alone && (!put_text(values, LABEL_FIELD_PRINTER, label.printer, sizeof label.printer, fault) ||
                   !put_text(values, LABEL_FIELD_RESIN, label.resin, sizeof label.resin, fault) ||
                   !put_text(values, LABEL_FIELD_REVISION, label.revision, sizeof label.revision, fault) ||
                   (values->at[LABEL_FIELD_CONTENT] && !read_content(values, &label.need_ml, fault)) ||
                   !put_ends(values, &label, fault)))
        return false;
    return job_label_write(&label, text, length, fault);
}

bool symbol_content_write(enum symbol_kind kind, const char *word, const struct label_values *values,
                          char text[UNIT_LABEL_TEXT_SIZE], size_t *length, struct fault *fault)
{
    struct unit_label alone = {0};
    switch (kind) {
    case SYMBOL_UNIT:
        return write_unit(values, text, length, fault);
    case SYMBOL_SERIAL:
    case SYMBOL_PERSON:
        return put_serial(values, kind == SYMBOL_PERSON, &alone, fault) &&
               unit_label_write(&alone, text, length, fault);
    case SYMBOL_PLACE:
        return need(values, LABEL_FIELD_PLACE, fault) &&
               place_label_write(values->at[LABEL_FIELD_PLACE], text, length, fault);
    case SYMBOL_CARD:
        return card_label_write(word, text, length, fault);
    case SYMBOL_ITEM:
        return need(values, LABEL_FIELD_ITEM, fault) &&
               item_label_write(values->at[LABEL_FIELD_ITEM], text, length, fault);
    case SYMBOL_JOB:
    case SYMBOL_JOB_CODE:
        return write_job(values, kind == SYMBOL_JOB_CODE, text, length, fault);
    case SYMBOL_KINDS:
        break;
    }
    return fault_set(fault, FAULT_INPUT, "kind %d of symbol is not known", (int)kind);
}
