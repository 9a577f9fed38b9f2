#include "kiosk/rules/verdict.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* docs/reasons.md says what the table of reasons says: one row a code, in its order. */

enum { CELLS = 5, CELL_SIZE = 240 };

struct row {
    char cells[CELLS][CELL_SIZE]; /* code, when, verdict, who may overrule, what to do */
};

/* "| a | b |" into its cells; false when the line is no row of five. */
static bool read_row(const char *line, struct row *row)
{
    size_t count = 0;
    if (strncmp(line, "| ", 2) != 0)
        return false;
    for (const char *at = line + 1; *at == ' ' && count < CELLS; count++) {
        const char *end = strchr(at + 1, '|');
        if (!end)
            return false;
        const int length = end - at > 2 ? (int)(end - at) - 2 : 0;
        if (snprintf(row->cells[count], CELL_SIZE, "%.*s", length, at + 1) >= CELL_SIZE)
            fail_msg("a cell is too long: %s", line);
        at = end + 1;
    }
    return count == CELLS;
}

static void expect_row(const struct row *row, enum reason_code code)
{
    static const char *const overrulers[] = {[OVERRULER_NONE] = "nobody", [OVERRULER_STOREKEEPER] = "a storekeeper"};
    const char *who = reason_verdict(code) == VERDICT_STOP ? overrulers[reason_overruler(code)] : "";
    if (strcmp(row->cells[0], reason_code_word(code)) != 0)
        fail_msg("row '%s' of docs/reasons.md stands where '%s' belongs", row->cells[0], reason_code_word(code));
    assert_true(strlen(row->cells[1]) > 10);
    assert_string_equal(row->cells[2], verdict_word(reason_verdict(code)));
    assert_string_equal(row->cells[3], who);
    assert_string_equal(row->cells[4], reason_next(code));
}

static void the_page_says_what_the_table_says(void **state)
{
    FILE *page = fopen(SOURCE_ROOT "/docs/reasons.md", "r");
    char line[1000];
    struct row row;
    int code = -1; /* the heading is a row of five, too */
    (void)state;
    assert_non_null(page);
    while (fgets(line, sizeof line, page))
        if (read_row(line, &row)) {
            if (code >= REASON_CODES)
                fail_msg("row '%s' of docs/reasons.md is one too many", row.cells[0]);
            if (code >= 0)
                expect_row(&row, (enum reason_code)code);
            code++;
        }
    (void)fclose(page);
    if (code < REASON_CODES)
        fail_msg("docs/reasons.md has no row for '%s'", reason_code_word((enum reason_code)(code < 0 ? 0 : code)));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_page_says_what_the_table_says),
    };
    return cmocka_run_group_tests_name("rules/reasons_page", tests, NULL, NULL);
}
