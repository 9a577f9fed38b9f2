#include <setjmp.h>
#include <stdarg.h>
#include <stdatomic.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include <cmocka.h>
#include <sodium.h>

#include "kiosk/basics/id.h"
#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/pins.h"
#include "kiosk/web/pin_tries.h"
#include "kiosk/web/server.h"
#include "tests/support/ledger_fixture.h"
#include "tests/web/http_client.h"

/* The first storekeeper, PINs and approvals over HTTP, with the desk's own acts and a clock that stands until it is
 * driven. That tries are limited, and a hash is salted and slow: NIST SP 800-63B sections 5.2.2 and 5.1.1.2. */

enum { MORNING_MS = 36000 * 1000, PINS_MOST = 8, FILE_MOST = 16 * 1024 * 1024 };

static const char CODE[] = "ABCD-2345";

struct house {
    struct ledger_fixture ledger;
    struct clock *clock;
    struct feed *feed;
    struct desk desk;
    struct writer *writer;
    struct web *web;
    atomic_int code_used;
    char maren[16], pin[PIN_DIGITS + 1];
    char pins[PINS_MOST][PIN_DIGITS + 1]; /* every one that was ever told */
    int pin_count;
};

static void code_used(void *context)
{
    struct house *house = context;
    atomic_fetch_add(&house->code_used, 1);
}

static void serve(struct house *house, const char *code)
{
    struct fault fault = {0};
    const struct web_options options = {.writer = house->writer,
                                        .feed = house->feed,
                                        .clock = house->clock,
                                        .desk = &house->desk,
                                        .ledger_address = house->ledger.address,
                                        .kiosk = "TEST",
                                        .code = code,
                                        .code_used = code_used,
                                        .code_context = house};
    if (!web_create(&options, &house->web, &fault))
        fail_msg("web: %s", fault.text);
}

static int setup(void **state)
{
    struct house *house = calloc(1, sizeof *house);
    struct fault fault = {0};
    assert_non_null(house);
    ledger_fixture_create(&house->ledger);
    house->clock =
        clock_create_driven((struct instant){(int64_t)calendar_day(2026, 3, 2).number * 86400000 + MORNING_MS});
    house->feed = feed_create();
    house->desk = (struct desk){.idle_seconds = 90, .run = "tests", .clock = house->clock};
    const struct writer_options options = {.address = house->ledger.address,
                                           .kinds = desk_acts,
                                           .desk = &house->desk,
                                           .clock = house->clock,
                                           .feed = house->feed,
                                           .kiosk = "TEST"};
    if (!writer_create(&options, &house->writer, &fault))
        fail_msg("writer: %s", fault.text);
    serve(house, CODE);
    *state = house;
    return 0;
}

static int teardown(void **state)
{
    struct house *house = *state;
    struct verify_report report;
    bool clean = false;
    web_destroy(house->web);
    writer_destroy(house->writer);
    const bool looked = ledger_verify(house->ledger.address, &report, &clean, NULL);
    feed_destroy(house->feed);
    clock_destroy(house->clock);
    ledger_fixture_destroy(&house->ledger);
    free(house);
    return looked && clean ? 0 : -1;
}

/* ---- asking ---- */

/* Takes content and approval over; `*status` of the answer, whose body is the caller's. */
static json_t *post_as(struct house *house, const char *id, const char *kind, const char *person, const char *counter,
                       json_t *content, json_t *approval, int *status)
{
    struct http_answer answer;
    json_t *body = json_pack("{s:s,s:s,s:s,s:o}", "id", id, "kind", kind, "counter", counter, "content", content);
    if (person[0])
        json_object_set_new(body, "person", json_string(person));
    if (approval)
        json_object_set_new(body, "approval", approval);
    char *text = json_dumps(body, 0);
    http_post(web_port(house->web), "/api/acts", text, &answer);
    *status = answer.status;
    json_t *said = json_loads(answer.body, 0, NULL);
    assert_non_null(said);
    http_clear(&answer);
    free(text);
    json_decref(body);
    return said;
}

static json_t *post(struct house *house, const char *kind, const char *counter, json_t *content, json_t *approval,
                    int *status)
{
    char id[ID_SIZE];
    id_make(id);
    return post_as(house, id, kind, house->maren, counter, content, approval, status);
}

