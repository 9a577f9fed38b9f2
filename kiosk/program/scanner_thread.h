#ifndef KIOSK_PROGRAM_SCANNER_THREAD_H
#define KIOSK_PROGRAM_SCANNER_THREAD_H

#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/writer.h"
#include "kiosk/program/config.h"

/* The thread that owns all scanners: waits for any of them, and turns each scan into an act of its counter. */

struct scanner_thread;

bool scanner_thread_start(const struct config_scanner *scanners, int count, struct writer *writer, struct feed *feed,
                          struct scanner_thread **thread, struct fault *fault);
/* Accepts NULL. Before the writer ends. */
void scanner_thread_stop(struct scanner_thread *thread);

#endif
