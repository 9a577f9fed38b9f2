#include "kiosk/desk/job_end.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/job_use.h"
#include "kiosk/ledger/contents.h"
#include "labels/basics/text.h"
#include "tests/desk/room.h"

/* Jobs as a printer, a slicer or a script tells of them. Common practice, no source. */

static void check_out(struct room *room, const char *const *serials, const char *printer)
{
    json_t *units = json_array();
    for (; *serials; serials++)
        json_array_append_new(units, json_string(*serials));
    (void)room_act(room, "check-out", json_pack("{s:o,s:s,s:b}", "units", units, "printer", printer, "confirm", 1));
    room_expect_booked(room, true);
}
#define OUT(room, printer, ...) check_out(room, (const char *const[]){__VA_ARGS__, NULL}, printer)

static struct job the_job(struct room *room, const char *id)
{
    struct job job;
    bool found = false;
    assert_true(job_load(room->reader, id, &job, &found, NULL));
    assert_true(found);
    return job;
}

static struct job running(struct room *room, const char *printer)
{
    struct job job;
    assert_true(room_job(room, printer, &job));
    return job;
}

static json_t *start(const char *printer, int need_ml)
{
    return json_pack("{s:s,s:s,s:i}", "printer", printer, "job", "kq-1042", "need_ml", need_ml);
}

static void end(struct room *room, json_t *content)
{
    (void)room_act(room, "job-end", content);
    room_expect_booked(room, true);
}

static void a_job_of_a_check_out_is_taken_over_and_keeps_its_id(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    const struct job before = running(room, "CAPSTAN");
    (void)room_act(room, "job-start",
                   json_pack("{s:s,s:s,s:f,s:s,s:s,s:s,s:s,s:[{s:s,s:i,s:f,s:i,s:i,s:i},{}]}", "printer", "CAPSTAN",
                             "job", "kq-1042", "need_ml", 120.5, "ends", "2026-03-02T18:30:00Z", "resin", "Flint",
                             "revision", "2", "name", "Gear housing", "parts", "name", "Lid", "count", 4, "x_mm", 12.5,
                             "y_mm", 8, "width_mm", 40, "depth_mm", 30));
    room_expect(room, "go", "idle", "job KQ-1042 runs on Capstan");
    assert_string_equal(json_string_value(json_object_get(room->view, "job")), before.id);
    const struct job job = running(room, "CAPSTAN");
    assert_string_equal(job.id, before.id);
    assert_string_equal(job.code, "KQ-1042");
    assert_int_equal(job.need_ul, 120500);
    assert_true(job.end_ms > job.started_ms);
    assert_int_equal(room_movements(room, MOVEMENT_JOB_START), 1);
    assert_int_equal(room_question(room, NULL), 0); /* the vat holds what the ticket asks for */
}

struct ticket {
    int64_t seq;
    struct movement movement;
};

static bool take_ticket(const struct movement *movement, void *context)
{
    struct ticket *ticket = context;
    if (movement->seq == ticket->seq)
        ticket->movement = *movement;
    return true;
}

/* Names may be of people: they are not in the chain, but in the text that can be erased. */
static void the_names_of_a_ticket_are_erasable_and_its_parts_are_numbers(void **state)
{
    struct room *room = *state;
    char names[200];
    (void)room_act(room, "job-start",
                   json_pack("{s:s,s:s,s:[{s:s,s:i,s:f,s:i,s:i,s:i},{}]}", "printer", "CAPSTAN", "name", "Gear housing",
                             "parts", "name", "Lid", "count", 4, "x_mm", 12.5, "y_mm", 8, "width_mm", 40, "depth_mm",
                             30));
    struct ticket ticket = {.seq = running(room, "CAPSTAN").ticket};
    assert_true(ledger_each(room->reader, 0, INT64_MAX, take_ticket, &ticket, NULL));
    assert_int_equal(ticket.movement.kind, MOVEMENT_JOB_TICKET);
    assert_string_equal(ticket.movement.detail, "{\"parts\":\"4:12500:8000:40000:30000 1:?:?:?:?\"}");
    assert_true(ledger_text_get(room->reader, ticket.movement.text, names, sizeof names, NULL));
    assert_string_equal(names, "Gear housing\nLid\n");
}

