#include "kiosk/web/server.h"

#include <arpa/inet.h>
#include <errno.h>
#include <netinet/in.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/socket.h>
#include <time.h>
#include <unistd.h>

#include "kiosk/web/guard.h"
#include "kiosk/web/pin_worker.h"
#include "kiosk/web/request.h"
#include "kiosk/web/template_worker.h"
#include "kiosk/web/web.h"

_Static_assert(offsetof(struct sockaddr_in, sin_port) == offsetof(struct sockaddr_in6, sin6_port),
               "bound_port relies on it");

enum {
    THREADS = 2,
    IDLE_SECONDS = 60, /* a client that neither sends nor takes anything; suspended connections do not count */
    CONNECTION_MEMORY = 64 * 1024,
    KEEP_ALIVE_MS = 15000,
    GOODBYE_MS = 2000, /* for the last answers to get out */
    BACKLOG = 128
};

/* Options */

static void free_texts(struct web_options *options)
{
    /* the copies are ours; const only to their readers */
    free((void *)options->address);
    free((void *)options->ledger_address);
    free((void *)options->pages_folder);
    free((void *)options->vendor_folder);
    free((void *)options->api_file);
    free((void *)options->templates_folder);
    free((void *)options->own_templates);
    free((void *)options->kiosk);
    free((void *)options->demo_pin);
}

static bool copy_text(const char **text, const char *fallback)
{
    const char *from = *text ? *text : fallback;
    *text = from ? strdup(from) : NULL;
    return *text || !from;
}

static bool copy_options(const struct web_options *from, struct web_options *to)
{
    bool good = true;
    *to = *from;
    good = copy_text(&to->address, "127.0.0.1") && good;
    good = copy_text(&to->ledger_address, NULL) && good;
    good = copy_text(&to->pages_folder, NULL) && good;
    good = copy_text(&to->vendor_folder, NULL) && good;
    good = copy_text(&to->api_file, NULL) && good;
    good = copy_text(&to->templates_folder, "") && good;
    good = copy_text(&to->own_templates, "") && good;
    good = copy_text(&to->kiosk, "") && good;
    good = copy_text(&to->demo_pin, "") && good;
    if (to->keep_alive_ms <= 0)
        to->keep_alive_ms = KEEP_ALIVE_MS;
    return good;
}

/* Socket */

static socklen_t fill_address(const struct web_options *options, struct sockaddr_storage *storage)
{
    struct sockaddr_in6 *six = (struct sockaddr_in6 *)storage;
    struct sockaddr_in *four = (struct sockaddr_in *)storage;
    memset(storage, 0, sizeof *storage);
    if (inet_pton(AF_INET6, options->address, &six->sin6_addr) == 1) {
        six->sin6_family = AF_INET6;
        six->sin6_port = htons(options->port);
        return sizeof *six;
    }
    four->sin_family = AF_INET;
    four->sin_port = htons(options->port);
    if (inet_pton(AF_INET, options->address, &four->sin_addr) != 1)
        four->sin_addr.s_addr = htonl(INADDR_LOOPBACK); /* "localhost", nothing else is let in */
    return sizeof *four;
}

/* The port number lies at the same place in both kinds of address. */
static uint16_t bound_port(int socket_fd)
{
    struct sockaddr_in6 address = {0};
    socklen_t length = sizeof address;
    if (getsockname(socket_fd, (struct sockaddr *)&address, &length) != 0)
        return 0;
    return ntohs(address.sin6_port);
}

static bool listen_at(struct web *web, struct fault *fault)
{
    const struct web_options *options = &web->options;
    struct sockaddr_storage storage;
    const int on = 1;
    if (!guard_address_is_loopback(options->address))
        return fault_set(fault, FAULT_REFUSED,
                         "web address '%.64s' can be reached from other machines, which needs TLS and sign-in, and "
                         "this kiosk has neither: set 127.0.0.1",
                         options->address);
    const socklen_t length = fill_address(options, &storage);
    web->socket = socket(storage.ss_family, SOCK_STREAM | SOCK_CLOEXEC | SOCK_NONBLOCK, 0);
    if (web->socket < 0)
        return fault_set(fault, FAULT_STORAGE, "no socket for the web server: %s", strerror(errno));
    setsockopt(web->socket, SOL_SOCKET, SO_REUSEADDR, &on, sizeof on);
    if (bind(web->socket, (struct sockaddr *)&storage, length) != 0 || listen(web->socket, BACKLOG) != 0)
        return fault_set(fault, FAULT_BUSY,
                         "cannot listen on %.64s port %u (%s): stop what runs there or set another "
                         "port",
                         options->address, (unsigned)options->port, strerror(errno));
    web->port = bound_port(web->socket);
    return true;
}

