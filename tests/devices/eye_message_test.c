#include "kiosk/devices/eye/eye_look.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* The message form is ours: there is no published source to check it against. */

static struct reader_symbol a_symbol(void)
{
    struct reader_symbol symbol = {.length = 6,
                                   .symbology = "]d1",
                                   .rows = 10,
                                   .columns = 10,
                                   .corners = {{1, 90}, {1.5, 1}, {90, 1}, {90, 90.25}},
                                   .corrected = 1,
                                   .codeword_count = 3,
                                   .inverted = true,
                                   .eci = 26,
                                   .segments = {{2, 26}, {4, -1}},
                                   .segment_count = 2};
    memcpy(symbol.bytes, "123456", 6);
    memcpy(symbol.codewords, "\x8E\xA4\xBA", 3);
    return symbol;
}

static void a_symbol_arrives_as_it_was_sent(void **state)
{
    (void)state;
    static struct reader_symbol into[READER_SYMBOLS];
    uint8_t packet[EYE_LONGEST];
    struct eye_done done;
    struct fault fault = {0};
    const struct reader_symbol symbol = a_symbol();
    struct eye_gather gather = {.request = 7, .symbols = into};

    const size_t length = eye_symbol_write(&symbol, 7, 0, packet);
    assert_int_equal(eye_gather_take(&gather, packet, length, &done, &fault), EYE_MORE);
    assert_int_equal(gather.count, 1);
    assert_memory_equal(into[0].bytes, "123456", 6);
    assert_int_equal(into[0].length, 6);
    assert_memory_equal(into[0].codewords, "\x8E\xA4\xBA", 3);
    assert_int_equal(into[0].codeword_count, 3);
    assert_string_equal(into[0].symbology, "]d1");
    assert_memory_equal(into[0].corners, symbol.corners, sizeof symbol.corners);
    assert_int_equal(into[0].rows, 10);
    assert_int_equal(into[0].corrected, 1);
    assert_int_equal(into[0].eci, 26);
    assert_int_equal(into[0].segment_count, 2);
    assert_int_equal(into[0].segments[0].start, 2);
    assert_int_equal(into[0].segments[0].eci, 26);
    assert_int_equal(into[0].segments[1].start, 4);
    assert_int_equal(into[0].segments[1].eci, -1);
    assert_true(into[0].inverted);
    assert_false(into[0].mirrored || into[0].reader_programming);

    const struct reader_result result = {.count = 1, .cut_short = true, .cpu_ns = 5};
    eye_done_write(7, &result, 640, 480, NULL, &done);
    memcpy(packet, &done, sizeof done);
    memset(&done, 0, sizeof done);
    assert_int_equal(eye_gather_take(&gather, packet, sizeof done, &done, &fault), EYE_COMPLETE);
    assert_int_equal(done.width, 640);
    assert_int_equal(done.height, 480);
    assert_int_equal(done.count, 1);
    assert_int_equal(done.cut_short, 1);
    assert_int_equal(done.cpu_ns, 5);
}

static void the_longest_symbol_fits_a_packet(void **state)
{
    (void)state;
    static struct reader_symbol into[READER_SYMBOLS];
    uint8_t packet[EYE_LONGEST];
    struct eye_done done;
    struct reader_symbol symbol = a_symbol();
    symbol.length = READER_BYTES;
    symbol.codeword_count = READER_CODEWORDS;
    memset(symbol.bytes, 0xA5, sizeof symbol.bytes);
    struct eye_gather gather = {.request = 1, .symbols = into};
    assert_int_equal(eye_symbol_write(&symbol, 1, 0, packet), EYE_LONGEST);
    assert_int_equal(eye_gather_take(&gather, packet, EYE_LONGEST, &done, NULL), EYE_MORE);
    assert_int_equal(into[0].bytes[READER_BYTES - 1], 0xA5);
}

