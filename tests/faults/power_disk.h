#ifndef TESTS_FAULTS_POWER_DISK_H
#define TESTS_FAULTS_POWER_DISK_H

#include "tests/faults/power_vfs.h"

/* What a power cut may leave of a recorded ledger. The disk goes through the events in order and knows at every moment
 * what is durable (synced) and what was only told to it since; an image is the durable part with some of the rest.
 *
 * The model, harsher than most disks: of what was not synced, any part may be there, in any order and torn at sectors
 * of 512 bytes, of all files at once; a file that was to grow may have its new length and zeros in it; a file's new
 * length may be there or not; a name made or removed since its folder was last synced may be there or not (of one name
 * in the order in which it happened); a sync of a file says nothing of its name. Bytes beside a write are never touched
 * (SQLite takes that for granted too: SQLITE_POWERSAFE_OVERWRITE), and new length never shows another file's bytes. */

enum power_image {
    IMAGE_NONE,        /* nothing that was not synced */
    IMAGE_NONE_GROWN,  /* the same, but new names are there and files have their new lengths, full of zeros */
    IMAGE_ALL,         /* all of it */
    IMAGE_ALL_UNNAMED, /* all, but the names as they were */
    IMAGE_ONE_LOST,    /* all but one: each */
    IMAGE_SUBSET,      /* any part */
    IMAGE_ONE_TORN,    /* all, but one write that crosses sectors is there in part: each */
    IMAGE_TORN_SUBSET, /* any part, each write there, lost or torn */
    IMAGES
};
enum { POWER_SUBSETS = 16, POWER_SECTOR = 512 };

struct power_disk;

/* Borrows the events. */
struct power_disk *power_disk_create(const struct power_event *events, size_t count);
void power_disk_destroy(struct power_disk *disk);

/* Lets all events before `to` happen; never back. */
void power_disk_advance(struct power_disk *disk, size_t to);

/* How many images of a kind there are to look at here: 0 when it would only repeat another kind. */
int power_disk_images(const struct power_disk *disk, enum power_image kind);

/* Writes image `which` (from 0) of a kind to `path`, `path`-journal and `path`-wal, whichever are there. The same seed
 * gives the same image. False: this machine's own disk did not take it. */
bool power_disk_write(const struct power_disk *disk, enum power_image kind, int which, uint64_t seed, const char *path);

const char *power_disk_word(enum power_image kind);

#endif
