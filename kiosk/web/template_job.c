#include "kiosk/web/template_job.h"

#include <assert.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "labels/drawing/label_pdf.h"
#include "labels/drawing/label_png.h"

enum { USUAL_DPI = 203 };

static const char UNSAVED[] = "label"; /* what a preview without a name is called */
static const char SAMPLE[] = "SAMPLE";

/* Requests */

static bool make(enum template_task task, const char *name, struct template_job **job, struct fault *fault)
{
    struct template_job *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for this template: try again");
    made->task = task;
    made->file = -1;
    made->dpi = USUAL_DPI;
    if (!span_copy(span_of(name), made->name, sizeof made->name)) {
        free(made);
        return fault_set(fault, FAULT_INPUT, "a template's name has at most %d small letters, digits and '-'",
                         TEMPLATE_NAME_SIZE - 1);
    }
    *job = made;
    return true;
}

void template_job_free(void *job)
{
    struct template_job *self = job;
    if (!self)
        return;
    if (self->file >= 0)
        close(self->file);
    json_decref(self->body);
    free(self);
}

static bool is_listed(const char *key, const char *const *keys)
{
    for (; *keys; keys++)
        if (strcmp(key, *keys) == 0)
            return true;
    return false;
}

static bool read_body(struct span body, const char *const *keys, struct template_job *job, struct fault *fault)
{
    json_error_t error;
    const char *key;
    json_t *value;
    job->body = body.length > 0 ? json_loadb(body.at, body.length, JSON_REJECT_DUPLICATES, &error) : NULL;
    if (!json_is_object(job->body))
        return fault_set(fault, FAULT_INPUT, "the body is no JSON object: see /api");
    json_object_foreach(job->body, key, value)
    {
        char shown[48];
        if (!is_listed(key, keys))
            return fault_set(fault, FAULT_INPUT, "key '%s' is not known here: see /api",
                             text_show(span_of(key), shown, sizeof shown));
    }
    const json_t *text = json_object_get(job->body, "text");
    if (!json_is_string(text))
        return fault_set(fault, FAULT_INPUT, "key 'text' is missing or no text: send the template's text");
    job->text = (struct span){json_string_value(text), json_string_length(text)};
    return true;
}

static bool read_fields(struct template_job *job, struct fault *fault)
{
    json_t *fields = json_object_get(job->body, "fields");
    const char *key;
    json_t *value;
    if (fields && !json_is_object(fields))
        return fault_set(fault, FAULT_INPUT, "key 'fields' is no object: send {\"NAME\": \"value\"}");
    json_object_foreach(fields, key, value)
    {
        char shown[48];
        if (!json_is_string(value))
            return fault_set(fault, FAULT_INPUT, "field '%s' is no text: put its value in quotes",
                             text_show(span_of(key), shown, sizeof shown));
        if (job->field_count == TEMPLATE_JOB_FIELDS)
            return fault_set(fault, FAULT_INPUT, "there are over %d fields: send fewer", TEMPLATE_JOB_FIELDS);
        job->fields[job->field_count++] = (struct label_field){key, json_string_value(value)};
    }
    return true;
}

static bool read_dpi(struct template_job *job, struct fault *fault)
{
    const json_t *dpi = json_object_get(job->body, "dpi");
    const json_int_t value = dpi ? json_integer_value(dpi) : USUAL_DPI;
    if (value < DOTS_DPI_MIN || value > TEMPLATE_JOB_DPI_MAX)
        return fault_set(fault, FAULT_INPUT, "key 'dpi' is no whole number from %d to %d: send dots an inch",
                         DOTS_DPI_MIN, TEMPLATE_JOB_DPI_MAX);
    job->dpi = (int)value;
    return true;
}

static bool read_name(struct template_job *job, struct fault *fault)
{
    const json_t *name = json_object_get(job->body, "name");
    return !name ||
           (json_is_string(name) && span_copy(span_of(json_string_value(name)), job->name, sizeof job->name)) ||
           fault_set(fault, FAULT_INPUT, "key 'name' is no text of up to %d bytes: leave it out",
                     TEMPLATE_NAME_SIZE - 1);
}

static bool read_format(struct template_job *job, struct fault *fault)
{
    const json_t *format = json_object_get(job->body, "format");
    const char *word = format ? json_string_value(format) : "png";
    job->pdf = word && strcmp(word, "pdf") == 0;
    return job->pdf || (word && strcmp(word, "png") == 0) ||
           fault_set(fault, FAULT_INPUT, "key 'format' is neither \"png\" nor \"pdf\": say one of them");
}

/* null or left out: there was no such template when the person began. */
static bool read_seen(const char *seen, struct template_job *job, struct fault *fault)
{
    return span_copy(span_of(seen), job->seen, sizeof job->seen) ||
           fault_set(fault, FAULT_INPUT, "'seen' is no digest of a template's text: send the one that came with it");
}

