#include "kiosk/rules/pour.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "labels/basics/text.h"

/* The rules of pouring are common practice of the trade, no source. */

enum { TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

struct bench { /* a full cartridge, a vat with some of the same */
    struct check_out_thing from, to;
    struct pour_case asked;
    struct verdict_list list;
};

static struct check_out_thing thing(const char *serial, char letter)
{
    return (struct check_out_thing){.serial = serial,
                                    .letter = letter,
                                    .name = "thing",
                                    .holder_name = "",
                                    .where = "",
                                    .hold = "",
                                    .film = "",
                                    .resin = "Flint",
                                    .revision = "2",
                                    .fits = "",
                                    .has_expires = true,
                                    .expires = {TODAY + 100}};
}

static void set_up(struct bench *bench, char from, char to)
{
    *bench = (struct bench){.from = thing("from", from), .to = thing("to", to)};
    bench->asked = (struct pour_case){.from = &bench->from,
                                      .to = &bench->to,
                                      .from_ul = 1000000,
                                      .to_ul = 200000,
                                      .room_ul = 1000000,
                                      .amount_ul = 300000,
                                      .today = {TODAY},
                                      .clock_trusted = true};
}

static void judged(struct bench *bench, enum verdict verdict, const char *codes)
{
    char found[200] = "";
    pour_judge(&bench->asked, &bench->list);
    struct builder out;
    builder_init(&out, found, sizeof found);
    for (size_t i = 0; i < bench->list.count; i++)
        builder_addf(&out, "%s%s", i > 0 ? " " : "", reason_code_word(bench->list.reasons[i].code));
    assert_string_equal(found, codes);
    assert_int_equal(bench->list.verdict, verdict);
}

static void resin_goes_these_ways_and_no_other(void **state)
{
    (void)state;
    static const struct {
        const char *from, *to, *clean, *word;
    } ways[] = {{"CR", "VT", "y", "fill"}, {"CR", "VT", "", "top-up"},    {"CR", "R", "y", "decant"},
                {"CR", "R", "", "decant"}, {"VT", "VT", "y", "transfer"}, {"VT", "R", "", "recover"}};
    for (size_t i = 0; i < sizeof ways / sizeof *ways; i++)
        for (const char *from = ways[i].from; *from; from++)
            for (const char *to = ways[i].to; *to; to++)
                assert_string_equal(pour_word(*from, *to, ways[i].clean[0] != '\0'), ways[i].word);
    for (const char *from = "VTCRPW"; *from; from++) {
        assert_null(pour_word(*from, 'C', true));
        assert_null(pour_word(*from, 'P', true));
        assert_null(pour_word(*from, 'W', true));
    }
    assert_null(pour_word('P', 'V', true));
    assert_null(pour_word('W', 'V', true));
}

static void a_pour_of_the_same_resin_may_go(void **state)
{
    struct bench bench;
    (void)state;
    set_up(&bench, 'C', 'V');
    judged(&bench, VERDICT_GO, "");
    bench.asked.amount_ul = POUR_UNKNOWN;
    judged(&bench, VERDICT_GO, "");
    bench.to.resin = bench.to.revision = "";
    bench.asked.to_ul = 0;
    judged(&bench, VERDICT_GO, "");
}

static void each_reason_is_provoked_and_not_without_its_cause(void **state)
{
    struct bench bench;
    (void)state;
    set_up(&bench, 'C', 'V');
    bench.to.resin = "Oak";
    judged(&bench, VERDICT_STOP, "other-resin");
    set_up(&bench, 'C', 'V');
    bench.to.revision = "3";
    judged(&bench, VERDICT_STOP, "other-revision");
    set_up(&bench, 'C', 'V');
    bench.from.hold = "leaking";
    judged(&bench, VERDICT_STOP, "on-hold");
    set_up(&bench, 'C', 'V');
    bench.to.hold = "film-dented";
    judged(&bench, VERDICT_STOP, "on-hold");
    bench.to.hold = CHECK_OUT_TO_INSPECT;
    judged(&bench, VERDICT_STOP, "not-inspected");
    set_up(&bench, 'V', 'V');
    bench.from.hold = CHECK_OUT_TO_INSPECT; /* it is emptied to be looked at */
    judged(&bench, VERDICT_GO, "");
    set_up(&bench, 'C', 'V');
    bench.to.gone = true;
    judged(&bench, VERDICT_STOP, "gone");
    bench.to.now = "V9";
    judged(&bench, VERDICT_STOP, "alarmed");
    set_up(&bench, 'C', 'V');
    bench.to.film = "fogged";
    judged(&bench, VERDICT_ASK, "film-fogged");
    set_up(&bench, 'C', 'V');
    bench.from.expires.number = TODAY;
    judged(&bench, VERDICT_GO, ""); /* the last usable day is usable through its end */
    bench.from.expires.number = TODAY - 1;
    judged(&bench, VERDICT_STOP, "expired");
    bench.asked.clock_trusted = false;
    judged(&bench, VERDICT_ASK, "clock");
    set_up(&bench, 'C', 'V');
    bench.from.has_expires = false;
    judged(&bench, VERDICT_ASK, "no-expiry");
    set_up(&bench, 'C', 'C');
    judged(&bench, VERDICT_STOP, "not-poured");
    set_up(&bench, 'C', 'V');
    bench.from.resin = bench.from.revision = "";
    bench.asked.from_ul = 0;
    judged(&bench, VERDICT_STOP, "empty more-than-booked");
}

static void recovered_resin_and_fresh_resin_never_share_a_bottle(void **state)
{
    struct bench bench;
    (void)state;
    set_up(&bench, 'V', 'R');
    judged(&bench, VERDICT_STOP, "recovered");
    bench.asked.to_recovered = true;
    judged(&bench, VERDICT_GO, "");
    set_up(&bench, 'C', 'R');
    judged(&bench, VERDICT_GO, "");
    bench.asked.to_recovered = true;
    judged(&bench, VERDICT_STOP, "recovered");
    set_up(&bench, 'R', 'R');
    bench.asked.from_recovered = true;
    judged(&bench, VERDICT_STOP, "recovered");
    bench.to.resin = bench.to.revision = ""; /* clean */
    judged(&bench, VERDICT_GO, "");
    set_up(&bench, 'R', 'V');
    bench.asked.from_recovered = true;
    judged(&bench, VERDICT_GO, "");
}

static void amounts_are_asked_about_with_what_was_likely_meant(void **state)
{
    static const struct {
        int64_t amount_ul;
        enum verdict verdict;
        const char *codes, *sentence;
    } cases[] = {
        {300000, VERDICT_GO, "", ""},
        {800000, VERDICT_GO, "", ""},
        {800001, VERDICT_ASK, "overfilled", "1000 ml is full"},
        {1000001, VERDICT_ASK, "more-than-booked overfilled", "more than the 1000 ml"},
        {300, VERDICT_ASK, "amount-unlikely", "was 300 ml meant?"},                  /* 0.3 typed: litres */
        {300000000, VERDICT_ASK, "amount-unlikely overfilled", "was 300 ml meant?"}, /* microlitres typed */
        {20000, VERDICT_GO, "", ""}, /* 20 ml of 1000 is little, and no slip */
    };
    struct bench bench;
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        set_up(&bench, 'C', 'V');
        bench.asked.amount_ul = cases[i].amount_ul;
        judged(&bench, cases[i].verdict, cases[i].codes);
        if (bench.list.count > 0 && !strstr(bench.list.reasons[0].sentence, cases[i].sentence))
            fail_msg("'%s' does not say '%s'", bench.list.reasons[0].sentence, cases[i].sentence);
    }
    set_up(&bench, 'C', 'V');
    bench.asked.from_ul = bench.asked.to_ul = bench.asked.room_ul = POUR_UNKNOWN;
    bench.asked.amount_ul = 300000000;
    judged(&bench, VERDICT_GO, ""); /* nothing to compare with */
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(resin_goes_these_ways_and_no_other),
        cmocka_unit_test(a_pour_of_the_same_resin_may_go),
        cmocka_unit_test(each_reason_is_provoked_and_not_without_its_cause),
        cmocka_unit_test(recovered_resin_and_fresh_resin_never_share_a_bottle),
        cmocka_unit_test(amounts_are_asked_about_with_what_was_likely_meant),
    };
    return cmocka_run_group_tests_name("rules/pour", tests, NULL, NULL);
}
