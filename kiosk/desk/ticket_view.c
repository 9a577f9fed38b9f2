#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/ticket.h"
#include "kiosk/desk/view.h"

static json_t *text_or_null(const char *text)
{
    return text[0] != '\0' ? json_string(text) : json_null();
}

bool ticket_view(struct ledger *ledger, const struct counter *counter, json_t **row, struct fault *fault)
{
    char ends[CALENDAR_INSTANT_SIZE];
    struct ticket_now now;
    struct machine machine = {.slots = 0};
    bool found = false;
    if (!ticket_now(ledger, counter, &now, fault) ||
        (now.there && now.job.machine[0] && !machine_load(ledger, now.job.machine, &machine, &found, fault)))
        return false;
    *row = json_null();
    if (!now.there)
        return true;
    const struct span name = job_ticket_name(&now.ticket);
    json_t *made = json_object();
    json_object_set_new(made, "job", json_string(now.job.code));
    json_object_set_new(made, "name", name.length > 0 ? json_stringn(name.at, name.length) : json_null());
    json_object_set_new(made, "printer", text_or_null(now.job.machine));
    json_object_set_new(made, "printer_name", text_or_null(machine.name));
    json_object_set_new(made, "resin", text_or_null(now.ticket.resin));
    json_object_set_new(made, "revision", text_or_null(now.ticket.revision));
    json_object_set_new(made, "need_ml", view_ml(now.ticket.need_ul));
    json_object_set_new(made, "end_day", view_day(now.ticket.end_day));
    json_object_set_new(made, "ends_at",
                        now.ticket.end_ms == MOVEMENT_NULL
                            ? json_null()
                            : json_string(calendar_write_instant((struct instant){now.ticket.end_ms}, ends)));
    json_object_set_new(made, "parts", json_integer(job_ticket_part_count(&now.ticket)));
    json_object_set_new(made, "planned", json_boolean(now.planned));
    json_object_set_new(made, "old", json_boolean(now.is_old));
    *row = made;
    return true;
}
