#ifndef KIOSK_LEDGER_BACKUP_BACKUP_NAME_H
#define KIOSK_LEDGER_BACKUP_BACKUP_NAME_H

#include <stdbool.h>
#include <stdint.h>

#include "labels/basics/calendar.h"

/* Names of the backups that a kiosk makes by itself: "ledger-20260214T100000Z-123456.sqlite", the instant in UTC and
 * the number of the last movement. Pure. */

enum { BACKUP_INSTANT_SIZE = 17, BACKUP_NAME_SIZE = 64 };

/* "20260214T100000Z"; returns `text`. */
const char *backup_instant_write(struct instant at, char text[BACKUP_INSTANT_SIZE]);

/* Returns `name`. */
const char *backup_name_write(struct instant at, int64_t seq, char name[BACKUP_NAME_SIZE]);
/* False for every name that backup_name_write would not have written. */
bool backup_name_read(const char *name, struct instant *at, int64_t *seq);

#endif
