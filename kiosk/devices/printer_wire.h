#ifndef KIOSK_DEVICES_PRINTER_WIRE_H
#define KIOSK_DEVICES_PRINTER_WIRE_H

#include <stdbool.h>
#include <stddef.h>

#include <cups/cups.h>

#include "labels/basics/fault.h"

/* One IPP question and its answer over a connection of its own (RFC 8010: HTTP POST of application/ipp). What matters
 * here is to know, when something breaks, whether a byte of the document may have reached the printer: a printer
 * prints what it has, even half of it.
 *
 * Waits at most PRINTER_WIRE_CONNECT_MS for the connection, PRINTER_WIRE_SILENCE_S whenever the other side is silent,
 * and PRINTER_WIRE_TOTAL_MS for the whole exchange, so that a peer that answers slowly for ever is left too. (A host's
 * name is looked up by the system, with its own time limits: give printers an address or a name in the hosts file.)
 *
 * No password is ever sent or asked for. A CUPS server on this machine that wants to know who asks is told by its
 * local socket ("PeerCred": the kernel vouches for the kiosk's user); what that user may do is the server's to say.
 * Nothing is asked at another address than the one that was given: a redirection is a refusal. (printer_ask_behind
 * gives the one that a queue says its printer has.) */

enum { PRINTER_WIRE_CONNECT_MS = 3000, PRINTER_WIRE_SILENCE_S = 2, PRINTER_WIRE_TOTAL_MS = 10000 };
enum { PRINTER_HOST_SIZE = 256, PRINTER_RESOURCE_SIZE = 256, PRINTER_URI_SIZE = 512 };

struct printer_address {
    char host[PRINTER_HOST_SIZE]; /* name, address, or the path of a local socket */
    char resource[PRINTER_RESOURCE_SIZE];
    char uri[PRINTER_URI_SIZE]; /* as it stands in the question's printer-uri */
    int port;
    bool encrypted; /* ipps: nothing is sent in the clear */
};

/* Reads "ipp://host:port/path", "ipps://…" or "cups:NAME" (a queue of this machine's CUPS server). False: `fault`. */
bool printer_address_read(const char *uri, struct printer_address *address, struct fault *fault);

struct printer_document { /* borrowed; `bytes`, or with NULL the file behind `fd`, from its beginning */
    const void *bytes;
    int fd;
    size_t length;
};

enum printer_wire {
    PRINTER_WIRE_ANSWERED, /* an IPP answer came, good or bad */
    PRINTER_WIRE_NOTHING,  /* nobody there, or refused before the document: no byte of it has left */
    PRINTER_WIRE_BUSY,     /* HTTP "service unavailable" */
    PRINTER_WIRE_LOST      /* bytes of the document have left and no answer came: anything may have happened */
};

/* Asks; `request` stays the caller's, `document` may be NULL. ANSWERED: `*answer` is the caller's to ippDelete.
 * Else `fault` is filled. */
enum printer_wire printer_wire_ask(const struct printer_address *address, ipp_t *request,
                                   const struct printer_document *document, ipp_t **answer, struct fault *fault);

#endif
