#include "tests/ledger/booked_ledger.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/ledger_room.h"

#define SET(field, text) assert_true(span_copy(span_of(text), field, sizeof(field)))

static const char person[] = "H0000014"; /* as booked only: who did it is not looked up */

static void must(bool ok, const struct fault *fault)
{
    if (!ok)
        fail_msg("%s", fault->text);
}

static void book(struct ledger *ledger, const struct movement *movement)
{
    struct movement copy = *movement;
    struct fault fault = {0};
    must(ledger_book(ledger, &copy, &fault), &fault);
}

static struct movement of_unit(enum movement_kind kind, const char *serial, const char *word)
{
    struct movement m;
    movement_init(&m, kind);
    SET(m.unit, serial);
    SET(m.word, word);
    return m;
}

static void fill_catalogue(struct ledger *ledger)
{
    struct movement m;
    char badge[SERIAL_SIZE];
    struct fault fault = {0};
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, "BIGVAT");
    SET(m.detail, "{\"fits\":\"CAPSTAN\",\"letter\":\"V\",\"life_minutes\":60000,\"name\":\"Big vat\"}");
    book(ledger, &m);
    SET(m.item, "FLINT");
    SET(m.detail, "{\"content_ul\":1000000,\"gtin\":\"09501101530003\",\"letter\":\"C\",\"resin\":\"flint\"}");
    book(ledger, &m);
    movement_init(&m, MOVEMENT_PRINTER_ENTRY);
    SET(m.printer, "CAPSTAN");
    SET(m.detail, "{\"name\":\"Capstan\"}");
    m.pieces = 1;
    book(ledger, &m);
    movement_init(&m, MOVEMENT_PLACE_ENTRY);
    SET(m.place, "A1");
    SET(m.word, "shelf");
    book(ledger, &m);
    SET(m.place, "CAP-1");
    SET(m.word, "slot");
    SET(m.printer, "CAPSTAN");
    book(ledger, &m);
    assert_true(serial_write('H', 1, badge) || serial_write('H', 3, badge));
    m = of_unit(MOVEMENT_PERSON_ENTRY, badge, "storekeeper");
    must(ledger_text_put(ledger, "Mara", m.text, &fault), &fault);
    book(ledger, &m);
    movement_init(&m, MOVEMENT_CLOCK_CONFIRMED);
    book(ledger, &m);
}

