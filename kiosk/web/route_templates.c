#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "kiosk/web/json_rows.h"
#include "kiosk/web/reply.h"
#include "kiosk/web/template_worker.h"
#include "labels/drawing/template_fields.h"

/* Label templates: the list and a text are read at once; drawing, saving and taking away is the worker's, while the
 * request sleeps. Who may change them is the same as for every other change until people sign in with a PIN. */

enum { UM_A_MM = 1000 };

/* ---- what there is ---- */

static json_t *field_names(unsigned fields)
{
    json_t *names = json_array();
    for (int id = 0; id < LABEL_FIELD_IDS; id++)
        if (fields >> id & 1)
            json_array_append_new(names, json_string(label_field_name((enum label_field_id)id)));
    return names;
}

static void add_template(json_t *row, const struct template *template)
{
    const struct template_fields fields = template_fields_of(template);
    json_object_set_new(row, "width_mm", json_real((double)template->width_um / UM_A_MM));
    json_object_set_new(row, "height_mm", json_real((double)template->height_um / UM_A_MM));
    json_object_set_new(row, "where", json_rows_text(template->where));
    json_object_set_new(row, "needs", field_names(fields.needs));
    json_object_set_new(row, "takes", field_names(fields.takes));
}

static void add_trouble(json_t *row, const char *name, const struct fault *fault)
{
    int64_t line, column;
    template_job_place(name, fault->text, &line, &column);
    json_object_set_new(row, "trouble", json_rows_text(fault->text));
    json_object_set_new(row, "line", json_rows_number(line > 0 ? line : MOVEMENT_NULL));
    json_object_set_new(row, "column", json_rows_number(column > 0 ? column : MOVEMENT_NULL));
}

/* Room for one template while it is described: too large for a stack. */
struct room {
    struct template_text text;
    struct template template;
};

/* A new row; a template that cannot be read or makes no sense is one too, with the sentence. */
static json_t *describe(const struct template_files *files, const char *name, struct room *room, bool with_text)
{
    struct fault fault = {0};
    const bool read = template_files_read(files, name, &room->text, &fault);
    const struct span text = {room->text.bytes, room->text.length};
    char picture[TEMPLATE_NAME_SIZE] = "";
    (void)template_files_picture(files, name, picture);
    json_t *row = json_pack("{s:s, s:o}", "name", name, "picture", json_rows_text(picture));
    if (read) {
        json_object_set_new(row, "own", json_boolean(room->text.own));
        json_object_set_new(row, "shipped", json_boolean(room->text.shipped));
    }
    if (read && with_text) { /* bytes that are no UTF-8 cannot be edited here: null, and the check says why */
        json_t *whole = json_stringn(text.at, text.length);
        json_object_set_new(row, "text", whole ? whole : json_null());
        json_object_set_new(row, "digest", json_string(room->text.digest));
    }
    if (read && template_read(name, text, &room->template, &fault))
        add_template(row, &room->template);
    else
        add_trouble(row, name, &fault);
    return row;
}

static enum MHD_Result no_memory(struct request *request)
{
    struct fault fault = {0};
    fault_set(&fault, FAULT_STORAGE, "no memory for the templates: try again");
    return reply_fault(request, &fault);
}

enum MHD_Result route_templates_get(struct request *request)
{
    const struct template_files files = web_template_files(request->web);
    struct room *room = malloc(sizeof *room);
    char(*names)[TEMPLATE_NAME_SIZE] = malloc(TEMPLATE_FILES_MOST * sizeof *names);
    if (!room || !names) {
        free(room);
        free(names);
        return no_memory(request);
    }
    bool more = false;
    json_t *rows = json_array();
    const size_t count = template_files_list(&files, names, &more);
    for (size_t i = 0; i < count; i++)
        json_array_append_new(rows, describe(&files, names[i], room, false));
    free(names);
    free(room);
    return reply_json(request, MHD_HTTP_OK,
                      json_pack("{s:o, s:b, s:o, s:b, s:b}", "templates", rows, "more", (int)more, "fields",
                                field_names((1U << LABEL_FIELD_IDS) - 1), "may_save",
                                (int)(files.own && files.own[0] != '\0'), "demo", (int)request->web->options.demo));
}