static void a_second_job_on_a_printer_that_prints_is_a_conflict(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    room_refuses(room, "job-start", start("CAPSTAN", 100), FAULT_CONFLICT, "CAPSTAN runs job KQ-1042");
    room_refuses(room, "job-start", start("NOWHERE", 100), FAULT_MISSING, "printer 'NOWHERE' is not known");
    room_refuses(room, "job-start", json_pack("{s:s,s:s}", "printer", "SEXTANT", "ends", "tomorrow, late"), FAULT_INPUT,
                 "'ends'");
    room_refuses(room, "job-start", json_pack("{s:s,s:[i]}", "printer", "SEXTANT", "parts", 3), FAULT_INPUT, "'parts'");
    room_refuses(room, "job-start", json_pack("{s:s,s:s}", "printer", "SEXTANT", "name", "two\nlines"), FAULT_INPUT,
                 "control character");
}

/* The first start over a clean vat: the printer has filled it, with resin, lot and fill date. */
static void the_first_start_fills_an_empty_vat_from_the_cartridges(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_empty, room->flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    const struct unit vat = room_unit(room, room->vat_empty), cartridge = room_unit(room, room->flint);
    assert_string_equal(vat.resin, "FLINT");
    assert_int_equal(vat.filled, room_today(room));
    assert_int_equal(vat.first_filled, room_today(room));
    assert_int_equal(vat.expires, cartridge.expires);
    assert_true(vat.amount_ul == MOVEMENT_NULL && cartridge.amount_ul == MOVEMENT_NULL); /* how much holds one? */
    room_expect_content(room, room->vat_empty, "?:FLINT:FL-1");
    assert_int_equal(room_unit(room, room->vat_empty).prints, 2); /* its label says something else now */
    end(room, json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done"));
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    assert_int_equal(room_movements(room, MOVEMENT_POUR), 2); /* the filling and the end; no second filling */
}

static void what_a_vat_holds_when_full_is_the_estimate_of_its_filling(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE], small[SERIAL_SIZE];
    (void)room_act(room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:i}", "code", "VAT-M", "letter", "V", "name", "Vat", "content_ml", 500));
    room_take_on(room, "VAT-M", NULL, vat);
    room_take_on(room, "FLINT",
                 json_pack("{s:s,s:o,s:i}", "lot", "FL-9", "expires", room_day(room, 20), "amount_ml", 200), small);
    OUT(room, "SEXTANT", vat, room->flint, small);
    (void)room_act(room, "job-start", start("SEXTANT", 100));
    room_expect_content(room, small, "0:FLINT:FL-9"); /* the one that expires first, until it is empty */
    room_expect_content(room, room->flint, "700000:FLINT:FL-1");
    room_expect_content(room, vat, "300000:FLINT:FL-1 200000:FLINT:FL-9");
    assert_true(room_unit(room, vat).estimated && room_unit(room, room->flint).estimated);
}

static void done_without_an_amount_uses_the_need_as_an_estimate(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 150));
    const struct job job = running(room, "CAPSTAN");
    room_pass(room, 5400);
    end(room, json_pack("{s:s,s:s}", "job", "KQ-1042", "how", "done"));
    room_expect(room, "go", "idle", "150 ml used, an estimate");
    room_expect_content(room, room->vat_flint, "250000:FLINT:VT-1");
    assert_true(room_unit(room, room->vat_flint).estimated);
    const struct job after = the_job(room, job.id);
    assert_string_equal(after.outcome, "done");
    assert_int_equal(after.used_ul, 150000);
    assert_int_equal(after.minutes, 90);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
    assert_int_equal(room_unit(room, room->vat_flint).status, UNIT_OUT); /* it stands in the printer still */
}

