#ifndef KIOSK_WEB_PATH_H
#define KIOSK_WEB_PATH_H

#include <stdbool.h>
#include <stddef.h>

/* Request paths, already percent-decoded by the HTTP library (so "%2e%2e" comes here as ".."). Pure. */

enum { PATH_PARAMETER_SIZE = 201 };

/* Does `path` fit `pattern`? A pattern is a literal path, or one whose last segment is "{}" (one segment, without '/')
 * or "*" (the rest, one segment or more). What the {} or * stood for is copied to `parameter`; "" for a literal. What
 * is empty or longer than the buffer does not match. */
bool path_matches(const char *pattern, const char *path, char parameter[PATH_PARAMETER_SIZE]);

/* Names that may be looked for in a folder of files: segments of [A-Za-z0-9._-], none empty, none beginning with a
 * dot, so that no name leads out of the folder or to a hidden file. */
bool path_is_plain(const char *path);

/* Media type by the name's ending; NULL when it is none that we serve. */
const char *path_media_type(const char *path);

#endif
