#include <string.h>

#include "kiosk/web/act_call.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/reply.h"

/* POST /api/acts and /api/scans: parse, queue, sleep, answer. */

static enum MHD_Result reply_done(struct request *request)
{
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    if (!result)
        return reply_fault(request, fault);
    return reply_text(request, MHD_HTTP_OK, "application/json", strdup(result->text));
}

static enum MHD_Result start(struct request *request, struct act *act)
{
    struct fault fault = {0};
    return act_call_start(request, act, reply_done, &fault) ? MHD_YES : reply_fault(request, &fault);
}

enum MHD_Result route_acts_post(struct request *request)
{
    struct act act;
    struct fault fault = {0};
    if (!act_json_read((struct span){request->body, request->body_length}, &act, &fault))
        return reply_fault(request, &fault);
    return start(request, &act);
}

enum MHD_Result route_scans_post(struct request *request)
{
    struct act act;
    struct fault fault = {0};
    if (!act_json_read_scan((struct span){request->body, request->body_length}, &act, &fault))
        return reply_fault(request, &fault);
    return start(request, &act);
}
