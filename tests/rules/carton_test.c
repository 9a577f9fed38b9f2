#include "kiosk/rules/carton.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* Codes read by scan_read, as the desk gets them. Identifiers 00 02 37 (content of a logistic unit), 01, 10, 17, 21, 30
 * and the indicator digit of a GTIN-14: GS1 General Specifications; GTINs of GS1's example range, check digits as in
 * its section on check digits. How packs are counted: common practice, no source. */

enum { TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

#define FLINT      "(01)09506000134352"
#define FLINT_CASE "(01)19506000134359" /* the same article, indicator 1 */
#define OTHER      "(01)09501101530003"

static struct carton_code code_of(const char *text)
{
    struct scan scan;
    struct fault fault = {0};
    struct carton_code code = {.times = 0};
    if (!scan_read(span_of(text), "", (struct day){TODAY}, &scan, &fault) || scan.kind != SCAN_SUPPLIER)
        fail_msg("%s: %s", text, fault.text);
    code.label = scan.supplier;
    (void)snprintf(code.source, sizeof code.source, "%.30s", text);
    if (strcmp(code.label.item, "09506000134352") == 0) /* the catalogue knows one */
        (void)snprintf(code.item, sizeof code.item, "FLINT");
    return code;
}

static enum carton_step judge(const struct carton *carton, const char *text)
{
    const struct carton_code code = code_of(text);
    return carton_judge(carton, &code);
}

static void add(struct carton *carton, const char *text)
{
    const struct carton_code code = code_of(text);
    const enum carton_step step = carton_judge(carton, &code);
    if (step == CARTON_INNER || step == CARTON_MAYBE_INNER)
        carton_add_inner(carton, &code);
    else
        carton_add(carton, &code);
}

static void two_codes_make_one_receipt_in_either_order(void **state)
{
    (void)state;
    for (int turned = 0; turned < 2; turned++) {
        struct carton carton = {.code_count = 0};
        add(&carton, turned ? "(10)L24117(17)270131" : "9506000134352");
        assert_int_equal(judge(&carton, turned ? "9506000134352" : "(10)L24117(17)270131"), CARTON_ADDS);
        add(&carton, turned ? "9506000134352" : "(10)L24117(17)270131");
        const struct carton_total total = carton_total(&carton);
        assert_string_equal(total.item, "FLINT");
        assert_string_equal(total.gtin, "09506000134352");
        assert_string_equal(total.label.lot, "L24117");
        assert_true(total.label.has_expires);
        assert_int_equal(total.quantity, 1);
        assert_int_equal(total.outer, 0);
    }
}

static void packs_with_two_codes_each_are_counted_once_each(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    for (int i = 1; i <= 3; i++) {
        add(&carton, "9506000134352");
        assert_int_equal(carton_total(&carton).quantity, i);
        add(&carton, "(10)L24117");
        assert_int_equal(carton_total(&carton).quantity, i);
    }
}

static void a_contradiction_names_both_values_and_where_the_first_came_from(void **state)
{
    static const struct {
        const char *first, *second, *what, *one, *other;
    } cases[] = {
        {FLINT "(10)L1", "(10)L2", "lot", "L1", "L2"},
        {FLINT "(17)270131", FLINT "(17)270228", "use-by day", "2027-01-31", "2027-02-28"},
        {FLINT "(11)260131", "(11)260130", "day of making", "2026-01-31", "2026-01-30"},
        {FLINT, OTHER, "item", "09506000134352 (FLINT)", "09501101530003"},
        {FLINT "(30)4", FLINT "(30)6", "count", "4", "6"},
        {FLINT "(3153)000500", FLINT "(3150)000001", "content", "500 ml", "1000 ml"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct carton carton = {.code_count = 0};
        struct carton_difference differences[CARTON_DIFFERENCES];
        add(&carton, cases[i].first);
        const struct carton before = carton;
        const struct carton_code code = code_of(cases[i].second);
        assert_int_equal(carton_judge(&carton, &code), CARTON_DIFFERS);
        assert_int_equal(carton_differences(&carton, &code, differences), 1);
        assert_string_equal(differences[0].what, cases[i].what);
        assert_string_equal(differences[0].one, cases[i].one);
        assert_string_equal(differences[0].other, cases[i].other);
        assert_string_equal(differences[0].one_source, carton.codes[0].source);
        assert_memory_equal(&carton, &before, sizeof carton); /* nothing was overwritten */
    }
}

static void every_field_that_differs_is_named(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    struct carton_difference differences[CARTON_DIFFERENCES];
    add(&carton, FLINT "(10)L1(17)270131(11)260131(30)4");
    const struct carton_code code = code_of(OTHER "(10)L2(17)270228(11)260130(30)6");
    assert_int_equal(carton_differences(&carton, &code, differences), 5);
}

static void an_outer_carton_and_its_packs_are_counted_down(void **state)
{
    (void)state;
    static const char outer[] = "(00)095060001343520017(02)09506000134352(37)4(10)L24117";
    struct carton carton = {.code_count = 0};
    add(&carton, outer);
    assert_int_equal(carton_total(&carton).quantity, 4);
    assert_int_equal(judge(&carton, outer), CARTON_SAME_PACK); /* one SSCC is one carton */
    assert_int_equal(judge(&carton, FLINT "(10)L24117(17)270131(21)A"), CARTON_MAYBE_INNER);
    add(&carton, FLINT "(10)L24117(17)270131(21)A");
    assert_int_equal(carton.inner, 1);
    assert_true(carton_total(&carton).label.has_expires); /* what the pack says and the carton did not */
    assert_int_equal(judge(&carton, FLINT "(10)L24117(17)270131(21)A"), CARTON_SAME_PACK);
    for (int i = 2; i <= 4; i++) {
        char pack[64];
        (void)snprintf(pack, sizeof pack, FLINT "(10)L24117(17)270131(21)A%d", i);
        assert_int_equal(judge(&carton, pack), CARTON_INNER);
        add(&carton, pack);
        assert_int_equal(carton.inner, i);
        assert_int_equal(carton_total(&carton).quantity, 4);
    }
    const struct carton_code fifth = code_of(FLINT "(10)L24117(17)270131(21)B");
    assert_int_equal(carton_judge(&carton, &fifth), CARTON_TOO_MANY);
    carton_add_besides(&carton, &fifth);
    assert_int_equal(carton_total(&carton).quantity, 5);
    assert_int_equal(judge(&carton, FLINT "(10)OTHER"), CARTON_DIFFERS);
}

static void a_second_outer_carton_counts_as_many_again(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    add(&carton, "(00)095060001343520017(02)09506000134352(37)4");
    assert_int_equal(judge(&carton, "(00)095060001343520024(02)09506000134352(37)4"), CARTON_COUNTS);
    add(&carton, "(00)095060001343520024(02)09506000134352(37)4");
    assert_int_equal(carton_total(&carton).quantity, 8);
}

static void a_serial_seen_before_is_the_same_pack(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    add(&carton, FLINT "(10)L1(21)A");
    assert_int_equal(judge(&carton, FLINT "(10)L1(21)A"), CARTON_SAME_PACK);
    assert_int_equal(judge(&carton, FLINT "(21)A"), CARTON_SAME_PACK);
    assert_int_equal(judge(&carton, FLINT "(21)A(17)270131"), CARTON_ADDS); /* another code of that pack */
    assert_int_equal(judge(&carton, FLINT "(10)L1(21)B"), CARTON_COUNTS);
    add(&carton, FLINT "(10)L1(21)B");
    assert_int_equal(carton_total(&carton).quantity, 2);
}

static void one_article_in_two_packings_is_no_contradiction(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    add(&carton, FLINT_CASE "(10)L1(30)6");
    assert_string_equal(carton_total(&carton).item, ""); /* the case is not in the catalogue */
    assert_int_equal(judge(&carton, "9506000134352"), CARTON_MAYBE_INNER);
    const struct carton_code pack = code_of("9506000134352");
    carton_add_inner(&carton, &pack);
    assert_string_equal(carton_total(&carton).gtin, "09506000134352"); /* the case's code alone named the case */
    assert_string_equal(carton_total(&carton).item, "FLINT");
    assert_int_equal(carton_total(&carton).quantity, 6);
}

static void more_codes_than_are_kept_are_refused(void **state)
{
    (void)state;
    struct carton carton = {.code_count = 0};
    static const char *const codes[] = {FLINT,          "(10)L1",           "(17)270131",       "(11)260131",
                                        FLINT "(10)L1", FLINT "(17)270131", FLINT "(11)260131", "(17)270131(11)260131"};
    for (size_t i = 0; i < CARTON_CODES; i++)
        add(&carton, codes[i]);
    assert_int_equal(carton.code_count, CARTON_CODES);
    assert_int_equal(judge(&carton, FLINT "(10)L1(17)270131"), CARTON_FULL);
    assert_int_equal(judge(&carton, FLINT), CARTON_COUNTS);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(two_codes_make_one_receipt_in_either_order),
        cmocka_unit_test(packs_with_two_codes_each_are_counted_once_each),
        cmocka_unit_test(a_contradiction_names_both_values_and_where_the_first_came_from),
        cmocka_unit_test(every_field_that_differs_is_named),
        cmocka_unit_test(an_outer_carton_and_its_packs_are_counted_down),
        cmocka_unit_test(a_second_outer_carton_counts_as_many_again),
        cmocka_unit_test(a_serial_seen_before_is_the_same_pack),
        cmocka_unit_test(one_article_in_two_packings_is_no_contradiction),
        cmocka_unit_test(more_codes_than_are_kept_are_refused),
    };
    return cmocka_run_group_tests_name("rules/carton", tests, NULL, NULL);
}
