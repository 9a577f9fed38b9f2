#include "kiosk/web/path.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

static void matches_literals_segments_and_rests(void **state)
{
    static const struct {
        const char *pattern, *path;
        bool matches;
        const char *parameter;
    } cases[] = {
        {"/api/stock", "/api/stock", true, ""},
        {"/api/stock", "/api/stock/", false, ""},
        {"/api/stock", "/api/stocks", false, ""},
        {"/api/units/{}", "/api/units/C0000012", true, "C0000012"},
        {"/api/units/{}", "/api/units/", false, ""},
        {"/api/units/{}", "/api/units", false, ""},
        {"/api/units/{}", "/api/units/a/b", false, ""},
        {"/pages/*", "/pages/a.js", true, "a.js"},
        {"/pages/*", "/pages/a/b.js", true, "a/b.js"},
        {"/pages/*", "/pages/", false, ""},
        {"/pages/*", "/page", false, ""},
    };
    char parameter[PATH_PARAMETER_SIZE];
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        const bool matches = path_matches(cases[i].pattern, cases[i].path, parameter);
        if (matches != cases[i].matches || (matches && strcmp(parameter, cases[i].parameter) != 0))
            fail_msg("%s for %s", cases[i].path, cases[i].pattern);
    }
}

static void does_not_match_what_the_buffer_cannot_hold(void **state)
{
    char path[PATH_PARAMETER_SIZE + 16] = "/pages/", parameter[PATH_PARAMETER_SIZE];
    (void)state;
    memset(path + 7, 'a', PATH_PARAMETER_SIZE - 1);
    assert_true(path_matches("/pages/*", path, parameter));
    path[7 + PATH_PARAMETER_SIZE - 1] = 'a';
    assert_false(path_matches("/pages/*", path, parameter));
}

static void names_that_lead_elsewhere_are_not_plain(void **state)
{
    static const char *const bad[] = {"..",   ".",  "../a", "a/..", "a/../b", "a/./b", ".hidden", "a/.git",      "/etc",
                                      "a//b", "a/", "",     "a\\b", "a b",    "a%2e",  "a\x1f",   "caf\xc3\xa9", "a:b"};
    static const char *const good[] = {"index.html", "desk/desk.js", "a-b_c.1.js", "vdom/index"};
    (void)state;
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++)
        if (path_is_plain(bad[i]))
            fail_msg("'%s' was let through", bad[i]);
    for (size_t i = 0; i < sizeof good / sizeof *good; i++)
        if (!path_is_plain(good[i]))
            fail_msg("'%s' was refused", good[i]);
}

static void media_types_go_by_the_ending(void **state)
{
    (void)state;
    assert_string_equal(path_media_type("a.js"), "text/javascript; charset=utf-8"); /* RFC 9239 */
    assert_string_equal(path_media_type("a.min.css"), "text/css; charset=utf-8");
    assert_string_equal(path_media_type("index.html"), "text/html; charset=utf-8");
    assert_null(path_media_type("ledger.sqlite"));
    assert_null(path_media_type("js"));
    assert_null(path_media_type(".js"));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(matches_literals_segments_and_rests),
        cmocka_unit_test(does_not_match_what_the_buffer_cannot_hold),
        cmocka_unit_test(names_that_lead_elsewhere_are_not_plain),
        cmocka_unit_test(media_types_go_by_the_ending),
    };
    return cmocka_run_group_tests_name("web/path", tests, NULL, NULL);
}
