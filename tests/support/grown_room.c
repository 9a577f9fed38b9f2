#include "tests/support/grown_room.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/ledger_room.h"
#include "labels/basics/text.h"

enum { PEOPLE = 40, BATCHES_A_DELIVERY = 10, UNITS_A_DAY = 400, BATCHES_A_COMMIT = 20, PRESENT_ONE_IN = 10 };
enum { CARTRIDGE_UL = 1000000, VAT_UL = 2000000, DENSITY_MG_ML = 1120, JOB_MINUTES = 600 };

/* Of every twenty batches so many are of this letter, in so many items. */
static const struct {
    char letter;
    int batches, items;
} kinds[] = {{'C', 14, 200}, {'V', 3, 60}, {'R', 2, 30}, {'P', 1, 10}};
enum { KINDS = sizeof kinds / sizeof *kinds, BATCHES_A_TURN = 20, BATCH_STRIDE = 7 };

typedef char serials[GROWN_LOT_UNITS][SERIAL_SIZE];

struct growth {
    struct ledger *ledger;
    struct act_row act;
    int64_t units, acts, drawn;
    int64_t now_ms;
    char delivery[DELIVERY_SIZE];
    serials *present; /* a ring: those of the batches that are still there */
    int64_t ring;
};

static void must(bool good, const struct fault *fault)
{
    if (good)
        return;
    fprintf(stderr, "grown room: %s\n", fault->text);
    abort();
}

static void name(char *text, size_t size, const char *prefix, int64_t number)
{
    struct builder builder;
    builder_init(&builder, text, size);
    builder_addf(&builder, "%s%lld", prefix, (long long)number);
}

void grown_room_item(char letter, int64_t which, char code[ITEM_CODE_SIZE])
{
    const char prefix[] = {letter, 'X', '\0'};
    name(code, ITEM_CODE_SIZE, prefix, which);
}

void grown_room_place(int64_t which, char code[PLACE_SIZE])
{
    name(code, PLACE_SIZE, "S", which);
}

void grown_room_printer(int64_t which, char code[PRINTER_SIZE])
{
    name(code, PRINTER_SIZE, "CAPSTAN-", which);
}

static void set_person(char serial[SERIAL_SIZE], int64_t which)
{
    for (long number = 1; which >= 0; number++)
        which -= serial_write('H', number, serial);
}

void grown_room_storekeeper(char serial[SERIAL_SIZE])
{
    set_person(serial, 0);
}

