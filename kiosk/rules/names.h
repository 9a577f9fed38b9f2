#ifndef KIOSK_RULES_NAMES_H
#define KIOSK_RULES_NAMES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/rules/arena.h"

/* Which place an id has among all, in order of bytes, and which id it is: for lists that name each other. */

struct names {
    struct name {
        const char *text; /* borrowed */
        uint32_t index;   /* where it stood */
    } * sorted;
    size_t count;
};

enum { NAMES_NONE = -1 };

/* Of texts that lie `step` bytes apart, the first at `first` (a const char * in an array of structs). The same text may
 * come several times: once is kept, with the first index. False: the arena is full. */
bool names_init(struct names *names, const char *const *first, size_t count, size_t step, struct arena *arena);
/* Its place in `sorted`, or NAMES_NONE. */
int64_t names_find(const struct names *names, const char *text);

#endif