static json_t *with_pin(const char *person, const char *pin)
{
    return json_pack("{s:s,s:s}", "person", person, "pin", pin);
}

static void refused(struct house *house, const char *kind, const char *counter, json_t *content, json_t *approval,
                    const char *says)
{
    int status;
    json_t *said = post(house, kind, counter, content, approval, &status);
    const char *code = json_string_value(json_object_get(said, "code"));
    const char *detail = json_string_value(json_object_get(said, "detail"));
    if (status != 403 || !code || strcmp(code, "approval") != 0 || !strstr(detail, says))
        fail_msg("%s: %d %s '%s', not '%s'", kind, status, code ? code : "", detail ? detail : "", says);
    json_decref(said);
}

static void done(struct house *house, const char *kind, json_t *content, json_t *approval)
{
    int status;
    json_t *said = post(house, kind, "desk", content, approval, &status);
    if (status != 200)
        fail_msg("%s: %d %s", kind, status, json_string_value(json_object_get(said, "detail")));
    json_decref(said);
}

static void take_pin(struct house *house, const json_t *said, char pin[PIN_DIGITS + 1])
{
    const char *told = json_string_value(json_object_get(said, "pin"));
    assert_non_null(told);
    assert_int_equal(strspn(told, "0123456789"), PIN_DIGITS);
    assert_int_equal(strlen(told), PIN_DIGITS);
    (void)snprintf(pin, PIN_DIGITS + 1, "%s", told);
    assert_true(house->pin_count < PINS_MOST);
    memcpy(house->pins[house->pin_count++], pin, PIN_DIGITS + 1);
}

static void enrol(struct house *house)
{
    int status;
    json_t *said =
        post(house, "enrol", "desk", json_pack("{s:s}", "name", "Maren"), json_pack("{s:s}", "code", CODE), &status);
    assert_int_equal(status, 200);
    (void)snprintf(house->maren, sizeof house->maren, "%s", json_string_value(json_object_get(said, "serial")));
    take_pin(house, said, house->pin);
    json_decref(said);
}

/* Another storekeeper, with a PIN that Maren's approved. */
static void enter_asta(struct house *house, char serial[16], char pin[PIN_DIGITS + 1])
{
    int status;
    json_t *said = post(house, "person-entry", "desk", json_pack("{s:s,s:s}", "name", "Asta", "role", "storekeeper"),
                        NULL, &status);
    assert_int_equal(status, 200);
    (void)snprintf(serial, 16, "%s", json_string_value(json_object_get(said, "serial")));
    json_decref(said);
    said = post(house, "pin-issue", "desk", json_pack("{s:s}", "person", serial), with_pin(house->maren, house->pin),
                &status);
    assert_int_equal(status, 200);
    take_pin(house, said, pin);
    json_decref(said);
}

/* One digit aside. */
static void make_wrong(const char *pin, char wrong[PIN_DIGITS + 1])
{
    memcpy(wrong, pin, PIN_DIGITS + 1);
    wrong[5] = wrong[5] == '9' ? '0' : (char)(wrong[5] + 1);
}

/* ---- the first storekeeper ---- */

static void the_right_code_enters_the_first_storekeeper_once(void **state)
{
    struct house *house = *state;
    json_t *health = http_get_json(web_port(house->web), "/health");
    assert_true(json_is_true(json_object_get(health, "enrolment")));
    json_decref(health);
    refused(house, "enrol", "desk", json_pack("{s:s}", "name", "Eve"), NULL, "needs the code");
    refused(house, "enrol", "desk", json_pack("{s:s}", "name", "Eve"), json_pack("{s:s}", "code", "ABCD-2346"),
            "that is not the code: try again");
    assert_int_equal(atomic_load(&house->code_used), 0);
    enrol(house);
    assert_int_equal(atomic_load(&house->code_used), 1);
    health = http_get_json(web_port(house->web), "/health");
    assert_true(json_is_false(json_object_get(health, "enrolment")));
    json_decref(health);
    refused(house, "enrol", "desk", json_pack("{s:s}", "name", "Eve"), json_pack("{s:s}", "code", CODE),
            "no code counts now");
}

