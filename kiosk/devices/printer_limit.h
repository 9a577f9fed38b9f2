#ifndef KIOSK_DEVICES_PRINTER_LIMIT_H
#define KIOSK_DEVICES_PRINTER_LIMIT_H

#include <stdbool.h>

/* An end to one exchange with a printer, however it goes on. libcups waits at most so long for the next byte; a peer
 * that sends one byte a second, or header lines without end, holds it for ever (libcups 2.4.2, measured). When the
 * time is over the connection is shut, and whatever waits on it returns with an error. */

struct printer_limit;

/* Begins to count. `fd` is borrowed and must stay open until printer_limit_end. NULL: no memory, no thread. */
struct printer_limit *printer_limit_begin(int fd, int milliseconds);
/* Ends the counting and frees; true when the time had run out. */
bool printer_limit_end(struct printer_limit *limit);

#endif
