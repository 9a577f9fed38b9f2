#include "tests/bench/big_ledger.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/ledger/act_row.h"
#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/ledger_room.h"
#include "labels/basics/text.h"

enum { GROUP_TICKS = 100, UNITS_A_DELIVERY = 200, FIRST_DAY = 19000, UNITS_A_DAY = 400 };

/* What happens to a unit, and how many units come in between its receipt and that. */
enum step { RECEIVE, SENT, PRINTED, PROVE, PUT_AWAY, OUT, IN, GONE };
static const struct {
    enum step step;
    int64_t after;
} life[] = {
    {RECEIVE, 0}, {SENT, 1},    {PRINTED, 2}, {PROVE, 3},   {PUT_AWAY, 10}, {OUT, 700},
    {IN, 710},    {OUT, 3100},  {IN, 3110},   {OUT, 9000},  {IN, 9010},     {OUT, 16000},
    {IN, 16010},  {OUT, 26000}, {IN, 26010},  {OUT, 36000}, {IN, 36010},    {GONE, BIG_ALIVE},
};
enum { LIFE = sizeof life / sizeof *life };

struct big_ledger {
    struct ledger *ledger;
    int64_t units; /* received so far */
    int64_t acts;
    char (*serials)[SERIAL_SIZE]; /* of the units alive, by number modulo BIG_ALIVE + 1 */
    char delivery[DELIVERY_SIZE];
};

static void must(bool ok, const struct fault *fault)
{
    if (ok)
        return;
    fprintf(stderr, "big ledger: %s\n", fault->text);
    abort();
}

static void name(char *buffer, size_t size, const char *prefix, int64_t number)
{
    struct builder builder;
    builder_init(&builder, buffer, size);
    builder_addf(&builder, "%s%lld", prefix, (long long)number);
}

/* splitmix64 (Steele, Lea, Flood 2014): ids that look drawn, the same every time. */
static uint64_t mix(uint64_t number)
{
    uint64_t z = number + UINT64_C(0x9E3779B97F4A7C15);
    z = (z ^ (z >> 30)) * UINT64_C(0xBF58476D1CE4E5B9);
    z = (z ^ (z >> 27)) * UINT64_C(0x94D049BB133111EB);
    return z ^ (z >> 31);
}

/* The badge of person 0, 1, …: as the ledger hands serials out. */
static void set_person(char serial[SERIAL_SIZE], int64_t which)
{
    for (long number = 1; which >= 0; number++)
        which -= serial_write('H', number, serial);
}

static void begin_act(struct big_ledger *big, struct act_row *row, int64_t unit)
{
    struct booking booking = {.kiosk = "big"};
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    const uint64_t one = mix((uint64_t)++big->acts), two = mix(one);
    const int64_t ms = (FIRST_DAY * INT64_C(86400) + unit * (86400 / UNITS_A_DAY)) * 1000;
    *row = (struct act_row){.at_ms = ms, .kind = "check-out", .counter = "desk"};
    struct builder id;
    builder_init(&id, row->id, sizeof row->id);
    builder_addf(&id, "%08x-%04x-%04x-%04x-%04x%08x", (unsigned)(one >> 32), (unsigned)(one >> 16 & 0xFFFF),
                 (unsigned)(one & 0xFFFF), (unsigned)(two >> 48), (unsigned)(two >> 32 & 0xFFFF),
                 (unsigned)(two & 0xFFFFFFFF));
    memcpy(row->digest, &one, sizeof one);
    set_person(row->person, (int64_t)(one % BIG_PEOPLE));
    memcpy(booking.act, row->id, sizeof booking.act);
    memcpy(booking.person, row->person, sizeof booking.person);
    booking.moment.wall.ms = ms;
    booking.moment.local_day.number = (int32_t)(ms / 86400000);
    booking.moment.trusted = true;
    ledger_set_booking(big->ledger, &booking);
    must(ledger_savepoint(big->ledger, &fault), &fault);
    must(ledger_head(big->ledger, &seq, hash, &fault), &fault);
    row->first_seq = seq + 1;
}

static void end_act(struct big_ledger *big, struct act_row *row)
{
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    must(ledger_head(big->ledger, &row->last_seq, hash, &fault), &fault);
    /* what the writer would have stored: of this length, the median of a day at the demo's counter */
    static const char answer[] = "{\"booked\":true,\"counter\":\"desk\",\"title\":\"Booked: the thing is out to "
                                 "Capstan.\",\"units\":[],\"keys\":[],"
                                 "\"person\":{\"name\":\"Ines\",\"role\":\"storekeeper\",\"serial\":\"H000001V\"},"
                                 "\"step\":\"idle\",\"verdict\":\"go\","
                                 "\"reasons\":[],\"prompts\":[],\"undo\":{\"act\":\"x\",\"sentence\":\"Ines: check-out "
                                 "of C000001X\"},\"seq\":1}";
    must(act_row_store(big->ledger, row, answer, &fault), &fault);
    must(ledger_release(big->ledger, &fault), &fault);
}

