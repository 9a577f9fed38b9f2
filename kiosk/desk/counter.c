#include "kiosk/desk/counter.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/desk/counter_json.h"
#include "kiosk/ledger/json_memory.h"

static const char *const step_words[] = {"idle",     "check-out",  "check-in", "receipt", "proof",
                                         "put-away", "pour",       "clean",    "retire",  "inspect",
                                         "lend",     "label-lost", "take-on",  "keep",    "life"};
_Static_assert(sizeof step_words / sizeof *step_words == STEPS, "one word a step");

const char *counter_step_word(enum counter_step step)
{
    return step_words[step];
}

static json_t *write_units(const struct counter *counter)
{
    json_t *list = json_array();
    for (size_t i = 0; i < counter->unit_count; i++) {
        const struct counter_unit *unit = &counter->units[i];
        json_t *row = json_object();
        counter_json_put_text(row, "serial", unit->serial);
        counter_json_put_text(row, "film", unit->film);
        counter_json_put_number(row, "minutes", unit->minutes);
        counter_json_put_number(row, "amount_ul", unit->amount_ul);
        if (unit->all)
            json_object_set_new(row, "all", json_true());
        if (unit->unknown)
            json_object_set_new(row, "unknown", json_true());
        if (unit->mixer_missing)
            json_object_set_new(row, "mixer_missing", json_true());
        if (unit->float_stuck)
            json_object_set_new(row, "float_stuck", json_true());
        counter_json_put_text(row, "instead", unit->instead);
        if (unit->lent)
            json_object_set_new(row, "lent", json_true());
        json_array_append_new(list, row);
    }
    return list;
}

static void read_units(const json_t *list, struct counter *counter)
{
    size_t i;
    json_t *row;
    json_array_foreach(list, i, row)
    {
        if (counter->unit_count == COUNTER_UNITS)
            return;
        struct counter_unit *unit = &counter->units[counter->unit_count++];
        counter_json_text(row, "serial", unit->serial, sizeof unit->serial);
        counter_json_text(row, "film", unit->film, sizeof unit->film);
        unit->minutes = counter_json_number(row, "minutes");
        unit->amount_ul = counter_json_number(row, "amount_ul");
        unit->all = json_is_true(json_object_get(row, "all"));
        unit->unknown = json_is_true(json_object_get(row, "unknown"));
        unit->mixer_missing = json_is_true(json_object_get(row, "mixer_missing"));
        unit->float_stuck = json_is_true(json_object_get(row, "float_stuck"));
        counter_json_text(row, "instead", unit->instead, sizeof unit->instead);
        unit->lent = json_is_true(json_object_get(row, "lent"));
    }
}

static json_t *write_ticket(const struct job_label *ticket)
{
    char ends[TICKET_TIME_COMPACT_SIZE];
    json_t *row = json_object();
    counter_json_put_text(row, "code", ticket->code);
    counter_json_put_text(row, "printer", ticket->printer);
    counter_json_put_text(row, "resin", ticket->resin);
    counter_json_put_text(row, "revision", ticket->revision);
    counter_json_put_number(row, "need_ml", ticket->need_ml);
    counter_json_put_text(row, "ends", ticket->has_ends ? ticket_time_compact(&ticket->ends, ends) : "");
    return row;
}

static void read_ticket(const json_t *row, struct job_label *ticket)
{
    char ends[TICKET_TIME_COMPACT_SIZE] = "";
    const int64_t need = counter_json_number(row, "need_ml");
    counter_json_text(row, "code", ticket->code, sizeof ticket->code);
    counter_json_text(row, "printer", ticket->printer, sizeof ticket->printer);
    counter_json_text(row, "resin", ticket->resin, sizeof ticket->resin);
    counter_json_text(row, "revision", ticket->revision, sizeof ticket->revision);
    counter_json_text(row, "ends", ends, sizeof ends);
    ticket->need_ml = need > 0 && need <= JOB_LABEL_NEED_MAX ? (long)need : 0;
    ticket->has_ends = ticket_time_read_compact(span_of(ends), &ticket->ends, NULL);
}

