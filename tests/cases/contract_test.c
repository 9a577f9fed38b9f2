#include <dirent.h>
#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <jansson.h>

#include "kiosk/cases/case.h"

/* fixtures/compute/RULE.json: a list of cases, each with
 *     "source"  where the wanted values come from
 *     "in"      the case; or "text", which is no JSON object
 *     "out"     keys of the answer: numbers within "tolerance" (1e-7, relative, of values below 1 absolute)
 *     "fault"   instead of it: "code", "key"
 * Keys of the answer that "out" does not name are not looked at, but for method and sentence; "unknown" is a list of
 * keys in it. */

enum { ROOM = 128 * 1024 * 1024, PATH_SIZE = 1024 };
static void *memory;

static json_t *load(const struct rule_case *rule)
{
    char path[PATH_SIZE];
    json_error_t error;
    (void)snprintf(path, sizeof path, "%s/compute/%s.json", FIXTURES, rule->name);
    json_t *list = json_load_file(path, JSON_REJECT_DUPLICATES, &error);
    if (!json_is_array(list))
        fail_msg("%s: line %d: %s", path, error.line, error.text);
    assert_true(json_array_size(list) > 0);
    return list;
}

static bool ask(const struct rule_case *rule, const char *text, json_t **answer, struct rule_fault *fault)
{
    struct arena arena;
    arena_init(&arena, memory, ROOM);
    *answer = NULL;
    return case_compute(rule, text, strlen(text), &arena, answer, fault);
}

static bool ask_json(const struct rule_case *rule, const json_t *in, json_t **answer, struct rule_fault *fault)
{
    char *text = json_dumps(in, JSON_REAL_PRECISION(17));
    assert_non_null(text);
    const bool good = ask(rule, text, answer, fault);
    free(text);
    return good;
}

static bool is_same(const json_t *is, const json_t *wanted, double tolerance)
{
    const char *key = NULL;
    json_t *value = NULL;
    size_t i = 0;
    if (json_is_number(wanted)) {
        const double a = json_number_value(is), b = json_number_value(wanted);
        return json_is_number(is) && fabs(a - b) <= tolerance * fmax(1, fabs(b));
    }
    if (json_is_array(wanted)) {
        if (!json_is_array(is) || json_array_size(is) != json_array_size(wanted))
            return false;
        json_array_foreach((json_t *)wanted, i,
                           value) if (!is_same(json_array_get(is, i), value, tolerance)) return false;
        return true;
    }
    if (json_is_object(wanted)) {
        json_object_foreach((json_t *)wanted, key, value)
        {
            if (!is_same(json_object_get(is, key), value, tolerance))
                return false;
        }
        return json_is_object(is);
    }
    return json_equal(is, wanted);
}

static void check_unknown(const json_t *answer, const json_t *wanted, const char *rule, size_t index)
{
    json_t *unknown = json_object_get(answer, "unknown"), *key = NULL;
    size_t i = 0;
    if (json_object_size(unknown) != json_array_size(wanted))
        fail_msg("%s %zu: %zu keys are unknown", rule, index, json_object_size(unknown));
    json_array_foreach((json_t *)wanted, i, key)
    {
        if (!json_is_string(json_object_get(unknown, json_string_value(key))))
            fail_msg("%s %zu: %s is not unknown", rule, index, json_string_value(key));
    }
}

static void check_answer(const char *rule, size_t index, const json_t *one, const json_t *answer)
{
    const json_t *tolerance = json_object_get(one, "tolerance"), *out = json_object_get(one, "out");
    const char *key = NULL;
    json_t *value = NULL;
    assert_true(json_string_length(json_object_get(answer, "method")) > 0);
    assert_true(json_string_length(json_object_get(answer, "sentence")) > 0);
    if (!json_object_get(out, "unknown"))
        check_unknown(answer, NULL, rule, index); /* jansson: NULL is an empty list */
    json_object_foreach((json_t *)out, key, value)
    {
        if (strcmp(key, "unknown") == 0)
            check_unknown(answer, value, rule, index);
        else if (!is_same(json_object_get(answer, key), value, tolerance ? json_number_value(tolerance) : 1e-7)) {
            char *is = json_dumps(json_object_get(answer, key), JSON_ENCODE_ANY | JSON_REAL_PRECISION(12));
            char *wanted = json_dumps(value, JSON_ENCODE_ANY | JSON_REAL_PRECISION(12));
            fail_msg("%s %zu (%s): %s is %s, wanted %s", rule, index, json_string_value(json_object_get(one, "source")),
                     key, is ? is : "not there", wanted);
        }
    }
}

static void check_one(const struct rule_case *rule, size_t index, const json_t *one)
{
    json_t *answer = NULL;
    struct rule_fault fault;
    const char *text = json_string_value(json_object_get(one, "text"));
    const json_t *wanted = json_object_get(one, "fault");
    assert_true(json_string_length(json_object_get(one, "source")) > 0);
    const bool good =
        text ? ask(rule, text, &answer, &fault) : ask_json(rule, json_object_get(one, "in"), &answer, &fault);
    if (good && wanted)
        fail_msg("%s %zu: an answer, not a fault", rule->name, index);
    if (!good && !wanted)
        fail_msg("%s %zu: fault %s at '%s': %s", rule->name, index, rule_fault_word(fault.code), fault.key, fault.text);
    if (good)
        check_answer(rule->name, index, one, answer);
    else if (strcmp(rule_fault_word(fault.code), json_string_value(json_object_get(wanted, "code"))) != 0 ||
             (json_object_get(wanted, "key") &&
              strcmp(fault.key, json_string_value(json_object_get(wanted, "key"))) != 0))
        fail_msg("%s %zu: fault %s at '%s': %s", rule->name, index, rule_fault_word(fault.code), fault.key, fault.text);
    json_decref(answer);
}