/* Steele, Lea, Flood 2014 (splitmix64). */
static uint64_t draw(struct growth *growth)
{
    uint64_t z = (uint64_t)++growth->drawn * UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/* ---- acts ---- */

static void begin_act(struct growth *growth, const char *kind)
{
    struct booking booking = {.kiosk = "grown"};
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    const uint64_t one = draw(growth), two = draw(growth);
    growth->act = (struct act_row){.at_ms = growth->now_ms, .counter = "desk"};
    (void)snprintf(growth->act.kind, sizeof growth->act.kind, "%s", kind);
    (void)snprintf(growth->act.id, sizeof growth->act.id, "%08x-%04x-%04x-%016llx", (unsigned)(one >> 32),
                   (unsigned)(one >> 16 & 0xFFFF), (unsigned)(one & 0xFFFF), (unsigned long long)two);
    memcpy(growth->act.digest, &one, sizeof one);
    set_person(growth->act.person, (int64_t)(one % PEOPLE));
    memcpy(booking.act, growth->act.id, sizeof booking.act);
    memcpy(booking.person, growth->act.person, sizeof booking.person);
    booking.moment.wall.ms = growth->now_ms;
    booking.moment.local_day.number = (int32_t)(growth->now_ms / 86400000);
    booking.moment.trusted = true;
    ledger_set_booking(growth->ledger, &booking);
    must(ledger_savepoint(growth->ledger, &fault), &fault);
    must(ledger_head(growth->ledger, &seq, hash, &fault), &fault);
    growth->act.first_seq = seq + 1;
}

static void end_act(struct growth *growth)
{
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    must(ledger_head(growth->ledger, &growth->act.last_seq, hash, &fault), &fault);
    must(
        act_row_store(growth->ledger, &growth->act, "{\"booked\":true,\"counter\":\"desk\",\"step\":\"idle\"}", &fault),
        &fault);
    must(ledger_release(growth->ledger, &fault), &fault);
}

static void book(struct growth *growth, struct movement *movement)
{
    struct fault fault = {0};
    must(ledger_book(growth->ledger, movement, &fault), &fault);
}

/* ---- what the room has ---- */

static void enter_item(struct growth *growth, char letter, int64_t which)
{
    struct movement movement;
    struct fault fault = {0};
    const bool cartridge = letter == 'C', holds = cartridge || letter == 'V' || letter == 'R';
    struct item item = {.letter = letter,
                        .content_ul = cartridge ? CARTRIDGE_UL
                                      : holds   ? VAT_UL
                                                : MOVEMENT_NULL,
                        .minimum_days = MOVEMENT_NULL,
                        .life_minutes = MOVEMENT_NULL,
                        .density_mg_ml = cartridge ? DENSITY_MG_ML : MOVEMENT_NULL};
    movement_init(&movement, MOVEMENT_ITEM_ENTRY);
    grown_room_item(letter, which, movement.item);
    name(item.name, sizeof item.name, cartridge ? "Cartridge " : "Thing ", which);
    if (cartridge || letter == 'R')
        name(item.resin, sizeof item.resin, "Resin ", which);
    must(item_write_detail(&item, movement.detail, &fault), &fault);
    book(growth, &movement);
}

static void enter_person(struct growth *growth)
{
    struct movement movement;
    struct fault fault = {0};
    movement_init(&movement, MOVEMENT_PERSON_ENTRY);
    must(ledger_next_serial(growth->ledger, 'H', movement.unit, &fault), &fault);
    memcpy(movement.word, "storekeeper", sizeof "storekeeper");
    memcpy(movement.detail, "{\"training\":\"pour retire\"}", sizeof "{\"training\":\"pour retire\"}");
    must(ledger_text_put(growth->ledger, "Somebody", movement.text, &fault), &fault);
    book(growth, &movement);
}

static void enter_catalogue(struct growth *growth)
{
    struct movement movement;
    begin_act(growth, "item-entry");
    for (int i = 0; i < KINDS; i++)
        for (int which = 0; which < kinds[i].items; which++)
            enter_item(growth, kinds[i].letter, which);
    for (int i = 0; i < GROWN_PLACES; i++) {
        movement_init(&movement, MOVEMENT_PLACE_ENTRY);
        grown_room_place(i, movement.place);
        memcpy(movement.word, "shelf", sizeof "shelf");
        book(growth, &movement);
    }
    for (int i = 0; i < GROWN_PRINTERS; i++) {
        movement_init(&movement, MOVEMENT_PRINTER_ENTRY);
        grown_room_printer(i, movement.printer);
        movement.pieces = 2;
        book(growth, &movement);
    }
    for (int i = 0; i < PEOPLE; i++)
        enter_person(growth);
    end_act(growth);
}

/* ---- lives ---- */

static void open_delivery(struct growth *growth, int64_t number)
{
    struct movement movement;
    begin_act(growth, "delivery-open");
    if (growth->delivery[0]) {
        movement_init(&movement, MOVEMENT_DELIVERY_CLOSE);
        memcpy(movement.delivery, growth->delivery, sizeof movement.delivery);
        book(growth, &movement);
    }
    movement_init(&movement, MOVEMENT_DELIVERY_OPEN);
    name(growth->delivery, sizeof growth->delivery, "D-", number);
    memcpy(movement.delivery, growth->delivery, sizeof movement.delivery);
    memcpy(movement.detail, "{\"supplier\":\"North Resins\"}", sizeof "{\"supplier\":\"North Resins\"}");
    book(growth, &movement);
    end_act(growth);
}

static void book_print(struct growth *growth, const char *serial, const char *word)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PRINT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    (void)snprintf(movement.word, sizeof movement.word, "%s", word);
    movement.pieces = 1;
    if (strcmp(word, "waiting") == 0)
        memcpy(movement.detail, "{\"template\":\"cartridge\"}", sizeof "{\"template\":\"cartridge\"}");
    book(growth, &movement);
}

static int kind_of(int64_t batch)
{
    int64_t at = batch * BATCH_STRIDE % BATCHES_A_TURN; /* no letter comes in one heap */
    int kind = 0;
    while (at >= kinds[kind].batches)
        at -= kinds[kind++].batches;
    return kind;
}

static void receive(struct growth *growth, int64_t batch, serials made)
{
    struct movement movement;
    struct fault fault = {0};
    const int kind = kind_of(batch);
    const char letter = kinds[kind].letter;
    begin_act(growth, "receive");
    for (int i = 0; i < GROWN_LOT_UNITS; i++) {
        must(ledger_next_serial(growth->ledger, letter, made[i], &fault), &fault);
        movement_init(&movement, MOVEMENT_RECEIPT);
        memcpy(movement.unit, made[i], SERIAL_SIZE);
        grown_room_item(letter, batch % kinds[kind].items, movement.item);
        memcpy(movement.delivery, growth->delivery, sizeof movement.delivery);
        if (strchr("CR", letter)) {
            name(movement.lot, sizeof movement.lot, "L", batch);
            movement.expires = growth->now_ms / 86400000 + 365;
            movement.amount_ul = CARTRIDGE_UL;
        }
        book(growth, &movement);
        book_print(growth, made[i], "waiting");
    }
    end_act(growth);
}

