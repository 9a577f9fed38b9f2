#include "kiosk/web/act_json.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static void reads_an_act_with_every_key(void **state)
{
    static const char body[] = "{\"id\":\"abcdefgh-1\",\"kind\":\"put-away\",\"version\":1,\"counter\":\"desk_1\","
                               "\"person\":\"H000001X\",\"happened_at\":\"2026-02-14T09:30:00Z\","
                               "\"content\":{\"unit\":\"C000001X\",\"gs\":\"a\\u001db\"}}";
    struct act act;
    struct act_approval approval;
    struct fault fault = {0};
    (void)state;
    if (!act_json_read(span_of(body), &act, &approval, &fault))
        fail_msg("%s", fault.text);
    assert_string_equal(act.id, "abcdefgh-1");
    assert_string_equal(act.kind, "put-away");
    assert_string_equal(act.counter, "desk_1");
    assert_string_equal(act.person, "H000001X");
    assert_int_equal(act.happened_at.ms, 1771061400000); /* GNU date 9.1: 2026-02-14T09:30:00Z */
    assert_string_equal(json_string_value(json_object_get(act.content, "gs")), "a\x1d"
                                                                               "b");
    json_decref(act.content);
}

static void reads_an_act_with_the_needed_keys_only(void **state)
{
    struct act act;
    struct act_approval approval;
    (void)state;
    assert_true(
        act_json_read(span_of("{\"id\":\"12345678\",\"kind\":\"undo\",\"content\":{}}"), &act, &approval, NULL));
    assert_string_equal(approval.person, "");
    assert_string_equal(approval.code, "");
    assert_int_equal(act.version, 1);
    assert_int_equal(act.happened_at.ms, 0);
    assert_string_equal(act.counter, "");
    json_decref(act.content);
}

static void refuses_with_the_key_in_the_sentence_and_leaves_the_act_alone(void **state)
{
    static const struct {
        const char *body, *word;
    } cases[] = {
        {"", "no body"},
        {"{", "not JSON"},
        {"[]", "not an object"},
        {"\"text\"", "not JSON"}, /* jansson: the root is an array or an object unless told otherwise */
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{}} x", "not JSON"},
        {"{\"id\":\"12345678\",\"id\":\"12345678\",\"kind\":\"x\",\"content\":{}}", "not JSON"},
        {"{\"kind\":\"x\",\"content\":{}}", "'id' is missing"},
        {"{\"id\":\"1234567\",\"kind\":\"x\",\"content\":{}}", "'id' has 7"},
        {"{\"id\":\"1234567890123456789012345678901234567890X\",\"kind\":\"x\",\"content\":{}}", "'id' has 41"},
        {"{\"id\":\"1234567 8\",\"kind\":\"x\",\"content\":{}}", "place 8"},
        {"{\"id\":\"1234567\\u00008\",\"kind\":\"x\",\"content\":{}}", "not JSON"}, /* jansson refuses NUL */
        {"{\"id\":12345678,\"kind\":\"x\",\"content\":{}}", "'id' must be a text"},
        {"{\"id\":\"12345678\",\"content\":{}}", "'kind' is missing"},
        {"{\"id\":\"12345678\",\"kind\":\"Undo\",\"content\":{}}", "'kind' has a character"},
        {"{\"id\":\"12345678\",\"kind\":\"x\"}", "'content' must be an object"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":[]}", "'content' must be an object"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"version\":0}", "'version'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"version\":\"1\"}", "'version'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"version\":4294967297}", "'version'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"counter\":\"no/such\"}", "'counter'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"counter\":\"12345678901234567\"}", "'counter'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"happened_at\":\"yesterday\"}", "'happened_at'"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"counters\":\"a\"}", "'counters' is not known"},
        {"{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{\"a\":1e999}}", "not JSON"},
#define APPROVED(with) "{\"id\":\"12345678\",\"kind\":\"x\",\"content\":{},\"approval\":" with "}"
        {APPROVED("\"123456\""), "'approval' must be"},
        {APPROVED("{}"), "'approval' must be"},
        {APPROVED("{\"pin\":\"123456\"}"), "'person' is missing"},
        {APPROVED("{\"person\":\"H000001X\",\"pin\":\"12345\"}"), "'pin' has 5 characters"},
        {APPROVED("{\"person\":\"H000001X\",\"pin\":\"1234567\"}"), "'pin' has 7 characters"},
        {APPROVED("{\"person\":\"H000001X\",\"pin\":\"12345x\"}"), "'pin' has a character"},
        {APPROVED("{\"person\":\"H000001X\",\"pin\":123456}"), "'pin' must be a text"},
        {APPROVED("{\"pin\":\"123456\",\"code\":\"ABCD-EFGH\"}"), "'approval' must be"},
        {APPROVED("{\"code\":\"ABCD-EFGHJ\"}"), "'code' has 10 characters"},
        {APPROVED("{\"person\":\"H000001X\",\"pin\":\"123456\",\"for\":\"ever\"}"), "'for' is not known"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct act act = {.version = 77};
        struct act_approval approval = {.pin = "kept"};
        struct fault fault = {0};
        if (act_json_read(span_of(cases[i].body), &act, &approval, &fault) || fault.code != FAULT_INPUT ||
            act.version != 77 || strcmp(approval.pin, "kept") != 0 || !strstr(fault.text, cases[i].word))
            fail_msg("%s: %s", cases[i].body, fault.text);
    }
}

