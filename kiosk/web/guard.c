#include "kiosk/web/guard.h"

#include <arpa/inet.h>
#include <netinet/in.h>
#include <strings.h>

enum { HOST_TEXT = 80 };

static const char SCHEME[] = "http://";

/* The name before ":port"; a bracketed IPv6 address keeps its brackets. False: what follows is no port. */
static bool host_name(struct span host, struct span *name)
{
    size_t end = 0;
    if (host.length > 0 && host.at[0] == '[') {
        while (end < host.length && host.at[end] != ']')
            end++;
        end++;
        if (end > host.length)
            return false;
    } else {
        while (end < host.length && host.at[end] != ':')
            end++;
    }
    *name = (struct span){host.at, end};
    if (end == host.length)
        return true;
    int64_t port = 0;
    return host.at[end] == ':' && span_read_count((struct span){host.at + end + 1, host.length - end - 1}, &port) &&
           port <= 65535;
}

static bool name_equals(struct span name, const char *word)
{
    const struct span other = span_of(word);
    return name.length == other.length && strncasecmp(name.at, word, name.length) == 0;
}

static bool name_ends(struct span name, const char *tail)
{
    const struct span other = span_of(tail);
    return name.length > other.length && strncasecmp(name.at + name.length - other.length, tail, other.length) == 0;
}

static bool is_ipv4_loopback(const char *text)
{
    struct in_addr address;
    return inet_pton(AF_INET, text, &address) == 1 && (ntohl(address.s_addr) >> 24) == 127;
}

bool guard_host_is_loopback(struct span host)
{
    struct span name;
    char text[HOST_TEXT];
    if (!host_name(host, &name))
        return false;
    /* RFC 6761 section 6.3: localhost and the names below it are loopback, whatever a name server says */
    if (name_equals(name, "localhost") || name_ends(name, ".localhost") || name_equals(name, "[::1]"))
        return true;
    return span_copy(name, text, sizeof text) && is_ipv4_loopback(text);
}

/* An origin is scheme, host and port: ours is "http://" and the Host header itself. */
static bool is_own_origin(struct span origin, struct span host)
{
    const size_t scheme = sizeof SCHEME - 1;
    return origin.length == scheme + host.length && strncasecmp(origin.at, SCHEME, scheme) == 0 &&
           strncasecmp(origin.at + scheme, host.at, host.length) == 0;
}

bool guard_check(const struct guard_request *request, struct fault *fault)
{
    char shown[HOST_TEXT];
    if (!guard_host_is_loopback(request->host))
        return fault_set(fault, FAULT_REFUSED,
                         "host '%s' is not this machine: open the kiosk as http://127.0.0.1 or http://localhost",
                         text_show(request->host, shown, sizeof shown));
    if (!request->changes)
        return true;
    if (request->origin.length > 0 && !is_own_origin(request->origin, request->host))
        return fault_set(fault, FAULT_REFUSED, "a page of '%s' may not change anything here: use the kiosk's own pages",
                         text_show(request->origin, shown, sizeof shown));
    if (request->fetch_site.length > 0 && !span_equals(request->fetch_site, "same-origin") &&
        !span_equals(request->fetch_site, "none"))
        return fault_set(fault, FAULT_REFUSED,
                         "a page of another site may not change anything here: use the kiosk's own pages");
    return true;
}

bool guard_address_is_loopback(const char *address)
{
    return strcasecmp(address, "localhost") == 0 || strcasecmp(address, "::1") == 0 || is_ipv4_loopback(address);
}
