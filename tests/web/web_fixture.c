#include "tests/web/web_fixture.h"

#include <ftw.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/basics/id.h"
#include "kiosk/desk/device.h"
#include "kiosk/desk/entries.h"
#include "kiosk/desk/job_end.h"
#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/job_start.h"
#include "kiosk/desk/label_look.h"
#include "kiosk/desk/people.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/desk_rows.h"
#include "tests/web/label_rows.h"
#include "tests/web/shelves.h"

/* Acts of the tests */

static bool act_mark(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_CLOCK_CONFIRMED);
    if (!ledger_book(context->ledger, &movement, fault))
        return false;
    *answer = json_pack("{s:O*}", "n", json_object_get(context->act->content, "n"));
    return true;
}

static bool act_block(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct web_fixture *fixture = context->desk;
    sem_wait(&fixture->gate);
    sem_post(&fixture->gate); /* once open, open for all */
    return act_mark(context, answer, fault);
}

static bool act_fail(struct act_context *context, json_t **answer, struct fault *fault)
{
    const char *word = json_string_value(json_object_get(context->act->content, "code"));
    (void)answer;
    for (int code = 1; word && code < FAULT_CODES; code++)
        if (strcmp(word, fault_code_word((enum fault_code)code)) == 0)
            return fault_set(fault, (enum fault_code)code, "it failed with '%s' as asked: nothing to do", word);
    return fault_set(fault, FAULT_INPUT, "no code: add one");
}

static bool act_scan(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)fault;
    *answer = json_pack("{s:O}", "content", context->act->content);
    return true;
}

static bool act_empty(struct act_context *context, json_t **answer, struct fault *fault)
{
    (void)context;
    (void)fault;
    *answer = json_object();
    return true;
}

static bool book_item(struct ledger *ledger, struct fault *fault)
{
    const struct item item = {.code = "FLINT",
                              .letter = 'C',
                              .name = "Flint 1 l",
                              .resin = "Flint",
                              .revision = "2",
                              .content_ul = 1000000,
                              .minimum_days = MOVEMENT_NULL,
                              .life_minutes = MOVEMENT_NULL};
    struct movement movement;
    movement_init(&movement, MOVEMENT_ITEM_ENTRY);
    memcpy(movement.item, item.code, sizeof movement.item);
    return item_write_detail(&item, movement.detail, fault) && ledger_book(ledger, &movement, fault);
}

static bool book_place(struct ledger *ledger, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PLACE_ENTRY);
    snprintf(movement.place, sizeof movement.place, "A3-07");
    snprintf(movement.word, sizeof movement.word, "shelf");
    snprintf(movement.detail, sizeof movement.detail, "{\"name\":\"left of the door\"}");
    return ledger_book(ledger, &movement, fault);
}

static bool book_printer(struct ledger *ledger, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PRINTER_ENTRY);
    snprintf(movement.printer, sizeof movement.printer, "CAPSTAN");
    movement.pieces = 1;
    snprintf(movement.detail, sizeof movement.detail, "{\"name\":\"Capstan\"}");
    return ledger_book(ledger, &movement, fault);
}

static bool book_person(struct ledger *ledger, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PERSON_ENTRY);
    snprintf(movement.word, sizeof movement.word, "technician");
    return ledger_next_serial(ledger, 'H', movement.unit, fault) &&
           ledger_text_put(ledger, "Ada <b>", movement.text, fault) && ledger_book(ledger, &movement, fault);
}

static bool book_unit(struct ledger *ledger, char serial[SERIAL_SIZE], struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_TAKE_ON);
    if (!ledger_next_serial(ledger, 'C', movement.unit, fault))
        return false;
    memcpy(serial, movement.unit, SERIAL_SIZE);
    snprintf(movement.item, sizeof movement.item, "FLINT");
    snprintf(movement.lot, sizeof movement.lot, "A1");
    snprintf(movement.place, sizeof movement.place, "A3-07");
    movement.amount_ul = 1000000;
    movement.expires = calendar_day(2031, 5, 31).number;
    return ledger_book(ledger, &movement, fault);
}

static bool act_stock(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct ledger *ledger = context->ledger;
    char first[SERIAL_SIZE], second[SERIAL_SIZE];
    if (!book_item(ledger, fault) || !book_place(ledger, fault) || !book_printer(ledger, fault) ||
        !book_person(ledger, fault) || !book_unit(ledger, first, fault) || !book_unit(ledger, second, fault))
        return false;
    *answer = json_pack("{s:s, s:s}", "first", first, "second", second);
    return true;
}

static bool act_label_rows(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return label_rows_fill(context->ledger, fault);
}

static bool act_shelves(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return shelves_fill(context->ledger, fault);
}

static bool act_labels(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return shelves_fill(context->ledger, fault) && shelves_fill_labels(context->ledger, fault);
}

static bool act_lent(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return shelves_fill(context->ledger, fault) && shelves_fill_lent(context->ledger, fault);
}

static bool act_lots(struct act_context *context, json_t **answer, struct fault *fault)
{
    *answer = json_object();
    return shelves_fill_lots(context->ledger, fault);
}

static bool act_storekeeper(struct act_context *context, json_t **answer, struct fault *fault)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PERSON_ENTRY);
    snprintf(movement.word, sizeof movement.word, "storekeeper");
    if (!ledger_next_serial(context->ledger, 'H', movement.unit, fault) ||
        !ledger_text_put(context->ledger, "Maren", movement.text, fault) ||
        !ledger_book(context->ledger, &movement, fault))
        return false;
    *answer = json_pack("{s:s}", "serial", movement.unit);
    return true;
}

