#ifndef KIOSK_PROGRAM_DAEMON_H
#define KIOSK_PROGRAM_DAEMON_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/program/config.h"

/* The running kiosk: every part started in order and stopped in the reverse, by one table (daemon.c). */

struct daemon;

/* `config` is borrowed until daemon_stop. `enrols_again`: a code for a PIN is made even though somebody has one. False:
 * what had started is stopped again. */
bool daemon_start(const struct config *config, bool demo, bool enrols_again, struct daemon **daemon,
                  struct fault *fault);
void daemon_stop(struct daemon *daemon); /* accepts NULL */
uint16_t daemon_port(const struct daemon *daemon);
/* The code of act "enrol", "" when none counts, and the file that it stands in, "" none. Borrowed. */
const char *daemon_code(const struct daemon *daemon, const char **file);

#endif