/* Changes one thing in a sound symbol message; the reader must notice each. */
static void break_symbol(int way, struct eye_symbol *fixed)
{
    switch (way) {
    case 0:
        fixed->header.magic++;
        break;
    case 1:
        fixed->header.version++;
        break;
    case 2:
        fixed->header.size++;
        break;
    case 3:
        fixed->header.request++;
        break;
    case 4:
        fixed->header.kind = 99;
        break;
    case 5:
        fixed->index = 1;
        break;
    case 6:
        fixed->length = 0xFFFFFFFF;
        break;
    case 7:
        fixed->length--;
        break;
    case 8:
        fixed->codeword_count = READER_CODEWORDS + 1;
        break;
    case 9:
        fixed->rows = 0;
        break;
    case 10:
        fixed->columns = 145;
        break;
    case 11:
        fixed->corrected = -1;
        break;
    case 12:
        fixed->eci = 1000000;
        break;
    case 13:
        fixed->structured_total = 17;
        break;
    case 14:
        fixed->structured_index = INT32_MIN;
        break;
    case 15:
        fixed->flags = 8;
        break;
    case 16:
        fixed->symbology[3] = 'x';
        break;
    case 17:
        fixed->symbology[2] = '7';
        break;
    case 18:
        fixed->corners[3][1] = (double)NAN;
        break;
    case 19:
        fixed->corners[0][0] = (double)INFINITY;
        break;
    case 20:
        fixed->corners[2][0] = -EYE_CORNER - 1.0;
        break;
    case 21:
        fixed->header.kind = EYE_DONE;
        break;
    case 22:
        fixed->segment_count = READER_SEGMENTS + 2;
        break;
    case 23:
        fixed->segments[0].start = 7; /* of 6 bytes */
        break;
    case 24:
        fixed->segments[1].start = fixed->segments[0].start;
        break;
    case 25:
        fixed->segments[1].eci = 1000000;
        break;
    case 26:
        fixed->reserved = 1;
        break;
    default:
        fail_msg("no way %d", way);
    }
}

static void every_field_of_a_symbol_out_of_range_is_refused_and_nothing_kept(void **state)
{
    (void)state;
    static struct reader_symbol into[READER_SYMBOLS];
    enum { WAYS = 27 };
    for (int way = 0; way < WAYS; way++) {
        uint8_t packet[EYE_LONGEST];
        struct eye_symbol fixed;
        struct eye_done done;
        struct fault fault = {0};
        const struct reader_symbol symbol = a_symbol();
        const size_t length = eye_symbol_write(&symbol, 7, 0, packet);
        memcpy(&fixed, packet, sizeof fixed);
        break_symbol(way, &fixed);
        memcpy(packet, &fixed, sizeof fixed);
        struct eye_gather gather = {.request = 7, .symbols = into};
        if (eye_gather_take(&gather, packet, length, &done, &fault) != EYE_BROKEN || gather.count != 0 ||
            fault.code != FAULT_DEVICE || !strstr(fault.text, "take the picture again"))
            fail_msg("way %d was taken: %s", way, fault.text);
    }
}

static struct reader_symbol a_carton(void)
{
    struct reader_symbol symbol = {
        .length = 3, .symbology = "]C1", .corners = {{1, 90}, {1, 1}, {90, 1}, {90, 90}}, .corrected = -1, .eci = -1};
    memcpy(symbol.bytes, "10A", 3);
    return symbol;
}

static enum eye_gathered take_carton(const struct reader_symbol *symbol, bool asked, uint32_t flags)
{
    static struct reader_symbol into[READER_SYMBOLS];
    uint8_t packet[EYE_LONGEST];
    struct eye_symbol fixed;
    struct eye_done done;
    struct eye_gather gather = {.request = 7, .symbols = into, .cartons = asked};
    const size_t length = eye_symbol_write(symbol, 7, 0, packet);
    memcpy(&fixed, packet, sizeof fixed);
    fixed.flags = flags;
    memcpy(packet, &fixed, sizeof fixed);
    return eye_gather_take(&gather, packet, length, &done, NULL);
}

static void the_code_of_a_carton_is_taken_only_when_asked_for_and_with_nothing_of_data_matrix(void **state)
{
    (void)state;
    struct reader_symbol symbol = a_carton();
    assert_int_equal(take_carton(&symbol, true, 0), EYE_MORE);
    assert_int_equal(take_carton(&symbol, false, 0), EYE_BROKEN);
    assert_int_equal(take_carton(&symbol, true, EYE_INVERTED), EYE_BROKEN);
    for (int way = 0; way < 7; way++) {
        symbol = a_carton();
        symbol.rows = way == 0 ? 10 : 0;
        symbol.corrected = way == 1 ? 0 : -1;
        symbol.codeword_count = way == 2;
        symbol.eci = way == 3 ? 3 : -1;
        symbol.segment_count = way == 4;
        symbol.symbology[1] = way == 5 ? 'Z' : 'C';
        symbol.symbology[2] = way == 6 ? '3' : '1';
        if (take_carton(&symbol, true, 0) != EYE_BROKEN)
            fail_msg("way %d was taken", way);
    }
    symbol = a_symbol(); /* asked for or not, a label is a label */
    assert_int_equal(take_carton(&symbol, true, 0), EYE_MORE);
}