static const struct act_kind acts[] = {
    {"mark", act_mark},
    {"block", act_block},
    {"fail", act_fail},
    {"scan", act_scan},
    {"empty", act_empty},
    {"stock", act_stock},
    {"shelves", act_shelves},
    {"label-rows", act_label_rows},
    {"label-look", label_look_act},
    {"lots", act_lots},
    {"lent", act_lent},
    {"labels", act_labels},
    {"storekeeper", act_storekeeper},
    {"device-entry", device_entry_act},
    {"device-revoke", device_revoke_act},
    {"printer-entry", printer_entry_act},
    {"job-plan", job_plan_act},
    {"job-drop", job_drop_act},
    {"job-ticket", job_ticket_print_act},
    {"job-start", job_start_act},
    {"job-end", job_end_act},
    {NULL, NULL},
};

/* The house around them */

void web_fixture_write_file(const char *path, const char *text)
{
    FILE *file = fopen(path, "w");
    assert_non_null(file);
    assert_true(fputs(text, file) >= 0);
    assert_int_equal(fclose(file), 0);
}

static void make_folders(struct web_fixture *fixture)
{
    snprintf(fixture->folder, sizeof fixture->folder, "/tmp/ambershelf-web-XXXXXX");
    assert_non_null(mkdtemp(fixture->folder));
    snprintf(fixture->pages, sizeof fixture->pages, "%s/pages", fixture->folder);
    snprintf(fixture->vendor, sizeof fixture->vendor, "%s/vendor", fixture->folder);
    snprintf(fixture->api, sizeof fixture->api, "%s/api.yaml", fixture->folder);
    assert_int_equal(mkdir(fixture->pages, 0700), 0);
    assert_int_equal(mkdir(fixture->vendor, 0700), 0);
}

static void open_with(struct web_fixture *fixture, const struct act_kind *kinds, void *desk)
{
    struct fault fault = {0};
    *fixture = (struct web_fixture){.desk = {.idle_seconds = 90, .run = "tests"}};
    make_folders(fixture);
    ledger_fixture_create(&fixture->ledger);
    assert_int_equal(sem_init(&fixture->gate, 0, 0), 0);
    fixture->clock = clock_create_system();
    fixture->feed = feed_create();
    assert_true(fixture->clock && fixture->feed);
    const struct writer_options options = {.address = fixture->ledger.address,
                                           .kinds = kinds,
                                           .desk = desk,
                                           .clock = fixture->clock,
                                           .feed = fixture->feed,
                                           .kiosk = "TEST"};
    if (!writer_create(&options, &fixture->writer, &fault))
        fail_msg("writer: %s", fault.text);
}

void web_fixture_open(struct web_fixture *fixture)
{
    open_with(fixture, acts, fixture);
}

void web_fixture_open_desk(struct web_fixture *fixture)
{
    open_with(fixture, desk_acts, &fixture->desk);
}

void web_fixture_serve(struct web_fixture *fixture, int keep_alive_ms)
{
    struct fault fault = {0};
    const struct web_options options = {.writer = fixture->writer,
                                        .feed = fixture->feed,
                                        .eye = fixture->eye,
                                        .clock = fixture->clock,
                                        .desk = &fixture->desk,
                                        .ledger_address = fixture->ledger.address,
                                        .pages_folder = fixture->pages,
                                        .vendor_folder = fixture->vendor,
                                        .api_file = fixture->api,
                                        .templates_folder = SOURCE_ROOT "/labels/drawing/templates",
                                        .kiosk = "TEST",
                                        .keep_alive_ms = keep_alive_ms};
    if (!web_create(&options, &fixture->web, &fault))
        fail_msg("web: %s", fault.text);
    fixture->port = web_port(fixture->web);
    assert_true(fixture->port > 0);
}

static int remove_one(const char *path, const struct stat *info, int kind, struct FTW *place)
{
    (void)info;
    (void)kind;
    (void)place;
    return remove(path);
}

void web_fixture_remove_folder(const char *folder)
{
    assert_int_equal(nftw(folder, remove_one, 8, FTW_DEPTH | FTW_PHYS), 0);
}

void web_fixture_start(struct web_fixture *fixture, const char *kind)
{
    web_fixture_open(fixture);
    web_fixture_run(fixture, kind);
    web_fixture_serve(fixture, 0);
}

void web_fixture_close(struct web_fixture *fixture)
{
    web_destroy(fixture->web);
    sem_post(&fixture->gate);
    writer_destroy(fixture->writer);
    feed_destroy(fixture->feed);
    clock_destroy(fixture->clock);
    sem_destroy(&fixture->gate);
    ledger_fixture_destroy(&fixture->ledger);
    web_fixture_remove_folder(fixture->folder);
}

void web_fixture_run(struct web_fixture *fixture, const char *kind)
{
    struct act act = {.version = 1, .content = json_object()};
    struct fault fault = {0};
    json_t *answer = NULL;
    id_make(act.id);
    snprintf(act.kind, sizeof act.kind, "%s", kind);
    if (!writer_run(fixture->writer, &act, &answer, &fault))
        fail_msg("%s: %s", kind, fault.text);
    json_decref(answer);
}

void web_fixture_mark(struct web_fixture *fixture, int count)
{
    for (int i = 0; i < count; i++)
        web_fixture_run(fixture, "mark");
}
