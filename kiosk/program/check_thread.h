#ifndef KIOSK_PROGRAM_CHECK_THREAD_H
#define KIOSK_PROGRAM_CHECK_THREAD_H

#include <stdbool.h>

#include <jansson.h>

#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/writer.h"
#include "labels/basics/fault.h"

/* Checks the whole file of a SQLite ledger after each start (file_check.h), by a thread of low priority that can be
 * stopped at any moment. What is found damaged shuts the writer.
 *
 * After a stop that was not orderly the check comes first: before anybody can act when the file has at most
 * FILE_CHECK_SMALL bytes (about half a second), else at once, with a note on the page. After an orderly stop it waits
 * CHECK_THREAD_PAUSE_MS, for the first people of the morning. */

enum { CHECK_THREAD_PAUSE_MS = 2000 };

struct check_thread;

struct check_thread_options {
    const char *ledger_address; /* borrowed until check_thread_stop, as the rest */
    struct writer *writer;
    struct feed *feed; /* the passing event "ledger" says that check_thread_health has news */
};

bool check_thread_start(const struct check_thread_options *options, struct check_thread **thread, struct fault *fault);
void check_thread_stop(struct check_thread *thread); /* accepts NULL */

/* Adds "file": waiting|checking|good|part|index|damaged|unknown, "file_sentence", and to the array "notes" what a
 * person should know. Any thread. */
void check_thread_health(struct check_thread *thread, json_t *health);

#endif
