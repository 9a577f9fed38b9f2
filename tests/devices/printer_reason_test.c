#include "kiosk/devices/printer_reason.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

static void strips_the_severity_before_the_keyword_is_looked_up(void **state)
{
    /* RFC 8011 5.4.12: suffixes -report, -warning, -error; none is an error */
    static const struct {
        const char *text, *keyword;
        enum printer_severity severity;
    } cases[] = {
        {"media-empty", "media-empty", PRINTER_ERROR},
        {"media-empty-error", "media-empty", PRINTER_ERROR},
        {"media-empty-warning", "media-empty", PRINTER_WARNING},
        {"media-low-report", "media-low", PRINTER_REPORT},
        /* CUPS keeps these for ever (2.4.2, measured): no trouble of the moment */
        {"cups-ipp-missing-job-history", "cups-ipp-missing-job-history", PRINTER_REPORT},
        {"cups-ipp-conformance-failure-report", "cups-ipp-conformance-failure", PRINTER_REPORT},
        {"Media-Jam", "media-jam", PRINTER_ERROR},
        {"-error", "-error", PRINTER_ERROR},
        /* registered keywords that end like a suffix */
        {"document-format-error", "document-format-error", PRINTER_ERROR},
        {"media-path-input-feed-error", "media-path-input-feed-error", PRINTER_ERROR},
        {"media-path-input-feed-error-warning", "media-path-input-feed-error", PRINTER_WARNING},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct printer_reason reason = {.keyword = ""};
        assert_true(printer_reason_read(cases[i].text, &reason));
        assert_string_equal(reason.keyword, cases[i].keyword);
        assert_int_equal(reason.severity, cases[i].severity);
    }
}

static void none_is_no_reason(void **state)
{
    struct printer_reason reason = {.keyword = "before"};
    (void)state;
    assert_false(printer_reason_read("none", &reason));
    assert_false(printer_reason_read("none-report", &reason));
    assert_false(printer_reason_read("", &reason));
    assert_string_equal(reason.keyword, "before");
}

static void a_hostile_keyword_is_cut_and_cleaned(void **state)
{
    struct printer_reason reason;
    char text[1000];
    (void)state;
    memset(text, 'x', sizeof text - 1);
    text[sizeof text - 1] = '\0';
    memcpy(text, "\x1b[2J<b>\n\xE2\x80\xAE%s", 13);
    assert_true(printer_reason_read(text, &reason));
    assert_int_equal(strlen(reason.keyword), PRINTER_REASON_SIZE - 1);
    assert_memory_equal(reason.keyword, "??2j?b??????sxx", 15);
}

static void says_what_is_wrong_and_what_to_do(void **state)
{
    char words[160];
    (void)state;
    assert_string_equal(printer_reason_say("cover-open", words, sizeof words),
                        "the printer's cover is open: close it until it clicks");
    assert_string_equal(printer_reason_say("frobnicator-low", words, sizeof words),
                        "the printer says 'frobnicator-low': look at its display");
    char small[12];
    assert_string_equal(printer_reason_say("cover-open", small, sizeof small), "the printer");
}

static void each_reason_that_the_demo_printer_can_show_has_words(void **state)
{
    /* the states that ippeveprinter 2.4.2 passes on */
    static const char *const keywords[] = {"media-empty",         "media-needed", "media-jam", "cover-open",
                                           "marker-supply-empty", "paused",       "other"};
    (void)state;
    for (size_t i = 0; i < sizeof keywords / sizeof *keywords; i++) {
        const struct printer_reason_words *const words = printer_reason_find(keywords[i]);
        assert_non_null(words);
        assert_true(strlen(words->trouble) > 0 && strlen(words->act) > 0);
    }
    assert_null(printer_reason_find("none"));
}

/* The registered keywords of a kind, as CUPS lists them for translation (package cups-common, from IANA's IPP
 * registrations). True: `keyword` is one of them. */
static bool is_registered(FILE *list, const char *kind, const char *keyword)
{
    char line[512], wanted[160];
    (void)snprintf(wanted, sizeof wanted, "msgid \"%s.%s\"\n", kind, keyword);
    rewind(list);
    while (fgets(line, sizeof line, list)) {
        if (strcmp(line, wanted) == 0)
            return true;
    }
    return false;
}

static void each_keyword_of_the_table_is_registered(void **state)
{
    FILE *const list = fopen("/usr/share/cups/locale/en/cups_en.po", "re");
    size_t count = 0;
    (void)state;
    if (!list)
        skip();
    assert_true(is_registered(list, "printer-state-reasons", "marker-supply-empty"));
    assert_false(is_registered(list, "printer-state-reasons", "media-eaten-by-dog"));
    for (const struct printer_reason_words *row; (row = printer_reason_row(count)); count++) {
        /* "cups-" ones are a queue's own; "offline" is said with a suffix and not in the list: from memory */
        if (strncmp(row->keyword, "cups-", 5) == 0 || strcmp(row->keyword, "offline") == 0)
            continue;
        if (!is_registered(list, "printer-state-reasons", row->keyword) &&
            !is_registered(list, "job-state-reasons", row->keyword))
            fail_msg("'%s' is not registered", row->keyword);
        struct printer_reason reason;
        assert_true(
            printer_reason_read(row->keyword, &reason)); /* said like that, it is found, and stands there once */
        assert_ptr_equal(printer_reason_find(reason.keyword), row);
    }
    (void)fclose(list);
    assert_true(count > 100);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(strips_the_severity_before_the_keyword_is_looked_up),
        cmocka_unit_test(none_is_no_reason),
        cmocka_unit_test(a_hostile_keyword_is_cut_and_cleaned),
        cmocka_unit_test(says_what_is_wrong_and_what_to_do),
        cmocka_unit_test(each_reason_that_the_demo_printer_can_show_has_words),
        cmocka_unit_test(each_keyword_of_the_table_is_registered),
    };
    return cmocka_run_group_tests_name("devices/printer_reason", tests, NULL, NULL);
}
