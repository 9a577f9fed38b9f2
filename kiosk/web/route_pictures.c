#include <stdlib.h>
#include <string.h>

#include "kiosk/basics/id.h"
#include "kiosk/devices/eye/eye.h"
#include "kiosk/rules/carton.h"
#include "kiosk/web/act_call.h"
#include "kiosk/web/act_json.h"
#include "kiosk/web/label_looks.h"
#include "kiosk/web/reply.h"
#include "kiosk/web/symbol_json.h"

/* POST /api/pictures: sleeps while the eye reads the picture, answers with every symbol in it; with ?act=scan sleeps a
 * second time while the desk does the scan of the one symbol that counts, with ?grade=yes once more while the ledger
 * keeps how our labels are printed. */

struct sight { /* the eye's answer, copied: its own is gone when `done` returns */
    int width, height;
    bool cut_short;
    int64_t cpu_ns;
    size_t count;
    struct quality_brief *looks; /* NULL: not asked for */
    bool has_calibration;
    struct eye_calibration calibration;
    struct reader_symbol symbols[];
};

static void sight_release(void *result)
{
    struct sight *sight = result;
    if (sight)
        free(sight->looks);
    free(sight);
}

static bool copy_looks(struct sight *sight, const struct eye_answer *answer)
{
    sight->looks = NULL;
    if (!answer->looks || answer->count == 0)
        return true;
    sight->looks = malloc(answer->count * sizeof *sight->looks);
    if (sight->looks)
        memcpy(sight->looks, answer->looks, answer->count * sizeof *sight->looks);
    return sight->looks != NULL;
}

/* On the eye's thread. */
static void seen(void *context, const struct eye_answer *answer, const struct fault *fault)
{
    struct waiter *waiter = context;
    struct fault lost = {0};
    struct sight *sight = NULL;
    if (!fault) {
        sight = malloc(sizeof *sight + answer->count * sizeof *answer->symbols);
        if (!sight) {
            fault_set(&lost, FAULT_STORAGE, "no memory for what the picture holds: send it again");
            fault = &lost;
        }
    }
    if (sight) {
        *sight = (struct sight){answer->width, answer->height, answer->cut_short, answer->cpu_ns, answer->count};
        sight->has_calibration = answer->calibration != NULL;
        if (answer->calibration)
            sight->calibration = *answer->calibration;
        if (answer->count > 0)
            memcpy(sight->symbols, answer->symbols, answer->count * sizeof *answer->symbols);
        if (!copy_looks(sight, answer)) {
            sight_release(sight);
            sight = NULL;
            fault_set(&lost, FAULT_STORAGE, "no memory for how the labels are printed: send it again");
            fault = &lost;
        }
    }
    waiter_complete(waiter, sight, sight_release, fault);
}

/* The answer so far, while the act is on its way. */
static json_t *answer_of(struct request *request)
{
    return request->scratch;
}

static void answer_release(void *answer)
{
    json_decref(answer);
}

static void note(json_t *answer, const char *sentence)
{
    json_object_set_new(answer, "note", json_string(sentence));
}

static enum MHD_Result reply_answer(struct request *request)
{
    return reply_json(request, MHD_HTTP_OK, json_incref(answer_of(request)));
}

/* What the ledger kept: nothing when it could not, and why. */
static enum MHD_Result reply_kept(struct request *request)
{
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    json_t *answer = answer_of(request), *kept = result ? json_loads(result->text, 0, NULL) : NULL;
    json_object_set_new(answer, "looks_kept", json_incref(json_object_get(kept, "looks")));
    json_decref(kept);
    if (!result)
        note(answer, fault->text);
    return reply_answer(request);
}

/* The last step: hands the looks, if there are any, to the ledger. */
static enum MHD_Result keep_looks(struct request *request)
{
    json_t *looks = json_object_get(answer_of(request), "looks");
    struct fault fault = {0};
    struct act act = {.kind = "label-look", .version = 1};
    const char *source = request_query(request, "source");
    if (json_array_size(looks) == 0)
        return reply_answer(request);
    id_make(act.id);
    act.content = json_pack("{s:s, s:O}", "source", source ? source : "upload", "looks", looks);
    if (act_call_start(request, &act, reply_kept, &fault))
        return MHD_YES;
    note(answer_of(request), fault.text);
    return reply_answer(request);
}

