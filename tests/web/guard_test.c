#include "kiosk/web/guard.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void knows_loopback_hosts(void **state)
{
    static const struct {
        const char *host;
        bool loopback;
        const char *source;
    } cases[] = {
        {"127.0.0.1", true, "RFC 1122 section 3.2.1.3 (g)"},
        {"127.0.0.1:8180", true, "RFC 9110 section 7.2: host and port"},
        {"127.9.9.9:1", true, "RFC 1122: the whole of 127/8"},
        {"localhost", true, "RFC 6761 section 6.3"},
        {"LocalHost:8180", true, "RFC 3986 section 3.2.2: case does not count"},
        {"kiosk.localhost", true, "RFC 6761 section 6.3: names below it too"},
        {"[::1]", true, "RFC 4291 section 2.5.3"},
        {"[::1]:8180", true, "RFC 3986 section 3.2.2: IPv6 in brackets"},
        {"", false, "RFC 9112 section 3.2: a request has a Host"},
        {"kiosk.example", false, "a stranger's name may resolve to 127.0.0.1 (DNS rebinding)"},
        {"127.0.0.1.example", false, "looks alike"},
        {"localhost.example", false, "looks alike"},
        {"xlocalhost", false, "looks alike"},
        {".localhost", false, "an empty label is no name"},
        {"0.0.0.0", false, "not in 127/8"},
        {"128.0.0.1", false, "not in 127/8"},
        {"[::2]", false, "not the loopback address"},
        {"[::1", false, "the bracket does not close"},
        {"[::1]x", false, "rubbish after the bracket"},
        {"127.0.0.1:", false, "no port after the colon"},
        {"127.0.0.1:99999", false, "no such port"},
        {"127.0.0.1:80 80", false, "rubbish in the port"},
        {"127.1", false, "short forms are not read as addresses"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        if (guard_host_is_loopback(span_of(cases[i].host)) != cases[i].loopback)
            fail_msg("'%s' (%s)", cases[i].host, cases[i].source);
}

static bool may(const char *host, const char *origin, const char *site, bool changes, struct fault *fault)
{
    const struct guard_request request = {span_of(host), span_of(origin), span_of(site), changes};
    return guard_check(&request, fault);
}

static void lets_own_pages_and_scripts_change_things(void **state)
{
    (void)state;
    assert_true(may("127.0.0.1:8180", "", "", true, NULL));
    assert_true(may("127.0.0.1:8180", "http://127.0.0.1:8180", "same-origin", true, NULL));
    assert_true(may("localhost:8180", "HTTP://LOCALHOST:8180", "", true, NULL));
    assert_true(may("localhost:8180", "", "none", true, NULL));
}

static void refuses_changes_from_other_origins(void **state)
{
    static const char *const origins[] = {
        "https://stranger.example", "http://127.0.0.1:9999", "http://localhost:8180", "https://127.0.0.1:8180", "null",
        "http://127.0.0.1:81800"};
    struct fault fault = {0};
    (void)state;
    for (size_t i = 0; i < sizeof origins / sizeof *origins; i++)
        if (may("127.0.0.1:8180", origins[i], "", true, &fault))
            fail_msg("origin '%s' was let in", origins[i]);
    assert_int_equal(fault.code, FAULT_REFUSED);
    assert_non_null(strstr(fault.text, "use the kiosk's own pages"));
    assert_false(may("127.0.0.1:8180", "", "cross-site", true, &fault));
    assert_false(may("127.0.0.1:8180", "", "same-site", true, &fault));
}

static void refuses_reading_too_when_the_host_is_a_stranger(void **state)
{
    struct fault fault = {0};
    (void)state;
    assert_false(may("stranger.example", "", "", false, &fault));
    assert_non_null(strstr(fault.text, "stranger.example"));
    assert_true(may("127.0.0.1", "https://stranger.example", "cross-site", false, NULL)); /* a link to our page */
}

static void knows_which_addresses_only_this_machine_reaches(void **state)
{
    (void)state;
    assert_true(guard_address_is_loopback("127.0.0.1"));
    assert_true(guard_address_is_loopback("::1"));
    assert_true(guard_address_is_loopback("localhost"));
    assert_false(guard_address_is_loopback("0.0.0.0"));
    assert_false(guard_address_is_loopback("::"));
    assert_false(guard_address_is_loopback("192.0.2.1"));
    assert_false(guard_address_is_loopback("kiosk.localhost.example"));
    assert_false(guard_address_is_loopback(""));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(knows_loopback_hosts),
        cmocka_unit_test(lets_own_pages_and_scripts_change_things),
        cmocka_unit_test(refuses_changes_from_other_origins),
        cmocka_unit_test(refuses_reading_too_when_the_host_is_a_stranger),
        cmocka_unit_test(knows_which_addresses_only_this_machine_reaches),
    };
    return cmocka_run_group_tests_name("web/guard", tests, NULL, NULL);
}