enum MHD_Result route_template_get(struct request *request)
{
    const struct template_files files = web_template_files(request->web);
    struct fault fault = {0};
    struct room *room = malloc(sizeof *room);
    if (!room)
        return no_memory(request);
    const bool found = template_files_read(&files, request->parameter, &room->text, &fault);
    json_t *row = found ? describe(&files, request->parameter, room, true) : NULL;
    free(room);
    return found ? reply_json(request, MHD_HTTP_OK, row) : reply_fault(request, &fault);
}

/* ---- the worker's ---- */

/* A template or field that is refused is a well-formed request all the same: 422, with the line. */
static enum MHD_Result reply_refused(struct request *request, const struct template_job *job, const struct fault *fault)
{
    int64_t line = 0, column = 0;
    if (fault->code != FAULT_INPUT || !job)
        return reply_fault(request, fault);
    template_job_place(job->name, fault->text, &line, &column);
    json_t *more = json_object();
    if (line > 0)
        json_object_set_new(more, "line", json_integer(line));
    if (column > 0)
        json_object_set_new(more, "column", json_integer(column));
    return reply_problem_with(request, MHD_HTTP_UNPROCESSABLE_CONTENT, fault, more);
}

static enum MHD_Result reply_picture(struct request *request, struct template_job *job)
{
    struct stat info;
    if (fstat(job->file, &info) != 0)
        return no_memory(request);
    struct MHD_Response *response = MHD_create_response_from_fd64((uint64_t)info.st_size, job->file);
    if (response) {
        job->file = -1; /* the response closes it */
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, job->pdf ? "application/pdf" : "image/png");
    }
    return reply_send(request, MHD_HTTP_OK, response);
}

static enum MHD_Result reply_done(struct request *request)
{
    struct template_job *job = request->waiter->result;
    if (request->waiter->fault.code != FAULT_NONE)
        return reply_refused(request, job, &request->waiter->fault);
    if (job->task == TEMPLATE_PREVIEW)
        return reply_picture(request, job);
    json_t *body = json_pack("{s:s}", "name", job->name);
    if (job->task == TEMPLATE_SAVE)
        json_object_set_new(body, "digest", json_string(job->digest));
    return reply_json(request, MHD_HTTP_OK, body);
}

/* Takes the job. */
static enum MHD_Result hand_over(struct request *request, struct template_job *job)
{
    struct fault fault = {0};
    if (!request_wait(request, reply_done, &fault)) {
        template_job_free(job);
        return reply_fault(request, &fault);
    }
    struct waiter *waiter = request->waiter;
    job->waiter = waiter;
    /* The connection sleeps already: only what cannot change under a completion is touched from here on. */
    if (!template_worker_push(request->web->templates, job, &fault)) {
        template_job_free(job);
        waiter_complete(waiter, NULL, NULL, &fault);
    }
    return MHD_YES;
}

static struct span body_of(const struct request *request)
{
    return (struct span){request->body, request->body_length};
}

enum MHD_Result route_template_preview_post(struct request *request)
{
    struct fault fault = {0};
    struct template_job *job = NULL;
    return template_job_preview(body_of(request), &job, &fault) ? hand_over(request, job)
                                                                : reply_fault(request, &fault);
}

enum MHD_Result route_template_put(struct request *request)
{
    struct fault fault = {0};
    struct template_job *job = NULL;
    return template_job_save(request->parameter, body_of(request), &job, &fault) ? hand_over(request, job)
                                                                                 : reply_fault(request, &fault);
}

enum MHD_Result route_template_delete(struct request *request)
{
    struct fault fault = {0};
    struct template_job *job = NULL;
    return template_job_drop(request->parameter, request_query(request, "seen"), &job, &fault)
               ? hand_over(request, job)
               : reply_fault(request, &fault);
}
