#include "tests/faults/power_disk.h"

#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "tests/reading/random.h"

enum { MOST_FILES = 64 };

struct content {
    uint8_t *bytes;
    size_t length, room;
};

struct power_disk {
    const struct power_event *events;
    size_t count, at;
    size_t *pending; /* events not durable yet: writes and truncations, in order */
    size_t pending_count;
    size_t *names; /* the same: names made and removed */
    size_t names_count;
    struct content files[MOST_FILES]; /* durable bytes */
    int there[POWER_NAMES];           /* durable names; -1 none */
};

static void *must_have(void *memory)
{
    if (!memory) {
        (void)fputs("power: no memory for an image\n", stderr);
        abort();
    }
    return memory;
}

/* ---- bytes ---- */

static void set_length(struct content *content, size_t length)
{
    if (length > content->room) {
        content->room = length < 65536 ? 65536 : 2 * length;
        content->bytes = must_have(realloc(content->bytes, content->room));
    }
    if (length > content->length)
        memset(content->bytes + content->length, 0, length - content->length);
    content->length = length;
}

static void put(struct content *content, size_t offset, const uint8_t *bytes, size_t length)
{
    if (offset + length > content->length)
        set_length(content, offset + length);
    memcpy(content->bytes + offset, bytes, length);
}

enum fate { THERE, LOST, TORN };

static void put_torn(struct content *content, const struct power_event *event, uint64_t *random)
{
    size_t done = 0;
    while (done < event->length) {
        const size_t at = (size_t)event->offset + done;
        size_t part = POWER_SECTOR - at % POWER_SECTOR;
        if (part > event->length - done)
            part = event->length - done;
        if (random_below(random, 2))
            put(content, at, event->bytes + done, part);
        done += part;
    }
}

/* `grows`: what is lost or torn has its new length all the same. */
static void happen(struct content *content, const struct power_event *event, enum fate fate, bool grows,
                   uint64_t *random)
{
    const size_t offset = (size_t)event->offset;
    if (event->kind == POWER_TRUNCATE) {
        if (fate == THERE)
            set_length(content, offset);
        return;
    }
    if (fate == THERE)
        put(content, offset, event->bytes, event->length);
    else if (fate == TORN)
        put_torn(content, event, random);
    if (grows && offset + event->length > content->length)
        set_length(content, offset + event->length);
}

/* ---- time goes on ---- */

struct power_disk *power_disk_create(const struct power_event *events, size_t count)
{
    struct power_disk *disk = must_have(calloc(1, sizeof *disk));
    disk->events = events;
    disk->count = count;
    disk->pending = must_have(calloc(count + 1, sizeof *disk->pending));
    disk->names = must_have(calloc(count + 1, sizeof *disk->names));
    for (int name = 0; name < POWER_NAMES; name++)
        disk->there[name] = -1;
    return disk;
}

void power_disk_destroy(struct power_disk *disk)
{
    for (int file = 0; file < MOST_FILES; file++)
        free(disk->files[file].bytes);
    free(disk->pending);
    free(disk->names);
    free(disk);
}

static void sync_file(struct power_disk *disk, int file)
{
    size_t kept = 0;
    for (size_t i = 0; i < disk->pending_count; i++) {
        const struct power_event *event = &disk->events[disk->pending[i]];
        if (event->file == file)
            happen(&disk->files[file], event, THERE, false, NULL);
        else
            disk->pending[kept++] = disk->pending[i];
    }
    disk->pending_count = kept;
}

static int named_by(const struct power_event *event)
{
    return event->kind == POWER_CREATE ? event->file : -1;
}

static void sync_folder(struct power_disk *disk)
{
    for (size_t i = 0; i < disk->names_count; i++)
        disk->there[disk->events[disk->names[i]].name] = named_by(&disk->events[disk->names[i]]);
    disk->names_count = 0;
}

void power_disk_advance(struct power_disk *disk, size_t to)
{
    for (; disk->at < to && disk->at < disk->count; disk->at++) {
        const struct power_event *event = &disk->events[disk->at];
        if (event->file >= MOST_FILES)
            abort();
        switch (event->kind) {
        case POWER_WRITE:
        case POWER_TRUNCATE:
            disk->pending[disk->pending_count++] = disk->at;
            break;
        case POWER_SYNC:
            if (!event->ignored)
                sync_file(disk, event->file);
            break;
        case POWER_CREATE:
        case POWER_DELETE:
            disk->names[disk->names_count++] = disk->at;
            break;
        case POWER_FOLDER_SYNC:
            sync_folder(disk);
            break;
        case POWER_ANSWER:
            break;
        }
    }
}

/* ---- images ---- */

const char *power_disk_word(enum power_image kind)
{
    static const char *const words[IMAGES] = {
        "nothing unsynced", "nothing but lengths", "everything", "everything under old names", "one lost", "a part",
        "one torn",         "a torn part"};
    return words[kind];
}