static void an_aborted_job_uses_its_share_in_tenths(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 150));
    room_refuses(room, "job-end",
                 json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "aborted", "done_percent", 35), FAULT_INPUT,
                 "steps of 10");
    room_refuses(
        room, "job-end",
        json_pack("{s:s,s:s,s:i,s:i}", "printer", "CAPSTAN", "how", "aborted", "done_percent", 30, "used_ml", 5),
        FAULT_INPUT, "one of");
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "aborted", "done_percent", 30));
    room_expect_content(room, room->vat_flint, "355000:FLINT:VT-1");
}

static void what_nobody_knows_is_an_unknown_amount_and_never_a_number(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", json_pack("{s:s}", "printer", "CAPSTAN"));
    end(room, json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done"));
    room_expect(room, "go", "idle", "nobody knows how much it used");
    room_expect_content(room, room->vat_flint, "?:FLINT:VT-1");
    (void)room_scan(room, room->tobias); /* and the check-in says it */
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "FILM-CLEAR");
    (void)room_press(room, "250ML");
    (void)room_scan(room, "B01");
    room_expect_content(room, room->vat_flint, "250000:FLINT:VT-1");
}

/* The printer keeps its level: what the parts took came out of the cartridge. */
static void what_the_printer_told_runs_through_the_vat_into_the_parts(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint, room->flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "done", "used_ml", 100));
    room_expect_content(room, room->flint, "900000:FLINT:FL-1");
    assert_int_equal(room_unit(room, room->vat_flint).amount_ul, 400000);
    room_expect_content(room, room->vat_flint,
                        "80000:FLINT:FL-1 320000:FLINT:VT-1"); /* 500 ml mixed, a fifth of it used */
}

static void each_cartridge_gives_what_the_printer_told_of_it(void **state)
{
    struct room *room = *state;
    char vat[SERIAL_SIZE];
    room_take_on(room, "VAT-L", NULL, vat);
    OUT(room, "SEXTANT", vat, room->flint, room->flint_more);
    (void)room_act(room, "pour", json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", vat, "amount_ml", 200));
    (void)room_act(room, "job-start", start("SEXTANT", 100));
    end(room, json_pack("{s:s,s:s,s:[{s:s,s:i},{s:s,s:f}]}", "printer", "SEXTANT", "how", "done", "cartridges", "unit",
                        room->flint, "ml", 30, "unit", room->flint_more, "ml", 70.5));
    room_expect_content(room, room->flint, "770000:FLINT:FL-1");
    room_expect_content(room, room->flint_more, "929500:FLINT:FL-1");
    room_expect_content(room, vat, "200000:FLINT:FL-1");
    assert_false(room_unit(room, vat).estimated || room_unit(room, room->flint_more).estimated);
    assert_int_equal(room_question(room, NULL), 0);
}

static void more_than_is_there_takes_what_is_there_and_asks(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    const struct job job = running(room, "CAPSTAN");
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "done", "used_ml", 700));
    room_expect_content(room, room->vat_flint, "0:FLINT:VT-1");
    assert_int_equal(the_job(room, job.id).used_ul, 700000); /* as it was told */
    assert_true(room_question(room, "more-than-booked") > 0);
}

static void a_cartridge_that_is_not_in_the_printer_gives_its_resin_all_the_same(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    end(room, json_pack("{s:s,s:s,s:[{s:s,s:i}]}", "printer", "CAPSTAN", "how", "done", "cartridges", "unit",
                        room->flint, "ml", 40));
    room_expect_content(room, room->flint, "960000:FLINT:FL-1");
    assert_true(room_question(room, "cartridge-elsewhere") > 0);
}

static void a_printer_without_a_vat_uses_of_its_cartridges(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "done", "used_ml", 100));
    room_expect_content(room, room->flint, "900000:FLINT:FL-1");
    (void)room_act(room, "job-start", start("HALYARD", 100)); /* nothing is in it by the books */
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "HALYARD", "how", "done", "used_ml", 100));
    assert_true(room_question(room, "more-than-booked") > 0);
}

static void another_resin_than_the_tickets_is_a_question(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", json_pack("{s:s,s:s}", "printer", "CAPSTAN", "resin", "Oak"));
    room_expect_booked(room, true);
    assert_true(room_question(room, "job-other-resin") > 0);
}

