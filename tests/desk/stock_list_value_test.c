#include "kiosk/desk/stock_list/stock_list_value.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/stock_list/stock_list_fold.h"
#include "kiosk/desk/stock_list/stock_list_word.h"

enum { THIS_YEAR = 2026 };

/* ---- dates: ISO 8601-1:2019; a month alone as GS1 General Specifications read day 00; orders by common practice ----
 */

static void dates_are_read_as_they_are_written(void **state)
{
    static const struct {
        const char *cell;
        enum stock_list_order order;
        const char *day; /* "" it asks */
        bool month_only, two_digits;
    } cases[] = {
        {"2027-03-31", STOCK_LIST_ORDER_ASK, "2027-03-31", false, false}, /* ISO 8601 extended */
        {"20270331", STOCK_LIST_ORDER_ASK, "2027-03-31", false, false},   /* ISO 8601 basic */
        {"2027-03", STOCK_LIST_ORDER_ASK, "2027-03-31", true, false},     /* ISO 8601, reduced precision */
        {"2028-02", STOCK_LIST_ORDER_ASK, "2028-02-29", true, false},
        {"02/2028", STOCK_LIST_ORDER_ASK, "2028-02-29", true, false},
        {"2027/3/1", STOCK_LIST_ORDER_ASK, "2027-03-01", false, false},
        {"2027.03.01", STOCK_LIST_DMY, "2027-03-01", false, false}, /* exact whatever was chosen for the others */
        {"2027-03-01T00:00:00", STOCK_LIST_ORDER_ASK, "2027-03-01", false, false},
        {"01.03.2027 00:00", STOCK_LIST_DMY, "2027-03-01", false, false},
        {"03.04.2027", STOCK_LIST_ORDER_ASK, "", false, false},
        {"03.04.2027", STOCK_LIST_DMY, "2027-04-03", false, false},
        {"03.04.2027", STOCK_LIST_MDY, "2027-03-04", false, false},
        {"31.12.2027", STOCK_LIST_ORDER_ASK, "", false, false}, /* only one order fits, and it is asked all the same */
        {"03/04/27", STOCK_LIST_ORDER_ASK, "", false, false},
        {"03/04/27", STOCK_LIST_YMD, "2003-04-27", false, true},
        {"3-4-27", STOCK_LIST_DMY, "2027-04-03", false, true},
        {"3. 4. 2027", STOCK_LIST_DMY, "2027-04-03", false, false},
        {"27-3-5", STOCK_LIST_ORDER_ASK, "", false, false},
        {"27-3-5", STOCK_LIST_YMD, "2027-03-05", false, true},
        {"29.02.28", STOCK_LIST_DMY, "2028-02-29", false, true},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_date date;
        struct fault fault = {0};
        char text[CALENDAR_DATE_SIZE] = "";
        if (!stock_list_date_read(cases[i].cell, cases[i].order, THIS_YEAR, &date, &fault))
            fail_msg("%s: %s", cases[i].cell, fault.text);
        if (!date.asks)
            calendar_write_date(date.day, text);
        if (strcmp(text, cases[i].day) != 0 || date.month_only != cases[i].month_only ||
            date.two_digits != cases[i].two_digits)
            fail_msg("%s: '%s'", cases[i].cell, text);
    }
}