static enum MHD_Result reply_scanned(struct request *request)
{
    const struct fault *fault = NULL;
    const struct act_result *result = act_call_result(request, &fault);
    json_t *answer = answer_of(request);
    if (result) {
        json_object_set_new(answer, "act", json_loads(result->text, 0, NULL));
    } else {
        note(answer, fault->text);
        json_object_set_new(answer, "code", json_string(fault_code_word(fault->code)));
    }
    return keep_looks(request);
}

/* What a picture holds that may be scanned from it. */
struct scannable {
    struct picture_code codes[CARTON_CODES]; /* the first of them; borrowed from the sight */
    size_t count;
    size_t makers; /* of these, makers' codes */
    size_t never;  /* cards, badges and tickets */
};

/* Hands the symbols to the desk; what hinders it is said in the answer, for they were read all the same. */
static enum MHD_Result scan_them(struct request *request, const struct scannable *found)
{
    struct fault fault = {0};
    struct act act;
    if (act_json_make_picture_scan(request_query(request, "counter"), found->codes, found->count, &act, &fault) &&
        act_call_start(request, &act, reply_scanned, &fault))
        return MHD_YES;
    note(answer_of(request), fault.text);
    return keep_looks(request);
}

/* How well each symbol is printed, beside it; of our units' also as looks to keep. */
static bool describe_looks(struct request *request, struct ledger *ledger, const struct sight *sight, json_t *symbols,
                           json_t *looks, struct fault *fault)
{
    const struct template_files templates = web_template_files(request->web);
    for (size_t i = 0; i < sight->count; i++) {
        json_t *row = json_array_get(symbols, i), *look = NULL;
        const json_t *unit = json_object_get(row, "unit");
        if (sight->looks[i].pixels_a_module == 0)
            continue;
        json_object_set_new(row, "quality", label_looks_quality(&sight->looks[i]));
        if (json_is_string(unit) && !label_looks_make(ledger, &templates, json_string_value(unit), &sight->symbols[i],
                                                      &sight->looks[i], &look, fault))
            return false;
        if (look)
            json_array_append_new(looks, look);
    }
    return true;
}

/* What cannot be looked up is said in the answer, for the symbols were read all the same. */
static void add_looks(struct request *request, const struct sight *sight, json_t *answer)
{
    struct ledger *ledger = NULL;
    struct fault fault = {0};
    json_t *looks = json_array();
    json_object_set_new(answer, "looks", looks);
    bool read = readers_take(request->web->readers, &ledger, &fault);
    if (read) {
        read = describe_looks(request, ledger, sight, json_object_get(answer, "symbols"), looks, &fault);
        readers_give(request->web->readers, ledger, !read);
    }
    if (!read)
        note(answer, fault.text);
}

/* Describes every symbol, and gathers those that may be scanned. */
static struct scannable describe(const struct sight *sight, struct day today, json_t *symbols)
{
    struct scannable found = {.count = 0};
    for (size_t i = 0; i < sight->count; i++) {
        struct scan scan;
        bool readable = false;
        json_t *row = symbol_json_write(&sight->symbols[i], today, &scan, &readable);
        if (readable && scan.kind == SCAN_UNIT)
            json_object_set_new(row, "unit", json_string(scan.unit.serial));
        json_array_append_new(symbols, row);
        if (readable && symbol_json_counts(scan.kind)) {
            const struct reader_symbol *const symbol = &sight->symbols[i];
            if (found.count < CARTON_CODES)
                found.codes[found.count] =
                    (struct picture_code){{(const char *)symbol->bytes, symbol->length}, symbol->symbology};
            found.count++;
            found.makers += scan.kind == SCAN_SUPPLIER;
        }
        found.never += readable && (scan.kind == SCAN_CARD || scan.kind == SCAN_PERSON || scan.kind == SCAN_ITEM ||
                                    scan.kind == SCAN_JOB);
    }
    return found;
}

/* One label, or nothing but makers' codes: those of one carton. */
static bool may_scan(const struct scannable *found)
{
    return found->count == 1 || (found->count > 1 && found->count <= CARTON_CODES && found->makers == found->count);
}

