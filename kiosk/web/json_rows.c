#include "kiosk/web/json_rows.h"

#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/desk/use_by.h"
#include "kiosk/web/reply.h"
#include "labels/basics/calendar.h"
#include "labels/basics/text.h"

enum { SHOWN_SIZE = 1024 };

static bool read_once(struct request *request, json_rows_read *read, json_t **body, struct fault *fault)
{
    struct ledger *ledger = NULL;
    if (!readers_take(request->web->readers, &ledger, fault))
        return false;
    const bool good = read(request, ledger, body, fault);
    readers_give(request->web->readers, ledger,
                 !good && (fault->code == FAULT_STORAGE || fault->code == FAULT_DAMAGED));
    return good;
}

/* What a disk failed to read once looks like damage, which stops the kiosk: it is looked at again before it is told. */
enum MHD_Result json_rows_reply(struct request *request, json_rows_read *read)
{
    struct fault fault = {0};
    json_t *body = NULL;
    bool good = read_once(request, read, &body, &fault);
    if (!good && fault.code == FAULT_DAMAGED) {
        fault = (struct fault){0};
        good = read_once(request, read, &body, &fault);
    }
    return good ? reply_json(request, MHD_HTTP_OK, body) : reply_fault(request, &fault);
}

struct day json_rows_today(const struct request *request)
{
    return clock_now(request->web->options.clock).local_day;
}

json_t *json_rows_text(const char *text)
{
    char shown[SHOWN_SIZE];
    if (!text[0])
        return json_null();
    json_t *value = json_string(text);
    return value ? value : json_string(text_show(span_of(text), shown, sizeof shown));
}

json_t *json_rows_number(int64_t number)
{
    return number == MOVEMENT_NULL ? json_null() : json_integer(number);
}

json_t *json_rows_amount(int64_t amount_ul)
{
    if (amount_ul == MOVEMENT_NULL)
        return json_null();
    return amount_ul % 1000 == 0 ? json_integer(amount_ul / 1000) : json_real((double)amount_ul / 1000.0);
}

json_t *json_rows_day(int64_t day)
{
    char text[CALENDAR_DATE_SIZE];
    if (day == MOVEMENT_NULL)
        return json_null();
    const struct day first = calendar_day(CALENDAR_FIRST_YEAR, 1, 1), last = calendar_day(CALENDAR_LAST_YEAR, 12, 31);
    if (day < first.number || day > last.number)
        return json_null();
    return json_string(calendar_write_date((struct day){(int32_t)day}, text));
}

json_t *json_rows_instant(int64_t ms)
{
    char text[CALENDAR_INSTANT_SIZE];
    if (ms == MOVEMENT_NULL)
        return json_null();
    return json_string(calendar_write_instant((struct instant){ms}, text));
}

json_t *json_rows_item(const struct item *item)
{
    const struct item_sds *sds = &item->sds;
    return json_pack(
        "{s:o, s:s%, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o,"
        " s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:b, s:I}",
        "code", json_rows_text(item->code), "letter", &item->letter, (size_t)1, "name", json_rows_text(item->name),
        "resin", json_rows_text(item->resin), "revision", json_rows_text(item->revision), "gtin",
        json_rows_text(item->gtin), "maker_code", json_rows_text(item->maker_code), "fits", json_rows_text(item->fits),
        "content_ml", json_rows_amount(item->content_ul), "minimum_days", json_rows_number(item->minimum_days),
        "life_minutes", json_rows_number(item->life_minutes), "density_g_ml",
        item->density_mg_ml > 0 ? json_real((double)item->density_mg_ml / 1000) : json_null(), "stir_days",
        json_rows_number(item->stir_days), "inspect_minutes", json_rows_number(item->inspect_minutes),
        "surface_minutes", json_rows_number(item->surface_minutes), "sds_product", json_rows_text(sds->product),
        "sds_signal_word", json_rows_text(sds->signal_word), "sds_pictograms", json_rows_text(sds->pictograms),
        "sds_statements", json_rows_text(sds->statements), "sds_precautions", json_rows_text(sds->precautions),
        "sds_revised", json_rows_text(sds->revised), "sds_place", json_rows_text(sds->place), "sds_label",
        json_rows_text(sds->label), "sds_supplier", json_rows_text(sds->supplier), "sds_address",
        json_rows_text(sds->address), "sds_phone", json_rows_text(sds->phone), "sds_quantity",
        json_rows_text(sds->quantity), "sds_ufi", json_rows_text(sds->ufi), "sds_language",
        json_rows_text(sds->language), "provisional", (int)item->provisional, "version", (json_int_t)item->version);
}

json_t *json_rows_place(const struct place *place)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:I}", "code", json_rows_text(place->code), "kind",
                     json_rows_text(place->kind), "printer", json_rows_text(place->printer), "name",
                     json_rows_text(place->name), "version", (json_int_t)place->version);
}

json_t *json_rows_machine(const struct machine *machine)
{
    return json_pack("{s:o, s:o, s:o, s:I}", "code", json_rows_text(machine->code), "name",
                     json_rows_text(machine->name), "slots", json_rows_number(machine->slots), "version",
                     (json_int_t)machine->version);
}

/* "pour retire" -> ["pour", "retire"] */
static json_t *word_list(const char *words)
{
    json_t *list = json_array();
    for (const char *at = words; *at != '\0';) {
        const size_t length = strcspn(at, " ");
        json_array_append_new(list, json_stringn(at, length));
        at += length + (at[length] == ' ');
    }
    return list;
}

