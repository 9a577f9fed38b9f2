#include "kiosk/desk/job_ticket.h"

#include <inttypes.h>
#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/ledger/movement_detail.h"

enum { AMOUNT_ML_MAX = 1000000, UL_A_ML = 1000, UM_A_MM = 1000 };

/* ---- reading ---- */

/* A day, or an instant to the minute: the room's day of it is not reckoned here, for no zone is known. */
static bool read_end(const json_t *content, struct job_ticket *ticket, struct fault *fault)
{
    const json_t *ends = json_object_get(content, "ends");
    struct instant instant;
    struct fault inner = {0};
    ticket->end_day = ticket->end_ms = MOVEMENT_NULL;
    if (!json_is_string(ends) || json_string_length(ends) <= CALENDAR_DATE_SIZE - 1)
        return content_day(content, "ends", &ticket->end_day, fault);
    if (!calendar_read_instant(json_string_value(ends), json_string_length(ends), &instant, &inner))
        return fault_set(fault, FAULT_INPUT, "'ends': %s", inner.text);
    ticket->end_ms = instant.ms;
    return true;
}

/* A line of the names; "" a line too, so that each part keeps its own. */
static bool add_name(const json_t *content, bool first, struct builder *names, bool *any, struct fault *fault)
{
    char name[NAME_SIZE];
    if (!content_text(content, "name", CONTENT_OPTIONAL, name, sizeof name, fault))
        return false;
    builder_addf(names, "%s%s", first ? "" : "\n", name);
    *any = *any || name[0] != '\0';
    return true;
}

static void add_number(struct builder *out, const char *parted, int64_t number)
{
    if (number == MOVEMENT_NULL)
        builder_addf(out, "%s?", parted);
    else
        builder_addf(out, "%s%" PRId64, parted, number);
}

static bool read_part(const json_t *part, bool first, struct builder *out, struct fault *fault)
{
    static const char *const keys[] = {"name", "count", "x_mm", "y_mm", "width_mm", "depth_mm", NULL};
    static const char *const lengths[] = {"x_mm", "y_mm", "width_mm", "depth_mm"};
    int64_t number;
    if (!json_is_object(part))
        return fault_set(fault, FAULT_INPUT, "'parts' holds something that is not an object");
    if (!content_only(part, keys, fault) ||
        !content_count(part, "count", CONTENT_OPTIONAL, 1, JOB_COUNT_MAX, &number, fault))
        return false;
    add_number(out, first ? "" : " ", number == MOVEMENT_NULL ? 1 : number);
    for (size_t i = 0; i < sizeof lengths / sizeof *lengths; i++) {
        if (!content_amount(part, lengths[i], JOB_MM_MAX, UM_A_MM, &number, fault))
            return false;
        add_number(out, ":", number);
    }
    return true;
}

static bool read_parts(const json_t *content, struct job_ticket *ticket, struct fault *fault)
{
    const json_t *parts = json_object_get(content, "parts"), *part;
    struct builder names, out;
    bool any = false;
    size_t i;
    builder_init(&names, ticket->names, sizeof ticket->names);
    builder_init(&out, ticket->parts, sizeof ticket->parts);
    if (!add_name(content, true, &names, &any, fault))
        return false;
    if (parts && (!json_is_array(parts) || json_array_size(parts) > JOB_PARTS))
        return fault_set(fault, FAULT_INPUT, "'parts' is not a list of at most %d parts: say equal ones with 'count'",
                         JOB_PARTS);
    json_array_foreach(parts, i, part)
    {
        if (!read_part(part, i == 0, &out, fault) || !add_name(part, false, &names, &any, fault))
            return false;
    }
    if (names.cut)
        return fault_set(fault, FAULT_INPUT, "the names of the job and its parts have more than %d bytes together",
                         JOB_NAMES_SIZE - 1);
    if (!any)
        ticket->names[0] = '\0';
    return true;
}

bool job_ticket_read(const json_t *content, struct job_ticket *ticket, struct fault *fault)
{
    struct job_ticket read = {.code = ""};
    if (!content_code(content, "job", CONTENT_OPTIONAL, read.code, sizeof read.code, fault) ||
        !content_amount(content, "need_ml", AMOUNT_ML_MAX, UL_A_ML, &read.need_ul, fault) ||
        !read_end(content, &read, fault) ||
        !content_text(content, "resin", CONTENT_OPTIONAL, read.resin, sizeof read.resin, fault) ||
        !content_text(content, "revision", CONTENT_OPTIONAL, read.revision, sizeof read.revision, fault) ||
        !read_parts(content, &read, fault))
        return false;
    *ticket = read;
    return true;
}

/* ---- booking ---- */

static void put_text(json_t *detail, const char *key, const char *value)
{
    if (value[0] != '\0')
        (void)json_object_set_new(detail, key, json_string(value));
}

static void put_number(json_t *detail, const char *key, int64_t value)
{
    if (value != MOVEMENT_NULL)
        (void)json_object_set_new(detail, key, json_integer(value));
}

static bool write_detail(const struct job *job, const struct job_ticket *ticket, const char *device,
                         char detail[DETAIL_SIZE], struct fault *fault)
{
    json_t *object = json_object();
    put_text(object, "device", device);
    put_text(object, "code", ticket->code);
    put_text(object, "resin", ticket->resin);
    put_text(object, "revision", ticket->revision);
    put_text(object, "parts", ticket->parts);
    put_number(object, "ends_ms", ticket->end_ms);
    put_number(object, "before_ul", job->need_ul); /* what UNDO puts back */
    put_number(object, "before_day", job->end_day);
    if (job->ticket != MOVEMENT_NULL) {
        put_number(object, "over", job->ticket);
        put_text(object, "before_code", job->code);
        put_number(object, "before_ms", job->end_ms);
    }
    const bool written = movement_detail_write(object, detail, fault);
    json_decref(object);
    return written;
}