static void dates_that_cannot_be_are_refused_with_a_sentence(void **state)
{
    static const struct {
        const char *cell;
        enum stock_list_order order;
        const char *says;
    } cases[] = {
        {"31.02.2027", STOCK_LIST_DMY, "has day 31, but 2027-02 has days 1 to 28"},
        {"2027-02-29", STOCK_LIST_ORDER_ASK, "2027-02 has days 1 to 28"}, /* Gregorian: 2027 is common */
        {"12.13.2027", STOCK_LIST_DMY, "has month 13"},
        {"13.12.2027", STOCK_LIST_MDY, "has month 13"},
        {"2027-00-10", STOCK_LIST_ORDER_ASK, "has month 0"},
        {"00.10.2027", STOCK_LIST_DMY, "has day 0"},
        {"31.12.2027", STOCK_LIST_YMD, "is no date in the order that was chosen"},
        {"46112", STOCK_LIST_DMY, "is a spreadsheet's own day number"},
        {"31 Mar 2027", STOCK_LIST_DMY, "is not a date in digits: write it as 2027-03-31"},
        {"März 2027", STOCK_LIST_DMY, "is not a date in digits"},
        {"03/27", STOCK_LIST_DMY, "write the year with four digits"},
        {"2027-03-01 13:45", STOCK_LIST_ORDER_ASK, "has a time of day"},
        {"31.03.2227", STOCK_LIST_DMY, "more than 30 years from now"},
        {"1995-03-01", STOCK_LIST_ORDER_ASK, "more than 30 years from now"},
        {"31.03-2027", STOCK_LIST_DMY, "is not a date"},
        {"1.2.3.4", STOCK_LIST_DMY, "is not a date"},
        {"2027", STOCK_LIST_DMY, "is not a date"},
        {"123456789", STOCK_LIST_DMY, "is not a date"},
        {"1.2.3", STOCK_LIST_ORDER_ASK, "is no date"},
        {"31.03.", STOCK_LIST_DMY, "is not a date"},
        {"99999999999999999999-1-1", STOCK_LIST_DMY, "is not a date"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_date date = {.day = {7}};
        struct fault fault = {0};
        if (stock_list_date_read(cases[i].cell, cases[i].order, THIS_YEAR, &date, &fault))
            fail_msg("%s was read", cases[i].cell);
        if (fault.code != FAULT_INPUT || !strstr(fault.text, cases[i].says))
            fail_msg("%s: '%s' does not say '%s'", cases[i].cell, fault.text, cases[i].says);
        assert_int_equal(date.day.number, 7);
    }
}

/* Every day of 40 years, written in each order, reads back as itself. */
static void every_day_reads_back_in_every_order(void **state)
{
    (void)state;
    for (int number = calendar_day(2006, 1, 1).number; number <= calendar_day(2046, 12, 31).number; number += 3) {
        int year, month, day;
        char written[STOCK_LIST_ORDERS][16];
        calendar_split((struct day){number}, &year, &month, &day);
        (void)snprintf(written[STOCK_LIST_YMD], 16, "%02d/%d/%d", year % 100, month, day);
        (void)snprintf(written[STOCK_LIST_DMY], 16, "%d.%02d.%d", day, month, year);
        (void)snprintf(written[STOCK_LIST_MDY], 16, "%02d-%02d-%02d", month, day, year % 100);
        for (int order = STOCK_LIST_YMD; order < STOCK_LIST_ORDERS; order++) {
            struct stock_list_date date;
            struct fault fault = {0};
            if (!stock_list_date_read(written[order], order, THIS_YEAR, &date, &fault) || date.day.number != number)
                fail_msg("%s: %s", written[order], fault.text);
        }
    }
}

/* ---- numbers: signs by common practice; grouping by threes, SI brochure 5.4.4 ---- */

static void amounts_are_exact_or_asked_about(void **state)
{
    static const struct {
        const char *cell;
        enum stock_list_sign sign;
        enum stock_list_volume unit;
        int64_t microlitres; /* -1 asks the sign, -2 the unit */
    } cases[] = {
        {"1000", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1000000},
        {"1000 ml", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 1000000},
        {"1000", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, -2},
        {"1.234", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, -1},
        {"1,234", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, -1},
        {"1.234", STOCK_LIST_COMMA, STOCK_LIST_ML, 1234000},
        {"1.234", STOCK_LIST_POINT, STOCK_LIST_ML, 1234},
        {"1,234", STOCK_LIST_COMMA, STOCK_LIST_ML, 1234},
        {"1,234", STOCK_LIST_POINT, STOCK_LIST_ML, 1234000},
        {"12,5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 12500},
        {"12.5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 12500},
        {"0.640", STOCK_LIST_SIGN_ASK, STOCK_LIST_L, 640000}, /* no group of thousands begins with 0 */
        {"0,640 l", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 640000},
        {"1.234,5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1234500},
        {"1,234.5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1234500},
        {"1.234.567", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1234567000},
        {"1 234,5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1234500},
        {"1\xE2\x80\xAF"
         "234 ml",
         STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 1234000}, /* U+202F, French */
        {"1'234.5", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1234500},
        {"1 l", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 1000000}, /* the cell's own unit */
        {"75 cl", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 750000},
        {"2,5 dl", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 250000},
        {"500 cm\xC2\xB3", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 500000},
        {"1 Liter", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 1000000},
        {"0,0001 l", STOCK_LIST_SIGN_ASK, STOCK_LIST_VOLUME_NONE, 100},
        {"0", STOCK_LIST_SIGN_ASK, STOCK_LIST_ML, 0},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_amount amount;
        struct fault fault = {0};
        if (!stock_list_amount_read(cases[i].cell, cases[i].sign, cases[i].unit, &amount, &fault))
            fail_msg("%s: %s", cases[i].cell, fault.text);
        const int64_t got = amount.asks_sign ? -1 : amount.asks_unit ? -2 : amount.microlitres;
        if (got != cases[i].microlitres)
            fail_msg("%s: %lld", cases[i].cell, (long long)got);
    }
}

static void amounts_that_are_none_are_refused(void **state)
{
    static const struct {
        const char *cell;
        enum stock_list_sign sign;
        const char *says;
    } cases[] = {
        {"500 g", STOCK_LIST_SIGN_ASK, "is a weight"},
        {"1 kg", STOCK_LIST_SIGN_ASK, "is a weight"},
        {"-5", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"much", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"5 spoons", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"1.2.3", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"1,23.456,7", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"12.5", STOCK_LIST_COMMA, "is not a number"}, /* contradicts what was said of its column */
        {"12,5", STOCK_LIST_POINT, "is not a number"},
        {"1.234.567", STOCK_LIST_POINT, "is not a number"},
        {",5", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"5,", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"12 34", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"1234 567", STOCK_LIST_SIGN_ASK, "is not a number"},
        {"0,00001", STOCK_LIST_SIGN_ASK, "finer than 0.001 ml"},
        {"999999999999999", STOCK_LIST_SIGN_ASK, "too much"},
        {"9999999999999999", STOCK_LIST_SIGN_ASK, "is not a number"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_amount amount;
        struct fault fault = {0};
        if (stock_list_amount_read(cases[i].cell, cases[i].sign, STOCK_LIST_L, &amount, &fault) &&
            stock_list_amount_read(cases[i].cell, cases[i].sign, STOCK_LIST_ML, &amount, &fault))
            fail_msg("%s was read", cases[i].cell);
        if (!strstr(fault.text, cases[i].says))
            fail_msg("%s: '%s' does not say '%s'", cases[i].cell, fault.text, cases[i].says);
    }
}

static void hours_become_whole_minutes(void **state)
{
    static const struct {
        const char *cell;
        enum stock_list_sign sign;
        int64_t minutes; /* -1 asks, -2 refused */
    } cases[] = {
        {"12:30", STOCK_LIST_SIGN_ASK, 750},
        {"0:05", STOCK_LIST_SIGN_ASK, 5},
        {"138:30:00", STOCK_LIST_SIGN_ASK, 8310},
        {"12,5", STOCK_LIST_SIGN_ASK, 750},
        {"12.5 h", STOCK_LIST_SIGN_ASK, 750},
        {"0,1", STOCK_LIST_SIGN_ASK, 6},
        {"7", STOCK_LIST_SIGN_ASK, 420},
        {"7 Std.", STOCK_LIST_SIGN_ASK, 420},
        {"0.33", STOCK_LIST_SIGN_ASK, 20},
        {"1.234", STOCK_LIST_SIGN_ASK, -1},
        {"1.234", STOCK_LIST_POINT, 74},
        {"1.234", STOCK_LIST_COMMA, 74040},
        {"12:75", STOCK_LIST_SIGN_ASK, -2},
        {"12:30:10", STOCK_LIST_SIGN_ASK, -2},
        {"12:3", STOCK_LIST_SIGN_ASK, -2},
        {":30", STOCK_LIST_SIGN_ASK, -2},
        {"12 days", STOCK_LIST_SIGN_ASK, -2},
        {"-3", STOCK_LIST_SIGN_ASK, -2},
        {"9999999999:00", STOCK_LIST_SIGN_ASK, -2},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct stock_list_hours hours;
        struct fault fault = {0};
        const bool read = stock_list_hours_read(cases[i].cell, cases[i].sign, &hours, &fault);
        const int64_t got = !read ? -2 : hours.asks_sign ? -1 : hours.minutes;
        if (got != cases[i].minutes || (!read && !fault.text[0]))
            fail_msg("%s: %lld", cases[i].cell, (long long)got);
    }
}

static void pieces_are_whole(void **state)
{
    int64_t pieces = 0;
    struct fault fault = {0};
    (void)state;
    assert_true(stock_list_pieces_read("5", 500, &pieces, NULL) && pieces == 5);
    assert_true(stock_list_pieces_read("0", 500, &pieces, NULL) && pieces == 0);
    assert_true(stock_list_pieces_read("12 Stück", 500, &pieces, NULL) && pieces == 12);
    assert_true(stock_list_pieces_read("12 Stk.", 500, &pieces, NULL) && pieces == 12);
    assert_false(stock_list_pieces_read("1,5", 500, &pieces, NULL));
    assert_false(stock_list_pieces_read("1.000", 500, &pieces, NULL));
    assert_false(stock_list_pieces_read("-1", 500, &pieces, NULL));
    assert_false(stock_list_pieces_read("many", 500, &pieces, NULL));
    assert_false(stock_list_pieces_read("501", 500, &pieces, &fault));
    assert_non_null(strstr(fault.text, "divide the line"));
    assert_int_equal(pieces, 12);
}

/* Common practice, no source. */
static void unknown_is_a_word_in_many_languages_and_never_a_number(void **state)
{
    static const char *const unknown[] = {"",        "?",           "??",          "-",         "\xE2\x80\x93",
                                          "n/a",     "N.A.",        "unknown",     "Unbekannt", "k.A.",
                                          "inconnu", "desconocido", "sconosciuto", "onbekend",  "n.v.t."};
    static const char *const known[] = {"0", "FLINT", "-1", "#N/A", "none", "na 3"};
    (void)state;
    for (size_t i = 0; i < sizeof unknown / sizeof *unknown; i++)
        if (!stock_list_is_unknown(unknown[i]))
            fail_msg("%s", unknown[i]);
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (stock_list_is_unknown(known[i]))
            fail_msg("%s", known[i]);
    assert_true(stock_list_is_shortened("1,23457E+11"));
    assert_true(stock_list_is_shortened("9.5E+12"));
    assert_true(stock_list_is_shortened("9E+12"));
    assert_false(stock_list_is_shortened("FE+12"));
    assert_false(stock_list_is_shortened("1,5"));
    assert_false(stock_list_is_shortened("12E"));
}

static void words_fold_as_unicode_has_it(void **state)
{
    char folded[STOCK_LIST_FOLDED], again[STOCK_LIST_FOLDED];
    static const char *const texts[][3] = {/* CaseFolding.txt: U+00DF folds to ss; UAX 15: marks come apart */
                                           {"Gr\u00F6\u00DFe", "grosse", "grosse"},
                                           {"Date de p\u00E9remption", "datedeperemption", "date de peremption"},
                                           {"N\u00B0 s\u00E9rie", "nserie", "n serie"},
                                           {" A-11 ", "a11", "a 11"},
                                           {"A1-1", "a11", "a1 1"},
                                           {"\uFB01lm", "film", "film"}}; /* the ligature fi */
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        assert_string_equal(stock_list_fold_heading(texts[i][0], folded), texts[i][1]);
        assert_string_equal(stock_list_fold_value(texts[i][0], folded), texts[i][2]);
        assert_string_equal(stock_list_fold_value(folded, again), texts[i][2]);
    }
}

static void kinds_and_films_are_known_by_their_words(void **state)
{
    static const char *const known[][2] = {{"Cartridge", "C"}, {"Kartuschen", "C"},   {"cuve", "V"},
                                           {"Flasche", "R"},   {"Bauplattform", "P"}, {"rifiuti", "W"},
                                           {"botella", "R"},   {"bak", "V"}};
    static const char *const films[][2] = {{"klar", "clear"},      {"getr\u00FCbt", "fogged"}, {"abollada", "dented"},
                                           {"perdita", "leaking"}, {"resten", "bits"},         {"Clair", "clear"}};
    char letter;
    const char *film;
    (void)state;
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        assert_true(stock_list_kind_read(known[i][0], &letter) && letter == known[i][1][0]);
    for (size_t i = 0; i < sizeof films / sizeof *films; i++) {
        assert_true(stock_list_film_read(films[i][0], &film));
        assert_string_equal(film, films[i][1]);
    }
    assert_false(stock_list_kind_read("thing", &letter));
    assert_false(stock_list_film_read("ok", &film));
    assert_false(stock_list_film_read("", &film));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(dates_are_read_as_they_are_written),
        cmocka_unit_test(dates_that_cannot_be_are_refused_with_a_sentence),
        cmocka_unit_test(every_day_reads_back_in_every_order),
        cmocka_unit_test(amounts_are_exact_or_asked_about),
        cmocka_unit_test(amounts_that_are_none_are_refused),
        cmocka_unit_test(hours_become_whole_minutes),
        cmocka_unit_test(pieces_are_whole),
        cmocka_unit_test(unknown_is_a_word_in_many_languages_and_never_a_number),
        cmocka_unit_test(words_fold_as_unicode_has_it),
        cmocka_unit_test(kinds_and_films_are_known_by_their_words),
    };
    return cmocka_run_group_tests_name("desk/stock_list_value", tests, NULL, NULL);
}
