#include "kiosk/desk/desk.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "tests/desk/room.h"

/* Check-out by a script, that says all it knows at once. The rules are common practice of the trade, no source. */

static json_t *check_out(const char *serial, const char *machine)
{
    return json_pack("{s:[s],s:s}", "units", serial, "printer", machine);
}

static void a_script_checks_out_and_says_what_the_job_needs(void **state)
{
    struct room *room = *state;
    struct job job;
    json_t *content = check_out(room->vat_flint, "CAPSTAN");
    json_object_set_new(content, "need_ml", json_real(120.5));
    json_object_set_new(content, "ends", room_day(room, 1));
    (void)room_act(room, "check-out", content);
    room_expect_booked(room, true);
    assert_true(room_job(room, "CAPSTAN", &job));
    assert_int_equal(job.need_ul, 120500);
    assert_int_equal(job.end_day, room_today(room) + 1);
}

static void a_script_is_asked_and_confirms(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "check-out", check_out(room->vat_fogged, "CAPSTAN"));
    room_expect(room, "ask", "check-out", "was fogged");
    room_expect_booked(room, false);
    json_t *content = check_out(room->vat_fogged, "CAPSTAN");
    json_object_set_new(content, "confirm", json_true());
    (void)room_act(room, "check-out", content);
    room_expect_booked(room, true);
}

static void a_script_cannot_confirm_a_stop_but_says_taken(void **state)
{
    struct room *room = *state;
    json_t *content = check_out(room->flint_old, "CAPSTAN");
    json_object_set_new(content, "confirm", json_true());
    (void)room_act(room, "check-out", content);
    room_expect(room, "stop", "check-out", "expired");
    room_expect_booked(room, false);
    content = check_out(room->flint_old, "CAPSTAN");
    json_object_set_new(content, "taken", json_true());
    (void)room_act(room, "check-out", content);
    room_expect_booked(room, true);
    assert_true(room_question(room, "taken") > 0);
}

static void a_malformed_check_out_is_refused_with_a_sentence(void **state)
{
    struct room *room = *state;
    static const struct {
        const char *content;
        enum fault_code code;
        const char *says;
    } cases[] = {
        {"{}", FAULT_INPUT, "'printer' is missing"},
        {"{\"printer\":\"CAPSTAN\"}", FAULT_INPUT, "'units' is not a list"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[]}", FAULT_INPUT, "'units' is not a list of 1 to 32"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[7]}", FAULT_INPUT, "not a serial in quotes"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[\"C0000\"]}", FAULT_INPUT, "C0000"},
        {"{\"printer\":7,\"units\":[\"C1\"]}", FAULT_INPUT, "'printer' is not a text"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[\"C1\"],\"confirm\":\"yes\"}", FAULT_INPUT, "'confirm' is neither"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[\"C1\"],\"need_ml\":-1}", FAULT_INPUT, "'need_ml' is not a number"},
        {"{\"printer\":\"CAPSTAN\",\"units\":[\"C1\"],\"ends\":\"2026-02-30\"}", FAULT_INPUT, "'ends'"},
        {"{\"printr\":\"CAPSTAN\",\"units\":[\"C1\"]}", FAULT_INPUT, "'printr' is not known here"},
        {"{\"printer\":\"CAP STAN\",\"units\":[\"C1\"]}", FAULT_INPUT, "see its character 4"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        room_refuses(room, "check-out", json_loads(cases[i].content, 0, NULL), cases[i].code, cases[i].says);
    room_refuses(room, "check-out", check_out(room->flint, "NOWHERE"), FAULT_MISSING, "printer 'NOWHERE' is not known");
    room_refuses(room, "check-out", json_pack("{s:[s,s],s:s}", "units", room->flint, room->flint, "printer", "CAPSTAN"),
                 FAULT_INPUT, "twice");
    char stranger[SERIAL_SIZE];
    assert_true(serial_write('C', 4711, stranger) || serial_write('C', 4712, stranger));
    room_refuses(room, "check-out", check_out(stranger, "CAPSTAN"), FAULT_MISSING, "is not known here");
    room->person[0] = '\0';
    room_refuses(room, "check-out", check_out(room->flint, "CAPSTAN"), FAULT_INPUT, "nobody is signed in");
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_script_checks_out_and_says_what_the_job_needs),
        IN_ROOM(a_script_is_asked_and_confirms),
        IN_ROOM(a_script_cannot_confirm_a_stop_but_says_taken),
        IN_ROOM(a_malformed_check_out_is_refused_with_a_sentence),
    };
    return cmocka_run_group_tests_name("desk/check_out_script", tests, room_group_setup, room_group_teardown);
}
