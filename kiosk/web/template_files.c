#include "kiosk/web/template_files.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <sodium.h>

#include "kiosk/ledger/backup/backup_file.h"

static const char ENDING[] = ".label";

static bool check_name(const char *name, struct fault *fault)
{
    char shown[64];
    return template_name_is_good(name) ||
           fault_set(fault, FAULT_INPUT,
                     "a template cannot be named '%s': use 1 to %d of small letters, digits and '-', such as vat-case",
                     text_show(span_of(name), shown, sizeof shown), TEMPLATE_NAME_SIZE - 1);
}

static bool has_folder(const char *folder)
{
    return folder && folder[0] != '\0';
}

/* FOLDER/NAME and an ending. */
static bool path_of(const char *folder, const char *name, const char *ending, char path[PATH_MAX], struct fault *fault)
{
    struct builder text;
    builder_init(&text, path, PATH_MAX);
    builder_addf(&text, "%s/%s%s", folder, name, ending);
    return !text.cut || fault_set(fault, FAULT_STORAGE, "the path of the folder of templates is too long: shorten it");
}

static void write_digest(struct span bytes, char digest[TEMPLATE_DIGEST_SIZE])
{
    uint8_t hash[crypto_hash_sha256_BYTES];
    _Static_assert(TEMPLATE_DIGEST_SIZE == 2 * sizeof hash + 1, "two digits a byte");
    crypto_hash_sha256(hash, (const uint8_t *)bytes.at, bytes.length);
    text_write_hex(hash, sizeof hash, digest, TEMPLATE_DIGEST_SIZE);
}

static bool cannot_read(const char *path, struct fault *fault)
{
    return fault_set(fault, FAULT_STORAGE, "'%s' cannot be read (%s): look at the file", path, strerror(errno));
}

/* `*found` false: there is no such file. A pipe or a folder of that name does not hold anybody up. */
static bool read_text(const char *folder, const char *name, struct template_text *text, bool *found,
                      struct fault *fault)
{
    char path[PATH_MAX];
    struct stat info;
    *found = false;
    if (!path_of(folder, name, ENDING, path, fault))
        return false;
    const int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file < 0)
        return errno == ENOENT || cannot_read(path, fault);
    if (fstat(file, &info) != 0 || !S_ISREG(info.st_mode)) {
        close(file);
        return fault_set(fault, FAULT_STORAGE, "'%s' is no file: remove it", path);
    }
    const ssize_t length = read(file, text->bytes, sizeof text->bytes); /* a file on a disk comes whole */
    const bool good = length >= 0 || cannot_read(path, fault);
    close(file);
    if (!good)
        return false;
    text->length = (size_t)length;
    write_digest((struct span){text->bytes, text->length}, text->digest);
    *found = true;
    return true;
}

static bool is_shipped(const struct template_files *files, const char *name, const char *ending)
{
    char path[PATH_MAX];
    return has_folder(files->shipped) && path_of(files->shipped, name, ending, path, NULL) && access(path, R_OK) == 0;
}

/* As template_files_read, but having none is no fault. */
static bool find_text(const struct template_files *files, const char *name, struct template_text *text, bool *found,
                      struct fault *fault)
{
    *found = false;
    if (!check_name(name, fault) || (has_folder(files->own) && !read_text(files->own, name, text, found, fault)))
        return false;
    text->own = *found;
    if (!*found && has_folder(files->shipped) && !read_text(files->shipped, name, text, found, fault))
        return false;
    text->shipped = is_shipped(files, name, ENDING);
    return true;
}

static bool tell_missing(const char *name, struct fault *fault)
{
    return fault_set(fault, FAULT_MISSING, "template '%s' is not known: look at the list of templates", name);
}

bool template_files_read(const struct template_files *files, const char *name, struct template_text *text,
                         struct fault *fault)
{
    bool found;
    return find_text(files, name, text, &found, fault) && (found || tell_missing(name, fault));
}

bool template_files_load(const struct template_files *files, const char *name, struct template *template,
                         struct fault *fault)
{
    struct fault own = {0};
    if (!has_folder(files->own))
        return template_load(files->shipped, name, template, fault);
    if (template_load(files->own, name, template, &own))
        return true;
    return own.code == FAULT_MISSING ? template_load(files->shipped, name, template, fault)
                                     : fault_set(fault, own.code, "%s", own.text);
}

/* Names */

struct names {
    char (*at)[TEMPLATE_NAME_SIZE];
    size_t count;
    bool more;
};

static bool has_name(const struct names *names, const char *name)
{
    for (size_t i = 0; i < names->count; i++)
        if (strcmp(names->at[i], name) == 0)
            return true;
    return false;
}

static void gather(const char *folder, struct names *names)
{
    DIR *entries = has_folder(folder) ? opendir(folder) : NULL;
    const struct dirent *entry;
    const size_t ending = sizeof ENDING - 1;
    while (entries && (entry = readdir(entries))) {
        char name[TEMPLATE_NAME_SIZE];
        const size_t length = strlen(entry->d_name);
        if (length <= ending || strcmp(entry->d_name + length - ending, ENDING) != 0 ||
            !span_copy((struct span){entry->d_name, length - ending}, name, sizeof name) ||
            !template_name_is_good(name) || has_name(names, name))
            continue;
        if (names->count < TEMPLATE_FILES_MOST)
            memcpy(names->at[names->count++], name, sizeof name);
        else
            names->more = true;
    }
    if (entries)
        closedir(entries);
}

static int compare_names(const void *one, const void *two)
{
    return strcmp(one, two);
}

