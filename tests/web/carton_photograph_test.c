#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>
#include <zint.h>

#include "kiosk/basics/id.h"
#include "kiosk/devices/eye/eye.h"
#include "kiosk/devices/eye/eye_worker.h"
#include "tests/web/http_client.h"
#include "tests/web/web_fixture.h"

/* A photograph of a carton from the camera to the receipt, no delivery being open: the real desk behind the server, the
 * eye a real worker (this very program, called again as "PROGRAM eye"), the codes drawn by zint. Identifiers 01, 10,
 * 17: GS1 General Specifications; numbers from the range GS1 keeps for examples. What the counter then asks: common
 * practice, no source. */

enum { SIDE = 700, DOTS_A_BAR = 2, BAR_HEIGHT = 90, WORKER_SOCKET = 3 };

static struct web_fixture fixture;
static uint8_t picture[SIDE * SIDE + 32];
static size_t picture_length;

static int open_fixture(void **state)
{
    struct fault fault = {0};
    struct eye *eye = NULL;
    (void)state;
    web_fixture_open_desk(&fixture);
    if (!eye_create("/proc/self/exe", &eye, &fault))
        fail_msg("eye: %s", fault.text);
    fixture.eye = eye;
    web_fixture_serve(&fixture, 0);
    return 0;
}

static int close_fixture(void **state)
{
    (void)state;
    web_destroy(fixture.web);
    fixture.web = NULL;
    eye_destroy(fixture.eye);
    web_fixture_close(&fixture);
    return 0;
}

/* A white PGM (netpbm pgm(5)). */
static void begin_picture(void)
{
    const int head = snprintf((char *)picture, 32, "P5\n%d %d\n255\n", SIDE, SIDE);
    picture_length = (size_t)head + (size_t)SIDE * SIDE;
    memset(picture + head, 255, (size_t)SIDE * SIDE);
}

static void add_bars(const char *element_strings, int top)
{
    uint8_t *pixels = picture + picture_length - (size_t)SIDE * SIDE;
    struct zint_symbol *made = ZBarcode_Create();
    assert_non_null(made);
    made->symbology = BARCODE_GS1_128;
    made->input_mode = GS1_MODE;
    assert_int_equal(ZBarcode_Encode(made, (const unsigned char *)element_strings, 0), 0);
    for (int y = 0; y < BAR_HEIGHT; y++)
        for (int x = 0; x < made->width * DOTS_A_BAR; x++)
            if (made->encoded_data[0][x / DOTS_A_BAR / 8] >> (x / DOTS_A_BAR % 8) & 1)
                pixels[(size_t)(top + y) * SIDE + (size_t)(60 + x)] = 0;
    ZBarcode_Delete(made);
}

static json_t *answer_of(const struct http_answer *answer)
{
    json_t *body = json_loadb(answer->body, answer->length, 0, NULL);
    if (answer->status != 200 || !body)
        fail_msg("status %d: %s", answer->status, answer->body);
    return body;
}

/* What the counter shows after the picture was scanned there. */
static json_t *photograph(void)
{
    struct http_answer answer;
    http_request(fixture.port, "POST", "/api/pictures?act=scan&cartons=yes&counter=dock",
                 "Content-Type: image/x-portable-graymap\r\n", picture, picture_length, &answer);
    json_t *body = answer_of(&answer), *view = json_incref(json_object_get(body, "act"));
    json_decref(body);
    http_clear(&answer);
    assert_true(json_is_object(view));
    return view;
}

static json_t *post(const char *path, json_t *content)
{
    struct http_answer answer;
    char *text = json_dumps(content, 0);
    http_post(fixture.port, path, text, &answer);
    json_t *body = answer_of(&answer);
    free(text);
    json_decref(content);
    http_clear(&answer);
    return body;
}

static json_t *press(const char *word)
{
    char id[ACT_ID_SIZE];
    id_make(id);
    return post("/api/acts", json_pack("{s:s,s:s,s:i,s:s,s:{s:s}}", "id", id, "kind", "press", "version", 1, "counter",
                                       "dock", "content", "word", word));
}

static void expect(json_t *view, const char *verdict, const char *title_holds)
{
    const char *said = json_string_value(json_object_get(view, "title"));
    const char *judged = json_string_value(json_object_get(view, "verdict"));
    if (!said || !judged || !strstr(said, title_holds) || strcmp(judged, verdict) != 0)
        fail_msg("%s: %s; expected %s: %s", judged ? judged : "(null)", said ? said : "(null)", verdict, title_holds);
    json_decref(view);
}

/* The room's first storekeeper, as with the right code; no PIN has that hash. */
static json_t *enrol(const char *name)
{
    struct act act = {.kind = "enrol", .version = 1, .aside = "none yet", .content = json_pack("{s:s}", "name", name)};
    struct fault fault = {0};
    json_t *answer = NULL;
    id_make(act.id);
    if (!writer_run(fixture.writer, &act, &answer, &fault))
        fail_msg("enrol: %s", fault.text);
    return answer;
}

static void the_codes_of_a_photograph_become_one_receipt_when_a_delivery_is_said(void **state)
{
    (void)state;
    json_t *person = enrol("Maren");
    json_decref(
        post("/api/scans", json_pack("{s:s,s:O}", "counter", "dock", "text", json_object_get(person, "serial"))));
    json_decref(person);
    begin_picture();
    add_bars("[10]L24117[17]270131", 80);
    add_bars("[01]09506000134352", 300);
    expect(photograph(), "ask", "Nothing of this lot is in stock: is it a new delivery?");
    json_t *proposed = press("YES");
    const json_t *proposal = json_object_get(proposed, "proposal");
    assert_string_equal(json_string_value(json_object_get(proposal, "lot")), "L24117");
    assert_string_equal(json_string_value(json_object_get(proposal, "expires")), "2027-01-31");
    expect(proposed, "ask", "Receive 1 × Item 09506000134352, lot L24117?"); /* not in the catalogue yet */
    expect(press("YES"), "go", "Received 1 ×");
    json_decref(press("NO"));
}

static void codes_of_two_lots_in_one_photograph_stop_with_both(void **state)
{
    (void)state;
    begin_picture();
    add_bars("[01]09506000134352[10]L24117", 80);
    add_bars("[01]09506000134352[10]L24118", 300);
    json_t *view = photograph();
    char *text = json_dumps(json_object_get(view, "reasons"), 0);
    assert_non_null(strstr(text, "codes-differ"));
    assert_non_null(strstr(text, "L24117 (code"));
    assert_non_null(strstr(text, "L24118 (code"));
    free(text);
    expect(view, "stop", "contradict");
}

int main(int count, char **arguments)
{
    if (count == 2 && strcmp(arguments[1], "eye") == 0)
        return eye_worker_main(WORKER_SOCKET);
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(codes_of_two_lots_in_one_photograph_stop_with_both),
        cmocka_unit_test(the_codes_of_a_photograph_become_one_receipt_when_a_delivery_is_said),
    };
    return cmocka_run_group_tests_name("web/carton_photograph", tests, open_fixture, close_fixture);
}
