#ifndef KIOSK_LEDGER_JSON_MEMORY_H
#define KIOSK_LEDGER_JSON_MEMORY_H

#include <jansson.h>

/* JSON's memory when the machine has none. Objects are built piece by piece by calls whose results nobody looks at, so
 * a piece without memory would be missing from what is booked or shown; and jansson's parser itself goes astray when
 * its buffer cannot grow (jansson#362, open since 2017: it writes beyond the text it was to copy). So JSON does not run
 * out: what malloc refuses comes from a reserve, given back as its pieces are freed. Acts use little of it for a
 * moment, and while memory stays away the database refuses them. When the reserve is used up too, the program ends with
 * a line in the log, as if it had been killed: nothing that was answered is lost, and nothing half is booked. */

enum { JSON_MEMORY_RESERVE = 4 * 1024 * 1024 };

/* From now on. Early, while no other thread uses JSON; again as often as one likes. */
void json_memory_keep(void);

/* json_dumps, whose text can be given to free() wherever it came from. NULL: no memory, or a value that is no JSON. */
char *json_memory_dumps(const json_t *value, size_t flags);

#endif