static void a_packet_cut_anywhere_is_refused(void **state)
{
    (void)state;
    static struct reader_symbol into[READER_SYMBOLS];
    uint8_t packet[EYE_LONGEST];
    struct eye_done done;
    const struct reader_symbol symbol = a_symbol();
    const size_t whole = eye_symbol_write(&symbol, 7, 0, packet);
    for (size_t length = 0; length < whole; length++) {
        struct eye_gather gather = {.request = 7, .symbols = into};
        struct eye_header header = {EYE_MAGIC, EYE_VERSION, EYE_SYMBOL, (uint32_t)length, 7};
        memcpy(packet, &header, length < sizeof header ? length : sizeof header); /* its own size agrees */
        assert_int_equal(eye_gather_take(&gather, packet, length, &done, NULL), EYE_BROKEN);
    }
}

static void more_symbols_than_there_is_room_for_are_refused(void **state)
{
    (void)state;
    static struct reader_symbol into[READER_SYMBOLS];
    uint8_t packet[EYE_LONGEST];
    struct eye_done done;
    const struct reader_symbol symbol = a_symbol();
    struct eye_gather gather = {.request = 1, .symbols = into};
    for (uint32_t i = 0; i < READER_SYMBOLS; i++) {
        const size_t length = eye_symbol_write(&symbol, 1, i, packet);
        assert_int_equal(eye_gather_take(&gather, packet, length, &done, NULL), EYE_MORE);
    }
    const size_t length = eye_symbol_write(&symbol, 1, READER_SYMBOLS, packet);
    assert_int_equal(eye_gather_take(&gather, packet, length, &done, NULL), EYE_BROKEN);
    assert_int_equal(gather.count, READER_SYMBOLS);
}

static void break_done(int way, struct eye_done *done)
{
    switch (way) {
    case 0:
        done->width = 0;
        break;
    case 1:
        done->height = 16385;
        break;
    case 2:
        done->width = done->height = 16384;
        break; /* more than 64 million together */
    case 3:
        done->count = 1;
        break;
    case 4:
        done->cut_short = 2;
        break;
    case 5:
        done->cpu_ns = -1;
        break;
    case 6:
        done->reserved = 1;
        break;
    case 7:
        done->fault_code = FAULT_CODES;
        break;
    case 8:
        done->fault_code = FAULT_INPUT;
        break; /* without a text, with a size */
    default:
        fail_msg("no way %d", way);
    }
}

static void an_end_that_does_not_fit_is_refused_and_done_left_alone(void **state)
{
    (void)state;
    enum { WAYS = 9 };
    for (int way = 0; way < WAYS; way++) {
        struct eye_done sent, done = {.width = 77};
        struct eye_gather gather = {.request = 3};
        const struct reader_result result = {.cpu_ns = 5};
        eye_done_write(3, &result, 640, 480, NULL, &sent);
        break_done(way, &sent);
        if (eye_gather_take(&gather, (const uint8_t *)&sent, sizeof sent, &done, NULL) != EYE_BROKEN ||
            done.width != 77)
            fail_msg("way %d was taken", way);
    }
}

static enum eye_gathered take_fault(enum fault_code code, const char *text, size_t length, struct eye_done *done)
{
    struct eye_done sent;
    struct eye_gather gather = {.request = 3};
    const struct fault fault = {.code = FAULT_INPUT, .text = "x"};
    eye_done_write(3, NULL, 640, 480, &fault, &sent);
    sent.fault_code = (uint32_t)code;
    memset(sent.fault_text, 0, sizeof sent.fault_text);
    memcpy(sent.fault_text, text, length);
    return eye_gather_take(&gather, (const uint8_t *)&sent, sizeof sent, done, NULL);
}

static void a_fault_is_taken_only_with_a_code_and_a_text_fit_for_a_person(void **state)
{
    (void)state;
    struct eye_done done;
    char endless[FAULT_TEXT_SIZE];
    memset(endless, 'a', sizeof endless);
    assert_int_equal(take_fault(FAULT_INPUT, "no picture: µ", 14, &done), EYE_COMPLETE);
    assert_int_equal(done.fault_code, FAULT_INPUT);
    assert_string_equal(done.fault_text, "no picture: µ");
    assert_int_equal(take_fault(FAULT_REFUSED, "no", 2, &done), EYE_BROKEN);
    assert_int_equal(take_fault(FAULT_INPUT, "", 0, &done), EYE_BROKEN);
    assert_int_equal(take_fault(FAULT_INPUT, "a\nb", 3, &done), EYE_BROKEN);
    assert_int_equal(take_fault(FAULT_INPUT,
                                "a\xC2\x9B"
                                "b",
                                4, &done),
                     EYE_BROKEN);
    assert_int_equal(take_fault(FAULT_INPUT, "a\xFF", 2, &done), EYE_BROKEN);
    assert_int_equal(take_fault(FAULT_INPUT, endless, sizeof endless, &done), EYE_BROKEN);
}

