#include <inttypes.h>
#include <stdio.h>
#include <stdlib.h>

#include "kiosk/devices/eye/eye.h"
#include "kiosk/web/pin_worker.h"
#include "kiosk/web/reply.h"
#include "kiosk/web/request.h"

/* GET /api/events, /metrics, /health: what goes on inside. */

enum { METRICS_SIZE = 8192, WRITER_SLOW_MS = 15000 };

/* Events */

/* Where to go on: the browser's header after a lost connection, or ?last= of a client that sets no headers. */
static bool read_last(const struct request *request, int64_t *last, struct fault *fault)
{
    const char *text = request_header(request, "Last-Event-ID");
    if (!text || !text[0])
        text = request_query(request, "last");
    if (!text || !text[0])
        return true;
    if (!span_read_count(span_of(text), last))
        return fault_set(fault, FAULT_INPUT,
                         "the last event's id must be a movement's number: leave it out to start "
                         "from now");
    return true;
}

enum MHD_Result route_events_get(struct request *request)
{
    struct MHD_Response *response = NULL;
    struct fault fault = {0};
    int64_t last = EVENTS_NOW;
    if (!read_last(request, &last, &fault) ||
        !events_open(request->web->events, request->connection, last, &response, &fault))
        return reply_fault(request, &fault);
    return reply_send(request, MHD_HTTP_OK, response);
}

/* Metrics: Prometheus text exposition format 0.0.4. */

struct metric {
    const char *name, *kind, *help;
    uint64_t value;
};

static size_t gather(struct web *web, struct metric *metrics)
{
    struct writer_counts writer;
    struct eye_counts eye = {0};
    int64_t oldest;
    writer_read_counts(web->options.writer, &writer);
    if (web->options.eye)
        eye = eye_counts(web->options.eye);
    const struct metric all[] = {
        {"acts_total", "counter", "Acts done.", writer.acts},
        {"acts_refused_total", "counter", "Acts refused.", writer.refused},
        {"acts_repeated_total", "counter", "Acts sent again and answered from memory.", writer.repeated},
        {"groups_total", "counter", "Groups of acts committed together.", writer.groups},
        {"commits_failed_total", "counter", "Commits that failed.", writer.commits_failed},
        {"requests_waiting", "gauge", "Requests that wait for the writer or the eye.", waiter_count(web, &oldest)},
        {"movements", "gauge", "Number of the last movement published.", (uint64_t)feed_last_seq(web->options.feed)},
        {"http_requests_total", "counter", "HTTP requests.", atomic_load(&web->requests)},
        {"http_problems_total", "counter", "HTTP answers with status 400 and above.", atomic_load(&web->problems)},
        {"event_streams", "gauge", "Event streams open.", events_count(web->events)},
        {"pictures_total", "counter", "Pictures read for a request.", atomic_load(&web->pictures)},
        {"picture_symbols_total", "counter", "Symbols found in them.", atomic_load(&web->symbols)},
        {"eye_pictures_total", "counter", "Pictures and camera frames given to the picture worker.", eye.pictures},
        {"eye_hung_total", "counter", "Pictures the picture worker did not finish in time.", eye.hung},
        {"eye_died_total", "counter", "Picture workers that ended by themselves.", eye.died},
        {"eye_restarts_total", "counter", "Picture workers started after the first.",
         eye.started > 0 ? eye.started - 1 : 0},
        {"clock_trusted", "gauge", "1 when the date can be relied on.", clock_now(web->options.clock).trusted},
    };
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        metrics[i] = all[i];
    return sizeof all / sizeof *all;
}

