#include "kiosk/rules/permission.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

/* Who may do what, every deed by every role, written out once more as the shop would say it: T technician, R receiver,
 * C counter, S storekeeper, A auditor, - nobody in particular. Common practice of stores, no source. */
static const struct {
    const char *deed, *who;
} expected[] = {
    {"scan", "TRCSA-"},
    {"press", "TRCSA-"},
    {"enrol", "TRCSA-"},
    {"pin-tried", "TRCSA-"},
    {"check-out", "TS-"},
    {"taken", "TRCS-"},
    {"check-in", "TRCS-"},
    {"put-away", "TRCS-"},
    {"hold", "TRCS-"},
    {"pour", "TS-"},
    {"clean", "TS-"},
    {"amount", "TRCS-"},
    {"weigh", "TRCS-"},
    {"retire", "TS-"},
    {"dispose", "TS-"},
    {"job-plan", "TS-"},
    {"job-drop", "TS-"},
    {"job-ticket", "TS-"},
    {"job-start", "TS-"},
    {"job-end", "TS-"},
    {"inspect", "TS-"},
    {"stir", "TS-"},
    {"pair", "TRS-"},
    {"surface-renewed", "TS-"},
    {"life-shown", "TS-"},
    {"undo", "TRCS-"},
    {"device-entry", "S"},
    {"device-revoke", "S"},
    {"prove", "TRCS-"},
    {"label-look", "TRCS-"},
    {"print-mark", "TRCS-"},
    {"delivery-open", "RS-"},
    {"delivery-resume", "RS-"},
    {"delivery-close", "RS-"},
    {"receive", "RS-"},
    {"reprint", "RS-"},
    {"print-move", "RS-"},
    {"print-withdraw", "RS-"},
    {"print-go", "RS-"},
    {"print-calibration", "RS-"},
    {"take-on", "RCS-"},
    {"release", "S"},
    {"settle", "S"},
    {"clock-confirm", "S"},
    {"item-entry", "S"},
    {"place-entry", "S"},
    {"printer-entry", "S"},
    {"person-entry", "S"},
    {"sticker-entry", "S"},
    {"sticker-forget", "S"},
    {"substitution-entry", "S"},
    {"substitution-end", "S"},
    {"name-erase", "S"},
    {"pin-issue", "S"},
    {"calibrate", "S"},
    {"label-baseline", "S"},
    {"lend", "TS-"},
    {"relabel", "TRCS-"},
    {"reserve", "TS-"},
    {"unreserve", "TS-"},
};

static const struct {
    char letter;
    const char *word;
} roles[] = {{'T', "technician"},  {'R', "receiver"}, {'C', "counter"},
             {'S', "storekeeper"}, {'A', "auditor"},  {'-', ""}};

static bool may(const struct permission *permission, const char *role, const char *training, struct verdict_list *list)
{
    *list = (struct verdict_list){.verdict = VERDICT_GO};
    permission_judge(permission, role, training, list);
    return list->count == 0;
}

static void every_role_may_do_what_the_shop_says_and_nothing_else(void **state)
{
    size_t count;
    struct verdict_list list;
    (void)state;
    (void)permission_table(&count);
    assert_int_equal(count, sizeof expected / sizeof *expected);
    for (size_t i = 0; i < count; i++) {
        const struct permission *permission = permission_find(expected[i].deed);
        assert_non_null(permission);
        for (size_t r = 0; r < sizeof roles / sizeof *roles; r++) {
            const bool should = strchr(expected[i].who, roles[r].letter) != NULL;
            if (may(permission, roles[r].word, "pour retire", &list) != should)
                fail_msg("%s by %s: %s", expected[i].deed, roles[r].word, should ? list.reasons[0].sentence : "may");
            if (!should) {
                assert_int_equal(list.verdict, VERDICT_STOP);
                assert_int_equal(list.reasons[0].code, REASON_NOT_ALLOWED);
                assert_non_null(list.reasons[0].next);
            }
        }
    }
}

static void a_role_that_is_none_may_do_nothing(void **state)
{
    static const char *const words[] = {"left", "boss", "Storekeeper"};
    size_t count;
    struct verdict_list list;
    (void)state;
    const struct permission *table = permission_table(&count);
    for (size_t i = 0; i < count; i++)
        for (size_t w = 0; w < sizeof words / sizeof *words; w++)
            assert_false(may(&table[i], words[w], "pour retire", &list));
    assert_null(permission_find("no-such-act"));
}

static void the_sentence_says_who_may(void **state)
{
    static const struct {
        const char *deed, *role, *sentence;
    } cases[] = {
        {"release", "technician", "A storekeeper releases what is on hold: scan a storekeeper's badge first."},
        {"check-out", "receiver",
         "A technician or storekeeper takes things to a printer: scan the badge of one of them first."},
        {"take-on", "technician",
         "A receiver, counter or storekeeper takes on what stands here: scan the badge of one of them first."},
        {"receive", "auditor", "An auditor reads all and books nothing: a receiver or storekeeper receives."},
    };
    struct verdict_list list;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        assert_false(may(permission_find(cases[i].deed), cases[i].role, "", &list));
        assert_string_equal(list.reasons[0].sentence, cases[i].sentence);
    }
}

static void a_deed_that_needs_a_training_asks_for_its_word(void **state)
{
    const struct permission *pouring = permission_find("pour");
    struct verdict_list list;
    (void)state;
    assert_false(may(pouring, "technician", "", &list));
    assert_int_equal(list.reasons[0].code, REASON_NOT_TRAINED);
    assert_int_equal(list.verdict, VERDICT_STOP);
    assert_string_equal(list.reasons[0].next, "ask somebody trained, or a storekeeper to enter the training");
    assert_false(may(pouring, "technician", "retire", &list));
    assert_false(may(pouring, "storekeeper", "", &list)); /* the role is not the training */
    assert_true(may(pouring, "technician", "pour", &list));
    assert_true(may(pouring, "technician", "pour retire", &list));
    assert_false(may(pouring, "receiver", "pour", &list)); /* nor the training the role */
    assert_int_equal(list.reasons[0].code, REASON_NOT_ALLOWED);
    assert_true(may(pouring, "", "", &list)); /* a script */
}

static void a_training_is_a_whole_word_of_the_list(void **state)
{
    (void)state;
    assert_true(permission_is_trained("pour retire", "retire"));
    assert_false(permission_is_trained("pouring", "pour"));
    assert_false(permission_is_trained("re pour-on", "pour"));
    assert_false(permission_is_trained("", "pour"));
    assert_false(permission_is_trained("pour", ""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_role_may_do_what_the_shop_says_and_nothing_else),
        cmocka_unit_test(a_role_that_is_none_may_do_nothing),
        cmocka_unit_test(the_sentence_says_who_may),
        cmocka_unit_test(a_deed_that_needs_a_training_asks_for_its_word),
        cmocka_unit_test(a_training_is_a_whole_word_of_the_list),
    };
    return cmocka_run_group_tests_name("rules/permission", tests, NULL, NULL);
}
