#include "kiosk/devices/eye/eye_calibration.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* What was measured of a calibration label on its way from the worker, which may be hostile, to the kiosk. The form is
 * our own: there is no source but the headers. */

static const struct eye_calibration measured = {.measured = true,
                                                .measure = {.dpi = 203,
                                                            .width_um = 50000,
                                                            .height_um = 25000,
                                                            .left_mm = 6.25,
                                                            .top_mm = 4.5,
                                                            .size_across = 1.0125,
                                                            .size_down = 0.975,
                                                            .turn_degrees = -0.25,
                                                            .left_error_mm = 0.5,
                                                            .top_error_mm = 0.25,
                                                            .size_across_error = 0.125,
                                                            .size_down_error = 0.0625,
                                                            .turn_error_degrees = 1.5,
                                                            .scatter_mm = 0.75,
                                                            .lines = 67,
                                                            .stretch_mm = 40,
                                                            .stretch_down_mm = 0}};

static struct eye_symbol_packet {
    uint8_t bytes[EYE_LONGEST];
    size_t length;
} a_symbol(void)
{
    struct reader_symbol symbol = {.length = 6,
                                   .symbology = "]d1",
                                   .rows = 12,
                                   .columns = 12,
                                   .corners = {{0, 9}, {0, 0}, {9, 0}, {9, 9}},
                                   .eci = -1,
                                   .structured_index = -1,
                                   .structured_file = -1};
    struct eye_symbol_packet packet;
    memcpy(symbol.bytes, "X203D4", 6);
    packet.length = eye_symbol_write(&symbol, 7, 0, packet.bytes);
    return packet;
}

/* A symbol, then the calibration `times` times, then `more` symbols. */
static enum eye_gathered hear(const struct eye_calibration_packet *packet, bool asked, int symbols, int times, int more,
                              struct eye_calibration *into)
{
    static struct reader_symbol room[READER_SYMBOLS];
    struct eye_gather gather = {.request = 7, .symbols = room, .calibration = asked ? into : NULL};
    const struct eye_symbol_packet symbol = a_symbol();
    struct eye_done done;
    enum eye_gathered gathered = EYE_MORE;
    for (int i = 0; i < symbols && gathered == EYE_MORE; i++)
        gathered = eye_gather_take(&gather, symbol.bytes, symbol.length, &done, NULL);
    for (int i = 0; i < times && gathered == EYE_MORE; i++)
        gathered = eye_gather_take(&gather, (const uint8_t *)packet, sizeof *packet, &done, NULL);
    for (int i = 0; i < more && gathered == EYE_MORE; i++) {
        struct eye_symbol_packet next = a_symbol();
        memcpy(next.bytes + offsetof(struct eye_symbol, index), &(uint32_t){1}, sizeof(uint32_t));
        gathered = eye_gather_take(&gather, next.bytes, next.length, &done, NULL);
    }
    return gathered;
}

static struct eye_calibration_packet packet_of(const struct eye_calibration *calibration)
{
    struct eye_calibration_packet packet;
    eye_calibration_write(calibration, 7, &packet);
    return packet;
}

static void what_was_measured_comes_over_as_it_was(void **state)
{
    struct eye_calibration into = {.measured = false};
    const struct eye_calibration_packet packet = packet_of(&measured);
    (void)state;
    assert_int_equal(hear(&packet, true, 1, 1, 0, &into), EYE_MORE);
    assert_true(into.measured);
    assert_memory_equal(&into.measure, &measured.measure, sizeof into.measure);
}

static void why_it_was_not_comes_over_cleaned(void **state)
{
    struct eye_calibration into = {.measured = true};
    const struct eye_calibration why = {.why = {FAULT_INPUT, "the label's top edge\n is not \x1b[2J seen"}};
    const struct eye_calibration_packet packet = packet_of(&why);
    (void)state;
    assert_int_equal(hear(&packet, true, 1, 1, 0, &into), EYE_MORE);
    assert_false(into.measured);
    assert_int_equal(into.why.code, FAULT_INPUT);
    assert_string_equal(into.why.text, "the label's top edge? is not ?[2J seen");
}

static void one_that_nobody_wished_or_in_another_place_breaks_the_answer(void **state)
{
    struct eye_calibration into;
    const struct eye_calibration_packet packet = packet_of(&measured);
    (void)state;
    assert_int_equal(hear(&packet, false, 1, 1, 0, &into), EYE_BROKEN);
    assert_int_equal(hear(&packet, true, 0, 1, 0, &into), EYE_BROKEN); /* of no symbol */
    assert_int_equal(hear(&packet, true, 1, 2, 0, &into), EYE_BROKEN);
    assert_int_equal(hear(&packet, true, 1, 1, 1, &into), EYE_BROKEN); /* symbols come before */
    assert_int_equal(hear(&packet, true, 1, 0, 1, &into), EYE_MORE);
}

static void one_that_makes_no_sense_is_refused_and_nothing_kept(void **state)
{
    const struct eye_calibration before = {.why = {FAULT_BUSY, "as it was"}};
    const struct eye_calibration why = {.why = {FAULT_INPUT, "no edge is seen"}};
    enum { WAYS = 13 };
    (void)state;
    for (int way = 0; way < WAYS; way++) {
        struct eye_calibration_packet packet = packet_of(way < 9 ? &measured : &why);
        struct eye_calibration into = before;
        switch (way) {
        case 0:
            packet.numbers[0] = NAN;
            break;
        case 1:
            packet.numbers[1] = INFINITY;
            break;
        case 2:
            packet.numbers[2] = 0;
            break; /* a size */
        case 3:
            packet.numbers[3] = 1.5;
            break;
        case 4:
            packet.numbers[6] = -0.1;
            break; /* an error */
        case 5:
            packet.counts[0] = 0;
            break;
        case 6:
            packet.counts[4] = -1;
            break;
        case 7:
            packet.reserved = 1;
            break;
        case 8:
            packet.fault_text[0] = 'x';
            break;
        case 9:
            packet.fault_code = FAULT_REFUSED;
            break;
        case 10:
            packet.numbers[4] = 1;
            break;
        case 11:
            memset(packet.fault_text, 'x', sizeof packet.fault_text);
            break;
        default:
            packet.fault_text[2] = '\t';
            break;
        }
        if (eye_calibration_read((const uint8_t *)&packet, &into) || into.measured || into.why.code != FAULT_BUSY ||
            strcmp(into.why.text, before.why.text) != 0)
            fail_msg("way %d was taken", way);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(what_was_measured_comes_over_as_it_was),
        cmocka_unit_test(why_it_was_not_comes_over_cleaned),
        cmocka_unit_test(one_that_nobody_wished_or_in_another_place_breaks_the_answer),
        cmocka_unit_test(one_that_makes_no_sense_is_refused_and_nothing_kept),
    };
    return cmocka_run_group_tests_name("devices/eye_calibration", tests, NULL, NULL);
}
