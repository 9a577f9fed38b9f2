#include "kiosk/devices/printer_answer.h"

#include <fcntl.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "kiosk/devices/printer_facts.h"
#include "kiosk/devices/printer_message.h"

static void reads_the_answer_of_a_real_printer(void **state)
{
    /* recorded from ippeveprinter 2.4.2 with label media, see fixtures/fuzz/ipp_answer/README */
    static uint8_t bytes[PRINTER_ANSWER_MOST];
    struct fault fault = {.code = FAULT_NONE};
    (void)state;
    const int fd = open(FIXTURES "/fuzz/ipp_answer/demo_printer", O_RDONLY | O_CLOEXEC);
    const ssize_t length = read(fd, bytes, sizeof bytes);
    close(fd);
    assert_true(length > 1000);
    ipp_t *const answer = printer_answer_read(bytes, (size_t)length, &fault);
    assert_non_null(answer);
    struct printer_facts facts;
    assert_true(printer_facts_read(answer, &facts, &fault));
    ippDelete(answer);
    assert_int_equal(facts.state, PRINTER_STATE_IDLE);
    assert_true(facts.accepts_raster);
    assert_int_equal(facts.resolutions_dpi[0], 203);
    assert_int_equal(facts.media_ready[0].x, 5000);

    assert_null(printer_answer_read(bytes, (size_t)length - 1, &fault)); /* cut short */
    assert_int_equal(fault.code, FAULT_DEVICE);
    assert_null(printer_answer_read(bytes, 0, &fault));
}

static void hostile_text_is_cleaned(void **state)
{
    static const struct {
        const char *text, *clean;
    } cases[] = {
        {"Caf\xC3\xA9 \xE6\xB4\x9B", "Caf\xC3\xA9 \xE6\xB4\x9B"},
        {"a\x1b[2Jb\n\x7f", "a?[2Jb??"},
        {"\xFF\xC3", "??"},
        {"\xC2\x85", "?"},                                    /* U+0085, a C1 control */
        {"x\xE2\x80\xAEgnp", "x?gnp"},                        /* U+202E turns the direction */
        {"\xE2\x81\xA6y\xE2\x80\x8F", "?y?"},                 /* U+2066, U+200F */
        {"\xF0\x9F\x8F\xB7 \xC0\xAF", "\xF0\x9F\x8F\xB7 ??"}, /* an overlong slash */
    };
    char clean[64];
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        printer_answer_text(cases[i].text, clean, sizeof clean);
        assert_string_equal(clean, cases[i].clean);
    }
    printer_answer_text("ab\xC3\xA9", clean, 4); /* no half character at the cut */
    assert_string_equal(clean, "ab");
    printer_answer_text(NULL, clean, sizeof clean);
    assert_string_equal(clean, "");
}

/* One attribute whose value is a collection that holds a collection, `depth` deep; RFC 8010 3.1.6. */
static size_t nested(uint8_t *bytes, size_t size, int depth)
{
    static const uint8_t head[] = {2, 0, 0, 0, 0, 0, 0, 1, 4, 0x34, 0, 1, 'a', 0, 0};
    static const uint8_t into[] = {0x4A, 0, 0, 0, 1, 'm', 0x34, 0, 0, 0, 0}, out[] = {0x37, 0, 0, 0, 0};
    size_t length = sizeof head;
    memcpy(bytes, head, sizeof head);
    for (int i = 1; i < depth; i++, length += sizeof into)
        memcpy(bytes + length, into, sizeof into);
    for (int i = 0; i < depth; i++, length += sizeof out)
        memcpy(bytes + length, out, sizeof out);
    bytes[length++] = 3;
    assert_true(length <= size);
    return length;
}

static void collections_without_end_are_not_read(void **state)
{
    /* with 16 000 levels libcups 2.4.2 runs out of stack; a bug found by looking, kept from coming back */
    static const struct {
        int depth;
        bool read;
    } cases[] = {
        {1, true}, {PRINTER_MESSAGE_DEPTH_MOST, true}, {PRINTER_MESSAGE_DEPTH_MOST + 1, false}, {16000, false}};
    uint8_t *const bytes = malloc(PRINTER_ANSWER_MOST);
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {.code = FAULT_NONE};
        const size_t length = nested(bytes, PRINTER_ANSWER_MOST, cases[i].depth);
        ipp_t *const answer = printer_answer_read(bytes, length, &fault);
        if ((answer != NULL) != cases[i].read)
            fail_msg("%d deep: %s", cases[i].depth, fault.text);
        ippDelete(answer);
    }
    free(bytes);
}

static void a_giant_count_of_values_is_not_read(void **state)
{
    static const uint8_t head[] = {2, 0, 0, 0, 0, 0, 0, 1, 4}, value[] = {0x44, 0, 1, 'a', 0, 1, 'b'};
    uint8_t *const bytes = malloc(PRINTER_ANSWER_MOST);
    struct fault fault = {.code = FAULT_NONE};
    size_t length = sizeof head;
    (void)state;
    memcpy(bytes, head, sizeof head);
    for (; length + sizeof value < PRINTER_ANSWER_MOST; length += sizeof value)
        memcpy(bytes + length, value, sizeof value);
    bytes[length++] = 3;
    assert_null(printer_answer_read(bytes, length, &fault));
    assert_non_null(strstr(fault.text, "long without end"));
    free(bytes);
}

static void what_is_cut_anywhere_is_no_message(void **state)
{
    uint8_t bytes[64];
    struct fault fault;
    (void)state;
    const size_t length = nested(bytes, sizeof bytes, 2);
    for (size_t cut = 0; cut < length; cut++) {
        fault.code = FAULT_NONE;
        assert_false(printer_message_check(bytes, cut, &fault));
        assert_int_equal(fault.code, FAULT_DEVICE);
    }
    assert_true(printer_message_check(bytes, length, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_the_answer_of_a_real_printer),   cmocka_unit_test(hostile_text_is_cleaned),
        cmocka_unit_test(collections_without_end_are_not_read), cmocka_unit_test(a_giant_count_of_values_is_not_read),
        cmocka_unit_test(what_is_cut_anywhere_is_no_message),
    };
    return cmocka_run_group_tests_name("devices/printer_answer", tests, NULL, NULL);
}
