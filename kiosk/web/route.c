#include "kiosk/web/route.h"

#include <string.h>

#include "kiosk/desk/stock_list/stock_list.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/server.h"

/* The file in base64, its answers, and room for a file just over its limit, so that it gets its own sentence. */
enum { STOCK_LIST_BODY = STOCK_LIST_BYTES * 2 };

static const struct route routes[] = {
    {ROUTE_POST, "/api/acts", route_acts_post, ACT_JSON_BODY, false},
    {ROUTE_POST, "/api/scans", route_scans_post, ACT_JSON_BODY, false},
    {ROUTE_POST, "/api/stock-lists", route_stock_lists_post, STOCK_LIST_BODY, false},
    {ROUTE_POST, "/api/pictures", route_pictures_post, WEB_PICTURE_BODY, true},
    {ROUTE_GET, "/api/counters/{}", route_counter_get, 0, false},
    {ROUTE_GET, "/api/units/{}", route_unit_get, 0, false},
    {ROUTE_GET, "/api/units", route_units_get, 0, false},
    {ROUTE_GET, "/api/stock", route_stock_get, 0, false},
    {ROUTE_GET, "/api/items", route_items_get, 0, false},
    {ROUTE_GET, "/api/places", route_places_get, 0, false},
    {ROUTE_GET, "/api/printers", route_printers_get, 0, false},
    {ROUTE_GET, "/api/people", route_people_get, 0, false},
    {ROUTE_GET, "/api/deliveries", route_deliveries_get, 0, false},
    {ROUTE_GET, "/api/questions", route_questions_get, 0, false},
    {ROUTE_GET, "/api/prints", route_prints_get, 0, false},
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
    if (method == ROUTE_POST)
        return strcmp(word, MHD_HTTP_METHOD_POST) == 0;
    return strcmp(word, MHD_HTTP_METHOD_GET) == 0 || strcmp(word, MHD_HTTP_METHOD_HEAD) == 0;
}

const struct route *route_find(const char *method, const char *path, char parameter[PATH_PARAMETER_SIZE],
                               const char **allow)
{
    *allow = NULL;
    for (size_t i = 0; i < sizeof routes / sizeof *routes; i++) {
        if (!path_matches(routes[i].pattern, path, parameter))
            continue;
        if (is_method(routes[i].method, method))
            return &routes[i];
        *allow = routes[i].method == ROUTE_POST ? "POST" : "GET, HEAD";
    }
    return NULL;
}
