#include "labels/content/digital_link.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static struct day today(void)
{
    return calendar_day(2026, 2, 14);
}

/* The elements as a label shows them, in the order of the address. */
static const char *shown(const struct element_string *elements, char *text, size_t size)
{
    struct builder out;
    builder_init(&out, text, size);
    for (size_t i = 0; i < elements->count; i++) {
        builder_addf(&out, "(%s)", elements->elements[i].ai);
        builder_add_span(&out, elements->elements[i].value);
    }
    return text;
}

/* GS1 Digital Link Standard: URI Syntax. The first address came out of the GS1 Barcode Syntax Engine for these
 * elements; keys and their qualifiers are those of the GS1 Barcode Syntax Dictionary. */
static void reads_keys_qualifiers_and_the_query(void **state)
{
    static const struct {
        const char *text, *elements;
    } cases[] = {
        {"https://id.gs1.org/01/09506000134352/10/LOT2407/21/V000123?17=270200",
         "(01)09506000134352(10)LOT2407(21)V000123(17)270200"},
        {"https://id.gs1.org/01/09506000134352", "(01)09506000134352"},
        {"https://id.gs1.org/01/09506000134352/22/2A/10/LOT/21/S", "(01)09506000134352(22)2A(10)LOT(21)S"},
        {"https://id.gs1.org/01/09506000134352/22/2A/21/S", "(01)09506000134352(22)2A(21)S"},
        {"https://id.gs1.org/01/09506000134352/21/S", "(01)09506000134352(21)S"},
        {"https://id.gs1.org/01/09506000134352/235/TPX1", "(01)09506000134352(235)TPX1"},
        {"https://id.gs1.org/01/09506000134352?17=270131&11=260131&10=L1",
         "(01)09506000134352(17)270131(11)260131(10)L1"},
        {"https://id.gs1.org/00/095060001343520017", "(00)095060001343520017"},
        {"https://id.gs1.org/00/095060001343520017?02=09506000134352&37=24",
         "(00)095060001343520017(02)09506000134352(37)24"},
        {"https://id.gs1.org/8003/09506000134352A1", "(8003)09506000134352A1"},
        {"https://id.gs1.org/8004/9506000V0001236", "(8004)9506000V0001236"},
        {"https://id.gs1.org/8006/095060001343520103/21/S", "(8006)095060001343520103(21)S"},
        {"https://id.gs1.org/8010/9506000ABC/8011/12", "(8010)9506000ABC(8011)12"},
        {"https://id.gs1.org/8013/1987654Ad4X4bL5ttr2310c2K", "(8013)1987654Ad4X4bL5ttr2310c2K"},
        {"https://id.gs1.org/414/9506000134352/254/ROOM-3", "(414)9506000134352(254)ROOM-3"},
        {"https://id.gs1.org/417/9506000134352", "(417)9506000134352"},
        {"https://id.gs1.org/253/9506000134352DOC1", "(253)9506000134352DOC1"},
        {"https://id.gs1.org/8018/095060001343520017/8019/1", "(8018)095060001343520017(8019)1"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct element_string elements;
        struct fault fault = {FAULT_NONE, ""};
        char buffer[DIGITAL_LINK_SIZE], text[256];
        assert_true(digital_link_starts(span_of(cases[i].text)));
        if (!digital_link_read(span_of(cases[i].text), today(), buffer, &elements, &fault))
            fail_msg("%s: %s", cases[i].text, fault.text);
        assert_string_equal(shown(&elements, text, sizeof text), cases[i].elements);
    }
}

/* The same standard: host, path before the key, other names and the fragment carry nothing; RFC 3986, 2.1 (percent
 * encoding), 3.1 (scheme in either case), 3.5 (fragment). */
static void what_says_nothing_about_the_thing_is_passed_over(void **state)
{
    static const char *const texts[] = {
        "https://example.com/01/09506000134352/10/A%2FB?17=270131",
        "http://example.com/01/09506000134352/10/A%2fB?17=270131",
        "HTTPS://EXAMPLE.COM/01/09506000134352/10/A%2FB?17=270131",
        "https://example.com:8080/01/09506000134352/10/A%2FB?17=270131",
        "https://user@example.com/01/09506000134352/10/A%2FB?17=270131",
        "https://example.com/some/shelf/01/09506000134352/10/A%2FB?17=270131",
        "https://example.com/01/shelf/01/09506000134352/10/A%2FB?17=270131",
        "https://example.com/01/09506000134352/10/A%2FB/?17=270131",
        "https://example.com/01/09506000134352/10/A%2FB?linkType=gs1:pip&17=270131&lang=en",
        "https://example.com/01/09506000134352/10/A%2FB?17=270131&&seen&=x&1=2&20270=3",
        "https://example.com/01/09506000134352/10/A%2FB?17=27013%31",
        "https://example.com/01/09506000134352/10/%41%2FB?17=270131#17=280131",
        "https://example.com/01/09506000134352/10/A%2FB?17=270131&17=270131",
    };
    (void)state;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct element_string elements;
        struct fault fault = {FAULT_NONE, ""};
        char buffer[DIGITAL_LINK_SIZE];
        if (!digital_link_read(span_of(texts[i]), today(), buffer, &elements, &fault))
            fail_msg("%s: %s", texts[i], fault.text);
        assert_true(span_equals(element_string_find(&elements, "01")->value, "09506000134352"));
        assert_true(span_equals(element_string_find(&elements, "10")->value, "A/B"));
        assert_true(span_equals(element_string_find(&elements, "17")->value, "270131"));
        assert_int_equal(elements.count, i + 1 == sizeof texts / sizeof *texts ? 4 : 3);
    }
}

