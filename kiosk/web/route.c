#include "kiosk/web/route.h"

#include <string.h>

#include "kiosk/desk/stock_list/stock_list.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/server.h"
#include "kiosk/web/template_job.h"
#include "labels/basics/text.h"

/* The file in base64, its answers, and room for a file just over its limit, so that it gets its own sentence. */
enum { STOCK_LIST_BODY = STOCK_LIST_BYTES * 2 };
/* A template as JSON, where a byte may become six, and fields beside it. */
enum { TEMPLATE_BODY = TEMPLATE_BYTES * 8 };

static const struct route routes[] = {
    {ROUTE_POST, "/api/acts", route_acts_post, ACT_JSON_BODY, false},
    {ROUTE_POST, "/api/scans", route_scans_post, ACT_JSON_BODY, false},
    {ROUTE_GET, "/api/devices", route_devices_get, 0, false},
    {ROUTE_POST, "/api/devices", route_devices_post, ACT_JSON_BODY, false},
    {ROUTE_POST, "/api/stock-lists", route_stock_lists_post, STOCK_LIST_BODY, false},
    {ROUTE_POST, "/api/pictures", route_pictures_post, WEB_PICTURE_BODY, true},
    {ROUTE_GET, "/api/templates", route_templates_get, 0, false},
    {ROUTE_POST, "/api/templates/preview", route_template_preview_post, TEMPLATE_BODY, false},
    {ROUTE_GET, "/api/templates/{}", route_template_get, 0, false},
    {ROUTE_PUT, "/api/templates/{}", route_template_put, TEMPLATE_BODY, false},
    {ROUTE_DELETE, "/api/templates/{}", route_template_delete, 0, false},
    {ROUTE_GET, "/api/templates/pictures/{}", route_where_picture_get, 0, false},
    {ROUTE_GET, "/api/counters/{}", route_counter_get, 0, false},
    {ROUTE_GET, "/api/units/{}", route_unit_get, 0, false},
    {ROUTE_GET, "/api/units", route_units_get, 0, false},
    {ROUTE_GET, "/api/lent", route_lent_get, 0, false},
    {ROUTE_GET, "/api/stock", route_stock_get, 0, false},
    {ROUTE_GET, "/api/tracing", route_tracing_get, 0, false},
    {ROUTE_GET, "/api/items", route_items_get, 0, false},
    {ROUTE_GET, "/api/lives/{}", route_item_lives_get, 0, false},
    {ROUTE_GET, "/api/places", route_places_get, 0, false},
    {ROUTE_GET, "/api/printers", route_printers_get, 0, false},
    {ROUTE_GET, "/api/jobs", route_jobs_get, 0, false},
    {ROUTE_GET, "/api/people", route_people_get, 0, false},
    {ROUTE_GET, "/api/deliveries", route_deliveries_get, 0, false},
    {ROUTE_GET, "/api/stickers", route_stickers_get, 0, false},
    {ROUTE_GET, "/api/substitutions", route_substitutions_get, 0, false},
    {ROUTE_GET, "/api/questions", route_questions_get, 0, false},
    {ROUTE_GET, "/api/prints", route_prints_get, 0, false},
    {ROUTE_GET, "/api/labels/{}", route_labels_batch_get, 0, false},
    {ROUTE_GET, "/api/labels", route_labels_get, 0, false},
    {ROUTE_GET, "/api/label-printers", route_label_printers_get, 0, false},
    {ROUTE_GET, "/api/events", route_events_get, 0, false},
    {ROUTE_GET, "/api", route_api_get, 0, false},
    {ROUTE_GET, "/metrics", route_metrics_get, 0, false},
    {ROUTE_GET, "/health", route_health_get, 0, false},
    {ROUTE_GET, "/", route_index_get, 0, false},
    {ROUTE_GET, "/pages/*", route_page_get, 0, false},
    {ROUTE_GET, "/vendor/preact/*", route_vendor_get, 0, false},
};

static bool is_method(enum route_method method, const char *word)
{
    static const char *const words[] = {[ROUTE_GET] = MHD_HTTP_METHOD_GET,
                                        [ROUTE_POST] = MHD_HTTP_METHOD_POST,
                                        [ROUTE_PUT] = MHD_HTTP_METHOD_PUT,
                                        [ROUTE_DELETE] = MHD_HTTP_METHOD_DELETE};
    return strcmp(word, words[method]) == 0 || (method == ROUTE_GET && strcmp(word, MHD_HTTP_METHOD_HEAD) == 0);
}

static void write_allow(const bool allowed[ROUTE_METHODS], char allow[ROUTE_ALLOW_SIZE])
{
    static const char *const words[] = {
        [ROUTE_GET] = "GET, HEAD", [ROUTE_POST] = "POST", [ROUTE_PUT] = "PUT", [ROUTE_DELETE] = "DELETE"};
    struct builder text;
    builder_init(&text, allow, ROUTE_ALLOW_SIZE);
    for (int method = 0; method < ROUTE_METHODS; method++)
        if (allowed[method])
            builder_addf(&text, "%s%s", text.length > 0 ? ", " : "", words[method]);
}

const struct route *route_find(const char *method, const char *path, char parameter[PATH_PARAMETER_SIZE],
                               char allow[ROUTE_ALLOW_SIZE])
{
    bool allowed[ROUTE_METHODS] = {false};
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++) {
        if (!path_matches(routes[i].pattern, path, parameter))
            continue;
        if (is_method(routes[i].method, method)) {
            allow[0] = '\0';
            return &routes[i];
        }
        allowed[routes[i].method] = true;
    }
    write_allow(allowed, allow);
    return NULL;
}
