#include "tests/ledger/cut_proxy.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <poll.h>
#include <pthread.h>
#include <sys/socket.h>
#include <sys/un.h>
#include <unistd.h>

enum { CHUNK = 65536, WAIT_MS = 50 };

struct cut_proxy {
    struct sockaddr_un server, here;
    int listener;
    pthread_t thread;
    atomic_int cut, cuts, stopping;
};

static void set_address(struct sockaddr_un *address, const char *folder)
{
    address->sun_family = AF_UNIX;
    const int length = snprintf(address->sun_path, sizeof address->sun_path, "%s/.s.PGSQL.5432", folder);
    assert_true(length > 0 && (size_t)length < sizeof address->sun_path);
}

static bool send_all(int to, const char *bytes, ssize_t length)
{
    while (length > 0) {
        const ssize_t sent = send(to, bytes, (size_t)length, MSG_NOSIGNAL);
        if (sent <= 0)
            return false;
        bytes += sent;
        length -= sent;
    }
    return true;
}

/* Passes on what one side says. False: this connection is over. */
static bool pass(struct cut_proxy *proxy, int from, int to, bool from_client, bool *swallow)
{
    char bytes[CHUNK];
    const ssize_t length = recv(from, bytes, sizeof bytes, 0);
    if (length <= 0)
        return false;
    /* simple query: 'Q', length, "COMMIT"; its answer: 'C', length, "COMMIT" (PostgreSQL protocol 3.0, 55.7) */
    const bool commit = memmem(bytes, (size_t)length, "COMMIT", 7) != NULL;
    if (from_client && commit && atomic_load(&proxy->cut) != CUT_NEVER) {
        *swallow = true;
        if (atomic_exchange(&proxy->cut, CUT_NEVER) == CUT_BEFORE_COMMIT) {
            atomic_fetch_add(&proxy->cuts, 1);
            return false;
        }
    } else if (!from_client && *swallow && commit) {
        atomic_fetch_add(&proxy->cuts, 1);
        return false;
    }
    return send_all(to, bytes, length);
}

static void serve(struct cut_proxy *proxy, int client)
{
    const int server = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    bool swallow = false;
    if (server >= 0 && connect(server, (struct sockaddr *)&proxy->server, sizeof proxy->server) == 0) {
        struct pollfd ends[] = {{client, POLLIN, 0}, {server, POLLIN, 0}};
        bool open = true;
        while (open && poll(ends, 2, -1) > 0) {
            if (ends[0].revents)
                open = pass(proxy, client, server, true, &swallow);
            if (open && ends[1].revents)
                open = pass(proxy, server, client, false, &swallow);
        }
    }
    (void)close(server);
    (void)close(client);
}

static void *run(void *context)
{
    struct cut_proxy *proxy = context;
    struct pollfd listener = {proxy->listener, POLLIN, 0};
    while (!atomic_load(&proxy->stopping)) {
        if (poll(&listener, 1, WAIT_MS) <= 0)
            continue;
        const int client = accept(proxy->listener, NULL, NULL);
        if (client >= 0)
            serve(proxy, client);
    }
    return NULL;
}

struct cut_proxy *cut_proxy_create(const char *server, const char *folder)
{
    struct cut_proxy *proxy = calloc(1, sizeof *proxy);
    assert_non_null(proxy);
    set_address(&proxy->server, server);
    set_address(&proxy->here, folder);
    proxy->listener = socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    assert_int_equal(bind(proxy->listener, (struct sockaddr *)&proxy->here, sizeof proxy->here), 0);
    assert_int_equal(listen(proxy->listener, 8), 0);
    assert_int_equal(pthread_create(&proxy->thread, NULL, run, proxy), 0);
    return proxy;
}

void cut_proxy_destroy(struct cut_proxy *proxy)
{
    atomic_store(&proxy->stopping, 1);
    pthread_join(proxy->thread, NULL);
    (void)close(proxy->listener);
    (void)unlink(proxy->here.sun_path);
    free(proxy);
}

void cut_proxy_arm(struct cut_proxy *proxy, enum cut cut)
{
    atomic_store(&proxy->cut, cut);
}

int cut_proxy_cuts(struct cut_proxy *proxy)
{
    return atomic_load(&proxy->cuts);
}