static void of_job(struct movement *movement, enum movement_kind kind, const char *job, const char *machine)
{
    movement_init(movement, kind);
    turn_copy(movement->job, sizeof movement->job, job);
    turn_copy(movement->printer, sizeof movement->printer, machine);
}

bool job_ticket_book_as(struct turn *turn, enum movement_kind kind, const struct job *job,
                        const struct job_ticket *ticket, struct fault *fault)
{
    struct movement movement;
    of_job(&movement, kind, job->id, job->machine);
    movement.amount_ul = ticket->need_ul;
    movement.expires = ticket->end_day;
    return write_detail(job, ticket, turn->act->act->device, movement.detail, fault) &&
           (!ticket->names[0] || ledger_text_put(turn->ledger, ticket->names, movement.text, fault)) &&
           turn_book(turn, &movement, fault);
}

/* Where the printer or a script says nothing, the plan's word stands. */
static void fill_from_plan(struct job_ticket *ticket, const struct job_ticket *plan)
{
    if (ticket->code[0] == '\0')
        turn_copy(ticket->code, sizeof ticket->code, plan->code);
    if (ticket->need_ul == MOVEMENT_NULL)
        ticket->need_ul = plan->need_ul;
    if (ticket->end_day == MOVEMENT_NULL && ticket->end_ms == MOVEMENT_NULL) {
        ticket->end_day = plan->end_day;
        ticket->end_ms = plan->end_ms;
    }
    if (ticket->resin[0] == '\0') {
        turn_copy(ticket->resin, sizeof ticket->resin, plan->resin);
        turn_copy(ticket->revision, sizeof ticket->revision, plan->revision);
    }
    if (ticket->parts[0] == '\0' && ticket->names[0] == '\0') {
        turn_copy(ticket->parts, sizeof ticket->parts, plan->parts);
        turn_copy(ticket->names, sizeof ticket->names, plan->names);
    }
}

bool job_ticket_book(struct turn *turn, const struct job *job, const struct job_ticket *ticket, struct fault *fault)
{
    struct job_ticket said = *ticket, before;
    if (job->ticket != MOVEMENT_NULL) {
        if (!job_plan_ticket(turn->ledger, job, &before, fault))
            return false;
        fill_from_plan(&said, &before);
    }
    return job_ticket_book_as(turn, MOVEMENT_JOB_TICKET, job, &said, fault);
}

bool job_ticket_of(const struct movement *movement, struct job_ticket *ticket, struct fault *fault)
{
    struct job_ticket read = {.need_ul = movement->amount_ul, .end_day = movement->expires};
    json_t *detail = NULL;
    if (!movement_detail_read(movement->detail, &detail, fault))
        return false;
    const bool good = movement_detail_text(detail, "code", read.code, sizeof read.code, fault) &&
                      movement_detail_text(detail, "resin", read.resin, sizeof read.resin, fault) &&
                      movement_detail_text(detail, "revision", read.revision, sizeof read.revision, fault) &&
                      movement_detail_text(detail, "parts", read.parts, sizeof read.parts, fault) &&
                      movement_detail_number(detail, "ends_ms", &read.end_ms, fault);
    json_decref(detail);
    if (good)
        *ticket = read;
    return good;
}

struct span job_ticket_name(const struct job_ticket *ticket)
{
    struct span rest = span_of(ticket->names);
    return text_line(&rest);
}

int64_t job_ticket_part_count(const struct job_ticket *ticket)
{
    int64_t count = 0;
    for (const char *at = ticket->parts; *at != '\0';) { /* COUNT:… */
        int64_t equal = 0;
        (void)span_read_count((struct span){at, strcspn(at, ":")}, &equal);
        count += equal;
        at += strcspn(at, " ");
        at += *at == ' ';
    }
    return count;
}

bool job_ticket_is_same(const struct job_ticket *one, const struct job_ticket *two)
{
    return strcmp(one->code, two->code) == 0 && one->need_ul == two->need_ul && one->end_day == two->end_day &&
           one->end_ms == two->end_ms && strcmp(one->resin, two->resin) == 0 &&
           strcmp(one->revision, two->revision) == 0 && strcmp(one->parts, two->parts) == 0;
}

/* What counts again, in full. */
static bool write_before(const json_t *detail, char written[DETAIL_SIZE], struct fault *fault)
{
    static const char *const keys[][2] = {{"before_code", "code"}, {"before_ms", "ends_ms"}, {"over", "ticket"}};
    json_t *full = json_object();
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (json_object_get(detail, keys[i][0]))
            json_object_set(full, keys[i][1], json_object_get(detail, keys[i][0]));
    const bool good = movement_detail_write(full, written, fault);
    json_decref(full);
    return good;
}

bool job_ticket_take_back(struct turn *turn, const struct movement *ticket, struct fault *fault)
{
    struct movement back;
    json_t *detail = NULL;
    of_job(&back, MOVEMENT_JOB_TICKET, ticket->job, ticket->printer);
    back.refers = ticket->seq;
    if (!movement_detail_read(ticket->detail, &detail, fault))
        return false;
    const bool read = movement_detail_number(detail, "before_ul", &back.amount_ul, fault) &&
                      movement_detail_number(detail, "before_day", &back.expires, fault) &&
                      write_before(detail, back.detail, fault);
    json_decref(detail);
    return read && turn_book(turn, &back, fault);
}