static void guessing_at_the_code_is_slowed_down(void **state)
{
    struct house *house = *state;
    for (int i = 0; i < 3; i++)
        refused(house, "enrol", i ? "desk" : "side", json_pack("{s:s}", "name", "Eve"),
                json_pack("{s:s}", "code", "WXYZ-2345"), i < 2 ? "try again" : "wait 30 seconds");
    refused(house, "enrol", "desk", json_pack("{s:s}", "name", "Maren"), json_pack("{s:s}", "code", CODE),
            "too many wrong tries with the code: wait 30 seconds");
    clock_drive(house->clock, 30000);
    enrol(house);
}

/* ---- PINs ---- */

static void what_is_kept_of_a_pin_is_its_argon2id_hash(void **state)
{
    struct house *house = *state;
    struct pin pin;
    char wrong[PIN_DIGITS + 1];
    bool found = false;
    enrol(house);
    struct ledger *ledger = ledger_fixture_open(&house->ledger, LEDGER_READER);
    assert_true(pin_load(ledger, house->maren, &pin, &found, NULL) && found);
    ledger_close(ledger);
    assert_int_equal(strncmp(pin.hash, "$argon2id$v=19$m=65536,t=2,p=1$", 31), 0); /* libsodium: interactive limits */
    assert_int_equal(crypto_pwhash_str_verify(pin.hash, house->pin, PIN_DIGITS), 0);
    make_wrong(house->pin, wrong);
    assert_int_not_equal(crypto_pwhash_str_verify(pin.hash, wrong, PIN_DIGITS), 0);
}

static void a_repeat_gets_the_answer_but_not_the_pin(void **state)
{
    struct house *house = *state;
    char first[PIN_DIGITS + 1];
    int status;
    enrol(house);
    for (int i = 0; i < 2; i++) {
        json_t *said = post_as(house, "the-same-act", "pin-issue", house->maren, "desk",
                               json_pack("{s:s}", "person", house->maren),
                               with_pin(house->maren, i ? first : house->pin), &status);
        assert_int_equal(status, 200);
        if (i == 0)
            take_pin(house, said, first);
        assert_int_equal(json_is_true(json_object_get(said, "repeated")), i);
        assert_int_equal(json_object_get(said, "pin") != NULL, i == 0);
        json_decref(said);
    }
    refused(house, "pin-issue", "desk", json_pack("{s:s}", "person", house->maren), with_pin(house->maren, house->pin),
            "that is not the PIN"); /* the old one counts no more */
}

static void a_release_needs_a_storekeepers_pin(void **state)
{
    struct house *house = *state;
    char wrong[PIN_DIGITS + 1];
    int status;
    enrol(house);
    done(house, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "FLINT", "letter", "C", "name", "Flint"), NULL);
    done(house, "place-entry", json_pack("{s:s,s:s}", "code", "A01", "kind", "shelf"), NULL);
    json_t *said =
        post(house, "take-on", "desk", json_pack("{s:s,s:s}", "item", "FLINT", "place", "A01"), NULL, &status);
    assert_int_equal(status, 200);
    char unit[16];
    (void)snprintf(unit, sizeof unit, "%s", json_string_value(json_object_get(said, "serial")));
    json_decref(said);
    done(house, "hold", json_pack("{s:s,s:s}", "unit", unit, "reason", "damaged"), NULL);
    refused(house, "release", "desk", json_pack("{s:s}", "unit", unit), NULL, "it needs a storekeeper's PIN");
    make_wrong(house->pin, wrong);
    refused(house, "release", "desk", json_pack("{s:s}", "unit", unit), with_pin(house->maren, wrong),
            "that is not the PIN: try again");
    refused(house, "release", "desk", json_pack("{s:s}", "unit", unit), json_pack("{s:s}", "code", CODE),
            "it needs a storekeeper's PIN"); /* a code approves nothing */
    refused(house, "release", "desk", json_pack("{s:s}", "unit", unit), with_pin("H999999X", house->pin),
            "is no storekeeper");
    done(house, "release", json_pack("{s:s}", "unit", unit), with_pin(house->maren, house->pin));
}

static void a_storekeeper_without_a_pin_is_told_how_to_get_one(void **state)
{
    struct house *house = *state;
    int status;
    enrol(house);
    json_t *said = post(house, "person-entry", "desk", json_pack("{s:s,s:s}", "name", "Asta", "role", "storekeeper"),
                        NULL, &status);
    refused(house, "pin-issue", "desk", json_pack("{s:s}", "person", house->maren),
            with_pin(json_string_value(json_object_get(said, "serial")), "123456"),
            "Asta has no PIN yet: a storekeeper who has one issues it on the page Room");
    json_decref(said);
}