/* GS1 Barcode Syntax Dictionary, "dlpkey": order and alternatives; a GTIN of 13 digits is "too short" by the Syntax
 * Engine too. */
static void refuses_with_one_sentence(void **state)
{
    static const struct {
        const char *text, *reason;
    } cases[] = {
        {"https://h/01/9506000134352", "in the web address: (01) GTIN is too short"},
        {"https://h/01/095060001343520", "(01) GTIN is too long"},
        {"https://h/01/09506000134353", "has check digit 3, not 2"},
        {"https://h/01/09506000134352/21/S/10/L", "'10' may not stand there: (01) GTIN is followed by 22,10,21|235"},
        {"https://h/01/09506000134352/10/L/22/C", "'22' may not stand there"},
        {"https://h/01/09506000134352/10/L/10/L", "'10' may not stand there"},
        {"https://h/01/09506000134352/10/L/235/T", "'235' may not stand there"},
        {"https://h/01/09506000134352/235/T/21/S", "'21' may not stand there"},
        {"https://h/01/09506000134352/17/270131", "'17' may not stand there"},
        {"https://h/01/09506000134352/lot/L", "'lot' may not stand there"},
        {"https://h/01/09506000134352/8004/9506000V0001236", "'8004' may not stand there"},
        {"https://h/01/09506000134352//10/L", "'' may not stand there"},
        {"https://h/00/095060001343520017/10/L", "(00) SSCC ends the path, but '10' follows"},
        {"https://h/01/09506000134352/10", "(10) BATCH/LOT has no value"},
        {"https://h/01/09506000134352/10/", "(10) BATCH/LOT has no value"},
        {"https://h/01/09506000134352/10//21/S", "(10) BATCH/LOT has no value"},
        {"https://h/01/09506000134352?17=", "(17) EXPIRY has no value"},
        {"https://h/01/09506000134352?17", "(17) EXPIRY has no value"},
        {"https://h/01/09506000134352?17=270230", "(17) EXPIRY: date '270230' has day 30"},
        {"https://h/01/09506000134352?18=270131", "'18=' is no GS1 identifier"},
        {"https://h/01/09506000134352?99%31=A", ""},
        {"https://h/01/09506000134352/10/A%2", "percent sign"},
        {"https://h/01/09506000134352/10/A%", "percent sign"},
        {"https://h/01/09506000134352/10/A%G0", "percent sign"},
        {"https://h/01/09506000134352/10/A%0G", "percent sign"},
        {"https://h/01/09506000134352/10/A%20B", "' ' at place 2"},
        {"https://h/01/09506000134352/10/A%00B", "'<NUL>' at place 2"},
        {"https://h/01/09506000134352/10/A?10=B", "(10) BATCH/LOT comes twice with different values"},
        {"https://h/01/09506000134352?17=270131https://h/01/09506000134352", "two codes ran together"},
        {"https://h/", "holds no GS1 key"},
        {"ftp://h/01/09506000134352", "holds no GS1 key"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct element_string elements = {.count = 77};
        struct fault fault = {FAULT_NONE, ""};
        char buffer[DIGITAL_LINK_SIZE];
        const bool taken = digital_link_read(span_of(cases[i].text), today(), buffer, &elements, &fault);
        if (taken != !cases[i].reason[0])
            fail_msg("%s: taken is %d, %s", cases[i].text, taken, fault.text);
        if (taken)
            continue;
        assert_int_equal(fault.code, FAULT_INPUT);
        assert_int_equal(elements.count, 77);
        if (!strstr(fault.text, cases[i].reason))
            fail_msg("%s: %s", cases[i].text, fault.text);
    }
}

static void addresses_without_a_key_are_just_text(void **state)
{
    static const char *const others[] = {
        "",
        "https://",
        "https:///01/09506000134352",
        "https://example.com",
        "https://example.com/",
        "https://example.com/resins/flint",
        "https://example.com/2027/01/15",
        "https://example.com/17/270131",
        "https://example.com/01",
        "https://example.com/01/",
        "https://example.com/page#/01/09506000134352",
        "https://example.com?q=/01/09506000134352",
        "example.com/01/09506000134352",
        "ftp://example.com/01/09506000134352",
        "http:/example.com/01/09506000134352",
        " https://example.com/01/09506000134352",
    };
    (void)state;
    for (size_t i = 0; i < sizeof others / sizeof *others; i++)
        if (digital_link_starts(span_of(others[i])))
            fail_msg("'%s'", others[i]);
    assert_true(digital_link_starts(span_of("https://h/01/0950"))); /* to be refused with a sentence */
}

static void the_longest_address_is_taken_and_a_longer_one_is_not(void **state)
{
    char text[DIGITAL_LINK_SIZE], buffer[DIGITAL_LINK_SIZE];
    struct element_string elements;
    struct fault fault = {FAULT_NONE, ""};
    const struct span start = span_of("https://h/01/09506000134352?x=");
    (void)state;
    memset(text, 'x', sizeof text);
    memcpy(text, start.at, start.length);
    assert_true(digital_link_read((struct span){text, sizeof text - 1}, today(), buffer, &elements, &fault));
    assert_false(digital_link_read((struct span){text, sizeof text}, today(), buffer, &elements, &fault));
    assert_non_null(strstr(fault.text, "at most 2047"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_keys_qualifiers_and_the_query),
        cmocka_unit_test(what_says_nothing_about_the_thing_is_passed_over),
        cmocka_unit_test(refuses_with_one_sentence),
        cmocka_unit_test(addresses_without_a_key_are_just_text),
        cmocka_unit_test(the_longest_address_is_taken_and_a_longer_one_is_not),
    };
    return cmocka_run_group_tests_name("content/digital_link", tests, NULL, NULL);
}