enum MHD_Result route_metrics_get(struct request *request)
{
    struct metric metrics[32];
    struct builder text;
    char *buffer = malloc(METRICS_SIZE);
    if (!buffer)
        return MHD_NO;
    builder_init(&text, buffer, METRICS_SIZE);
    const size_t count = gather(request->web, metrics);
    for (size_t i = 0; i < count; i++)
        builder_addf(&text, "# HELP ambershelf_%s %s\n# TYPE ambershelf_%s %s\nambershelf_%s %" PRIu64 "\n",
                     metrics[i].name, metrics[i].help, metrics[i].name, metrics[i].kind, metrics[i].name,
                     metrics[i].value);
    return reply_text(request, MHD_HTTP_OK, "text/plain; version=0.0.4; charset=utf-8", buffer);
}

/* Health */

static bool read_ledger(struct web *web, int64_t *head, uint8_t hash[HASH_BYTES], bool *demo, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!readers_take(web->readers, &ledger, fault))
        return false;
    const bool read = ledger_head(ledger, head, hash, fault);
    *demo = ledger_is_demo(ledger);
    readers_give(web->readers, ledger, !read);
    return read;
}

/* What a person should know though the kiosk is well; `health_notes` of others follow. */
static json_t *gather_notes(struct web *web, json_t *health)
{
    struct writer_log log;
    json_t *notes = json_array();
    writer_read_log(web->options.writer, &log);
    json_object_set_new(health, "log_bytes", json_integer(log.bytes));
    json_object_set_new(health, "enrolment", json_boolean(pin_worker_has_code(web->pins)));
    if (web->options.demo_pin[0])
        json_object_set_new(health, "demo_pin", json_string(web->options.demo_pin));
    if (log.sentence[0])
        json_array_append_new(notes, json_string(log.sentence));
    return notes;
}

/* The writer is well when no act has waited too long and the last one could be stored. */
static bool writer_is_well(struct web *web, const struct moment *now, size_t *waiting)
{
    int64_t oldest;
    *waiting = waiter_count(web, &oldest);
    return !atomic_load(&web->storage_failed) && (*waiting == 0 || now->mono_ms - oldest < WRITER_SLOW_MS);
}

enum MHD_Result route_health_get(struct request *request)
{
    struct web *web = request->web;
    const struct moment now = clock_now(web->options.clock);
    struct fault fault = {0};
    char at[CALENDAR_INSTANT_SIZE], digits[2 * HASH_BYTES + 1];
    uint8_t hash[HASH_BYTES] = {0};
    int64_t head = 0;
    bool demo = false;
    size_t waiting;
    const bool ledger_ok = read_ledger(web, &head, hash, &demo, &fault),
               writer_ok = writer_is_well(web, &now, &waiting);
    text_write_hex(hash, sizeof hash, digits, sizeof digits);
    json_t *health = json_pack("{s:b, s:o, s:s?, s:b, s:b, s:b, s:I, s:b, s:s, s:s, s:s*}", "ledger_ok", (int)ledger_ok,
                               "seq", ledger_ok ? json_integer(head) : json_null(), "head", ledger_ok ? digits : NULL,
                               "clock_trusted", (int)now.trusted, "writer_ok", (int)writer_ok, "eye_ok",
                               web->options.eye && eye_pid(web->options.eye) > 0, "waiting", (json_int_t)waiting,
                               "demo", (int)demo, "kiosk", web->options.kiosk, "at",
                               calendar_write_instant(now.wall, at), "detail", ledger_ok ? NULL : fault.text);
    if (fault.code == FAULT_DAMAGED)
        writer_shut(web->options.writer, fault.text);
    const bool is_shut = writer_is_shut(web->options.writer, fault.text);
    bool ok = ledger_ok && writer_ok && !is_shut;
    if (health) {
        json_object_set_new(health, "stopped", is_shut ? json_string(fault.text) : json_null());
        json_object_set_new(health, "notes", gather_notes(web, health));
    }
    if (health && web->options.health)
        ok = web->options.health(web->options.health_context, health) && ok;
    if (health)
        json_object_set_new(health, "ok", json_boolean(ok));
    return reply_json(request, ok ? MHD_HTTP_OK : MHD_HTTP_SERVICE_UNAVAILABLE, health);
}