static json_t *write_receipt(const struct counter_receipt *receipt)
{
    json_t *row = json_object();
    counter_json_put_text(row, "item", receipt->item);
    counter_json_put_text(row, "lot", receipt->lot);
    counter_json_put_text(row, "gtin", receipt->gtin);
    counter_json_put_text(row, "maker_code", receipt->maker_code);
    counter_json_put_number(row, "expires", receipt->expires);
    counter_json_put_number(row, "made", receipt->made);
    counter_json_put_number(row, "quantity", receipt->quantity);
    counter_json_put_number(row, "content_ul", receipt->content_ul);
    counter_json_put_number(row, "asked", receipt->asked);
    counter_json_put_text(row, "hold", receipt->hold);
    if (receipt->day_was_00)
        json_object_set_new(row, "day_was_00", json_true());
    return row;
}

static void read_receipt(const json_t *row, struct counter_receipt *receipt)
{
    counter_json_text(row, "item", receipt->item, sizeof receipt->item);
    counter_json_text(row, "lot", receipt->lot, sizeof receipt->lot);
    counter_json_text(row, "gtin", receipt->gtin, sizeof receipt->gtin);
    counter_json_text(row, "maker_code", receipt->maker_code, sizeof receipt->maker_code);
    receipt->expires = counter_json_number(row, "expires");
    receipt->made = counter_json_number(row, "made");
    receipt->quantity = counter_json_number(row, "quantity");
    receipt->content_ul = counter_json_number(row, "content_ul");
    receipt->asked = counter_json_number(row, "asked");
    counter_json_text(row, "hold", receipt->hold, sizeof receipt->hold);
    receipt->day_was_00 = json_is_true(json_object_get(row, "day_was_00"));
}

static json_t *write_reasons(const struct verdict_list *verdict)
{
    json_t *list = json_array();
    for (size_t i = 0; i < verdict->count; i++) {
        const struct reason *reason = &verdict->reasons[i];
        json_array_append_new(list, json_pack("{s:s,s:s,s:s}", "code", reason_code_word(reason->code), "subject",
                                              reason->subject, "sentence", reason->sentence));
    }
    return list;
}

/* By its word: numbers of codes change from version to version. */
static bool read_code(const json_t *word, enum reason_code *code)
{
    for (int i = 0; i < REASON_CODES; i++)
        if (json_is_string(word) && strcmp(json_string_value(word), reason_code_word((enum reason_code)i)) == 0) {
            *code = (enum reason_code)i;
            return true;
        }
    return false;
}

static void read_reasons(const json_t *list, struct verdict_list *verdict)
{
    size_t i;
    json_t *row;
    json_array_foreach(list, i, row)
    {
        enum reason_code code;
        const char *subject = json_string_value(json_object_get(row, "subject"));
        const char *sentence = json_string_value(json_object_get(row, "sentence"));
        if (read_code(json_object_get(row, "code"), &code) && subject && sentence)
            verdict_add(verdict, code, subject, "%s", sentence);
    }
}

