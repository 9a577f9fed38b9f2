#include "tests/desk/reason_scenes.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include <cmocka.h>

void scene_take(struct room *room, const char *one, const char *two, const char *printer)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, one);
    if (two)
        (void)room_scan(room, two);
    (void)room_scan(room, printer);
}

void scene_take_unknown(struct room *room, const char *one, const char *two, const char *printer)
{
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, one);
    if (two)
        (void)room_scan(room, two);
    (void)room_scan_printer(room, printer);
}

static bool note_serial(const struct unit *unit, void *context)
{
    (void)snprintf(context, SERIAL_SIZE, "%s", unit->serial);
    return true;
}

static void last_of_lot(struct room *room, const char *item, const char *lot, char serial[SERIAL_SIZE])
{
    serial[0] = '\0';
    assert_true(unit_each_of_lot(room->reader, item, lot, "", INT64_MAX, note_serial, serial, NULL));
    assert_true(serial[0] != '\0');
}

void scene_receive_unknown(struct room *room, char serial[SERIAL_SIZE])
{
    room_open_delivery(room);
    (void)room_scan(room, "(01)09506000135069(17)270215(10)RW-7");
    (void)room_press(room, "YES");
    last_of_lot(room, "NEW-1", "RW-7", serial);
}

void scene_receive_flint(struct room *room, const char *lot, int quantity, char serial[SERIAL_SIZE])
{
    char code[80];
    (void)snprintf(code, sizeof code, "(01)09506000135007(17)270215(10)%s", lot);
    (void)room_scan(room, code);
    (void)room_press_quantity(room, "YES", quantity);
    last_of_lot(room, "FLINT", lot, serial);
}

void scene_sign_in_untrained(struct room *room, const char *role)
{
    char serial[SERIAL_SIZE];
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Pia", "role", role));
    (void)snprintf(serial, sizeof serial, "%s", json_string_value(json_object_get(room->view, "serial")));
    (void)room_scan(room, serial);
}

void scene_pour(struct room *room, const char *from, const char *to, int ml)
{
    (void)room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", from, "to", to, "amount_ml", ml));
}
