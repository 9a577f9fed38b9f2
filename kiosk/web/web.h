#ifndef KIOSK_WEB_WEB_H
#define KIOSK_WEB_WEB_H

#include <pthread.h>
#include <stdatomic.h>

#include <microhttpd.h>

#include "kiosk/web/events.h"
#include "kiosk/web/readers.h"
#include "kiosk/web/server.h"
#include "kiosk/web/template_files.h"

/* The server's own insides, for the files of this room only.
 *
 * Locks, in the order they may be taken: web.mutex, then a waiter's (waiter.h). The events' locks are their own
 * (events.h) and are never taken under these. */

struct pin_worker;
struct template_worker;
struct waiter;

struct web {
    struct web_options options; /* the texts are owned copies */
    struct MHD_Daemon *daemon;
    int socket; /* listening; MHD closes it once it runs */
    uint16_t port;
    struct readers *readers;
    struct events *events;
    struct template_worker *templates;
    struct pin_worker *pins;

    pthread_mutex_t mutex; /* guards the four below */
    pthread_cond_t quiet;  /* `active` became 0 */
    bool stopping;
    size_t active;          /* requests between their first byte of header and their last of answer */
    struct waiter *waiters; /* suspended requests, so that shutdown can resume them */

    atomic_uint_fast64_t requests, problems, pictures, symbols;
    atomic_int pictures_now;
    atomic_bool storage_failed; /* the last act that was tried could not be stored */
};

bool web_is_stopping(struct web *web);
/* Where label templates are. Borrowed from the options. */
struct template_files web_template_files(const struct web *web);

#endif