static void a_fault_whose_text_quotes_the_picture_is_cleaned_by_the_worker(void **state)
{
    (void)state;
    static const char *const texts[][2] = {{"chunk \x1B[2J", "chunk ?[2J"},
                                           {"\xC2\x9B"
                                            "2J \xC2\xB5",
                                            "??2J \xC2\xB5"},
                                           {"bad \xFF\xFE bytes", "bad ?? bytes"}};
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct fault fault = {.code = FAULT_INPUT};
        struct eye_done sent, done;
        struct eye_gather gather = {.request = 3};
        memcpy(fault.text, texts[i][0], strlen(texts[i][0]) + 1);
        eye_done_write(3, NULL, 0, 0, &fault, &sent);
        assert_int_equal(eye_gather_take(&gather, (const uint8_t *)&sent, sizeof sent, &done, NULL), EYE_COMPLETE);
        assert_string_equal(done.fault_text, texts[i][1]);
    }
}

static struct eye_request a_frame(void)
{
    struct eye_request request = {
        .length = 6400, .stride = 80, .pixels = 64000000, .width = 70, .height = 80, .side = 16384, .time_ms = 10000};
    eye_request_seal(&request, EYE_FRAME, 1);
    return request;
}

static void break_request(int way, struct eye_request *request)
{
    switch (way) {
    case 0:
        request->header.magic = 0;
        break;
    case 1:
        request->header.version = EYE_VERSION + 1;
        break;
    case 2:
        request->header.size = 0;
        break;
    case 3:
        request->header.kind = 3;
        break;
    case 4:
        request->length = 6399;
        break;
    case 5:
        request->stride = 69;
        break;
    case 6:
        request->stride = UINT64_MAX;
        break;
    case 7:
        request->width = 0;
        break;
    case 8:
        request->height = 0xFFFFFFFF;
        break;
    case 9:
        request->side = 16385;
        break;
    case 10:
        request->side = 79;
        break;
    case 11:
        request->pixels = 5599;
        break;
    case 12:
        request->pixels = UINT64_MAX;
        break;
    case 13:
        request->time_ms = 0;
        break;
    case 14:
        request->time_ms = EYE_TIME_MS + 1;
        break;
    case 15:
        request->header.kind = EYE_PICTURE;
        break; /* which has no width */
    case 16:
        request->wishes = 2 * EYE_LOOKS;
        break;
    case 17:
        request->reserved = 1;
        break;
    default:
        fail_msg("no way %d", way);
    }
}

static void the_worker_refuses_a_request_that_contradicts_itself(void **state)
{
    (void)state;
    enum { WAYS = 18 };
    struct eye_request read = {.time_ms = 42};
    struct eye_request request = a_frame();
    assert_true(eye_request_read((const uint8_t *)&request, sizeof request, &read, NULL));
    assert_int_equal(read.width, 70);
    for (int way = 0; way < WAYS; way++) {
        struct fault fault = {0};
        request = a_frame();
        break_request(way, &request);
        read.time_ms = 42;
        if (eye_request_read((const uint8_t *)&request, sizeof request, &read, &fault) || fault.code != FAULT_INPUT ||
            read.time_ms != 42)
            fail_msg("way %d was taken", way);
    }
    request = a_frame();
    assert_false(eye_request_read((const uint8_t *)&request, sizeof request - 1, &read, NULL));
}

static void a_picture_request_is_one_byte_to_32_mib(void **state)
{
    (void)state;
    static const struct {
        uint64_t length;
        bool good;
    } cases[] = {{0, false}, {1, true}, {EYE_PICTURE_BYTES, true}, {EYE_PICTURE_BYTES + 1, false}};
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct eye_request read,
            request = {.length = cases[i].length, .pixels = 64000000, .side = 16384, .time_ms = 10000};
        eye_request_seal(&request, EYE_PICTURE, 1);
        assert_int_equal(eye_request_read((const uint8_t *)&request, sizeof request, &read, NULL), cases[i].good);
    }
}