static void put_away(struct growth *growth, const char *serial)
{
    struct movement movement;
    begin_act(growth, "scan");
    book_print(growth, serial, "proved");
    end_act(growth);
    begin_act(growth, "put-away");
    movement_init(&movement, MOVEMENT_PUT_AWAY);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    grown_room_place((int64_t)(draw(growth) % GROWN_PLACES), movement.place);
    book(growth, &movement);
    end_act(growth);
}

static void take_out(struct growth *growth, const char *serial, const char *printer, char job[JOB_SIZE])
{
    struct movement movement;
    job[0] = '\0';
    begin_act(growth, "check-out");
    if (serial[0] == 'V') {
        memcpy(job, growth->act.id, JOB_SIZE);
        movement_init(&movement, MOVEMENT_JOB_START);
        memcpy(movement.job, job, JOB_SIZE);
        (void)snprintf(movement.printer, sizeof movement.printer, "%s", printer);
        book(growth, &movement);
    }
    movement_init(&movement, MOVEMENT_CHECK_OUT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    memcpy(movement.person, growth->act.person, SERIAL_SIZE);
    (void)snprintf(movement.printer, sizeof movement.printer, "%s", printer);
    memcpy(movement.job, job, JOB_SIZE);
    book(growth, &movement);
    end_act(growth);
}

static void bring_back(struct growth *growth, const char *serial, const char *job)
{
    struct movement movement;
    begin_act(growth, "check-in");
    movement_init(&movement, MOVEMENT_CHECK_IN);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    grown_room_place((int64_t)(draw(growth) % GROWN_PLACES), movement.place);
    if (strchr("CR", serial[0]))
        movement.amount_ul = 0;
    if (serial[0] == 'V') {
        movement.minutes = JOB_MINUTES;
        memcpy(movement.word, "clear", sizeof "clear");
    }
    book(growth, &movement);
    if (job[0]) {
        movement_init(&movement, MOVEMENT_JOB_END);
        memcpy(movement.job, job, JOB_SIZE);
        movement.minutes = JOB_MINUTES;
        book(growth, &movement);
    }
    end_act(growth);
}

static void use_up(struct growth *growth, const char *serial)
{
    struct movement movement;
    char printer[PRINTER_SIZE], job[JOB_SIZE];
    grown_room_printer((int64_t)(draw(growth) % GROWN_PRINTERS), printer);
    take_out(growth, serial, printer, job);
    bring_back(growth, serial, job);
    begin_act(growth, "retire");
    movement_init(&movement, MOVEMENT_RETIRE);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    memcpy(movement.word, "worn", sizeof "worn");
    book(growth, &movement);
    end_act(growth);
}

static void live_a_batch(struct growth *growth, int64_t batch)
{
    serials *slot = &growth->present[batch % growth->ring];
    if (batch % BATCHES_A_DELIVERY == 0)
        open_delivery(growth, batch / BATCHES_A_DELIVERY);
    if (batch >= growth->ring)
        for (int i = 0; i < GROWN_LOT_UNITS; i++)
            use_up(growth, (*slot)[i]);
    receive(growth, batch, *slot);
    for (int i = 0; i < GROWN_LOT_UNITS; i++)
        put_away(growth, (*slot)[i]);
}

static void forget_answers(struct growth *growth)
{
    struct fault fault = {0};
    int64_t forgotten = 0;
    do
        must(act_row_forget_answers(growth->ledger, growth->now_ms, ACT_ANSWERS_KEPT, &forgotten, &fault), &fault);
    while (forgotten == ACT_ANSWERS_AT_ONCE);
}

void grown_room_fill(struct ledger *ledger, int64_t units, struct day today)
{
    struct growth growth = {.ledger = ledger};
    struct fault fault = {0};
    const int64_t batches = units / GROWN_LOT_UNITS;
    growth.ring = batches / PRESENT_ONE_IN > 0 ? batches / PRESENT_ONE_IN : 1;
    growth.present = calloc((size_t)growth.ring, sizeof *growth.present);
    if (!growth.present)
        abort();
    for (int64_t batch = 0; batch < batches; batch++) {
        const int64_t left = (batches - batch) * GROWN_LOT_UNITS;
        growth.now_ms = today.number * INT64_C(86400000) - left * (86400000 / UNITS_A_DAY);
        if (batch % BATCHES_A_COMMIT == 0)
            must(ledger_begin(ledger, &fault), &fault);
        if (batch == 0)
            enter_catalogue(&growth);
        live_a_batch(&growth, batch);
        if (batch % BATCHES_A_COMMIT < BATCHES_A_COMMIT - 1 && batch < batches - 1)
            continue;
        forget_answers(&growth);
        must(ledger_commit(ledger, &fault), &fault);
        must(ledger_checkpoint(ledger, false, &fault), &fault);
    }
    free(growth.present);
}