static bool crosses(const struct power_event *event)
{
    return event->kind == POWER_WRITE && event->length > 0 &&
           (size_t)event->offset / POWER_SECTOR != ((size_t)event->offset + event->length - 1) / POWER_SECTOR;
}

static int count_crossing(const struct power_disk *disk)
{
    int count = 0;
    for (size_t i = 0; i < disk->pending_count; i++)
        count += crosses(&disk->events[disk->pending[i]]);
    return count;
}

int power_disk_images(const struct power_disk *disk, enum power_image kind)
{
    const int contents = (int)disk->pending_count, names = (int)disk->names_count;
    switch (kind) {
    case IMAGE_NONE:
        return 1;
    case IMAGE_NONE_GROWN:
        return contents > 0;
    case IMAGE_ALL:
        return contents + names > 0;
    case IMAGE_ALL_UNNAMED:
        return contents > 0 && names > 0;
    case IMAGE_ONE_LOST:
        return contents > 1 ? contents : 0;
    case IMAGE_SUBSET:
        return contents + names > 1 ? POWER_SUBSETS : 0;
    case IMAGE_ONE_TORN:
        return count_crossing(disk);
    case IMAGE_TORN_SUBSET:
        return count_crossing(disk) > 1 ? POWER_SUBSETS : 0;
    case IMAGES:
        break;
    }
    return 0;
}

struct choice {
    enum power_image kind;
    int which, crossed; /* crossing writes seen so far */
    uint64_t random;
};

static enum fate choose(struct choice *choice, int pending, const struct power_event *event)
{
    const bool crossing = crosses(event);
    const int crossed = choice->crossed;
    choice->crossed += crossing;
    switch (choice->kind) {
    case IMAGE_NONE:
    case IMAGE_NONE_GROWN:
        return LOST;
    case IMAGE_ONE_LOST:
        return pending == choice->which ? LOST : THERE;
    case IMAGE_SUBSET:
        return random_below(&choice->random, 2) ? THERE : LOST;
    case IMAGE_ONE_TORN:
        return crossing && crossed == choice->which ? TORN : THERE;
    case IMAGE_TORN_SUBSET:
        switch (random_below(&choice->random, 3)) {
        case 0:
            return THERE;
        case 1:
            return LOST;
        default:
            return crossing ? TORN : LOST;
        }
    default:
        return THERE;
    }
}

static bool choose_length(struct choice *choice)
{
    switch (choice->kind) {
    case IMAGE_NONE:
        return false;
    case IMAGE_NONE_GROWN:
        return true;
    default:
        return random_below(&choice->random, 2);
    }
}

/* How many of a name's `count` changes are on the disk. */
static int choose_name(struct choice *choice, int count)
{
    switch (choice->kind) {
    case IMAGE_NONE:
    case IMAGE_ALL_UNNAMED:
        return 0;
    case IMAGE_SUBSET:
    case IMAGE_TORN_SUBSET:
        return random_below(&choice->random, count + 1);
    default:
        return count;
    }
}

static int find_name(const struct power_disk *disk, enum power_name name, struct choice *choice)
{
    int count = 0, file = disk->there[name];
    for (size_t i = 0; i < disk->names_count; i++)
        count += disk->events[disk->names[i]].name == name;
    int left = choose_name(choice, count);
    for (size_t i = 0; i < disk->names_count && left > 0; i++) {
        const struct power_event *event = &disk->events[disk->names[i]];
        if (event->name == name) {
            file = named_by(event);
            left--;
        }
    }
    return file;
}

static bool write_file(const char *path, const struct content *content)
{
    const int file = open(path, O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0640);
    if (file < 0)
        return false;
    size_t done = 0;
    while (done < content->length) {
        const ssize_t part = write(file, content->bytes + done, content->length - done);
        if (part <= 0)
            break;
        done += (size_t)part;
    }
    return close(file) == 0 && done == content->length;
}

/* Every event is chosen for in order, whatever the file: so one seed means one image. */
bool power_disk_write(const struct power_disk *disk, enum power_image kind, int which, uint64_t seed, const char *path)
{
    struct choice choice = {.kind = kind, .which = which, .random = seed | 1};
    struct content made[MOST_FILES] = {{NULL, 0, 0}};
    bool fine = true;
    for (int file = 0; file < MOST_FILES; file++)
        if (disk->files[file].length > 0)
            put(&made[file], 0, disk->files[file].bytes, disk->files[file].length);
    for (size_t i = 0; i < disk->pending_count; i++) {
        const struct power_event *event = &disk->events[disk->pending[i]];
        const enum fate fate = choose(&choice, (int)i, event);
        const bool grows = choose_length(&choice);
        happen(&made[event->file], event, fate, grows, &choice.random);
    }
    for (int name = 0; name < POWER_NAMES; name++) {
        const int file = find_name(disk, name, &choice);
        char full[600];
        (void)snprintf(full, sizeof full, "%s%s", path, power_vfs_suffix(name));
        fine = fine && (file < 0 || write_file(full, &made[file]));
    }
    for (int file = 0; file < MOST_FILES; file++)
        free(made[file].bytes);
    return fine;
}
