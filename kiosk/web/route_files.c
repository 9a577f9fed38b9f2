#include <fcntl.h>
#include <inttypes.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "kiosk/web/reply.h"
#include "kiosk/web/request.h"
#include "labels/basics/text.h"

/* The page's files, preact's modules, the labels' pictures and the API's description. A name is plain (path.h), and
 * where it leads, links followed, must lie inside the folder. */

enum { NAME_SHOWN = 80, ETAG_SIZE = 48 };

static bool lies_inside(const char *folder, const char *path)
{
    const size_t length = strlen(folder);
    return strncmp(path, folder, length) == 0 && path[length] == '/';
}

/* A regular file inside the folder, or -1. */
static int open_inside(const char *folder, const char *name, struct stat *info)
{
    char joined[PATH_MAX], real_folder[PATH_MAX], real_path[PATH_MAX];
    struct builder path;
    builder_init(&path, joined, sizeof joined);
    builder_addf(&path, "%s/%s", folder, name);
    if (path.cut || !realpath(folder, real_folder) || !realpath(joined, real_path) ||
        !lies_inside(real_folder, real_path))
        return -1;
    /* not blocked by a FIFO, not led on by a link that came since */
    const int file = open(real_path, O_RDONLY | O_CLOEXEC | O_NOFOLLOW | O_NONBLOCK);
    if (file >= 0 && (fstat(file, info) != 0 || !S_ISREG(info->st_mode))) {
        close(file);
        return -1;
    }
    return file;
}

static void write_etag(const struct stat *info, char etag[ETAG_SIZE])
{
    struct builder text;
    builder_init(&text, etag, ETAG_SIZE);
    builder_addf(&text, "\"%" PRIx64 "-%lx-%" PRIx64 "\"", (uint64_t)info->st_mtim.tv_sec, info->st_mtim.tv_nsec,
                 (uint64_t)info->st_size);
}

/* RFC 9110 section 13.1.2: a list of tags, perhaps weak ones, or "*". Our tags hold no comma. */
static bool knows(const struct request *request, const char *etag)
{
    const char *known = request_header(request, MHD_HTTP_HEADER_IF_NONE_MATCH);
    return known && (strcmp(known, "*") == 0 || strstr(known, etag));
}

static enum MHD_Result reply_file(struct request *request, int file, const struct stat *info, const char *type)
{
    char etag[ETAG_SIZE];
    write_etag(info, etag);
    const bool same = knows(request, etag);
    char nothing = '\0';
    struct MHD_Response *response;
    if (same) {
        close(file);
        response = MHD_create_response_from_buffer(0, &nothing, MHD_RESPMEM_MUST_COPY);
    } else {
        response = MHD_create_response_from_fd64((uint64_t)info->st_size, file);
        if (!response)
            close(file);
    }
    if (response) {
        MHD_add_response_header(response, MHD_HTTP_HEADER_ETAG, etag);
        MHD_add_response_header(response, MHD_HTTP_HEADER_CACHE_CONTROL, "no-cache"); /* ask with the tag */
        MHD_add_response_header(response, MHD_HTTP_HEADER_CONTENT_TYPE, type);
    }
    return reply_send(request, same ? MHD_HTTP_NOT_MODIFIED : MHD_HTTP_OK, response);
}

static enum MHD_Result reply_missing(struct request *request, const char *name)
{
    char shown[NAME_SHOWN];
    struct fault fault = {0};
    fault_set(&fault, FAULT_MISSING, "there is no file '%s' here: look at the name",
              text_show(span_of(name), shown, sizeof shown));
    return reply_fault(request, &fault);
}

static enum MHD_Result serve(struct request *request, const char *folder, const char *name)
{
    struct stat info;
    const char *type = path_media_type(name);
    const int file = folder && type && path_is_plain(name) ? open_inside(folder, name, &info) : -1;
    return file >= 0 ? reply_file(request, file, &info, type) : reply_missing(request, name);
}

enum MHD_Result route_index_get(struct request *request)
{
    return serve(request, request->web->options.pages_folder, "index.html");
}

enum MHD_Result route_page_get(struct request *request)
{
    return serve(request, request->web->options.pages_folder, request->parameter);
}

/* preact 8's modules import one another without the ending ('./h'): a name without a dot gets it. */
enum MHD_Result route_vendor_get(struct request *request)
{
    char name[PATH_PARAMETER_SIZE + 3];
    struct builder text;
    const char *slash = strrchr(request->parameter, '/');
    const char *last = slash ? slash + 1 : request->parameter;
    builder_init(&text, name, sizeof name);
    builder_add(&text, request->parameter);
    if (!strchr(last, '.'))
        builder_add(&text, ".js");
    return serve(request, request->web->options.vendor_folder, name);
}

/* Beside a label's template: NAME.svg shows where to stick it. */
enum MHD_Result route_where_picture_get(struct request *request)
{
    return serve(request, request->web->options.templates_folder, request->parameter);
}

enum MHD_Result route_api_get(struct request *request)
{
    const char *path = request->web->options.api_file;
    struct stat info;
    const int file = path ? open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK) : -1;
    if (file < 0)
        return reply_missing(request, "api.yaml");
    if (fstat(file, &info) != 0 || !S_ISREG(info.st_mode)) {
        close(file);
        return reply_missing(request, "api.yaml");
    }
    return reply_file(request, file, &info, "application/yaml");
}
