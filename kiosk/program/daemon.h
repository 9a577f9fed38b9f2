#ifndef KIOSK_PROGRAM_DAEMON_H
#define KIOSK_PROGRAM_DAEMON_H

#include <stdbool.h>
#include <stdint.h>

#include "kiosk/program/config.h"

/* The running kiosk: every part started in order and stopped in the reverse, by one table (daemon.c). */

struct daemon;

/* `config` is borrowed until daemon_stop. False: what had started is stopped again. */
bool daemon_start(const struct config *config, bool demo, struct daemon **daemon, struct fault *fault);
void daemon_stop(struct daemon *daemon); /* accepts NULL */
uint16_t daemon_port(const struct daemon *daemon);

#endif
