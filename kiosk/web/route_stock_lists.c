#include <stdlib.h>
#include <string.h>

#include <sodium.h>

#include "kiosk/desk/stock_list/stock_list.h"
#include "kiosk/web/json_rows.h"
#include "kiosk/web/reply.h"

/* POST /api/stock-lists: {"file": base64, "answers": {…}} -> what would be taken on, and what is asked. Books nothing.
 */

static bool read_envelope(const struct request *request, json_t **root, struct fault *fault)
{
    json_error_t error;
    json_t *read = request->body_length > 0
                       ? json_loadb(request->body, request->body_length, JSON_REJECT_DUPLICATES, &error)
                       : NULL;
    const json_t *answers = json_object_get(read, "answers");
    const char *key;
    json_t *value;
    bool good = json_is_string(json_object_get(read, "file")) && (!answers || json_is_object(answers));
    json_object_foreach(read, key, value)
    {
        good = good && (strcmp(key, "file") == 0 || strcmp(key, "answers") == 0);
    }
    if (good) {
        *root = read;
        return true;
    }
    json_decref(read);
    return fault_set(fault, FAULT_INPUT,
                     "a stock list comes as {\"file\": the file in base64, \"answers\": {…}}: see /api");
}

static bool read_list(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *root = NULL;
    if (!read_envelope(request, &root, fault))
        return false;
    const json_t *file = json_object_get(root, "file");
    const size_t size = json_string_length(file) / 4 * 3 + 3;
    const char *text = json_string_value(file);
    unsigned char *bytes = text ? malloc(size) : NULL;
    size_t length = 0;
    json_t *answers = json_object_get(root, "answers");
    json_t *none = answers ? NULL : json_object();
    bool good = bytes || fault_set(fault, FAULT_STORAGE, "no memory for the file: try again");
    if (bytes && sodium_base642bin(bytes, size, text, json_string_length(file), "\r\n", &length, NULL,
                                   sodium_base64_VARIANT_ORIGINAL) != 0)
        good = fault_set(fault, FAULT_INPUT, "key 'file' is no base64: encode the file's bytes");
    const struct moment now = clock_now(request->web->options.clock);
    good = good && stock_list_plan(ledger, (struct span){(const char *)bytes, length}, answers ? answers : none,
                                   now.local_day, body, fault);
    free(bytes);
    json_decref(none);
    json_decref(root);
    return good;
}

enum MHD_Result route_stock_lists_post(struct request *request)
{
    return json_rows_reply(request, read_list);
}