bool counter_store(struct ledger *ledger, const struct counter *counter, struct fault *fault)
{
    json_t *row = json_object();
    counter_json_put_text(row, "person", counter->person);
    counter_json_put_number(row, "person_mono_ms", counter->person_mono_ms);
    counter_json_put_text(row, "run", counter->run);
    counter_json_put_text(row, "delivery", counter->delivery);
    counter_json_put_number(row, "step", counter->step);
    json_object_set_new(row, "units", write_units(counter));
    counter_json_put_text(row, "place", counter->place);
    if (counter->need_said) {
        json_object_set_new(row, "need_said", json_true());
        counter_json_put_number(row, "need_ul", counter->need_ul);
    }
    counter_json_put_text(row, "kept_for", counter->kept_for);
    if (counter->due_said) {
        json_object_set_new(row, "due_said", json_true());
        counter_json_put_number(row, "due", counter->due);
    }
    if (counter->ticket.code[0] != '\0')
        json_object_set_new(row, "ticket", write_ticket(&counter->ticket));
    json_object_set_new(row, "receipt", write_receipt(&counter->receipt));
    json_object_set_new(row, "carton", counter_carton_write(&counter->carton));
    json_object_set_new(row, "bare", counter_bare_write(&counter->bare));
    counter_json_put_text(row, "proof_item", counter->proof_item);
    counter_json_put_text(row, "proof_lot", counter->proof_lot);
    if (counter->proof_set)
        json_object_set_new(row, "proof_set", json_true());
    counter_json_put_text(row, "tray", counter->tray);
    counter_json_put_text(row, "undo_asked", counter->undo_asked);
    if (counter->spoken)
        json_object_set_new(row, "spoken", json_true());
    json_object_set_new(row, "reasons", write_reasons(&counter->verdict));
    counter_json_put_number(row, "verdict", counter->verdict.verdict); /* a question may have no reason */
    counter_json_put_text(row, "title", counter->title);
    char *text = json_memory_dumps(row, JSON_COMPACT | JSON_SORT_KEYS);
    json_decref(row);
    if (!text)
        return fault_set(fault, FAULT_STORAGE, "no memory to keep what counter '%s' is doing: try again",
                         counter->name);
    const bool stored = session_store(ledger, counter->name, text, fault);
    free(text);
    return stored;
}

static void read_state(const char *state, struct counter *counter)
{
    json_error_t error;
    json_t *row = json_loads(state, 0, &error);
    if (!row) {
        counter_object(counter, REASON_UNREADABLE, "",
                       "What this counter was doing can't be read any more (%s): nothing was booked, start over.",
                       error.text);
        return;
    }
    counter_json_text(row, "person", counter->person, sizeof counter->person);
    counter->person_mono_ms = counter_json_number(row, "person_mono_ms");
    counter_json_text(row, "run", counter->run, sizeof counter->run);
    counter_json_text(row, "delivery", counter->delivery, sizeof counter->delivery);
    const int64_t step = counter_json_number(row, "step");
    counter->step = step >= 0 && step < STEPS ? (enum counter_step)step : STEP_IDLE;
    read_units(json_object_get(row, "units"), counter);
    counter_json_text(row, "place", counter->place, sizeof counter->place);
    counter->need_said = json_is_true(json_object_get(row, "need_said"));
    counter->need_ul = counter_json_number(row, "need_ul");
    counter->due_said = json_is_true(json_object_get(row, "due_said"));
    counter->due = counter_json_number(row, "due");
    read_ticket(json_object_get(row, "ticket"), &counter->ticket);
    counter_json_text(row, "kept_for", counter->kept_for, sizeof counter->kept_for);
    read_receipt(json_object_get(row, "receipt"), &counter->receipt);
    counter_carton_read(json_object_get(row, "carton"), &counter->carton);
    counter_bare_read(json_object_get(row, "bare"), &counter->bare);
    counter_json_text(row, "proof_item", counter->proof_item, sizeof counter->proof_item);
    counter_json_text(row, "proof_lot", counter->proof_lot, sizeof counter->proof_lot);
    counter->proof_set = json_is_true(json_object_get(row, "proof_set"));
    counter_json_text(row, "tray", counter->tray, sizeof counter->tray);
    counter_json_text(row, "undo_asked", counter->undo_asked, sizeof counter->undo_asked);
    counter->spoken = json_is_true(json_object_get(row, "spoken"));
    read_reasons(json_object_get(row, "reasons"), &counter->verdict);
    const int64_t verdict = counter_json_number(row, "verdict");
    if (verdict > (int64_t)counter->verdict.verdict && verdict <= VERDICT_STOP)
        counter->verdict.verdict = (enum verdict)verdict;
    counter_json_text(row, "title", counter->title, sizeof counter->title);
    json_decref(row);
}

