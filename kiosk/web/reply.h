#ifndef KIOSK_WEB_REPLY_H
#define KIOSK_WEB_REPLY_H

#include <jansson.h>
#include <microhttpd.h>

#include "kiosk/web/request.h"
#include "labels/basics/fault.h"

/* Answers. Each call takes what it is given, also when it fails, and returns what a step returns. All answers carry
 * the security headers, and whatever the request has to tell (Act-Id, Act-Seq, Allow, Retry-After). */

enum MHD_Result reply_json(struct request *request, unsigned status, json_t *body);
/* `text` is malloc'd; NULL counts as "no memory". */
enum MHD_Result reply_text(struct request *request, unsigned status, const char *type, char *text);
enum MHD_Result reply_problem(struct request *request, unsigned status, const struct fault *fault);
/* The same with `more`, an object whose members are added to the problem (RFC 9457 section 3.2); it is taken. */
enum MHD_Result reply_problem_with(struct request *request, unsigned status, const struct fault *fault, json_t *more);
/* The status follows from the fault's code. */
enum MHD_Result reply_fault(struct request *request, const struct fault *fault);
/* `response` may be NULL (no memory: the connection is closed). */
enum MHD_Result reply_send(struct request *request, unsigned status, struct MHD_Response *response);

/* HTTP status of a fault code. */
unsigned reply_status(enum fault_code code);

#endif