static const char *note_of(bool wants_scan, const struct scannable *found)
{
    const size_t never = found->never;
    if (wants_scan && found->count > 1 && !may_scan(found))
        return "more than one label is in the picture: nothing was scanned; scan the one you mean";
    if (wants_scan && found->count == 0)
        return never > 0 ? "cards, badges and tickets never count from a photograph: scan them with the hand scanner"
                         : "no label of ours and no maker's code was found: nothing was scanned";
    return never > 0 ? "cards, badges and tickets never count from a photograph: those in the picture were left out"
                     : NULL;
}

static enum MHD_Result reply_seen(struct request *request)
{
    const struct waiter *waiter = request->waiter;
    const struct sight *sight = waiter->result;
    if (waiter->fault.code != FAULT_NONE)
        return reply_fault(request, &waiter->fault);
    atomic_fetch_add(&request->web->pictures, 1);
    atomic_fetch_add(&request->web->symbols, sight->count);
    json_t *symbols = json_array();
    const struct moment now = clock_now(request->web->options.clock);
    const struct scannable found = describe(sight, now.local_day, symbols);
    const bool wants_scan = request_query(request, "act") != NULL;
    json_t *answer = json_pack("{s:i, s:i, s:o, s:b, s:f, s:n, s:s?}", "width", sight->width, "height", sight->height,
                               "symbols", symbols, "cut_short", (int)sight->cut_short, "cpu_ms",
                               (double)sight->cpu_ns / 1e6, "act", "note", note_of(wants_scan, &found));
    if (!answer)
        return MHD_NO;
    json_object_set_new(
        answer, "calibration",
        label_looks_calibration(sight->symbols, sight->count, sight->has_calibration ? &sight->calibration : NULL));
    if (sight->looks)
        add_looks(request, sight, answer);
    request->scratch = answer;
    request->scratch_release = answer_release;
    if (wants_scan && may_scan(&found))
        return scan_them(request, &found); /* leaves the waiter, and `sight` with it, only once the bytes are copied */
    return keep_looks(request);
}

static bool check_query(const struct request *request, struct fault *fault)
{
    const char *counter = request_query(request, "counter"), *act = request_query(request, "act");
    if (act && strcmp(act, "scan") != 0)
        return fault_set(fault, FAULT_INPUT, "query 'act' can only be 'scan': leave it out to read the picture alone");
    if (act && !counter)
        return fault_set(fault, FAULT_INPUT, "a scan needs a counter: add ?counter=NAME");
    const char *cartons = request_query(request, "cartons");
    if (cartons && strcmp(cartons, "yes") != 0)
        return fault_set(fault, FAULT_INPUT,
                         "query 'cartons' can only be 'yes': leave it out to read Data Matrix symbols alone");
    const char *grade = request_query(request, "grade"), *source = request_query(request, "source");
    if (grade && strcmp(grade, "yes") != 0)
        return fault_set(fault, FAULT_INPUT, "query 'grade' can only be 'yes': leave it out to read the picture alone");
    if (source && (!grade || source[0] == '\0' || strlen(source) >= WORD_SIZE))
        return fault_set(fault, FAULT_INPUT,
                         "query 'source' goes with grade=yes and names the camera in 1 to %d of a-z, 0-9 and -",
                         WORD_SIZE - 1);
    if (counter && !act_json_is_counter(counter))
        return fault_set(fault, FAULT_INPUT, "query 'counter' must be a name of up to %d letters, digits, - and _",
                         ACT_COUNTER_SIZE - 1);
    if (request->body_length == 0)
        return fault_set(fault, FAULT_INPUT, "the request has no picture: send a JPEG, PNG or PGM file as its body");
    if (!request->web->options.eye)
        return fault_set(fault, FAULT_DEVICE, "this kiosk runs without its picture reader: use the hand scanner");
    return true;
}

static unsigned wishes_of(const struct request *request)
{
    return (request_query(request, "cartons") ? EYE_CARTONS : 0U) | (request_query(request, "grade") ? EYE_LOOKS : 0U);
}

enum MHD_Result route_pictures_post(struct request *request)
{
    struct fault fault = {0}, refused = {0};
    if (!check_query(request, &fault) || !request_wait(request, reply_seen, &fault))
        return reply_fault(request, &fault);
    struct waiter *waiter = request->waiter;
    /* The connection sleeps already: only what cannot change under a completion is touched from here on. */
    if (!eye_submit(request->web->options.eye, (const uint8_t *)request->body, request->body_length, wishes_of(request),
                    seen, waiter, &refused))
        waiter_complete(waiter, NULL, NULL, &refused);
    return MHD_YES;
}
