#ifndef KIOSK_WEB_TEMPLATE_FILES_H
#define KIOSK_WEB_TEMPLATE_FILES_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/drawing/template.h"

/* Label templates by name in two folders of NAME.label files: the shop's own come before those that were shipped. Only
 * the shop's own folder is ever written, and a file in it comes into being whole: a power cut leaves the old text or
 * the new one. What stood there before stays beside it as NAME.label~.
 *
 * One thread saves and drops; any may read meanwhile. A person with an editor may change the files at any time. */

struct template_files {
    const char *own;     /* "" or NULL: the shop has no folder of its own */
    const char *shipped; /* likewise: nothing was shipped */
};

enum {
    TEMPLATE_FILES_MOST = 200, /* names in a list */
    TEMPLATE_DIGEST_SIZE = 65  /* SHA-256 of the bytes in hex, and a NUL */
};

/* About 33 KiB: keep it off small stacks. */
struct template_text {
    bool own;     /* the shop's, not the shipped one */
    bool shipped; /* there is a shipped one of this name */
    size_t length;
    char bytes[TEMPLATE_BYTES + 1]; /* as they stand in the file, sense or not; one more than is allowed tells */
    char digest[TEMPLATE_DIGEST_SIZE];
};

/* The text that counts under `name`. FAULT_INPUT: no name for a template; FAULT_MISSING: there is none of that name;
 * FAULT_STORAGE: it is there and cannot be read. */
bool template_files_read(const struct template_files *files, const char *name, struct template_text *text,
                         struct fault *fault);

/* The template that counts under `name`, for printing: as template_load, the shop's own folder first. An own one that
 * is broken is a fault, not a reason to print the shipped one. */
bool template_files_load(const struct template_files *files, const char *name, struct template *template,
                         struct fault *fault);

/* Every name of either folder once, in byte order; names beyond TEMPLATE_FILES_MOST are left out, `*more` says so. A
 * folder that is not there holds none. Returns how many. */
size_t template_files_list(const struct template_files *files, char names[TEMPLATE_FILES_MOST][TEMPLATE_NAME_SIZE],
                           bool *more);

/* The picture of where to stick it, PICTURE.svg beside the shipped templates: the name itself, or what it begins with
 * up to a '-', since labels of all sizes are stuck to the same place (vat-case-100x50: vat-case). False: there is none.
 */
bool template_files_picture(const struct template_files *files, const char *name, char picture[TEMPLATE_NAME_SIZE]);

/* Saves `text` as the shop's own `name`. `seen` is the digest of the text that counted when the person began to edit;
 * "" when there was none. FAULT_INPUT: template_read refuses the text; FAULT_CONFLICT: another text counts by now;
 * FAULT_REFUSED: no folder is configured; FAULT_STORAGE: it cannot be written, and the old one stays. */
bool template_files_save(const struct template_files *files, const char *name, struct span text, const char *seen,
                         char digest[TEMPLATE_DIGEST_SIZE], struct fault *fault);

/* Takes the shop's own away, so that the shipped one counts again, if there is one. `seen` as above. FAULT_MISSING:
 * the shop has none. */
bool template_files_drop(const struct template_files *files, const char *name, const char *seen, struct fault *fault);

#endif
