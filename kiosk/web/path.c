#include "kiosk/web/path.h"

#include <string.h>

#include "labels/basics/text.h"

bool path_matches(const char *pattern, const char *path, char parameter[PATH_PARAMETER_SIZE])
{
    const size_t length = strlen(pattern);
    const bool one = length >= 3 && strcmp(pattern + length - 3, "/{}") == 0;
    const bool rest = length >= 2 && strcmp(pattern + length - 2, "/*") == 0;
    if (!one && !rest) {
        parameter[0] = '\0';
        return strcmp(pattern, path) == 0;
    }
    const size_t prefix = length - (one ? 2 : 1); /* up to and with the '/' */
    if (strncmp(path, pattern, prefix) != 0)
        return false;
    const struct span found = span_of(path + prefix);
    if (found.length == 0 || (one && memchr(found.at, '/', found.length)))
        return false;
    return span_copy(found, parameter, PATH_PARAMETER_SIZE);
}

static bool is_plain_byte(char c)
{
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9') || c == '.' || c == '_' ||
           c == '-';
}

bool path_is_plain(const char *path)
{
    bool at_start = true;
    for (const char *c = path; *c; c++) {
        if (*c == '/') {
            if (at_start)
                return false;
            at_start = true;
            continue;
        }
        if (!is_plain_byte(*c) || (at_start && *c == '.'))
            return false;
        at_start = false;
    }
    return !at_start;
}

const char *path_media_type(const char *path)
{
    static const struct {
        const char *ending, *type;
    } types[] = {
        {".html", "text/html; charset=utf-8"},
        {".js", "text/javascript; charset=utf-8"}, /* RFC 9239 */
        {".mjs", "text/javascript; charset=utf-8"},
        {".css", "text/css; charset=utf-8"},
        {".json", "application/json"},
        {".webmanifest", "application/manifest+json"},
        {".svg", "image/svg+xml"},
        {".png", "image/png"},
        {".jpg", "image/jpeg"},
        {".ico", "image/vnd.microsoft.icon"},
        {".woff2", "font/woff2"},
        {".wav", "audio/wav"},
        {".ogg", "audio/ogg"},
        {".txt", "text/plain; charset=utf-8"},
        {".yaml", "application/yaml"}, /* RFC 9512 */
    };
    const size_t length = strlen(path);
    for (size_t i = 0; i < sizeof types / sizeof *types; i++) {
        const size_t ending = strlen(types[i].ending);
        if (length > ending && strcmp(path + length - ending, types[i].ending) == 0)
            return types[i].type;
    }
    return NULL;
}
