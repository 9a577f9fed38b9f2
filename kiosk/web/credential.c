#include "kiosk/web/credential.h"

#include <string.h>
#include <strings.h>

#include "kiosk/ledger/devices.h"
#include "kiosk/web/readers.h"
#include "kiosk/web/reply.h"

enum { TOKEN_LEAST = 16, TOKEN_MOST = 256 };

/* b64token, RFC 6750 section 2.1. */
static bool is_token(struct span text)
{
    static const char letters[] = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-._~+/";
    size_t at = 0;
    while (at < text.length && memchr(letters, text.at[at], sizeof letters - 1))
        at++;
    while (at > 0 && at < text.length && text.at[at] == '=')
        at++;
    return at == text.length && at >= TOKEN_LEAST && at <= TOKEN_MOST;
}

bool credential_read(struct span header, struct span *token)
{
    static const char scheme[] = "Bearer";
    const size_t length = sizeof scheme - 1;
    if (header.length <= length || strncasecmp(header.at, scheme, length) != 0 || header.at[length] != ' ')
        return false;
    struct span rest = {header.at + length, header.length - length};
    while (rest.length > 0 && rest.at[0] == ' ')
        rest = (struct span){rest.at + 1, rest.length - 1};
    if (!is_token(rest))
        return false;
    *token = rest;
    return true;
}

bool credential_check(struct request *request, char device[WORD_SIZE], unsigned *status, struct fault *fault)
{
    const char *header = request_header(request, MHD_HTTP_HEADER_AUTHORIZATION);
    struct ledger *ledger;
    struct device row;
    struct span token;
    bool found = false;
    device[0] = '\0';
    *status = MHD_HTTP_UNAUTHORIZED;
    if (!header)
        return true;
    if (!credential_read(span_of(header), &token))
        return fault_set(fault, FAULT_REFUSED,
                         "'Authorization' is not 'Bearer' and a token: send the token as it was shown, or no header");
    struct fault why = {0};
    if (!readers_take(request->web->readers, &ledger, &why)) {
        *status = reply_status(why.code);
        return fault_set(fault, why.code, "%s", why.text);
    }
    const bool read = device_find(ledger, token, &row, &found, &why);
    readers_give(request->web->readers, ledger, !read && why.code == FAULT_STORAGE);
    if (!read) {
        *status = reply_status(why.code);
        return fault_set(fault, why.code, "%s", why.text);
    }
    if (!found)
        return fault_set(fault, FAULT_REFUSED,
                         "no device has this token, or it was taken back: a storekeeper gives a new one");
    memcpy(device, row.name, sizeof row.name);
    return true;
}