/* ---- guessing ---- */

static json_t *maren_of(const struct house *house)
{
    return json_pack("{s:s}", "person", house->maren);
}

static void three_wrong_ones_make_the_person_wait_everywhere_and_a_restart_forgets_nothing(void **state)
{
    struct house *house = *state;
    char asta[16], her_pin[PIN_DIGITS + 1], wrong[PIN_DIGITS + 1];
    int status;
    enrol(house);
    enter_asta(house, asta, her_pin);
    make_wrong(house->pin, wrong);
    for (int i = 0; i < 3; i++)
        refused(house, "pin-issue", "side", maren_of(house), with_pin(house->maren, wrong),
                i < 2 ? "that is not the PIN: try again" : "that is not the PIN: wait 30 seconds, then try again");
    refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, house->pin),
            "too many wrong tries with this PIN: wait 30 seconds");
    refused(house, "pin-issue", "side", maren_of(house), with_pin(asta, her_pin), /* the terminal waits too */
            "too many wrong tries at this counter: wait 30 seconds");
    done(house, "person-entry", json_pack("{s:s,s:s}", "name", "Ines", "role", "receiver"), NULL);
    json_t *said =
        post(house, "pin-issue", "desk", json_pack("{s:s}", "person", asta), with_pin(asta, her_pin), &status);
    assert_int_equal(status, 200); /* at "desk": nobody else waits */
    take_pin(house, said, her_pin);
    json_decref(said);

    clock_drive(house->clock, 10000);
    web_destroy(house->web);
    serve(house, NULL);
    refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, house->pin),
            "too many wrong tries with this PIN: wait 20 seconds");
    said = post(house, "pin-issue", "side", json_pack("{s:s}", "person", asta), with_pin(asta, her_pin), &status);
    assert_int_equal(status, 200); /* a terminal's count is in memory alone */
    take_pin(house, said, her_pin);
    json_decref(said);
    clock_drive(house->clock, 20000);
    done(house, "pin-issue", json_pack("{s:s}", "person", asta), with_pin(house->maren, house->pin));
}

static void the_wait_doubles_and_a_right_one_forgets_it(void **state)
{
    static const char *const waits[] = {"wait 30 seconds", "wait 60 seconds", "wait 2 minutes", "wait 4 minutes",
                                        "wait 8 minutes",  "wait 15 minutes", "wait 15 minutes"};
    static const int seconds[] = {30, 60, 120, 240, 480, 900, 900};
    struct house *house = *state;
    char wrong[PIN_DIGITS + 1];
    enrol(house);
    make_wrong(house->pin, wrong);
    for (int i = 0; i < 2; i++)
        refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, wrong), "try again");
    for (size_t i = 0; i < sizeof waits / sizeof *waits; i++) {
        refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, wrong), waits[i]);
        clock_drive(house->clock, seconds[i] * 1000 - 1);
        refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, house->pin), "wait 1 seconds");
        clock_drive(house->clock, 1);
    }
    int status;
    json_t *said = post(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, house->pin), &status);
    assert_int_equal(status, 200); /* never locked out for ever */
    take_pin(house, said, house->pin);
    json_decref(said);
    make_wrong(house->pin, wrong);
    refused(house, "pin-issue", "desk", maren_of(house), with_pin(house->maren, wrong),
            "that is not the PIN: try again");
}

static void a_full_table_of_terminals_forgets_the_oldest(void **state)
{
    struct pin_tries tries = {0};
    char name[PIN_TRIES_NAME];
    (void)state;
    for (int i = 0; i < PIN_TRIES_TERMINALS + 1; i++) {
        (void)snprintf(name, sizeof name, "counter-%d", i);
        for (int wrong = 1; wrong <= 3; wrong++)
            assert_int_equal(pin_tries_add(&tries, name, i), wrong);
    }
    assert_int_equal(pin_tries_left_s(&tries, "counter-0", 70), 0);
    assert_int_equal(pin_tries_left_s(&tries, "counter-1", 70), 30);
    assert_int_equal(pin_tries_left_s(&tries, name, 70), 30);
    pin_tries_forget(&tries, name);
    assert_int_equal(pin_tries_left_s(&tries, name, 70), 0);
}

