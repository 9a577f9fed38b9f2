#include "kiosk/desk/stock_list/stock_list_rows.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

/* RFC 4180, section 2; other separators and "sep=" as spreadsheets write them: common practice, no source. */

static void read_rows(const char *text, char separator, struct stock_list_rows *rows)
{
    struct fault fault = {0};
    if (!stock_list_rows_read(span_of(text), separator, rows, &fault))
        fail_msg("%s", fault.text);
}

/* "1:a|b 2:c|d": line and cells of each row. */
static void expect(const char *text, const char *rows_as_text)
{
    struct stock_list_rows rows;
    char written[512];
    struct builder out;
    read_rows(text, '\0', &rows);
    builder_init(&out, written, sizeof written);
    for (size_t i = 0; i < rows.count; i++) {
        builder_addf(&out, "%s%d:", i ? " " : "", rows.rows[i].line);
        for (int k = 0; k < rows.rows[i].count; k++)
            builder_addf(&out, "%s%s", k ? "|" : "", stock_list_cell(&rows, i, k));
    }
    assert_string_equal(written, rows_as_text);
    assert_string_equal(stock_list_cell(&rows, 0, 99), "");
    stock_list_rows_clear(&rows);
}

static void refuses(const char *text, const char *says)
{
    struct stock_list_rows rows = {.count = 7};
    struct fault fault = {0};
    assert_false(stock_list_rows_read(span_of(text), '\0', &rows, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    if (!strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
    assert_int_equal(rows.count, 7);
}

static void reads_what_rfc_4180_shows(void **state)
{
    (void)state;
    expect("aaa,bbb,ccc\r\nzzz,yyy,xxx\r\n", "1:aaa|bbb|ccc 2:zzz|yyy|xxx");                 /* rule 1 */
    expect("aaa,bbb,ccc\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc 2:zzz|yyy|xxx");                     /* rule 2 */
    expect("\"aaa\",\"bbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|bbb|ccc 2:zzz|yyy|xxx");         /* rule 5 */
    expect("\"aaa\",\"b\r\nbb\",\"ccc\"\r\nzzz,yyy,xxx", "1:aaa|b\r\nbb|ccc 3:zzz|yyy|xxx"); /* rule 6 */
    expect("\"aaa\",\"b\"\"bb\",\"ccc\"", "1:aaa|b\"bb|ccc");                                /* rule 7 */
    refuses("aaa,b\"bb,ccc\r\n", "line 1 has a quote inside a cell"); /* rule 5: quotes may not appear inside */
    refuses("a,b\r\n\"aaa\"x,b\r\n", "line 2 has a quote inside a cell");
    refuses("a,b\r\nc,\"d\r\ne,f\r\n", "a quote is opened in the row that begins in line 2");
}

static void counts_lines_as_an_editor_does_whatever_ends_them(void **state)
{
    (void)state;
    expect("a;b\rc;d\r\r\re;f\r", "1:a|b 2:c|d 5:e|f");
    expect("a;b\nc;d\n\n  \t \n;;\ne;f", "1:a|b 2:c|d 6:e|f");
    expect("a;b\r\n\r\nc;d\r\n", "1:a|b 3:c|d");
    expect("a;\"1\n2\r\n3\r4\"\nc;d", "1:a|1\n2\r\n3\r4 5:c|d");
}

static void finds_the_separator_by_counting(void **state)
{
    static const struct {
        const char *text;
        char separator;
    } cases[] = {
        {"Lot;Content\nA;1,5\nB;2,5\n", ';'}, /* decimal commas */
        {"Lot;Content, ml;Shelf\nA;1,5;x\nB;2,5;y\n", ';'},
        {"Lot,Remark\nA,one; two\nB,three\nC,four\n", ','},
        {"Lot\tRemark\nA\tone, two\n", '\t'},
        {"Lot,\"Remark; more\"\nA,b\n", ','},
        {"Stock of March\nLot;Item\nA;FLINT\n", ';'}, /* a title above */
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_rows rows;
        read_rows(cases[i].text, '\0', &rows);
        if (rows.separator != cases[i].separator)
            fail_msg("%s: '%c'", cases[i].text, rows.separator);
        stock_list_rows_clear(&rows);
    }
    expect("sep=;\r\na,b;c\r\n", "2:a,b|c");
    expect("\"sep=|\"\na|b\n", "2:a|b");
    expect("SEP=\t\na\tb\n", "2:a|b");
    refuses("sep=\"\na;b\n", "names a separator that cannot be one");
    refuses("one\ntwo\n", "no line has a semicolon, comma or tab");
    struct stock_list_rows rows;
    read_rows("a,b;c\n", ',', &rows); /* said by a person */
    assert_string_equal(stock_list_cell(&rows, 0, 1), "b;c");
    stock_list_rows_clear(&rows);
    char word[2];
    for (const char *each = ";,\t"; *each; each++)
        assert_int_equal(stock_list_separator_read(stock_list_separator_word(*each, word)), *each);
}

static void cells_lose_the_blanks_around_them_and_nothing_else(void **state)
{
    (void)state;
    expect(" a ;\t b c\t;\xC2\xA0"
           "d\xC2\xA0\n",
           "1:a|b c|d");
    expect("\" a \";\xC3\xA0;\xE2\x80\x99x\n",
           "1:a|\xC3\xA0|\xE2\x80\x99x"); /* bytes that look like half a blank stay */
}

static void limits_have_sentences(void **state)
{
    (void)state;
    char *text = malloc(4 * STOCK_LIST_ROWS + 100), *at = text;
    for (int i = 0; i <= STOCK_LIST_ROWS; i++)
        at = memcpy(at, "a;b\n", 4), at += 4;
    *at = '\0';
    refuses(text, "line 5001 is one too many");
    free(text);
    char wide[2 * STOCK_LIST_CELLS + 4];
    memset(wide, ';', sizeof wide);
    wide[0] = 'a';
    wide[sizeof wide - 1] = '\0';
    refuses(wide, "more than 100 cells");
    char longer[STOCK_LIST_CELL + 8] = "a;";
    memset(longer + 2, 'x', STOCK_LIST_CELL + 1);
    refuses(longer, "a cell of more than 1000 bytes");
    refuses(";;;\n;;;\n", "no line with anything in it");
}

/* ---- what is written by the rules reads back ---- */

static uint32_t next_random(uint32_t *seed) /* Numerical Recipes' generator: the same every run */
{
    return *seed = *seed * 1664525u + 1013904223u;
}

static void write_cell(struct builder *out, const char *cell, char separator, bool quoted)
{
    const char special[] = {separator, '"', '\r', '\n', '\0'};
    quoted = quoted || strpbrk(cell, special);
    if (!quoted) {
        builder_add(out, cell);
        return;
    }
    builder_add_char(out, '"');
    for (; *cell; cell++)
        builder_add(out, *cell == '"' ? "\"\"" : (char[]){*cell, '\0'});
    builder_add_char(out, '"');
}

static void rows_written_by_rfc_4180_read_back(void **state)
{
    static const char *const parts[] = {"a", "7", "\"", ";", ",", "\t", "\n", "\r\n", "\xC3\xBC", " ", "x"};
    static const char *const ends[] = {"\n", "\r", "\r\n"};
    static const char separators[] = {';', ',', '\t'};
    uint32_t seed = 4180;
    (void)state;
    for (int round = 0; round < 2000; round++) {
        char text[4096], cells[5][4][64];
        struct builder out;
        const char separator = separators[round % 3];
        const char *end = ends[next_random(&seed) >> 16 & 1 ? 2 : round % 3];
        builder_init(&out, text, sizeof text);
        for (int row = 0; row < 5; row++) {
            for (int i = 0; i < 4; i++) {
                struct builder cell;
                builder_init(&cell, cells[row][i], sizeof cells[row][i]);
                builder_add(&cell, i == 0 ? "k" : "");
                for (uint32_t n = (next_random(&seed) >> 16) % 6; n > 0; n--)
                    builder_add(&cell, parts[(next_random(&seed) >> 16) % (sizeof parts / sizeof *parts)]);
                builder_add(&cell, cell.length ? "e" : ""); /* blanks at the ends are not kept */
                if (cells[row][i][0] && strchr(" \t\r\n", cells[row][i][0]))
                    cells[row][i][0] = 'b';
                builder_add(&out, i ? (char[]){separator, '\0'} : "");
                write_cell(&out, cells[row][i], separator, next_random(&seed) >> 31);
            }
            builder_add(&out, end);
        }
        struct stock_list_rows rows;
        assert_false(out.cut);
        read_rows(text, separator, &rows);
        assert_int_equal(rows.count, 5);
        for (size_t row = 0; row < 5; row++)
            for (int i = 0; i < 4; i++)
                assert_string_equal(stock_list_cell(&rows, row, i), cells[row][i]);
        stock_list_rows_clear(&rows);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_what_rfc_4180_shows),
        cmocka_unit_test(counts_lines_as_an_editor_does_whatever_ends_them),
        cmocka_unit_test(finds_the_separator_by_counting),
        cmocka_unit_test(cells_lose_the_blanks_around_them_and_nothing_else),
        cmocka_unit_test(limits_have_sentences),
        cmocka_unit_test(rows_written_by_rfc_4180_read_back),
    };
    return cmocka_run_group_tests_name("desk/stock_list_rows", tests, NULL, NULL);
}