static void book(struct big_ledger *big, struct movement *movement)
{
    struct fault fault = {0};
    must(ledger_book(big->ledger, movement, &fault), &fault);
}

static void enter_catalogue(struct big_ledger *big)
{
    struct movement movement;
    struct act_row row;
    struct fault fault = {0};
    struct builder detail;
    begin_act(big, &row, 0);
    for (int64_t i = 0; i < BIG_ITEMS; i++) {
        movement_init(&movement, MOVEMENT_ITEM_ENTRY);
        name(movement.item, sizeof movement.item, "R", i);
        builder_init(&detail, movement.detail, sizeof movement.detail);
        builder_addf(&detail, "{\"content_ul\":1000000,\"letter\":\"C\",\"name\":\"Resin %lld\"}", (long long)i);
        book(big, &movement);
    }
    for (int64_t i = 0; i < BIG_PLACES; i++) {
        movement_init(&movement, MOVEMENT_PLACE_ENTRY);
        name(movement.place, sizeof movement.place, "S", i);
        memcpy(movement.word, "shelf", sizeof "shelf");
        book(big, &movement);
    }
    for (int64_t i = 0; i < BIG_PRINTERS; i++) {
        movement_init(&movement, MOVEMENT_PRINTER_ENTRY);
        name(movement.printer, sizeof movement.printer, "P", i);
        movement.pieces = 2;
        book(big, &movement);
    }
    for (int64_t i = 0; i < BIG_PEOPLE; i++) {
        movement_init(&movement, MOVEMENT_PERSON_ENTRY);
        must(ledger_next_serial(big->ledger, 'H', movement.unit, &fault), &fault);
        memcpy(movement.word, "storekeeper", sizeof "storekeeper");
        must(ledger_text_put(big->ledger, "Somebody", movement.text, &fault), &fault);
        book(big, &movement);
    }
    end_act(big, &row);
}

/* Serials are handed out in order, so the ledger of an earlier run is gone on with from what it holds. */
static void find_units(struct big_ledger *big)
{
    struct unit unit;
    struct fault fault = {0};
    bool found = true;
    for (long number = 1; found; number++) {
        char *serial = big->serials[big->units % (BIG_ALIVE + 1)];
        if (number == DEMO_NUMBER_FIRST)
            number = DEMO_NUMBER_LAST + 1;
        if (!serial_write('C', number, serial))
            continue;
        must(unit_load(big->ledger, serial, &unit, &found, &fault), &fault);
        if (found)
            big->units++;
    }
    for (int i = 0; i < LIFE; i++)
        big->acts += big->units > life[i].after ? big->units - life[i].after : 0;
    if (big->units > 0)
        name(big->delivery, sizeof big->delivery, "D-", (big->units - 1) / UNITS_A_DELIVERY);
    big->acts++; /* the catalogue's */
}

struct big_ledger *big_ledger_create(struct ledger *ledger)
{
    struct big_ledger *big = calloc(1, sizeof *big);
    struct fault fault = {0};
    uint8_t hash[HASH_BYTES];
    int64_t seq = 0;
    if (!big || !(big->serials = calloc(BIG_ALIVE + 1, sizeof *big->serials)))
        abort();
    big->ledger = ledger;
    must(ledger_head(ledger, &seq, hash, &fault), &fault);
    if (seq > 0) {
        find_units(big);
        return big;
    }
    must(ledger_begin(ledger, &fault), &fault);
    enter_catalogue(big);
    must(ledger_commit(ledger, &fault), &fault);
    return big;
}

void big_ledger_destroy(struct big_ledger *big)
{
    if (!big)
        return;
    free(big->serials);
    free(big);
}

