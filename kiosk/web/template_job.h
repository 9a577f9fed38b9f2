#ifndef KIOSK_WEB_TEMPLATE_JOB_H
#define KIOSK_WEB_TEMPLATE_JOB_H

#include <jansson.h>

#include "kiosk/web/template_files.h"
#include "labels/drawing/label.h"

/* What the worker does for a request about templates: draw one that is being edited, save one, take one away. */

enum template_task { TEMPLATE_PREVIEW, TEMPLATE_SAVE, TEMPLATE_DROP };

enum { TEMPLATE_JOB_FIELDS = 32, TEMPLATE_JOB_DPI_MAX = 600 };

struct waiter;

struct template_job {
    enum template_task task;
    char name[TEMPLATE_NAME_SIZE]; /* of a preview: for its sentences */
    json_t *body;                  /* owned; what follows points into it */
    struct span text;
    struct label_field fields[TEMPLATE_JOB_FIELDS];
    size_t field_count;
    int dpi;
    bool pdf; /* a preview: for an office printer */
    char seen[TEMPLATE_DIGEST_SIZE];
    struct waiter *waiter; /* who waits for it */

    int file;                          /* result of a preview: a PNG or PDF in memory; -1: none */
    char digest[TEMPLATE_DIGEST_SIZE]; /* result of a save */
};

/* {"text", "fields"?: {NAME: value}, "dpi"?: 203, "name"?, "format"?: "png" or "pdf"} to a preview; {"text", "seen":
 * digest or null} to a save of `name`; a drop has no body. Every key is checked for its type; an unknown one is a
 * fault. The caller frees `*job`. False: FAULT_INPUT (the request makes no sense; whether the text does is seen when it
 * is run) or FAULT_STORAGE. */
bool template_job_preview(struct span body, struct template_job **job, struct fault *fault);
bool template_job_save(const char *name, struct span body, struct template_job **job, struct fault *fault);
bool template_job_drop(const char *name, const char *seen, struct template_job **job, struct fault *fault);
void template_job_free(void *job); /* accepts NULL */

/* Does it. `*drawer` is made when it is first needed (NULL before) and stays the caller's. With `demo` every label that
 * is drawn has the mark SAMPLE. FAULT_INPUT: the template or a field is refused, with the sentence for who edits it. */
bool template_job_run(struct template_job *job, const struct template_files *files, bool demo, struct drawer **drawer,
                      struct fault *fault);

/* The line, and the column when it is said, that a sentence of template `name` speaks of; 0: none. */
void template_job_place(const char *name, const char *sentence, int64_t *line, int64_t *column);

#endif
