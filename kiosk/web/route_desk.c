#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/json_rows.h"

/* GET /api/counters/NAME, /api/deliveries, /api/questions: what the desk has in hand. */

enum { DELIVERIES_MOST = 100, QUESTIONS_MOST = 500 }; /* rows */

static bool read_counter(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    const struct moment moment = clock_now(request->web->options.clock);
    char shown[40];
    if (!act_json_is_counter(request->parameter))
        return fault_set(fault, FAULT_MISSING, "'%s' is no name of a counter: up to %d letters, digits, - and _",
                         text_show(span_of(request->parameter), shown, sizeof shown), ACT_COUNTER_SIZE - 1);
    return desk_view(request->web->options.desk, ledger, request->parameter, &moment, body, fault);
}

enum MHD_Result route_counter_get(struct request *request)
{
    return json_rows_reply(request, read_counter);
}

/* Deliveries */

struct deliveries {
    json_t *rows;
    bool cut;
};

static bool add_delivery(const struct delivery *delivery, void *context)
{
    struct deliveries *deliveries = context;
    deliveries->cut = json_array_size(deliveries->rows) == DELIVERIES_MOST;
    return !deliveries->cut && json_array_append_new(deliveries->rows, json_rows_delivery(delivery)) == 0;
}

/* How many units came in with it, and how many of their labels were scanned back. */
static bool add_progress(struct ledger *ledger, json_t *delivery, struct fault *fault)
{
    const char *id = json_string_value(json_object_get(delivery, "id"));
    int64_t units = 0, proved = 0;
    if (id && !unit_count_of_delivery(ledger, id, &units, &proved, fault))
        return false;
    json_object_set_new(delivery, "units", json_integer(units));
    json_object_set_new(delivery, "proved", json_integer(proved));
    return true;
}

static bool read_deliveries(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    struct deliveries deliveries = {.rows = json_array()};
    json_t *delivery;
    size_t i;
    (void)request;
    bool good = delivery_each_open(ledger, add_delivery, &deliveries, fault);
    if (good)
        json_array_foreach(deliveries.rows, i, delivery) if (!(good = add_progress(ledger, delivery, fault))) break;
    if (!good) {
        json_decref(deliveries.rows);
        return false;
    }
    *body = json_pack("{s:o, s:b}", "deliveries", deliveries.rows, "cut", (int)deliveries.cut);
    return true;
}

enum MHD_Result route_deliveries_get(struct request *request)
{
    return json_rows_reply(request, read_deliveries);
}

/* Questions */

static bool add_question(const struct question *question, void *context)
{
    return json_array_append_new(context, json_rows_question(question)) == 0;
}

static bool read_questions(struct request *request, struct ledger *ledger, json_t **body, struct fault *fault)
{
    json_t *questions = json_array();
    (void)request;
    if (!question_each_open(ledger, QUESTIONS_MOST, add_question, questions, fault)) {
        json_decref(questions);
        return false;
    }
    const bool cut = json_array_size(questions) == QUESTIONS_MOST;
    *body = json_pack("{s:o, s:b}", "questions", questions, "cut", (int)cut);
    return true;
}

enum MHD_Result route_questions_get(struct request *request)
{
    return json_rows_reply(request, read_questions);
}