static void a_failed_job_puts_vat_and_platform_on_hold_until_they_are_inspected(void **state)
{
    struct room *room = *state;
    char plate[SERIAL_SIZE], other[SERIAL_SIZE];
    (void)room_act(room, "item-entry", json_pack("{s:s,s:s,s:s}", "code", "PLATE", "letter", "P", "name", "Platform"));
    room_take_on(room, "PLATE", NULL, plate);
    room_take_on(room, "PLATE", NULL, other);
    OUT(room, "CAPSTAN", room->vat_flint, plate, other, room->flint);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", other, "reason", "damaged"));
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    end(room, json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "failed"));
    room_expect(room, "go", "idle", room->vat_flint);
    assert_string_equal(room_unit(room, room->vat_flint).hold, "to-inspect");
    assert_string_equal(room_unit(room, plate).hold, "to-inspect");
    assert_string_equal(room_unit(room, other).hold, "damaged"); /* as it was */
    assert_string_equal(room_unit(room, room->flint).hold, "");
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:s},{s:s}],s:s}", "units", "unit", room->vat_flint, "film", "clear", "unit",
                             plate, "place", "B01"));
    (void)room_act(room, "check-out",
                   json_pack("{s:[s,s],s:s}", "units", room->vat_flint, plate, "printer", "HALYARD"));
    room_expect(room, "stop", "check-out", "has not been inspected since job KQ-1042 failed");
    room_expect_reason(room, "not-inspected", "The film of V");
    room_expect_no_reason(room, "on-hold");
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", plate, "printer", "HALYARD"));
    room_expect_reason(room, "not-inspected", "The surface of P");
    /* its resin may be poured out: a film can be seen when nothing is over it; none may be poured in */
    (void)room_act(room, "pour",
                   json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_flint, "amount_ml", 100));
    room_expect_reason(room, "not-inspected", "The film of V");
    (void)room_act(room, "pour",
                   json_pack("{s:s,s:s,s:i}", "from", room->vat_flint, "to", room->vat_empty, "amount_ml", 100));
    room_expect_no_reason(room, "not-inspected");
}

static void which_job_ended_is_said_by_id_code_or_printer(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-start", start("CAPSTAN", 10));
    const struct job first = running(room, "CAPSTAN");
    (void)room_act(room, "job-start", start("SEXTANT", 10));
    room_refuses(room, "job-end", json_pack("{s:s}", "how", "done"), FAULT_INPUT, "'job' or 'printer'");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "how", "done", "job", "kq-1042"), FAULT_INPUT,
                 "2 jobs called");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "how", "done", "job", "KQ-9"), FAULT_MISSING, "no job KQ-9");
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "how", "done", "printer", "HALYARD"), FAULT_MISSING,
                 "no job runs on HALYARD");
    end(room, json_pack("{s:s,s:s,s:s}", "how", "done", "job", "kq-1042", "printer", "SEXTANT"));
    end(room, json_pack("{s:s,s:s}", "how", "done", "job", first.id));
    room_refuses(room, "job-end", json_pack("{s:s,s:s}", "how", "done", "job", first.id), FAULT_CONFLICT,
                 "ended already");
}

static void an_end_is_taken_back_with_all_that_it_booked(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_flint, room->flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    const struct job before = running(room, "CAPSTAN");
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "failed", "used_ml", 80));
    char ended[ACT_ID_SIZE];
    (void)snprintf(ended, sizeof ended, "%s", room->act);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", ended));
    room_expect(room, "go", "idle", "end of a job (CAPSTAN)");
    room_expect_content(room, room->flint, "1000000:FLINT:FL-1");
    room_expect_content(room, room->vat_flint, "400000:FLINT:VT-1");
    assert_string_equal(room_unit(room, room->vat_flint).hold, "");
    const struct job after = running(room, "CAPSTAN");
    assert_string_equal(after.id, before.id);
    assert_string_equal(after.outcome, "");
    end(room, json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done")); /* and again, the right way */
}