static void receive(struct big_ledger *big, int64_t unit, char serial[SERIAL_SIZE])
{
    struct movement movement;
    struct fault fault = {0};
    if (unit % UNITS_A_DELIVERY == 0) {
        if (big->delivery[0]) {
            movement_init(&movement, MOVEMENT_DELIVERY_CLOSE);
            memcpy(movement.delivery, big->delivery, sizeof movement.delivery);
            book(big, &movement);
        }
        movement_init(&movement, MOVEMENT_DELIVERY_OPEN);
        name(big->delivery, sizeof big->delivery, "D-", unit / UNITS_A_DELIVERY);
        memcpy(movement.delivery, big->delivery, sizeof movement.delivery);
        memcpy(movement.detail, "{\"supplier\":\"Oakum\"}", sizeof "{\"supplier\":\"Oakum\"}");
        book(big, &movement);
    }
    must(ledger_next_serial(big->ledger, 'C', serial, &fault), &fault);
    movement_init(&movement, MOVEMENT_RECEIPT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    name(movement.item, sizeof movement.item, "R", unit / BIG_LOT_UNITS % BIG_ITEMS);
    name(movement.lot, sizeof movement.lot, "L", unit / BIG_LOT_UNITS);
    memcpy(movement.delivery, big->delivery, sizeof movement.delivery);
    movement.expires = FIRST_DAY + unit / UNITS_A_DAY + 365;
    movement.amount_ul = 1000000;
    book(big, &movement);
}

static void book_print(struct big_ledger *big, const char *serial, const char *word)
{
    struct movement movement;
    movement_init(&movement, MOVEMENT_PRINT);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    memcpy(movement.word, word, strlen(word) + 1);
    movement.pieces = 1;
    if (strcmp(word, "waiting") == 0)
        memcpy(movement.detail, "{\"template\":\"cartridge\"}", sizeof "{\"template\":\"cartridge\"}");
    book(big, &movement);
}

static void move(struct big_ledger *big, const char *serial, enum step step, uint64_t drawn)
{
    struct movement movement;
    movement_init(&movement, step == OUT ? MOVEMENT_CHECK_OUT : step == IN ? MOVEMENT_CHECK_IN : MOVEMENT_PUT_AWAY);
    memcpy(movement.unit, serial, SERIAL_SIZE);
    if (step == OUT)
        name(movement.printer, sizeof movement.printer, "P", (int64_t)(drawn % BIG_PRINTERS));
    else
        name(movement.place, sizeof movement.place, "S", (int64_t)(drawn % BIG_PLACES));
    if (step == IN)
        movement.amount_ul = 900000 - (int64_t)(drawn % 800000);
    book(big, &movement);
}

/* Used up. The ledger has no movement for it yet but the one that says a whole row. */
static void end_unit(struct big_ledger *big, const char *serial)
{
    struct movement movement;
    struct unit unit;
    struct fault fault = {0};
    bool found = false;
    must(unit_load(big->ledger, serial, &unit, &found, &fault) && found, &fault);
    unit.status = UNIT_GONE;
    unit.place[0] = '\0';
    must(apply_write_correction(&(struct unit_state){.unit = unit, .mix = ""}, unit.version, &movement, &fault),
         &fault);
    book(big, &movement);
}

static void do_step(struct big_ledger *big, int64_t unit, enum step step)
{
    char *serial = big->serials[unit % (BIG_ALIVE + 1)];
    struct act_row row;
    begin_act(big, &row, big->units);
    switch (step) {
    case RECEIVE:
        receive(big, unit, serial);
        book_print(big, serial, "waiting");
        break;
    case SENT:
        book_print(big, serial, "sent");
        break;
    case PRINTED:
        book_print(big, serial, "printed");
        break;
    case PROVE:
        book_print(big, serial, "proved");
        break;
    case GONE:
        end_unit(big, serial);
        break;
    default:
        move(big, serial, step, mix((uint64_t)big->acts));
        break;
    }
    end_act(big, &row);
}

void big_ledger_grow(struct big_ledger *big, int64_t units)
{
    struct fault fault = {0};
    while (big->units < units) {
        must(ledger_begin(big->ledger, &fault), &fault);
        int64_t forgotten = 0;
        for (int tick = 0; tick < GROUP_TICKS && big->units < units; tick++) {
            for (int i = 0; i < LIFE; i++)
                if (big->units >= life[i].after)
                    do_step(big, big->units - life[i].after, life[i].step);
            big->units++;
        }
        const int64_t now = (FIRST_DAY * INT64_C(86400) + big->units * (86400 / UNITS_A_DAY)) * 1000;
        do
            must(act_row_forget_answers(big->ledger, now, ACT_ANSWERS_KEPT, &forgotten, &fault), &fault);
        while (forgotten == ACT_ANSWERS_AT_ONCE);
        must(ledger_commit(big->ledger, &fault), &fault);
        must(ledger_checkpoint(big->ledger, false, &fault), &fault);
    }
}

const char *big_ledger_unit(const struct big_ledger *big, int64_t which)
{
    const int64_t oldest = big->units > BIG_ALIVE ? big->units - BIG_ALIVE : 0;
    return big->serials[(oldest + which % (big->units - oldest)) % (BIG_ALIVE + 1)];
}

void big_ledger_storekeeper(char serial[SERIAL_SIZE])
{
    set_person(serial, 0);
}