static void answers_as_the_fixture_says(void **state)
{
    const struct rule_case *rule = *state;
    json_t *list = load(rule), *one = NULL;
    size_t i = 0;
    json_array_foreach(list, i, one) check_one(rule, i, one);
    json_decref(list);
}

/* Whatever is put in a key's place: an answer or a fault, and it is not the machine that ends. */
static void no_value_of_a_key_ends_the_program(void **state)
{
    static const char *const values[] = {"null",  "true",    "\"\"", "\"2026-02-30\"", "-1",     "0", "1",
                                         "1e308", "-1e-308", "[]",   "[[]]",           "[null]", "{}"};
    const struct rule_case *rule = *state;
    json_t *list = load(rule), *one = NULL, *value = NULL;
    const char *key = NULL;
    size_t i = 0;
    json_array_foreach(list, i, one)
    {
        json_t *in = json_object_get(one, "in");
        if (!json_object_get(one, "out"))
            continue;
        json_object_foreach(in, key, value)
        {
            for (size_t k = 0; k <= sizeof values / sizeof *values; k++) {
                json_t *changed = json_copy(in), *answer = NULL;
                struct rule_fault fault;
                if (k < sizeof values / sizeof *values)
                    json_object_set_new(changed, key, json_loads(values[k], JSON_DECODE_ANY, NULL));
                else
                    json_object_del(changed, key);
                if (!ask_json(rule, changed, &answer, &fault))
                    assert_true(fault.code != RULE_GOOD && fault.text[0] != '\0');
                json_decref(answer);
                json_decref(changed);
            }
        }
    }
    json_decref(list);
}

static void a_misspelled_key_is_named_with_those_there_are(void **state)
{
    const struct rule_case *rule = *state;
    json_t *list = load(rule), *one = NULL;
    size_t i = 0;
    json_array_foreach(list, i, one)
    {
        json_t *in = json_object_get(one, "in"), *answer = NULL;
        struct rule_fault fault;
        if (!json_object_get(one, "out"))
            continue;
        json_object_set_new(in, "misspelt", json_true());
        assert_false(ask_json(rule, in, &answer, &fault));
        assert_int_equal(fault.code, RULE_UNKNOWN_KEY);
        assert_string_equal(fault.key, "misspelt");
        assert_non_null(strstr(fault.text, "the keys are"));
    }
    json_decref(list);
}

static void its_contract_is_written(void **state)
{
    const struct rule_case *rule = *state;
    char path[PATH_SIZE];
    (void)snprintf(path, sizeof path, "%s/docs/compute/%s.md", SOURCE_ROOT, rule->name);
    if (access(path, R_OK) != 0)
        fail_msg("%s is missing", path);
}

static void nothing_else_stands_there(void **state)
{
    static const char *const folders[] = {FIXTURES "/compute", SOURCE_ROOT "/docs/compute"};
    (void)state;
    for (int i = 0; i < 2; i++) {
        DIR *folder = opendir(folders[i]);
        const struct dirent *entry = NULL;
        assert_non_null(folder);
        while ((entry = readdir(folder))) {
            char name[PATH_SIZE];
            (void)snprintf(name, sizeof name, "%.*s", (int)strcspn(entry->d_name, "."), entry->d_name);
            if (entry->d_name[0] != '.' && strcmp(name, "README") != 0 && !case_find(name))
                fail_msg("%s/%s is of no rule", folders[i], entry->d_name);
        }
        (void)closedir(folder);
    }
}

int main(void)
{
    enum { EACH = 4, MOST = 64 };
    static const struct CMUnitTest each[EACH] = {
        cmocka_unit_test(answers_as_the_fixture_says), cmocka_unit_test(no_value_of_a_key_ends_the_program),
        cmocka_unit_test(a_misspelled_key_is_named_with_those_there_are), cmocka_unit_test(its_contract_is_written)};
    static struct CMUnitTest tests[EACH * MOST + 1] = {cmocka_unit_test(nothing_else_stands_there)};
    static char names[EACH * MOST][100];
    size_t count = 1;
    memory = malloc(ROOM);
    for (size_t i = 0; cases[i] && i < MOST && memory; i++)
        for (int k = 0; k < EACH; k++, count++) {
            tests[count] = each[k];
            (void)snprintf(names[count - 1], sizeof *names, "%s: %s", cases[i]->name, each[k].name);
            tests[count].name = names[count - 1];
            tests[count].initial_state = (void *)cases[i];
        }
    const int failed = _cmocka_run_group_tests("cases/contract", tests, count, NULL, NULL);
    free(memory);
    return memory ? failed : 1;
}
