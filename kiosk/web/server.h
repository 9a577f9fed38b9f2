#ifndef KIOSK_WEB_SERVER_H
#define KIOSK_WEB_SERVER_H

#include <stdbool.h>
#include <stdint.h>

#include <jansson.h>

#include "kiosk/basics/clock.h"
#include "kiosk/desk/desk.h"
#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/writer.h"
#include "labels/basics/fault.h"

/* The kiosk's HTTP server: JSON under /api/ (docs/api.yaml describes every path), the event stream, metrics, health,
 * and the page's files. Two threads serve all connections, so a handler never waits for the writer, the eye, a
 * PIN or the drawing of a label: it queues the act, picture, PIN or template, suspends its connection, and the
 * completion resumes it. What a handler reads, it reads from a connection of its own to the ledger, out of a small
 * pool.
 *
 * Loopback only: any other address is refused at start, since there is no TLS and no sign-in here. Requests whose Host
 * is no loopback name, and changes asked for by another site's page, are refused (guard.h).
 *
 * Limits: 256 connections, WEB_STREAMS event streams, JSON bodies 256 KiB, pictures 32 MiB and 4 at once. */

enum { WEB_PICTURE_BODY = 32 * 1024 * 1024, WEB_PICTURES = 4, WEB_STREAMS = 64, WEB_CONNECTIONS = 256 };

struct eye;
struct web;

/* Adds what else is worth knowing of the kiosk's health (printers, scanners) to `health` as keys of its own. False:
 * something is so broken that the kiosk is not healthy. Called on a web thread; must not wait. */
typedef bool web_health(void *context, json_t *health);

struct web_options {
    const char *address; /* NULL: "127.0.0.1"; also "::1", "localhost", 127.x.y.z */
    uint16_t port;       /* 0: any free one, see web_port */
    struct writer *writer;
    struct feed *feed;
    struct eye *eye; /* NULL: no picture worker; pictures get 502 with a sentence */
    struct clock *clock;
    const struct desk *desk;
    const char *ledger_address; /* as ledger_open */
    const char *pages_folder;   /* the page's files; index.html is "/" */
    const char *vendor_folder;  /* preact's ES modules, "/usr/share/nodejs/preact/src" on Debian; NULL: none */
    const char *api_file;       /* docs/api.yaml as installed; NULL: /api answers 404 */
    const char
        *templates_folder;     /* label templates as shipped, NULL: none; pictures of where to stick them beside them */
    const char *own_templates; /* the shop's own, "" or NULL: none can be saved */
    bool demo;                 /* every label drawn here is marked SAMPLE */
    const char *kiosk;         /* this kiosk's name */
    int keep_alive_ms;         /* between comment lines on a quiet event stream; 0: 15 000 */
    const char *code;          /* the code of act "enrol" that counts now, "" or NULL: none */
    void (*code_used)(void *context); /* it has, and counts no more; on a web thread; may be NULL */
    void *code_context;
    const char *demo_pin; /* a demo tells everybody the PIN of its storekeeper; "" or NULL: none */
    web_health *health;   /* may be NULL */
    void *health_context;
};

/* Starts to serve. Texts are copied; writer, feed, eye, clock and desk are borrowed until web_destroy, and the feed
 * until the writer and the eye are gone too (an act in flight announces itself there).
 * FAULT_REFUSED: the address is not loopback. FAULT_BUSY: somebody listens there. FAULT_STORAGE: no memory. */
bool web_create(const struct web_options *options, struct web **web, struct fault *fault);

/* Ends the event streams, answers what is in flight with 503 (such an act may still be booked: its id tells), stops
 * the threads. Waits for nobody's act or picture. Accepts NULL. Call it before the writer and the eye are destroyed. */
void web_destroy(struct web *web);

uint16_t web_port(const struct web *web);

/* Tells the pages that the view of `counter` may have changed: the passing event "counter", {"counter": NAME}. For
 * whoever ran an act that did not come over HTTP (a hand scanner). Any thread, but not from a feed's wake. */
void web_announce_counter(struct feed *feed, const char *counter);

#endif
