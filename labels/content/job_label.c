#include "labels/content/job_label.h"

#include <string.h>

#include "labels/content/job_label_fields.h"
#include "labels/content/unit_label_fields.h"

enum { MILLION = 1000000 };

bool job_label_code_fits(struct span text)
{
    if (text.length < 1 || text.length >= JOB_LABEL_CODE_SIZE)
        return false;
    for (size_t i = 0; i < text.length; i++) {
        const char c = text.at[i];
        if (c != '.' && c != '/' && !label_code_fits((struct span){&c, 1}, 1))
            return false;
    }
    return true;
}

bool job_label_printer_fits(struct span text)
{
    return label_code_fits(text, JOB_LABEL_PRINTER_SIZE - 1);
}

/* One spelling only: no blank at an end. No ']': with it begins what a scanner sends before a code, so that one inside
 * would be taken for two scans that ran together. */
static bool words_fit(struct span text, size_t size)
{
    if (text.length < 1 || text.length >= size || text.at[0] == ' ' || text.at[text.length - 1] == ' ')
        return false;
    for (size_t i = 0; i < text.length; i++)
        if (text.at[i] < 0x20 || text.at[i] > 0x7E || text.at[i] == ']')
            return false;
    return true;
}

bool job_label_resin_fits(struct span text)
{
    return words_fit(text, JOB_LABEL_RESIN_SIZE);
}

bool job_label_revision_fits(struct span text)
{
    return words_fit(text, JOB_LABEL_REVISION_SIZE);
}

static bool refuse(const char *what, const char *value, int most, const char *signs, struct fault *fault)
{
    char shown[48];
    return fault_set(fault, FAULT_INPUT, "%s '%s' does not fit a job's ticket: use 1 to %d %s", what,
                     text_show(span_of(value), shown, sizeof shown), most, signs);
}

static bool fields_fit(const struct job_label *label, struct fault *fault)
{
    static const char words[] = "letters, digits or signs but ']', no accents and no blank at an end";
    if (!job_label_code_fits(span_of(label->code)))
        return refuse("job", label->code, JOB_LABEL_CODE_SIZE - 1, "capital letters, digits, '.', '/' or '-'", fault);
    if (label->printer[0] && !job_label_printer_fits(span_of(label->printer)))
        return refuse("printer", label->printer, JOB_LABEL_PRINTER_SIZE - 1, "capital letters, digits or '-'", fault);
    if (label->resin[0] && !job_label_resin_fits(span_of(label->resin)))
        return refuse("resin", label->resin, JOB_LABEL_RESIN_SIZE - 1, words, fault);
    if (label->revision[0] && !job_label_revision_fits(span_of(label->revision)))
        return refuse("revision", label->revision, JOB_LABEL_REVISION_SIZE - 1, words, fault);
    return (label->need_ml >= 0 && label->need_ml <= JOB_LABEL_NEED_MAX) ||
           fault_set(fault, FAULT_INPUT, "need %ld ml does not fit a job's ticket: use 1 to %d", label->need_ml,
                     JOB_LABEL_NEED_MAX);
}

static void add(struct builder *out, const char *identifier, const char *value)
{
    if (value[0])
        builder_addf(out, "\x1d%s%s", identifier, value);
}

bool job_label_write(const struct job_label *label, char text[UNIT_LABEL_TEXT_SIZE], size_t *length,
                     struct fault *fault)
{
    char compact[TICKET_TIME_COMPACT_SIZE];
    struct builder out;
    if (!fields_fit(label, fault))
        return false;
    builder_init(&out, text, UNIT_LABEL_TEXT_SIZE);
    builder_addf(&out, LABEL_HEADER "W%s", label->code);
    add(&out, "10S", label->printer);
    add(&out, "P", label->resin);
    add(&out, "2P", label->revision);
    if (label->need_ml > 0)
        builder_addf(&out,
                     "\x1d"
                     "7Q%ldML",
                     label->need_ml);
    add(&out, "23D", label->has_ends ? ticket_time_compact(&label->ends, compact) : "");
    builder_add(&out, LABEL_TRAILER);
    *length = out.length;
    return true;
}

static bool is_millilitres(const struct data_field *field)
{
    int64_t millionths;
    char unit[3];
    return data_identifier_measure(field->value, &millionths, unit) && strcmp(unit, "ML") == 0;
}

bool job_label_is(const struct data_field *fields, size_t count)
{
    static const char *const ours[] = {"W", "10S", "P", "2P", "7Q", "23D"};
    const struct data_field *const code = data_identifier_find(fields, count, "W");
    if (!code || !job_label_code_fits(code->value))
        return false;
    for (size_t i = 0; i < count; i++) {
        bool known = false;
        for (size_t j = 0; j < sizeof ours / sizeof *ours && !known; j++)
            known = strcmp(fields[i].name, ours[j]) == 0;
        if (!known || (strcmp(fields[i].name, "7Q") == 0 && !is_millilitres(&fields[i])))
            return false;
    }
    return true;
}

static bool copy_field(const struct data_field *field, char *at, size_t size, const char *what, struct fault *fault)
{
    char shown[48];
    return !field || span_copy(field->value, at, size) ||
           fault_set(fault, FAULT_INPUT, "the ticket carries the %s '%s', longer than any we print: print it again",
                     what, text_show(field->value, shown, sizeof shown));
}

static bool read_need(const struct data_field *field, struct job_label *label, struct fault *fault)
{
    int64_t millionths;
    char unit[3];
    if (!field || !data_identifier_measure(field->value, &millionths, unit))
        return true; /* absent; a 7Q that is no measure never comes this far */
    if (millionths % MILLION != 0 || millionths == 0)
        return fault_set(fault, FAULT_INPUT, "the ticket's need is no whole number of millilitres: print it again");
    label->need_ml = (long)(millionths / MILLION);
    return true;
}

bool job_label_from_fields(const struct data_field *fields, size_t count, struct job_label *label, struct fault *fault)
{
    struct job_label read = {.need_ml = 0};
    const struct data_field *const ends = data_identifier_find(fields, count, "23D");
    read.has_ends = ends != NULL;
    if (!copy_field(data_identifier_find(fields, count, "W"), read.code, sizeof read.code, "job", fault) ||
        !copy_field(data_identifier_find(fields, count, "10S"), read.printer, sizeof read.printer, "printer", fault) ||
        !copy_field(data_identifier_find(fields, count, "P"), read.resin, sizeof read.resin, "resin", fault) ||
        !copy_field(data_identifier_find(fields, count, "2P"), read.revision, sizeof read.revision, "revision",
                    fault) ||
        !read_need(data_identifier_find(fields, count, "7Q"), &read, fault) ||
        (ends && !ticket_time_read_compact(ends->value, &read.ends, fault)) || !fields_fit(&read, fault))
        return false;
    *label = read;
    return true;
}
