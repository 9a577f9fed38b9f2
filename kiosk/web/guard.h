#ifndef KIOSK_WEB_GUARD_H
#define KIOSK_WEB_GUARD_H

#include <stdbool.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* Who may talk to a server on loopback. A browser on this machine also runs pages of strangers; two old tricks let
 * such a page act here: a name of the stranger's that resolves to 127.0.0.1 (DNS rebinding: told by the Host header,
 * which then is no loopback name) and a plain cross-site POST (told by Origin, WHATWG Fetch section 3.2, or by
 * Sec-Fetch-Site, W3C Fetch Metadata). Scripts and command-line clients send neither Origin nor Sec-Fetch-Site and
 * are let in. Pure. */

/* "127.0.0.1", "127.x.y.z", "localhost", "NAME.localhost", "[::1]", each with or without ":port". */
bool guard_host_is_loopback(struct span host);

struct guard_request {
    struct span host;       /* RFC 9112 section 3.2: must be there, once */
    struct span origin;     /* empty: the client sent none */
    struct span fetch_site; /* empty: likewise */
    bool changes;           /* the method may change something (POST) */
};

/* False: FAULT_REFUSED with the sentence for the one who wrote the client. */
bool guard_check(const struct guard_request *request, struct fault *fault);

/* Is `address` one that only this machine reaches? "localhost", an IPv4 address in 127/8, or "::1". */
bool guard_address_is_loopback(const char *address);

#endif