json_t *json_rows_person(const struct person *person)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:I}", "serial", json_rows_text(person->serial), "name",
                     json_rows_text(person->name), "role", json_rows_text(person->role), "training",
                     word_list(person->training), "version", (json_int_t)person->version);
}

json_t *json_rows_delivery(const struct delivery *delivery)
{
    return json_pack("{s:o, s:o, s:b, s:o, s:I}", "id", json_rows_text(delivery->id), "supplier",
                     json_rows_text(delivery->supplier), "open", (int)delivery->open, "opened_at",
                     json_rows_instant(delivery->opened_ms), "version", (json_int_t)delivery->version);
}

json_t *json_rows_substitution(const struct substitution *substitution)
{
    return json_pack("{s:s, s:s, s:s, s:s, s:o, s:b, s:I}", "resin", substitution->resin, "wanted",
                     substitution->wanted, "given", substitution->given, "approver", substitution->approver, "until",
                     json_rows_day(substitution->until), "ended", (int)substitution->ended, "version",
                     (json_int_t)substitution->version);
}

json_t *json_rows_sticker(const struct sticker *sticker)
{
    return json_pack("{s:s, s:o, s:o, s:o, s:I}", "id", sticker->id, "supplier", json_rows_text(sticker->supplier),
                     "pattern", json_string(sticker->pattern), "example", json_rows_text(sticker->example), "version",
                     (json_int_t)sticker->version);
}

json_t *json_rows_question(const struct question *question)
{
    return json_pack("{s:I, s:o, s:o, s:o, s:o, s:b, s:o, s:I}", "question", (json_int_t)question->seq, "code",
                     json_rows_text(question->code), "unit", json_rows_text(question->unit), "person",
                     json_rows_text(question->person), "note", json_rows_text(question->note), "open",
                     (int)question->open, "opened_at", json_rows_instant(question->opened_ms), "version",
                     (json_int_t)question->version);
}

json_t *json_rows_print(const struct print *print)
{
    return json_pack("{s:o, s:o, s:I, s:s, s:o, s:o, s:o, s:I, s:o, s:o, s:I}", "unit", json_rows_text(print->unit),
                     "place", json_rows_text(print->place), "number", (json_int_t)print->number, "state",
                     print_state_word(print->state), "template", json_rows_text(print->label_template), "device",
                     json_rows_text(print->device), "device_job", json_rows_number(print->device_job), "ordered_seq",
                     (json_int_t)print->ordered_seq, "ordered_at", json_rows_instant(print->ordered_ms), "batch",
                     json_rows_text(print->batch), "version", (json_int_t)print->version);
}

json_t *json_rows_job(const struct job *job)
{
    return json_pack("{s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o, s:o}", "id", json_rows_text(job->id), "job",
                     json_rows_text(job->code), "person", json_rows_text(job->person), "started_at",
                     json_rows_instant(job->started_ms), "need_ml", json_rows_amount(job->need_ul), "end_day",
                     json_rows_day(job->end_day), "ends_at", json_rows_instant(job->end_ms), "minutes",
                     json_rows_number(job->minutes), "how", json_rows_text(job->outcome), "used_ml",
                     json_rows_amount(job->used_ul));
}

json_t *json_rows_stock(const struct stock_line *line, struct day today)
{
    return json_pack("{s:o, s:o, s:s, s:b, s:b, s:o, s:o, s:I, s:o, s:I}", "item", json_rows_text(line->item), "lot",
                     json_rows_text(line->lot), "status", unit_status_word(line->status), "held", (int)line->held,
                     "labelled", (int)line->labelled, "expires", json_rows_day(line->expires), "use_by",
                     use_by_json(line->expires, today), "units", (json_int_t)line->units, "amount_ml",
                     json_rows_amount(line->amount_unknown < line->units ? line->amount_ul : MOVEMENT_NULL),
                     "amount_unknown", (json_int_t)line->amount_unknown);
}

json_t *json_rows_total(const struct stock_total *total, struct day today)
{
    return json_pack("{s:o, s:I, s:I, s:I, s:I, s:I, s:I, s:o, s:o, s:o, s:I}", "item", json_rows_text(total->item),
                     "units", (json_int_t)total->units, "ready", (json_int_t)total->ready, "out",
                     (json_int_t)total->out, "held", (json_int_t)total->held, "unproved", (json_int_t)total->unproved,
                     "expired", (json_int_t)total->expired, "first_expires", json_rows_day(total->first_expires),
                     "first_use_by", use_by_json(total->first_expires, today), "amount_ml",
                     json_rows_amount(total->amount_unknown < total->units ? total->amount_ul : MOVEMENT_NULL),
                     "amount_unknown", (json_int_t)total->amount_unknown);
}

bool json_rows_gather(const struct unit *unit, void *context)
{
    struct serial_list *list = context;
    if (list->count == JSON_ROWS_SERIALS)
        return false;
    memcpy(list->serials[list->count++], unit->serial, SERIAL_SIZE);
    return true;
}

bool json_rows_units(struct ledger *ledger, const struct serial_list *list, struct day today, json_t **units,
                     struct fault *fault)
{
    json_t *array = json_array();
    for (size_t i = 0; array && i < list->count; i++) {
        json_t *unit = NULL;
        if (!desk_unit(ledger, list->serials[i], today, &unit, fault)) {
            json_decref(array);
            return false;
        }
        json_array_append_new(array, unit);
    }
    if (!array)
        return fault_set(fault, FAULT_STORAGE, "no memory for %zu units: try again", list->count);
    *units = array;
    return true;
}
