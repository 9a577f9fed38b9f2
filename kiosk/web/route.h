#ifndef KIOSK_WEB_ROUTE_H
#define KIOSK_WEB_ROUTE_H

#include <microhttpd.h>

#include "kiosk/web/path.h"

/* The table of what this server answers: method, pattern (path.h), first step, limit of the body. */

struct request;

enum route_method { ROUTE_GET, ROUTE_POST, ROUTE_PUT, ROUTE_DELETE, ROUTE_METHODS };

enum { ROUTE_ALLOW_SIZE = 40 };

struct route {
    enum route_method method; /* HEAD counts as GET: the library leaves the body out */
    const char *pattern;
    enum MHD_Result (*step)(struct request *request);
    size_t body_limit; /* bytes; 0: a body is refused */
    bool picture;      /* the body is large: few at once */
};

/* NULL: no such path (`allow` is ""), or not by this method (`allow` says by which). */
const struct route *route_find(const char *method, const char *path, char parameter[PATH_PARAMETER_SIZE],
                               char allow[ROUTE_ALLOW_SIZE]);

/* First steps, one file a subject. */
enum MHD_Result route_acts_post(struct request *request); /* route_acts.c */
enum MHD_Result route_scans_post(struct request *request);
enum MHD_Result route_devices_get(struct request *request); /* route_devices.c */
enum MHD_Result route_devices_post(struct request *request);
enum MHD_Result route_pictures_post(struct request *request);    /* route_pictures.c */
enum MHD_Result route_stock_lists_post(struct request *request); /* route_stock_lists.c */
enum MHD_Result route_templates_get(struct request *request);    /* route_templates.c */
enum MHD_Result route_template_get(struct request *request);
enum MHD_Result route_template_put(struct request *request);
enum MHD_Result route_template_delete(struct request *request);
enum MHD_Result route_template_preview_post(struct request *request);
enum MHD_Result route_counter_get(struct request *request); /* route_desk.c */
enum MHD_Result route_deliveries_get(struct request *request);
enum MHD_Result route_questions_get(struct request *request);
enum MHD_Result route_prints_get(struct request *request);
enum MHD_Result route_labels_get(struct request *request);
enum MHD_Result route_labels_batch_get(struct request *request);
enum MHD_Result route_label_printers_get(struct request *request);
enum MHD_Result route_unit_get(struct request *request); /* route_units.c */
enum MHD_Result route_units_get(struct request *request);
enum MHD_Result route_lent_get(struct request *request);
enum MHD_Result route_printers_get(struct request *request);
enum MHD_Result route_tracing_get(struct request *request); /* route_tracing.c */
enum MHD_Result route_jobs_get(struct request *request);    /* route_jobs.c */
enum MHD_Result route_stock_get(struct request *request);   /* route_stock.c */
enum MHD_Result route_items_get(struct request *request);
enum MHD_Result route_item_lives_get(struct request *request); /* route_lives.c */
enum MHD_Result route_places_get(struct request *request);
enum MHD_Result route_people_get(struct request *request);
enum MHD_Result route_stickers_get(struct request *request);
enum MHD_Result route_substitutions_get(struct request *request);
enum MHD_Result route_events_get(struct request *request); /* route_state.c */
enum MHD_Result route_metrics_get(struct request *request);
enum MHD_Result route_health_get(struct request *request);
enum MHD_Result route_index_get(struct request *request); /* route_files.c */
enum MHD_Result route_page_get(struct request *request);
enum MHD_Result route_vendor_get(struct request *request);
enum MHD_Result route_where_picture_get(struct request *request);
enum MHD_Result route_api_get(struct request *request);

#endif