bool counter_load(struct ledger *ledger, const struct desk *desk, const char *name, const struct moment *moment,
                  struct counter *counter, struct fault *fault)
{
    memset(counter, 0, sizeof *counter);
    counter_bare_clear(&counter->bare);
    if (name[0] == '\0' || !span_copy(span_of(name), counter->name, sizeof counter->name))
        return fault_set(fault, FAULT_INPUT, "a counter's name has 1 to %d characters: say which counter",
                         COUNTER_SIZE - 1);
    char *state = malloc(SESSION_STATE_SIZE);
    if (!state)
        return fault_set(fault, FAULT_STORAGE, "no memory to read what counter '%s' is doing: try again", name);
    const bool done = session_load(ledger, name, state, SESSION_STATE_SIZE, fault);
    if (done && state[0] != '\0')
        read_state(state, counter);
    free(state);
    const int64_t age = moment->mono_ms - counter->person_mono_ms;
    if (strcmp(counter->run, desk->run) != 0 || age < 0 || age > (int64_t)desk->idle_seconds * 1000)
        counter->person[0] = '\0';
    return done;
}

void counter_clear_group(struct counter *counter)
{
    counter->step = STEP_IDLE;
    counter->unit_count = 0;
    counter->place[0] = counter->kept_for[0] = '\0';
    counter->need_said = counter->due_said = false;
    memset(&counter->ticket, 0, sizeof counter->ticket);
    counter->tray[0] = counter->undo_asked[0] = '\0';
    counter->proof_set = false;
    memset(&counter->receipt, 0, sizeof counter->receipt);
    counter_bare_clear(&counter->bare);
    memset(&counter->carton.codes, 0, sizeof counter->carton.codes);
    counter->carton.asks = counter->carton.later = CARTON_ASKS_NOTHING;
}

__attribute__((format(printf, 2, 0))) static void speak(struct counter *counter, const char *format, va_list arguments)
{
    memset(&counter->verdict, 0, sizeof counter->verdict);
    counter->spoken = true;
    (void)vsnprintf(counter->title, sizeof counter->title, format, arguments);
    text_end_whole(counter->title);
}

void counter_note(struct counter *counter, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    speak(counter, format, arguments);
    va_end(arguments);
    counter->spoken = false;
}

void counter_say(struct counter *counter, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    speak(counter, format, arguments);
    va_end(arguments);
}

void counter_ask(struct counter *counter, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    speak(counter, format, arguments);
    va_end(arguments);
    counter->verdict.verdict = VERDICT_ASK;
}

void counter_object(struct counter *counter, enum reason_code code, const char *subject, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    speak(counter, format, arguments);
    va_end(arguments);
    verdict_add(&counter->verdict, code, subject, "%s", counter->title);
}

void counter_show(struct counter *counter, const struct verdict_list *list)
{
    counter_say(counter, "%s", verdict_worst(list)->sentence);
    counter->verdict = *list;
}

struct counter_unit *counter_find(struct counter *counter, const char *serial)
{
    for (size_t i = 0; i < counter->unit_count; i++)
        if (strcmp(counter->units[i].serial, serial) == 0)
            return &counter->units[i];
    return NULL;
}

struct counter_unit *counter_add(struct counter *counter, const char *serial)
{
    if (counter->unit_count == COUNTER_UNITS)
        return NULL;
    struct counter_unit *unit = &counter->units[counter->unit_count++];
    *unit = (struct counter_unit){.minutes = MOVEMENT_NULL, .amount_ul = MOVEMENT_NULL};
    (void)span_copy(span_of(serial), unit->serial, sizeof unit->serial);
    return unit;
}