static bool keep(bool good, struct template_job *made, struct template_job **job)
{
    if (good)
        *job = made;
    else
        template_job_free(made);
    return good;
}

bool template_job_preview(struct span body, struct template_job **job, struct fault *fault)
{
    static const char *const keys[] = {"text", "fields", "dpi", "name", "format", NULL};
    struct template_job *made = NULL;
    if (!make(TEMPLATE_PREVIEW, UNSAVED, &made, fault))
        return false;
    assert(made);
    return keep(read_body(body, keys, made, fault) && read_fields(made, fault) && read_dpi(made, fault) &&
                    read_name(made, fault) && read_format(made, fault),
                made, job);
}

bool template_job_save(const char *name, struct span body, struct template_job **job, struct fault *fault)
{
    static const char *const keys[] = {"text", "seen", NULL};
    struct template_job *made = NULL;
    if (!make(TEMPLATE_SAVE, name, &made, fault))
        return false;
    assert(made);
    bool good = read_body(body, keys, made, fault);
    const json_t *seen = json_object_get(made->body, "seen");
    if (good && seen && !json_is_null(seen) && !json_is_string(seen))
        good = fault_set(fault, FAULT_INPUT, "key 'seen' is neither a text nor null: see /api");
    return keep(good && read_seen(json_string_value(seen), made, fault), made, job);
}

bool template_job_drop(const char *name, const char *seen, struct template_job **job, struct fault *fault)
{
    struct template_job *made = NULL;
    if (!seen)
        return fault_set(fault, FAULT_INPUT, "say which text is to go: add ?seen= and the digest that came with it");
    return make(TEMPLATE_DROP, name, &made, fault) && keep(read_seen(seen, made, fault), made, job);
}

/* Work */

static void mark_sample(struct template_job *job)
{
    size_t at = 0;
    while (at < job->field_count && strcmp(job->fields[at].name, "sample") != 0)
        at++;
    if (at == TEMPLATE_JOB_FIELDS) /* more than there are: the drawing will say so */
        return;
    if (at == job->field_count)
        job->fields[job->field_count++] = (struct label_field){"sample", SAMPLE};
    else if (job->fields[at].value[0] == '\0')
        job->fields[at].value = SAMPLE;
}

static bool draw(struct template_job *job, const struct template *template, struct drawer *drawer, struct fault *fault)
{
    struct dots dots = {.rows = NULL};
    job->file = memfd_create("label", MFD_CLOEXEC);
    if (job->file < 0)
        return fault_set(fault, FAULT_STORAGE, "no memory to hold a label: try again");
    if (job->pdf)
        return label_pdf_write(job->file, drawer, template, job->fields, job->field_count, job->dpi, fault);
    if (!label_draw(drawer, template, job->fields, job->field_count, job->dpi, &dots, fault))
        return false;
    const bool good = label_png_write(job->file, &dots, fault);
    dots_clear(&dots);
    return good;
}

static bool preview(struct template_job *job, bool demo, struct drawer **drawer, struct fault *fault)
{
    struct template *template = malloc(sizeof *template);
    bool good = template || fault_set(fault, FAULT_STORAGE, "no memory for this template: try again");
    good = good && template_read(job->name, job->text, template, fault);
    if (good && !*drawer)
        *drawer = drawer_create(fault);
    if (demo)
        mark_sample(job);
    if (good && !*drawer)
        good = fault_set(fault, FAULT_STORAGE, "%s", fault->text);
    good = good && draw(job, template, *drawer, fault);
    free(template);
    return good;
}

bool template_job_run(struct template_job *job, const struct template_files *files, bool demo, struct drawer **drawer,
                      struct fault *fault)
{
    switch (job->task) {
    case TEMPLATE_PREVIEW:
        return preview(job, demo, drawer, fault);
    case TEMPLATE_SAVE:
        return template_files_save(files, job->name, job->text, job->seen, job->digest, fault);
    case TEMPLATE_DROP:
        break;
    }
    return template_files_drop(files, job->name, job->seen, fault);
}

static int64_t number_after(const char *text, const char *word, const char **end)
{
    const char *at = strstr(text, word);
    int64_t number = 0;
    if (!at)
        return 0;
    at += strlen(word);
    const size_t digits = strspn(at, "0123456789");
    *end = at + digits;
    return span_read_count((struct span){at, digits}, &number) ? number : 0;
}

void template_job_place(const char *name, const char *sentence, int64_t *line, int64_t *column)
{
    char words[TEMPLATE_NAME_SIZE + 24];
    const char *rest = sentence;
    struct builder text;
    builder_init(&text, words, sizeof words);
    builder_addf(&text, "template '%s' line ", name);
    *line = number_after(sentence, words, &rest);
    *column = *line > 0 ? number_after(rest, " at place ", &rest) : 0;
}