/* A symbol and its look, from the worker's side; what the kiosk makes of the look's packet after `spoil`. */
static enum eye_gathered hear_look(void (*spoil)(struct eye_look *look), bool asked, int times,
                                   struct quality_brief *brief)
{
    static struct reader_symbol symbol, into[READER_SYMBOLS];
    static struct quality_brief looks[READER_SYMBOLS];
    const struct quality_brief said = {.pixels_a_module = 8.1,
                                       .modulation = 0.6,
                                       .grid = NAN,
                                       .growth = {-0.1, NAN},
                                       .fixed_level = 3,
                                       .streaks = {2, {{3.5, 0.1}, {9.25, 0.4}}}};
    struct eye_gather gather = {.request = 7, .symbols = into, .looks = asked ? looks : NULL};
    struct eye_look look;
    struct eye_done done;
    uint8_t packet[EYE_LONGEST];
    symbol = a_symbol();
    const size_t length = eye_symbol_write(&symbol, 7, 0, packet);
    assert_int_equal(eye_gather_take(&gather, packet, length, &done, NULL), EYE_MORE);
    eye_look_write(&said, 7, 0, &look);
    if (spoil)
        spoil(&look);
    enum eye_gathered gathered = EYE_MORE;
    for (int i = 0; i < times && gathered == EYE_MORE; i++)
        gathered = eye_gather_take(&gather, (const uint8_t *)&look, sizeof look, &done, NULL);
    if (brief)
        *brief = looks[0];
    return gathered;
}

static void spoil_index(struct eye_look *look)
{
    look->index = 1;
}

static void spoil_number(struct eye_look *look)
{
    look->numbers[2] = INFINITY;
}

static void spoil_pixels(struct eye_look *look)
{
    look->numbers[0] = NAN;
}

static void spoil_level(struct eye_look *look)
{
    look->fixed_level = 5;
}

static void spoil_count(struct eye_look *look)
{
    look->marks = STREAK_MARKS + 1;
}

static void spoil_order(struct eye_look *look)
{
    look->at[1] = look->at[0];
}

static void spoil_rest(struct eye_look *look)
{
    look->pale[STREAK_MARKS - 1] = 0.1;
}

static void a_look_comes_over_as_it_was(void **state)
{
    struct quality_brief brief;
    (void)state;
    assert_int_equal(hear_look(NULL, true, 1, &brief), EYE_MORE);
    assert_true(brief.pixels_a_module == 8.1 && brief.modulation == 0.6 && isnan(brief.grid));
    assert_true(brief.growth[0] == -0.1 && isnan(brief.growth[1]) && brief.fixed_level == 3);
    assert_int_equal(brief.streaks.count, 2);
    assert_true(brief.streaks.marks[1].at == 9.25 && brief.streaks.marks[1].pale == 0.4);
}

static void a_look_that_nobody_wished_or_that_makes_no_sense_breaks_the_answer(void **state)
{
    static void (*const spoils[])(struct eye_look *) = {spoil_index, spoil_number, spoil_pixels, spoil_level,
                                                        spoil_count, spoil_order,  spoil_rest};
    (void)state;
    assert_int_equal(hear_look(NULL, false, 1, NULL), EYE_BROKEN);
    assert_int_equal(hear_look(NULL, true, 2, NULL), EYE_BROKEN); /* one a symbol */
    for (size_t i = 0; i < sizeof spoils / sizeof *spoils; i++)
        if (hear_look(spoils[i], true, 1, NULL) != EYE_BROKEN)
            fail_msg("spoil %zu was taken", i);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_symbol_arrives_as_it_was_sent),
        cmocka_unit_test(the_longest_symbol_fits_a_packet),
        cmocka_unit_test(every_field_of_a_symbol_out_of_range_is_refused_and_nothing_kept),
        cmocka_unit_test(the_code_of_a_carton_is_taken_only_when_asked_for_and_with_nothing_of_data_matrix),
        cmocka_unit_test(a_packet_cut_anywhere_is_refused),
        cmocka_unit_test(more_symbols_than_there_is_room_for_are_refused),
        cmocka_unit_test(an_end_that_does_not_fit_is_refused_and_done_left_alone),
        cmocka_unit_test(a_fault_is_taken_only_with_a_code_and_a_text_fit_for_a_person),
        cmocka_unit_test(a_fault_whose_text_quotes_the_picture_is_cleaned_by_the_worker),
        cmocka_unit_test(the_worker_refuses_a_request_that_contradicts_itself),
        cmocka_unit_test(a_picture_request_is_one_byte_to_32_mib),
        cmocka_unit_test(a_look_comes_over_as_it_was),
        cmocka_unit_test(a_look_that_nobody_wished_or_that_makes_no_sense_breaks_the_answer),
    };
    return cmocka_run_group_tests_name("devices/eye_message", tests, NULL, NULL);
}
