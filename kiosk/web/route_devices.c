#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/devices.h"
#include "kiosk/web/act_call.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/json_rows.h"
#include "kiosk/web/reply.h"

/* GET and POST /api/devices. A POST is the act device-entry with a token that is made here: the act carries the token's
 * digest, the answer the token, once. What the kiosk keeps, answers of acts included, never holds it; so the same act
 * sent again is another one (409), and whoever lost the answer has a new token given. */

static json_t *write_device(const struct device *device)
{
    return json_pack("{s:s, s:o, s:o, s:b}", "name", device->name, "printer", json_rows_text(device->printer),
                     "issued_at", json_rows_instant(device->issued_ms), "revoked", (int)device->revoked);
}

static bool add_device(const struct device *device, void *context)
{
    return json_array_append_new(context, write_device(device)) == 0;
}

static bool read_devices(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *rows = json_array();
    (void)request;
    if (!device_each(ledger, add_device, rows, fault)) {
        json_decref(rows);
        return false;
    }
    *body = json_pack("{s:o}", "devices", rows);
    return true;
}

enum MHD_Result route_devices_get(struct request *request)
{
    return json_rows_reply(request, read_devices);
}

static enum MHD_Result reply_token(struct request *request)
{
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    json_error_t error;
    if (!result)
        return reply_fault(request, fault);
    json_t *body = json_loads(result->text, 0, &error);
    if (body)
        (void)json_object_set_new(body, "token", json_string(request->scratch));
    return reply_json(request, MHD_HTTP_OK, body);
}

static bool add_digest(const char *token, struct act *act, struct fault *fault)
{
    char digest[DEVICE_DIGEST_SIZE];
    if (strcmp(act->kind, "device-entry") != 0)
        return fault_set(fault, FAULT_INPUT, "this path takes the act 'device-entry' alone: send '%s' to /api/acts",
                         act->kind);
    if (json_object_get(act->content, "token_sha256"))
        return fault_set(fault, FAULT_INPUT, "the token is made here: leave 'token_sha256' out, or use /api/acts");
    device_digest(span_of(token), digest);
    return json_object_set_new(act->content, "token_sha256", json_string(digest)) == 0 ||
           fault_set(fault, FAULT_STORAGE, "no memory for the act: try again");
}

enum MHD_Result route_devices_post(struct request *request)
{
    struct act act;
    struct act_approval approval; /* asks for none */
    struct fault fault = {0};
    char *token = calloc(1, DEVICE_TOKEN_SIZE);
    if (!token)
        return MHD_NO;
    device_make_token(token);
    request->scratch = token;
    request->scratch_release = free;
    if (!act_json_read((struct span){request->body, request->body_length}, &act, &approval, &fault))
        return reply_fault(request, &fault);
    if (!add_digest(token, &act, &fault)) {
        json_decref(act.content);
        return reply_fault(request, &fault);
    }
    return act_call_start(request, &act, reply_token, &fault) ? MHD_YES : reply_fault(request, &fault);
}
