#include "tests/ledger/apply_room.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/verify_rows.h"

bool apply_room_book(struct room *room, struct movement *m)
{
    m->seq = room->seq + 1;
    m->at.ms = 1000 * m->seq;
    room->fault = (struct fault){FAULT_NONE, ""};
    if (!apply(m, &room->store, &room->fault))
        return false;
    room->seq++;
    return true;
}

void apply_room_must(struct room *room, struct movement *m)
{
    if (!apply_room_book(room, m))
        fail_msg("%s: %s", movement_kind_word(m->kind), room->fault.text);
}

static bool has_version(const void *row, const char *text, void *context)
{
    (void)text;
    if (((const struct unit *)row)->version == *(int64_t *)context)
        fail_msg("a refused movement touched a unit");
    return true;
}

void apply_room_must_refuse(struct room *room, struct movement *m, const char *says)
{
    if (apply_room_book(room, m))
        fail_msg("%s was taken", movement_kind_word(m->kind));
    assert_int_equal(room->fault.code, FAULT_REFUSED);
    if (!strstr(room->fault.text, says))
        fail_msg("'%s' does not say '%s'", room->fault.text, says);
    int64_t refused = m->seq;
    memory_store_each(room->memory, MEMORY_UNITS, has_version, &refused);
}

struct movement apply_room_movement(enum movement_kind kind, const char *serial)
{
    struct movement m;
    movement_init(&m, kind);
    SET(m.unit, serial);
    SET(m.person, APPLY_ROOM_PERSON);
    return m;
}

const struct unit *apply_room_unit(struct room *room, const char *serial)
{
    struct unit like = {0};
    SET(like.serial, serial);
    const struct unit *unit = memory_store_find(room->memory, MEMORY_UNITS, &like, NULL);
    assert_non_null(unit);
    return unit;
}

void apply_room_assert_same(const struct unit *unit, const struct unit *expected)
{
    char is[VERIFY_VALUE_SIZE], should[VERIFY_VALUE_SIZE];
    const char *field = verify_row_differs(MEMORY_UNITS, unit, expected, is, should);
    if (field)
        fail_msg("%s is '%s', not '%s'", field, is, should);
}

static void add_item(struct room *room, const char *code, const char *detail)
{
    struct movement m;
    movement_init(&m, MOVEMENT_ITEM_ENTRY);
    SET(m.item, code);
    SET(m.detail, detail);
    apply_room_must(room, &m);
}

static void add_place(struct room *room, const char *code)
{
    struct movement m;
    movement_init(&m, MOVEMENT_PLACE_ENTRY);
    SET(m.place, code);
    SET(m.word, "shelf");
    apply_room_must(room, &m);
}

struct movement apply_room_receipt(const char *serial, const char *item)
{
    struct movement m = apply_room_movement(MOVEMENT_RECEIPT, serial);
    SET(m.item, item);
    return m;
}

/* A room with a vat in, a cartridge in, two places, one printer, one job. */
int apply_room_setup(void **state)
{
    static struct room room; /* cmocka's state; made new for each test */
    struct movement m;
    room = (struct room){.memory = memory_store_create()};
    assert_non_null(room.memory);
    room.store = memory_store_apply(room.memory);
    add_item(&room, "BIGVAT", "{\"letter\":\"V\"}");
    add_item(&room, "FLINT", "{\"letter\":\"C\",\"resin\":\"flint\"}");
    add_place(&room, "A1");
    add_place(&room, "B2");
    movement_init(&m, MOVEMENT_PRINTER_ENTRY);
    SET(m.printer, "CAPSTAN");
    m.pieces = 2;
    apply_room_must(&room, &m);
    movement_init(&m, MOVEMENT_JOB_START);
    SET(m.job, "job-1");
    SET(m.printer, "CAPSTAN");
    SET(m.person, APPLY_ROOM_PERSON);
    m.amount_ul = 250000;
    apply_room_must(&room, &m);
    m = apply_room_receipt(APPLY_ROOM_VAT, "BIGVAT");
    SET(m.place, "A1");
    apply_room_must(&room, &m);
    m = apply_room_receipt(APPLY_ROOM_CARTRIDGE, "FLINT");
    SET(m.lot, "RS24117B");
    SET(m.place, "B2");
    m.expires = 20679;
    m.amount_ul = 1000000;
    apply_room_must(&room, &m);
    *state = &room;
    return 0;
}

int apply_room_teardown(void **state)
{
    memory_store_destroy(((struct room *)*state)->memory);
    return 0;
}
