#include "kiosk/basics/log.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>

#include "labels/basics/text.h"

static const struct instant NOON = {INT64_C(1771070400000)}; /* GNU date 9.1: 2026-02-14T12:00:00Z */

static void a_line_says_when_how_bad_where_and_what(void **state)
{
    (void)state;
    char line[LOG_LINE_SIZE];
    const size_t length = log_write(NOON, LOG_LEVEL_WARNING, "printer", "no labels left", line);
    assert_string_equal(line, "2026-02-14T12:00:00.000Z warning printer: no labels left\n");
    assert_int_equal(length, strlen(line));
}

static void control_characters_cannot_forge_a_line(void **state)
{
    (void)state;
    char line[LOG_LINE_SIZE];
    (void)log_write(NOON, LOG_LEVEL_INFO, "scan", "a\nb\r\x1b[31mc\x7f", line);
    assert_string_equal(line, "2026-02-14T12:00:00.000Z info scan: a?b??[31mc?\n");
    /* U+009B is the one-character form of ESC [ (ECMA-48) */
    (void)log_write(NOON, LOG_LEVEL_INFO, "scan", "x\xC2\x9By", line);
    assert_string_equal(line, "2026-02-14T12:00:00.000Z info scan: x??y\n");
}

static void real_letters_stay_and_broken_ones_go(void **state)
{
    (void)state;
    char line[LOG_LINE_SIZE];
    (void)log_write(NOON, LOG_LEVEL_ERROR, "desk", "Grün 樹脂 \xFF\xC3", line);
    assert_string_equal(line, "2026-02-14T12:00:00.000Z error desk: Grün 樹脂 ??\n");
}

static void an_overlong_sentence_is_cut_at_a_character(void **state)
{
    (void)state;
    char sentence[LOG_LINE_SIZE * 2], line[LOG_LINE_SIZE];
    for (int shift = 0; shift < 3; shift++) {
        memset(sentence, 'a', sizeof sentence);
        for (size_t i = (size_t)shift; i + 3 < sizeof sentence; i += 3)
            memcpy(sentence + i, "樹", 3);
        sentence[sizeof sentence - 1] = '\0';
        const size_t length = log_write(NOON, LOG_LEVEL_INFO, "scan", sentence, line);
        assert_true(length < LOG_LINE_SIZE);
        assert_true(length > LOG_LINE_SIZE - 8);
        assert_true(text_is_utf8(span_of(line)));
        assert_string_equal(line + length - 4, "…\n");
    }
}

static void lines_go_to_standard_error(void **state)
{
    (void)state;
    int ends[2];
    char bytes[256] = "";
    assert_int_equal(pipe(ends), 0);
    const int kept = dup(STDERR_FILENO);
    assert_true(kept >= 0);
    assert_int_equal(dup2(ends[1], STDERR_FILENO), STDERR_FILENO);
    log_line(LOG_LEVEL_ERROR, "test", "%d labels", 3);
    assert_int_equal(dup2(kept, STDERR_FILENO), STDERR_FILENO);
    const ssize_t length = read(ends[0], bytes, sizeof bytes - 1);
    assert_true(length > 0);
    assert_int_equal(bytes[length - 1], '\n');
    assert_non_null(strstr(bytes, "Z error test: 3 labels\n"));
    (void)close(kept);
    (void)close(ends[0]);
    (void)close(ends[1]);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_line_says_when_how_bad_where_and_what),
        cmocka_unit_test(control_characters_cannot_forge_a_line),
        cmocka_unit_test(real_letters_stay_and_broken_ones_go),
        cmocka_unit_test(an_overlong_sentence_is_cut_at_a_character),
        cmocka_unit_test(lines_go_to_standard_error),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