static void a_start_is_taken_back_to_the_job_of_the_check_out(void **state)
{
    struct room *room = *state;
    OUT(room, "CAPSTAN", room->vat_empty, room->flint);
    const struct job before = running(room, "CAPSTAN");
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    char started[ACT_ID_SIZE];
    (void)snprintf(started, sizeof started, "%s", room->act);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", started));
    room_expect(room, "go", "idle", "start of job KQ-1042 (CAPSTAN)");
    const struct job after = running(room, "CAPSTAN");
    assert_string_equal(after.id, before.id);
    assert_string_equal(after.code, "");
    assert_true(after.need_ul == MOVEMENT_NULL && after.ticket == MOVEMENT_NULL);
    assert_string_equal(room_unit(room, room->vat_empty).resin, "");
    room_expect_content(room, room->flint, "1000000:FLINT:FL-1");
    (void)room_act(room, "job-start", start("HALYARD", 100)); /* a new one is ended by it */
    (void)snprintf(started, sizeof started, "%s", room->act);
    (void)room_act(room, "undo", json_pack("{s:s}", "act", started));
    struct job none;
    assert_false(room_job(room, "HALYARD", &none));
}

static void a_start_cannot_be_taken_back_once_the_job_has_ended(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "job-start", start("CAPSTAN", 100));
    char started[ACT_ID_SIZE];
    (void)snprintf(started, sizeof started, "%s", room->act);
    end(room, json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "how", "done", "used_ml", 0));
    room_refuses(room, "undo", json_pack("{s:s}", "act", started), FAULT_REFUSED, "has ended since");
}

/* The vat stays for the next job: that one is over when the printer is empty, whose ever the vat was. */
static void the_next_job_over_the_same_vat_ends_when_it_comes_back(void **state)
{
    struct room *room = *state;
    struct job none;
    OUT(room, "CAPSTAN", room->vat_flint);
    (void)room_act(room, "job-start", start("CAPSTAN", 10));
    end(room, json_pack("{s:s,s:s}", "printer", "CAPSTAN", "how", "done"));
    (void)room_act(room, "job-start", start("CAPSTAN", 20));
    const struct job second = running(room, "CAPSTAN");
    assert_string_not_equal(room_unit(room, room->vat_flint).job, second.id);
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->vat_flint, "place", "B01"));
    assert_false(room_job(room, "CAPSTAN", &none));
    assert_true(the_job(room, second.id).ended_ms != MOVEMENT_NULL);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_job_of_a_check_out_is_taken_over_and_keeps_its_id),
        IN_ROOM(the_names_of_a_ticket_are_erasable_and_its_parts_are_numbers),
        IN_ROOM(a_second_job_on_a_printer_that_prints_is_a_conflict),
        IN_ROOM(the_first_start_fills_an_empty_vat_from_the_cartridges),
        IN_ROOM(what_a_vat_holds_when_full_is_the_estimate_of_its_filling),
        IN_ROOM(done_without_an_amount_uses_the_need_as_an_estimate),
        IN_ROOM(an_aborted_job_uses_its_share_in_tenths),
        IN_ROOM(what_nobody_knows_is_an_unknown_amount_and_never_a_number),
        IN_ROOM(what_the_printer_told_runs_through_the_vat_into_the_parts),
        IN_ROOM(each_cartridge_gives_what_the_printer_told_of_it),
        IN_ROOM(more_than_is_there_takes_what_is_there_and_asks),
        IN_ROOM(a_cartridge_that_is_not_in_the_printer_gives_its_resin_all_the_same),
        IN_ROOM(a_printer_without_a_vat_uses_of_its_cartridges),
        IN_ROOM(another_resin_than_the_tickets_is_a_question),
        IN_ROOM(a_failed_job_puts_vat_and_platform_on_hold_until_they_are_inspected),
        IN_ROOM(which_job_ended_is_said_by_id_code_or_printer),
        IN_ROOM(an_end_is_taken_back_with_all_that_it_booked),
        IN_ROOM(a_start_is_taken_back_to_the_job_of_the_check_out),
        IN_ROOM(a_start_cannot_be_taken_back_once_the_job_has_ended),
        IN_ROOM(the_next_job_over_the_same_vat_ends_when_it_comes_back),
    };
    return cmocka_run_group_tests_name("desk/job", tests, room_group_setup, room_group_teardown);
}
