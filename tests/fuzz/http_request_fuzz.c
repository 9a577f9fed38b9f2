#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/web/act_json.h"
#include "kiosk/web/credential.h"
#include "kiosk/web/guard.h"
#include "kiosk/web/path.h"
#include "kiosk/web/route.h"
#include "kiosk/web/template_job.h"

/* What this project itself parses of an HTTP request: the body of an act, of a scan and of a template, the path, Host,
 * Origin and Authorization. The first byte chooses, the rest is the text. */

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size);

static void read_path(const char *text)
{
    char parameter[PATH_PARAMETER_SIZE];
    char allow[ROUTE_ALLOW_SIZE];
    const struct route *route = route_find("GET", text, parameter, allow);
    if (route && strlen(parameter) >= PATH_PARAMETER_SIZE)
        abort();
    if (path_is_plain(text) && (strstr(text, "..") == text || strstr(text, "/.") || text[0] == '/'))
        abort(); /* a plain name cannot lead out of its folder */
    path_media_type(text);
}

static void read_act(struct span body)
{
    struct act act;
    struct act_approval approval;
    struct fault fault = {0};
    if (act_json_read(body, &act, &approval, &fault) || act_json_read_scan(body, &act, &fault)) {
        if (!json_is_object(act.content) || strlen(act.id) < 8)
            abort();
        json_decref(act.content);
    } else if (fault.code == FAULT_NONE || fault.text[0] == '\0') {
        abort(); /* a refusal says why */
    }
}

static void read_template(struct span body)
{
    struct template_job *job = NULL;
    struct fault fault = {0};
    int64_t line, column;
    if (template_job_preview(body, &job, &fault) || template_job_save("vat-case", body, &job, &fault)) {
        if (job->field_count > TEMPLATE_JOB_FIELDS || job->dpi < DOTS_DPI_MIN || (!job->text.at && job->text.length))
            abort();
        template_job_free(job);
    } else if (fault.code == FAULT_NONE || fault.text[0] == '\0') {
        abort();
    }
    template_job_place("vat-case", body.at, &line, &column);
    if (line < 0 || column < 0)
        abort();
}

static void read_headers(struct span text)
{
    const size_t half = text.length / 2;
    const struct guard_request request = {
        .host = {text.at, half}, .origin = {text.at + half, text.length - half}, .changes = true};
    guard_check(&request, NULL);
    guard_host_is_loopback(text);
}

static void read_credential(struct span text)
{
    struct span token = {"", 0};
    if (credential_read(text, &token) && (token.at < text.at || token.at + token.length != text.at + text.length))
        abort(); /* a token is the header's end, all of it */
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size)
{
    if (size == 0)
        return 0;
    char *text = malloc(size);
    if (!text)
        return 0;
    memcpy(text, data + 1, size - 1);
    text[size - 1] = '\0';
    const struct span span = {text, size - 1};
    if (data[0] == 'p')
        read_path(text);
    else if (data[0] == 'h')
        read_headers(span);
    else if (data[0] == 'c')
        read_credential(span);
    else if (data[0] == 't')
        read_template(span);
    else
        read_act(span);
    free(text);
    return 0;
}
