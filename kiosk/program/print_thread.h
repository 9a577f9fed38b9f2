#ifndef KIOSK_PROGRAM_PRINT_THREAD_H
#define KIOSK_PROGRAM_PRINT_THREAD_H

#include <jansson.h>

#include "kiosk/devices/printer_media.h"
#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/writer.h"
#include "kiosk/web/template_files.h"

/* The thread of one label printer: a follower of the feed. It takes prints that wait, marks each as sent (durably,
 * before a byte goes out), sends it, and marks what the printer claims. What was marked sent when the daemon ended is
 * looked for at the printer by its name; when that does not tell, a question is asked. Nothing is sent twice. Between
 * labels and while one is on its way it does what a person told the printer (movements "print-tell"). */

struct print_thread;

struct print_thread_options {
    const char *printer_uri;
    struct template_files templates;
    const char *ledger_address;
    const char *kiosk;   /* this one's name */
    bool shared;         /* other kiosks may work on the ledger */
    int ask_seconds;     /* without news for so long, a person is asked */
    int darkness, speed; /* as in struct printer_job; 0: as the printer is set */
    enum printer_tracking tracking;
    struct writer *writer; /* borrowed, as the rest */
    struct feed *feed;
    bool demo;
};

bool print_thread_start(const struct print_thread_options *options, struct print_thread **thread, struct fault *fault);
/* Ends after the label in hand. Accepts NULL. */
void print_thread_stop(struct print_thread *thread);
/* Adds `label_printer` to /health: is one set up, and what is wrong with it ("": nothing). NULL: none is set up. From
 * any thread. */
void print_thread_health(struct print_thread *thread, json_t *health);

#endif