/* ---- where a PIN must not be ---- */

static bool is_word(char c)
{
    return (c >= '0' && c <= '9') || (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z');
}

/* As a word of its own: six digits may stand within an instant or a digest by chance. */
static bool holds(const char *bytes, size_t length, const char *word)
{
    const size_t size = strlen(word);
    for (const char *at = bytes; (at = memmem(at, length - (size_t)(at - bytes), word, size)) != NULL; at++)
        if ((at == bytes || !is_word(at[-1])) && (at + size == bytes + length || !is_word(at[size])))
            return true;
    return false;
}

static size_t read_file(FILE *file, char *bytes)
{
    rewind(file);
    const size_t length = fread(bytes, 1, FILE_MOST, file);
    assert_true(length > 0 && length < FILE_MOST);
    return length;
}

static void no_pin_and_no_code_is_in_the_ledger_its_export_or_the_log(void **state)
{
    struct house *house = *state;
    char asta[16], her_pin[PIN_DIGITS + 1], wrong[PIN_DIGITS + 1], path[FIXTURE_TEXT_SIZE + 8];
    char *bytes = malloc(FILE_MOST);
    FILE *log = tmpfile(), *export = tmpfile();
    assert_true(bytes && log && export);
    const int stderr_before = dup(STDERR_FILENO);
    (void)fputs("the log\n", log);
    (void)fflush(log);
    assert_true(dup2(fileno(log), STDERR_FILENO) >= 0);
    enrol(house);
    enter_asta(house, asta, her_pin);
    make_wrong(her_pin, wrong);
    refused(house, "pin-issue", "desk", maren_of(house), with_pin(asta, wrong), "that is not the PIN");
    memcpy(house->pins[house->pin_count++], wrong, sizeof wrong); /* a slip tells much of the right one */
    web_destroy(house->web);
    house->web = NULL;
    assert_true(dup2(stderr_before, STDERR_FILENO) >= 0);
    (void)close(stderr_before);

    struct fault fault = {0};
    if (!ledger_export(house->ledger.address, export, &fault))
        fail_msg("%s", fault.text);
    FILE *files[4] = {log, export, NULL, NULL};
    static const char *const ends[] = {"", "-wal"};
    for (int i = 0; i < 2 && house->ledger.path[0]; i++) {
        (void)snprintf(path, sizeof path, "%s%s", house->ledger.path, ends[i]);
        files[2 + i] = fopen(path, "rb");
        assert_non_null(files[2 + i]);
    }
    for (int f = 0; f < 4; f++) {
        if (!files[f])
            continue;
        const size_t length = read_file(files[f], bytes);
        for (int i = 0; i < house->pin_count; i++)
            if (holds(bytes, length, house->pins[i]))
                fail_msg("PIN %d stands in file %d", i, f);
        assert_false(holds(bytes, length, CODE));
        if (f == 1) { /* an export has no hash either; the looking itself works */
            assert_false(memmem(bytes, length, "argon2id", 8) != NULL);
            assert_true(holds(bytes, length, house->maren));
        }
        (void)fclose(files[f]);
    }
    free(bytes);
}

#define IN_HOUSE(test) cmocka_unit_test_setup_teardown(test, setup, teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_HOUSE(the_right_code_enters_the_first_storekeeper_once),
        IN_HOUSE(guessing_at_the_code_is_slowed_down),
        IN_HOUSE(what_is_kept_of_a_pin_is_its_argon2id_hash),
        IN_HOUSE(a_repeat_gets_the_answer_but_not_the_pin),
        IN_HOUSE(a_release_needs_a_storekeepers_pin),
        IN_HOUSE(a_storekeeper_without_a_pin_is_told_how_to_get_one),
        IN_HOUSE(three_wrong_ones_make_the_person_wait_everywhere_and_a_restart_forgets_nothing),
        IN_HOUSE(the_wait_doubles_and_a_right_one_forgets_it),
        cmocka_unit_test(a_full_table_of_terminals_forgets_the_oldest),
        IN_HOUSE(no_pin_and_no_code_is_in_the_ledger_its_export_or_the_log),
    };
    return cmocka_run_group_tests_name("web/approval", tests, NULL, NULL);
}
