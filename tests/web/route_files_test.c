#include "kiosk/web/route.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

static struct web_fixture fixture; /* one server for all tests of this program */

static void put(const char *folder, const char *name, const char *text)
{
    char path[200];
    snprintf(path, sizeof path, "%s/%s", folder, name);
    web_fixture_write_file(path, text);
}

static int open_fixture(void **state)
{
    char path[200], target[200];
    (void)state;
    web_fixture_open(&fixture);
    put(fixture.pages, "index.html", "<!doctype html><title>Desk</title>");
    put(fixture.pages, "desk.js", "export const desk = 1;");
    put(fixture.pages, ".hidden.js", "secret");
    put(fixture.pages, "notes.sqlite", "secret");
    put(fixture.folder, "secret.js", "secret");
    snprintf(path, sizeof path, "%s/sub", fixture.pages);
    assert_int_equal(mkdir(path, 0700), 0);
    put(fixture.pages, "sub/part.css", "body{}");
    snprintf(path, sizeof path, "%s/out.js", fixture.pages);
    snprintf(target, sizeof target, "%s/secret.js", fixture.folder);
    assert_int_equal(symlink(target, path), 0);
    snprintf(path, sizeof path, "%s/in.js", fixture.pages);
    assert_int_equal(symlink("desk.js", path), 0);
    snprintf(path, sizeof path, "%s/up", fixture.pages);
    assert_int_equal(symlink("..", path), 0);
    snprintf(path, sizeof path, "%s/pipe.js", fixture.pages);
    assert_int_equal(mkfifo(path, 0600), 0);
    put(fixture.vendor, "h.js", "export function h() {}");
    snprintf(path, sizeof path, "%s/vdom", fixture.vendor);
    assert_int_equal(mkdir(path, 0700), 0);
    put(fixture.vendor, "vdom/index.js", "export {};");
    web_fixture_write_file(fixture.api, "openapi: 3.0.3\n");
    web_fixture_serve(&fixture, 0);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_fixture_close(&fixture);
    return 0;
}

static void expect(const char *path, int status, const char *type, const char *body)
{
    struct http_answer answer;
    char value[80] = "";
    http_get(fixture.port, path, &answer);
    http_header(&answer, "Content-Type", value, sizeof value);
    if (answer.status != status || (type && strcmp(value, type) != 0) || (body && strcmp(answer.body, body) != 0))
        fail_msg("%s: status %d, %s, %s", path, answer.status, value, answer.body);
    assert_null(strstr(answer.body, "secret"));
    http_clear(&answer);
}

static void files_come_with_their_media_types(void **state)
{
    (void)state;
    expect("/", 200, "text/html; charset=utf-8", "<!doctype html><title>Desk</title>");
    expect("/pages/desk.js", 200, "text/javascript; charset=utf-8", "export const desk = 1;");
    expect("/pages/sub/part.css", 200, "text/css; charset=utf-8", "body{}");
    expect("/pages/in.js", 200, "text/javascript; charset=utf-8", "export const desk = 1;");
    expect("/api", 200, "application/yaml", "openapi: 3.0.3\n");
}

/* preact 8 writes import './h' and '../vdom/index' */
static void modules_of_preact_are_found_without_their_ending(void **state)
{
    (void)state;
    expect("/vendor/preact/h", 200, "text/javascript; charset=utf-8", "export function h() {}");
    expect("/vendor/preact/h.js", 200, "text/javascript; charset=utf-8", "export function h() {}");
    expect("/vendor/preact/vdom/index", 200, "text/javascript; charset=utf-8", "export {};");
    expect("/vendor/preact/nothing", 404, "application/problem+json", NULL);
}

/* OWASP testing guide, path traversal: dots, encoded dots and slashes, doubled encodings, links, hidden files */
static void nothing_outside_the_folder_can_be_had(void **state)
{
    static const char *const paths[] = {
        "/pages/../secret.js",
        "/pages/%2e%2e/secret.js",
        "/pages/%2e%2e%2fsecret.js",
        "/pages/..%2fsecret.js",
        "/pages/%252e%252e/secret.js",
        "/pages/sub/../../secret.js",
        "/pages/./desk.js",
        "/pages//desk.js",
        "/pages/..\\secret.js",
        "/pages/%5c..%5csecret.js",
        "/pages/.hidden.js",
        "/pages/out.js",
        "/pages/up/secret.js",
        "/pages/up/pages/../secret.js",
        "/pages/notes.sqlite",
        "/pages/sub",
        "/pages/sub/",
        "/pages/pipe.js",
        "/pages/%00",
        "/pages//etc/passwd",
        "/vendor/preact/../secret.js",
        "/vendor/preact/%2e%2e/secret",
        "/vendor/preact/..%2Fsecret",
        "/pages/desk.js%20",
        "/pages/\xc0\xae\xc0\xae/secret.js",
    };
    (void)state;
    for (size_t i = 0; i < sizeof paths / sizeof *paths; i++) {
        struct http_answer answer;
        http_get(fixture.port, paths[i], &answer);
        if (answer.status != 404 || strstr(answer.body, "export"))
            fail_msg("%s: status %d, %s", paths[i], answer.status, answer.body);
        http_clear(&answer);
    }
}

/* RFC 9110 section 13.1.2 */
static void a_file_that_the_client_has_is_not_sent_again(void **state)
{
    struct http_answer answer;
    char etag[80], header[120];
    (void)state;
    http_get(fixture.port, "/pages/desk.js", &answer);
    assert_true(http_header(&answer, "ETag", etag, sizeof etag));
    http_clear(&answer);
    snprintf(header, sizeof header, "If-None-Match: \"other\", W/%s\r\n", etag);
    http_request(fixture.port, "GET", "/pages/desk.js", header, NULL, 0, &answer);
    assert_int_equal(answer.status, 304);
    assert_int_equal(answer.length, 0);
    http_clear(&answer);
    put(fixture.pages, "desk.js", "export const desk = 22;");
    http_request(fixture.port, "GET", "/pages/desk.js", header, NULL, 0, &answer);
    assert_int_equal(answer.status, 200);
    assert_string_equal(answer.body, "export const desk = 22;");
    http_clear(&answer);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(files_come_with_their_media_types),
        cmocka_unit_test(modules_of_preact_are_found_without_their_ending),
        cmocka_unit_test(nothing_outside_the_folder_can_be_had),
        cmocka_unit_test(a_file_that_the_client_has_is_not_sent_again),
    };
    return cmocka_run_group_tests_name("web/route_files", tests, open_fixture, close_fixture);
}