static void an_approval_stands_beside_the_content(void **state)
{
    struct act act;
    struct act_approval approval;
    (void)state;
    assert_true(
        act_json_read(span_of(APPROVED("{\"person\":\"H000001X\",\"pin\":\"012345\"}")), &act, &approval, NULL));
    assert_string_equal(approval.person, "H000001X");
    assert_string_equal(approval.pin, "012345");
    assert_int_equal(json_object_size(act.content), 0);
    assert_string_equal(act.approver, ""); /* nobody has checked it yet */
    json_decref(act.content);
    assert_true(act_json_read(span_of(APPROVED("{\"code\":\"ABCD-EFGH\"}")), &act, &approval, NULL));
    assert_string_equal(approval.code, "ABCD-EFGH");
    assert_string_equal(approval.person, "");
    json_decref(act.content);
}

static void a_scan_becomes_the_act_scan_with_an_id_of_its_own(void **state)
{
    struct act first, second;
    (void)state;
    assert_true(act_json_read_scan(span_of("{\"counter\":\"desk\",\"text\":\"A\\u001dB\"}"), &first, NULL));
    assert_true(act_json_read_scan(span_of("{\"counter\":\"desk\",\"bytes\":\"41001d\",\"symbology\":\"]d2\","
                                           "\"source\":\"typed\",\"id\":\"mine-0001\"}"),
                                   &second, NULL));
    assert_string_equal(first.kind, "scan");
    assert_true(strlen(first.id) >= 8);
    assert_string_equal(json_string_value(json_object_get(first.content, "text")), "A\x1d"
                                                                                   "B");
    assert_string_equal(json_string_value(json_object_get(first.content, "source")), "scanner");
    assert_null(json_object_get(first.content, "symbology"));
    assert_string_equal(second.id, "mine-0001");
    assert_string_equal(json_string_value(json_object_get(second.content, "bytes")), "41001d");
    assert_string_equal(json_string_value(json_object_get(second.content, "symbology")), "]d2");
    assert_string_equal(json_string_value(json_object_get(second.content, "source")), "typed");
    json_decref(first.content);
    json_decref(second.content);
}

