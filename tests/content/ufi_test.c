#include "labels/content/ufi.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void identifiers_that_others_made_are_right(void **state)
{
    /* ECHA's guidance on Annex VIII, from memory; the second from its UFI Developers Manual, from memory; the third
     * from an encyclopedia's article on the identifier */
    static const char *const made[] = {"N1QV-R02N-J00M-WQD5", "E600-30P1-S00Y-5079", "R3NN-3KVT-2XSG-W43J"};
    (void)state;
    for (size_t i = 0; i < sizeof made / sizeof *made; i++) {
        struct fault fault = {0};
        if (!ufi_check("ufi", made[i], &fault))
            fail_msg("%s", fault.text);
    }
}

/* A prime modulus and weights 1 to 16: no single slip and no swap of neighbours goes through. */
static void any_one_wrong_character_and_any_two_swapped_are_found(void **state)
{
    static const char right[] = "N1QV-R02N-J00M-WQD5", alphabet[] = "0123456789ACDEFGHJKMNPQRSTUVWXY";
    (void)state;
    for (size_t i = 0; i < UFI_SIZE - 1; i++) {
        char wrong[UFI_SIZE];
        if (right[i] == '-')
            continue;
        for (size_t c = 0; alphabet[c]; c++) {
            memcpy(wrong, right, sizeof wrong);
            wrong[i] = alphabet[c];
            assert_int_equal(ufi_check("ufi", wrong, NULL), alphabet[c] == right[i]);
        }
        memcpy(wrong, right, sizeof wrong);
        wrong[i] = right[i + 1];
        wrong[i + 1] = right[i];
        if (right[i + 1] && right[i + 1] != '-' && right[i] != right[i + 1])
            assert_false(ufi_check("ufi", wrong, NULL));
    }
}

static void another_form_is_refused_with_what_is_wrong(void **state)
{
    static const struct {
        const char *ufi, *sentence;
    } cases[] = {
        {"", "has 0 characters"},
        {"N1QVR02NJ00MWQD5", "has 16 characters, and a UFI has 19"},
        {"N1QV-R02N-J00M-WQD55", "has 20 characters"},
        {"N1QV R02N-J00M-WQD5", "at place 5 no hyphen"},
        {"N1QV-R02N-J00M-WQB5", "at place 18 no character of a UFI"},
        {"n1qv-r02n-j00m-wqd5", "at place 1 no character"},
        {"N1QV-R02N-J00M-WQD6", "does not agree"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {0};
        assert_false(ufi_check("sds_ufi", cases[i].ufi, &fault));
        assert_int_equal(fault.code, FAULT_INPUT);
        if (!strstr(fault.text, cases[i].sentence) || !strstr(fault.text, "sds_ufi"))
            fail_msg("'%s': %s", cases[i].ufi, fault.text);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(identifiers_that_others_made_are_right),
        cmocka_unit_test(any_one_wrong_character_and_any_two_swapped_are_found),
        cmocka_unit_test(another_form_is_refused_with_what_is_wrong),
    };
    return cmocka_run_group_tests_name("content/ufi", tests, NULL, NULL);
}