static bool start_daemon(struct web *web, struct fault *fault)
{
    const unsigned flags = MHD_USE_EPOLL_INTERNAL_THREAD | MHD_ALLOW_SUSPEND_RESUME;
    web->daemon = MHD_start_daemon(
        flags, web->port, NULL, NULL, request_handle, web, MHD_OPTION_LISTEN_SOCKET, (MHD_socket)web->socket,
        MHD_OPTION_THREAD_POOL_SIZE, (unsigned)THREADS, MHD_OPTION_CONNECTION_LIMIT, (unsigned)WEB_CONNECTIONS,
        MHD_OPTION_CONNECTION_TIMEOUT, (unsigned)IDLE_SECONDS, MHD_OPTION_CONNECTION_MEMORY_LIMIT,
        (size_t)CONNECTION_MEMORY, MHD_OPTION_NOTIFY_COMPLETED, request_ended, web, MHD_OPTION_END);
    if (!web->daemon)
        return fault_set(fault, FAULT_STORAGE, "the web server's threads could not be started: free some memory");
    web->socket = -1; /* the daemon closes it */
    return true;
}

/* Life */

static void init_locks(struct web *web)
{
    pthread_condattr_t attributes;
    pthread_mutex_init(&web->mutex, NULL);
    pthread_condattr_init(&attributes);
    pthread_condattr_setclock(&attributes, CLOCK_MONOTONIC);
    pthread_cond_init(&web->quiet, &attributes);
    pthread_condattr_destroy(&attributes);
}

bool web_create(const struct web_options *options, struct web **web, struct fault *fault)
{
    struct web *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for the web server");
    made->socket = -1;
    init_locks(made);
    if (!copy_options(options, &made->options) || !(made->readers = readers_create(made->options.ledger_address))) {
        fault_set(fault, FAULT_STORAGE, "no memory for the web server");
        goto failed;
    }
    const struct template_files templates = web_template_files(made);
    const struct pin_worker_options pins = {made->readers, options->writer, options->clock, options->code};
    made->options.code = NULL; /* the worker has it, and forgets it once used */
    if (!listen_at(made, fault) || !template_worker_start(&templates, made->options.demo, &made->templates, fault) ||
        !pin_worker_start(&pins, &made->pins, fault) ||
        !events_create(made->options.feed, made->readers, WEB_STREAMS, made->options.keep_alive_ms, &made->events,
                       fault) ||
        !start_daemon(made, fault))
        goto failed;
    *web = made;
    return true;

failed:
    web_destroy(made);
    return false;
}

/* Requests that were answered just now still have their answer in the library's hands. */
static void let_answers_out(struct web *web)
{
    struct timespec until;
    clock_gettime(CLOCK_MONOTONIC, &until);
    until.tv_sec += GOODBYE_MS / 1000;
    pthread_mutex_lock(&web->mutex);
    int waited = 0;
    while (web->active > 0 && waited != ETIMEDOUT)
        waited = pthread_cond_timedwait(&web->quiet, &web->mutex, &until);
    pthread_mutex_unlock(&web->mutex);
}

void web_destroy(struct web *web)
{
    if (!web)
        return;
    waiter_stop_all(web);
    if (web->events)
        events_stop(web->events);
    if (web->daemon) {
        let_answers_out(web);
        MHD_stop_daemon(web->daemon);
    }
    if (web->socket >= 0)
        close(web->socket);
    pin_worker_stop(web->pins);
    template_worker_stop(web->templates); /* nobody can hand it anything any more */
    events_destroy(web->events);
    readers_destroy(web->readers);
    pthread_cond_destroy(&web->quiet);
    pthread_mutex_destroy(&web->mutex);
    free_texts(&web->options);
    free(web);
}

uint16_t web_port(const struct web *web)
{
    return web->port;
}

struct template_files web_template_files(const struct web *web)
{
    return (struct template_files){web->options.own_templates, web->options.templates_folder};
}

bool web_is_stopping(struct web *web)
{
    pthread_mutex_lock(&web->mutex);
    const bool stopping = web->stopping;
    pthread_mutex_unlock(&web->mutex);
    return stopping;
}