static void receive(struct ledger *ledger)
{
    struct movement m;
    movement_init(&m, MOVEMENT_DELIVERY_OPEN);
    SET(m.delivery, "d-1");
    SET(m.detail, "{\"supplier\":\"Tidewater\"}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_RECEIPT, BOOKED_CARTRIDGE, "");
    SET(m.item, "FLINT");
    SET(m.lot, "RS24117B");
    SET(m.delivery, "d-1");
    m.expires = 20679;
    m.amount_ul = 1000000;
    book(ledger, &m);
    m = of_unit(MOVEMENT_RECEIPT, "C0042717", "short-dated");
    assert_true(serial_write('C', 4272, m.unit) || serial_write('C', 4273, m.unit));
    SET(m.item, "FLINT");
    book(ledger, &m);
    movement_init(&m, MOVEMENT_DELIVERY_CLOSE);
    SET(m.delivery, "d-1");
    book(ledger, &m);
    m = of_unit(MOVEMENT_TAKE_ON, BOOKED_VAT, "");
    SET(m.item, "BIGVAT");
    m.minutes = 4200;
    book(ledger, &m);
    static const char *const states[] = {"waiting", "sent", "printed", "proved"};
    for (size_t i = 0; i < 4; i++) {
        m = of_unit(MOVEMENT_PRINT, BOOKED_VAT, states[i]);
        m.pieces = 1;
        SET(m.detail, i == 0 ? "{\"template\":\"vat-case\"}" : i == 1 ? "{\"device\":\"lp\",\"device_job\":7}" : "");
        book(ledger, &m);
    }
    m = of_unit(MOVEMENT_PUT_AWAY, BOOKED_VAT, "");
    SET(m.place, "A1");
    book(ledger, &m);
}

static void use(struct ledger *ledger)
{
    struct movement m = of_unit(MOVEMENT_FILL, BOOKED_VAT, "");
    SET(m.item, "FLINT");
    SET(m.lot, "RS24117B");
    SET(m.other, BOOKED_CARTRIDGE);
    m.filled = 20498;
    m.amount_ul = 400000;
    book(ledger, &m);
    movement_init(&m, MOVEMENT_JOB_START);
    SET(m.job, "job-1");
    SET(m.printer, "CAPSTAN");
    m.amount_ul = 250000;
    book(ledger, &m);
    m = of_unit(MOVEMENT_CHECK_OUT, BOOKED_VAT, "");
    SET(m.printer, "CAPSTAN");
    SET(m.job, "job-1");
    book(ledger, &m);
    movement_init(&m, MOVEMENT_JOB_END);
    SET(m.job, "job-1");
    m.minutes = 300;
    book(ledger, &m);
    m = of_unit(MOVEMENT_CHECK_IN, BOOKED_VAT, "fogged");
    SET(m.place, "A1");
    m.minutes = 300;
    m.amount_ul = 150000;
    book(ledger, &m);
    m = of_unit(MOVEMENT_HOLD, BOOKED_VAT, "inspect");
    book(ledger, &m);
    m = of_unit(MOVEMENT_RELEASE, BOOKED_VAT, "");
    book(ledger, &m);
}

/* One question settled, one with a note left open; then the release is taken back. */
static void ask_and_correct(struct ledger *ledger)
{
    struct fault fault = {0};
    struct movement m = of_unit(MOVEMENT_QUESTION, BOOKED_VAT, "film-check");
    struct unit_state before;
    bool found = false;
    int64_t seq = 0;
    uint8_t hash[HASH_BYTES];
    book(ledger, &m);
    must(ledger_head(ledger, &seq, hash, &fault), &fault);
    movement_init(&m, MOVEMENT_SETTLEMENT);
    m.refers = seq;
    SET(m.word, "done");
    book(ledger, &m);
    m = of_unit(MOVEMENT_QUESTION, BOOKED_VAT, "film-check");
    must(ledger_text_put(ledger, BOOKED_NOTE, m.text, &fault), &fault);
    book(ledger, &m);
    must(apply_unit_before(ledger, BOOKED_VAT, seq - 1, &before, &found, &fault), &fault);
    assert_true(found);
    assert_string_equal(before.unit.hold, "inspect"); /* as it was just before the release */
    must(apply_write_correction(&before, seq - 1, &m, &fault), &fault);
    book(ledger, &m);
}

/* How labels come out, what a supplier's sticker looks like, and what resin may have run where. */
static void print_teach_and_supply(struct ledger *ledger)
{
    struct movement m = of_unit(MOVEMENT_PRINT, BOOKED_VAT, "waiting");
    m.pieces = 2;
    SET(m.detail, "{\"template\":\"vat-case\"}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_PRINT_MOVE, BOOKED_VAT, "");
    m.pieces = 2;
    SET(m.detail, "{\"was\":29}"); /* the number of the order just booked */
    book(ledger, &m);
    m = of_unit(MOVEMENT_PRINT_TELL, "", "go");
    book(ledger, &m);
    m = of_unit(MOVEMENT_CALIBRATION, "", "lp");
    SET(m.detail, "{\"dpi\":203,\"module_dots\":4,\"shift_down\":-3,\"shift_right\":2}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_PRINT_LOOK, "", "lp");
    SET(m.detail, "{\"fixed\":4,\"modulation\":700,\"number\":1,\"pixels\":8100,\"unit\":\"" BOOKED_VAT "\"}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_PRINT_BASELINE, "", "lp");
    book(ledger, &m);
    m = of_unit(MOVEMENT_STICKER_ENTRY, "", "sticker-1");
    SET(m.detail, "{\"example\":\"LOT 17\",\"pattern\":\"LOT \",\"supplier\":\"Tidewater\"}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_STICKER_FORGET, "", "sticker-1");
    book(ledger, &m);
    m = of_unit(MOVEMENT_SUPPLY, BOOKED_VAT, "");
    SET(m.other, BOOKED_CARTRIDGE);
    SET(m.printer, "CAPSTAN");
    SET(m.job, "job-1");
    book(ledger, &m);
}

static void flow(struct ledger *ledger, enum movement_kind kind, const char *from, const char *word, int64_t amount_ul)
{
    struct movement m = of_unit(kind, from, word);
    struct fault fault = {0};
    must(contents_say(ledger, from, NULL, &m, &fault), &fault);
    m.amount_ul = amount_ul;
    if (kind == MOVEMENT_POUR)
        SET(m.other, BOOKED_VAT);
    if (kind == MOVEMENT_USE)
        SET(m.job, "job-1");
    book(ledger, &m);
}

/* A job that a device tells of, a look at the vat, and the device. */
static void tell_and_inspect(struct ledger *ledger)
{
    struct movement m;
    movement_init(&m, MOVEMENT_JOB_START);
    SET(m.job, "job-2");
    SET(m.printer, "CAPSTAN");
    book(ledger, &m);
    movement_init(&m, MOVEMENT_JOB_TICKET);
    SET(m.job, "job-2");
    SET(m.printer, "CAPSTAN");
    SET(m.detail, "{\"code\":\"KQ-7\",\"ends_ms\":1771064000000,\"parts\":\"2:?:?:20000:30000\"}");
    m.amount_ul = 120000;
    book(ledger, &m);
    movement_init(&m, MOVEMENT_JOB_END);
    SET(m.job, "job-2");
    SET(m.printer, "CAPSTAN");
    SET(m.word, "failed");
    m.amount_ul = 60000;
    book(ledger, &m);
    m = of_unit(MOVEMENT_INSPECTION, BOOKED_VAT, "clear");
    SET(m.detail, "{\"float\":\"moves\",\"mixer\":\"there\"}");
    book(ledger, &m);
    m = of_unit(MOVEMENT_DEVICE_ENTRY, "", "capstan");
    SET(m.printer, "CAPSTAN");
    book(ledger, &m);
    m = of_unit(MOVEMENT_DEVICE_REVOKE, "", "capstan");
    book(ledger, &m);
}

/* A mix of a lot and of one that nobody knows; used of, weighed, thrown away, cleaned. */
static void pour_and_clean(struct ledger *ledger)
{
    char other[SERIAL_SIZE];
    assert_true(serial_write('C', 4272, other) || serial_write('C', 4273, other));
    flow(ledger, MOVEMENT_POUR, BOOKED_CARTRIDGE, "top-up", 200000);
    flow(ledger, MOVEMENT_POUR, other, "top-up", 10000);
    flow(ledger, MOVEMENT_USE, BOOKED_VAT, "told", 60000);
    flow(ledger, MOVEMENT_WEIGHING, BOOKED_VAT, "", 280000);
    flow(ledger, MOVEMENT_WASTE, BOOKED_VAT, "cured-bits", 280000);
    flow(ledger, MOVEMENT_CLEAN, BOOKED_VAT, "wiped", MOVEMENT_NULL);
    flow(ledger, MOVEMENT_WASTE, other, "empty", MOVEMENT_NULL);
    struct movement m = of_unit(MOVEMENT_RETIRE, other, "empty");
    SET(m.other, BOOKED_CARTRIDGE);
    book(ledger, &m);
    m = of_unit(MOVEMENT_DISPOSE, other, "");
    book(ledger, &m);
}

static void let_stand_in(struct ledger *ledger)
{
    struct movement m;
    movement_init(&m, MOVEMENT_SUBSTITUTION_ENTRY);
    assert_true(serial_write('H', 1, m.unit) || serial_write('H', 3, m.unit));
    SET(m.detail, "{\"given\":\"3\",\"resin\":\"flint\",\"wanted\":\"2\"}");
    m.expires = 20849;
    book(ledger, &m);
    m.kind = MOVEMENT_SUBSTITUTION_END;
    m.unit[0] = '\0';
    m.expires = MOVEMENT_NULL;
    book(ledger, &m);
}

static void store_act(struct ledger *ledger, const char *id, int64_t first, int64_t last, bool undone)
{
    struct act_row row = {.at_ms = 1771061400000, .first_seq = first, .last_seq = last};
    struct fault fault = {0};
    SET(row.id, id);
    SET(row.kind, "scan");
    SET(row.counter, "desk-1");
    memset(row.digest, 0x5A, sizeof row.digest);
    must(act_row_store(ledger, &row, "{\"verdict\":\"go\",\"words\":\"caf\xC3\xA9\"}", &fault), &fault);
    if (undone)
        must(act_row_mark_undone(ledger, id, &fault), &fault);
}

void booked_ledger_fill(struct ledger *ledger)
{
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    must(ledger_begin(ledger, &fault), &fault);
    ledger_fixture_book_as(ledger, "act-00000001", person, INT64_C(1771061400000));
    fill_catalogue(ledger);
    receive(ledger);
    use(ledger);
    ask_and_correct(ledger);
    print_teach_and_supply(ledger);
    tell_and_inspect(ledger);
    pour_and_clean(ledger);
    let_stand_in(ledger);
    must(ledger_head(ledger, &seq, hash, &fault), &fault);
    assert_int_equal(seq, BOOKED_MOVEMENTS);
    store_act(ledger, "act-00000001", 1, seq, true);
    store_act(ledger, "act-00000002", MOVEMENT_NULL, MOVEMENT_NULL, false);
    must(ledger_commit(ledger, &fault), &fault);
}

void booked_ledger_make(const struct ledger_fixture *fixture)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    booked_ledger_fill(ledger);
    ledger_close(ledger);
}

void booked_ledger_tamper(const struct ledger_fixture *fixture, const char *sql)
{
    struct ledger *ledger = ledger_fixture_open(fixture, LEDGER_WRITER);
    struct fault fault = {0};
    must(sql_exec(ledger_sql(ledger), sql, &fault), &fault);
    ledger_close(ledger);
}

char *booked_ledger_export(const char *address, size_t *length)
{
    char *text = NULL;
    struct fault fault = {0};
    FILE *out = open_memstream(&text, length);
    assert_non_null(out);
    must(ledger_export(address, out, &fault), &fault);
    assert_int_equal(fclose(out), 0);
    return text;
}