size_t template_files_list(const struct template_files *files, char names[TEMPLATE_FILES_MOST][TEMPLATE_NAME_SIZE],
                           bool *more)
{
    struct names found = {.at = names};
    gather(files->shipped, &found); /* first: those the kiosk prints are never the ones left out */
    gather(files->own, &found);
    qsort(names, found.count, TEMPLATE_NAME_SIZE, compare_names);
    *more = found.more;
    return found.count;
}

bool template_files_picture(const struct template_files *files, const char *name, char picture[TEMPLATE_NAME_SIZE])
{
    char part[TEMPLATE_NAME_SIZE];
    if (!template_name_is_good(name) || !span_copy(span_of(name), part, sizeof part))
        return false;
    for (char *end = part + strlen(part); end; end = strrchr(part, '-')) {
        *end = '\0';
        if (part[0] != '\0' && is_shipped(files, part, ".svg"))
            return span_copy(span_of(part), picture, TEMPLATE_NAME_SIZE);
    }
    return false;
}

/* Changes */

static bool write_whole(const char *path, struct span text, struct fault *fault)
{
    struct backup_part part;
    if (!backup_part_open(path, &part, fault))
        return false;
    bool good = true;
    for (size_t done = 0; good && done < text.length;) {
        const ssize_t wrote = write(part.file, text.at + done, text.length - done);
        if (wrote < 0 && errno == EINTR)
            continue;
        good = wrote > 0 || fault_set(fault, FAULT_STORAGE, "'%s' cannot be written (%s): look at the disk", part.path,
                                      strerror(errno));
        done += good ? (size_t)wrote : 0;
    }
    good = good && backup_part_sync(&part, fault) && backup_part_publish(&part, path, true, fault);
    backup_part_close(&part);
    return good;
}

/* The shop's folder, made when it is not there yet. */
static bool need_own_folder(const struct template_files *files, struct fault *fault)
{
    if (!has_folder(files->own))
        return fault_set(fault, FAULT_REFUSED,
                         "this kiosk has no folder for the shop's own templates: name one as own-templates under "
                         "[labels] in its configuration");
    if (mkdir(files->own, 0750) == 0 || errno == EEXIST)
        return true;
    return fault_set(fault, FAULT_STORAGE,
                     "the folder '%s' for the shop's own templates cannot be made (%s): make it, or name another",
                     files->own, strerror(errno));
}

static bool check_seen(const char *name, const struct template_text *now, bool found, const char *seen,
                       struct fault *fault)
{
    if (strcmp(found ? now->digest : "", seen) == 0)
        return true;
    return found ? fault_set(fault, FAULT_CONFLICT,
                             "template '%s' was changed by somebody else meanwhile: look at the new text, then save "
                             "again",
                             name)
                 : fault_set(fault, FAULT_CONFLICT, "template '%s' is not there any more: read the list again", name);
}

static bool check_template(const char *name, struct span text, struct fault *fault)
{
    struct template *template = malloc(sizeof *template);
    if (!template)
        return fault_set(fault, FAULT_STORAGE, "no memory to check a template: try again");
    const bool good = template_read(name, text, template, fault);
    free(template);
    return good;
}

/* What stood there goes to NAME.label~ first; then NAME.label changes by one rename. */
static bool keep_old(const struct template_files *files, const char *name, const struct template_text *old,
                     struct fault *fault)
{
    char path[PATH_MAX];
    if (old->length > TEMPLATE_BYTES)
        return fault_set(fault, FAULT_STORAGE,
                         "the shop's own %s.label has over %d bytes, which no label was saved with: move it away first",
                         name, TEMPLATE_BYTES);
    return path_of(files->own, name, ".label~", path, fault) &&
           write_whole(path, (struct span){old->bytes, old->length}, fault);
}

bool template_files_save(const struct template_files *files, const char *name, struct span text, const char *seen,
                         char digest[TEMPLATE_DIGEST_SIZE], struct fault *fault)
{
    char path[PATH_MAX];
    bool found = false;
    struct template_text *old = calloc(1, sizeof *old);
    if (!old)
        return fault_set(fault, FAULT_STORAGE, "no memory to save a template: try again");
    const bool good = check_name(name, fault) && check_template(name, text, fault) && need_own_folder(files, fault) &&
                      find_text(files, name, old, &found, fault) && check_seen(name, old, found, seen, fault) &&
                      (!found || !old->own || keep_old(files, name, old, fault)) &&
                      path_of(files->own, name, ENDING, path, fault) && write_whole(path, text, fault);
    free(old);
    if (good)
        write_digest(text, digest);
    return good;
}

static bool remove_own(const struct template_files *files, const char *name, struct fault *fault)
{
    char path[PATH_MAX];
    if (!path_of(files->own, name, ENDING, path, fault))
        return false;
    if (unlink(path) != 0)
        return fault_set(fault, FAULT_STORAGE, "'%s' cannot be removed (%s): let the kiosk's user write in that folder",
                         path, strerror(errno));
    return backup_folder_sync(path, fault);
}

bool template_files_drop(const struct template_files *files, const char *name, const char *seen, struct fault *fault)
{
    bool found = false;
    struct template_text *old = calloc(1, sizeof *old);
    if (!old)
        return fault_set(fault, FAULT_STORAGE, "no memory to look at a template: try again");
    bool good = find_text(files, name, old, &found, fault);
    if (good && (!found || !old->own))
        good = fault_set(fault, FAULT_MISSING, "the shop has no template '%s' of its own: nothing was removed", name);
    good = good && check_seen(name, old, found, seen, fault) && keep_old(files, name, old, fault) &&
           remove_own(files, name, fault);
    free(old);
    return good;
}