static void refuses_scans_that_are_none(void **state)
{
    static const struct {
        const char *body, *word;
    } cases[] = {
        {"{\"text\":\"A\"}", "'counter' is missing"},
        {"{\"counter\":\"\",\"text\":\"A\"}", "'counter'"},
        {"{\"counter\":\"desk\"}", "exactly one"},
        {"{\"counter\":\"desk\",\"text\":\"A\",\"bytes\":\"41\"}", "exactly one"},
        {"{\"counter\":\"desk\",\"text\":\"\"}", "'text' has 0"},
        {"{\"counter\":\"desk\",\"text\":5}", "'text' must be a text"},
        {"{\"counter\":\"desk\",\"bytes\":\"4\"}", "hexadecimal"},
        {"{\"counter\":\"desk\",\"bytes\":\"4G\"}", "hexadecimal"},
        {"{\"counter\":\"desk\",\"text\":\"A\",\"symbology\":\"]d\"}", "'symbology'"},
        {"{\"counter\":\"desk\",\"text\":\"A\",\"source\":\"picture\"}", "/api/pictures"},
        {"{\"counter\":\"desk\",\"text\":\"A\",\"kind\":\"undo\"}", "'kind' is not known"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct act act = {.version = 77};
        struct fault fault = {0};
        if (act_json_read_scan(span_of(cases[i].body), &act, &fault) || !strstr(fault.text, cases[i].word))
            fail_msg("%s: %s", cases[i].body, fault.text);
        assert_int_equal(act.version, 77);
    }
}

static void the_longest_scan_passes_and_one_byte_more_does_not(void **state)
{
    static char body[64 + 4097];
    struct act act;
    struct fault fault = {0};
    (void)state;
    snprintf(body, sizeof body, "%s", "{\"counter\":\"d\",\"text\":\"");
    const size_t head = strlen(body);
    memset(body + head, 'A', 4096);
    memcpy(body + head + 4096, "\"}", 3);
    assert_true(act_json_read_scan(span_of(body), &act, &fault));
    json_decref(act.content);
    memset(body + head, 'A', 4097);
    memcpy(body + head + 4097, "\"}", 3);
    assert_false(act_json_read_scan(span_of(body), &act, &fault));
    assert_non_null(strstr(fault.text, "4097 characters"));
}

static void a_deeply_nested_body_is_refused_and_nothing_overflows(void **state)
{
    enum { DEPTH = 100000 };
    char *body = malloc(DEPTH + 1);
    struct act act;
    struct act_approval approval;
    struct fault fault = {0};
    (void)state;
    assert_non_null(body);
    memset(body, '[', DEPTH);
    body[DEPTH] = '\0';
    assert_false(act_json_read(span_of(body), &act, &approval, &fault));
    assert_int_equal(fault.code, FAULT_INPUT);
    free(body);
}

static void a_symbol_in_a_picture_is_a_scan_from_a_picture(void **state)
{
    struct act act;
    struct fault fault = {0};
    (void)state;
    assert_true(act_json_make_picture_scan("desk", &(struct picture_code){{"A\0B", 3}, "]d1"}, 1, &act, &fault));
    assert_string_equal(act.counter, "desk");
    assert_string_equal(json_string_value(json_object_get(act.content, "bytes")), "410042");
    assert_string_equal(json_string_value(json_object_get(act.content, "source")), "picture");
    json_decref(act.content);
    assert_false(act_json_make_picture_scan("no such", &(struct picture_code){{"A", 1}, "]d1"}, 1, &act, &fault));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reads_an_act_with_every_key),
        cmocka_unit_test(reads_an_act_with_the_needed_keys_only),
        cmocka_unit_test(refuses_with_the_key_in_the_sentence_and_leaves_the_act_alone),
        cmocka_unit_test(an_approval_stands_beside_the_content),
        cmocka_unit_test(a_scan_becomes_the_act_scan_with_an_id_of_its_own),
        cmocka_unit_test(refuses_scans_that_are_none),
        cmocka_unit_test(the_longest_scan_passes_and_one_byte_more_does_not),
        cmocka_unit_test(a_deeply_nested_body_is_refused_and_nothing_overflows),
        cmocka_unit_test(a_symbol_in_a_picture_is_a_scan_from_a_picture),
    };
    return cmocka_run_group_tests_name("web/act_json", tests, NULL, NULL);
}
