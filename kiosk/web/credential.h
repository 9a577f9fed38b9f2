#ifndef KIOSK_WEB_CREDENTIAL_H
#define KIOSK_WEB_CREDENTIAL_H

#include "kiosk/ledger/movement.h"
#include "kiosk/web/request.h"

/* A device's credential: the header "Authorization: Bearer TOKEN" (RFC 6750 section 2.1; the scheme's word in any case,
 * RFC 9110 section 11.1). Without the header a request is one of this machine's people and scripts, as ever. */

/* The token of a header's value; false: the header is no bearer's, or what follows is no token. */
bool credential_read(struct span header, struct span *token);

/* Whose is it? Looks into the ledger. `device` "" without the header. False: `fault`, and `*status` 401, or the status
 * of a ledger that could not be read. */
bool credential_check(struct request *request, char device[WORD_SIZE], unsigned *status, struct fault *fault);

#endif
