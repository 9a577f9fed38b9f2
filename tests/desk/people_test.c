#include "kiosk/desk/people.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/pins.h"
#include "kiosk/rules/permission.h"
#include "tests/desk/room.h"

/* Who may do what, training, PINs, the first storekeeper. That whoever enters a thing is told apart from whoever
 * approves it: common practice of stores, no source. */

static struct person person_of(struct room *room, const char *serial)
{
    struct person person;
    bool found = false;
    assert_true(person_load(room->reader, serial, &person, &found, NULL) && found);
    return person;
}

static bool has_pin(struct room *room, const char *serial, struct pin *pin)
{
    bool found = false;
    assert_true(pin_load(room->reader, serial, pin, &found, NULL));
    return found;
}

static void be(struct room *room, const char *serial)
{
    (void)snprintf(room->person, sizeof room->person, "%s", serial);
}

static void enter(struct room *room, const char *name, const char *role, char serial[SERIAL_SIZE])
{
    const json_t *answer = room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", name, "role", role));
    (void)snprintf(serial, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
}

/* ---- the table ---- */

static void every_act_has_its_row(void **state)
{
    (void)state;
    for (const struct act_kind *kind = desk_acts; kind->kind; kind++)
        if (!permission_find(kind->kind))
            fail_msg("act %s stands in no row of kiosk/rules/permission.c", kind->kind);
}

/* Whatever it says, an act that books is refused before it is read any further. */
static void an_auditor_reads_all_and_changes_nothing(void **state)
{
    struct room *room = *state;
    char auditor[SERIAL_SIZE];
    enter(room, "Vera", "auditor", auditor);
    be(room, auditor);
    for (const struct act_kind *kind = desk_acts; kind->kind; kind++) {
        if (permission_find(kind->kind)->roles & ROLE_AUDITOR) /* what scans and keys lead to: below */
            continue;
        json_t *content = json_object();
        if (strcmp(kind->kind, "pour") == 0) { /* these three look into the content first */
            json_decref(content);
            content = json_pack("{s:s,s:s,s:b}", "from", room->flint, "to", room->vat_flint, "all", 1);
        } else if (strcmp(kind->kind, "check-out") == 0) {
            json_decref(content);
            content = json_pack("{s:s,s:[s],s:b}", "printer", "CAPSTAN", "units", room->vat_flint, "taken", 1);
        } else if (strcmp(kind->kind, "sticker-entry") == 0) {
            json_decref(content);
            content = json_loads("{\"supplier\":\"North Resins\",\"example\":\"LOT OK-3\","
                                 "\"parts\":[{\"part\":\"lot\",\"start\":4,\"length\":4}]}",
                                 0, NULL);
        }
        room_refuses(room, kind->kind, content, FAULT_REFUSED, "an auditor reads all and books nothing");
    }
    const int64_t before = room_seq(room);
    (void)room_scan(room, auditor);
    room_expect(room, NULL, "idle", "Vera is here");
    (void)room_scan(room, room->vat_flint);
    room_expect(room, "stop", "check-out", "An auditor reads all and books nothing");
    (void)room_scan(room, "CAPSTAN");
    room_expect(room, "stop", "check-out", "An auditor reads all");
    room_expect_reason(room, "not-allowed", "technician or storekeeper takes things to a printer");
    (void)room_press(room, "TAKEN");
    room_expect(room, "stop", "check-out", "says what was taken or poured");
    (void)room_press(room, "HOLD");
    room_expect(room, "stop", "check-out", "puts things on hold");
    (void)room_scan(room, "A01");
    room_expect(room, "stop", "check-out", "puts things away");
    (void)room_press(room, "NO");
    (void)room_press(room, "DELIVERY");
    room_expect(room, "stop", "idle", "opens deliveries");
    (void)room_press(room, "UNDO");
    room_expect(room, "stop", "idle", "takes an act back");
    assert_int_equal(room_seq(room), before);
}

static void an_auditors_badge_is_proved_by_whoever_hands_it_over(void **state)
{
    struct room *room = *state;
    char auditor[SERIAL_SIZE];
    enter(room, "Vera", "auditor", auditor);
    for (int step = 0; step < 2; step++)
        (void)room_act(room, "print-mark",
                       json_pack("{s:s,s:i,s:s}", "unit", auditor, "number", 1, "state", step ? "printed" : "sent"));
    (void)room_scan(room, auditor);
    assert_int_equal(room_print(room, auditor, "", 1).state, PRINT_PRINTED);
    (void)room_scan(room, room->maren);
    (void)room_scan(room, auditor);
    assert_int_equal(room_print(room, auditor, "", 1).state, PRINT_PROVED);
    room_expect(room, NULL, "idle", "Vera is here");
}

/* A role that may not take it is a stop; that it was taken all the same is booked, and asked about. */
static void a_receiver_is_stopped_and_reality_is_booked(void **state)
{
    struct room *room = *state;
    char receiver[SERIAL_SIZE];
    enter(room, "Ines", "receiver", receiver);
    (void)room_scan(room, receiver);
    (void)room_scan(room, room->flint);
    room_expect(room, "stop", "check-out", "A technician or storekeeper takes things to a printer");
    (void)room_scan(room, "CAPSTAN");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "TAKEN");
    room_expect(room, "go", "idle", "Booked as taken");
    assert_int_equal(room_unit(room, room->flint).status, UNIT_OUT);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, receiver);
    (void)room_press(room, "500ML");
    (void)room_scan(room, "A01");
    room_expect(room, "go", "idle", "is back");
    be(room, receiver);
    room_refuses(room, "check-out", json_pack("{s:s,s:[s]}", "printer", "CAPSTAN", "units", room->flint), FAULT_REFUSED,
                 "a technician or storekeeper takes things to a printer");
}

static void a_technician_neither_receives_nor_enters(void **state)
{
    struct room *room = *state;
    be(room, room->tobias);
    room_refuses(room, "delivery-open", json_pack("{s:s}", "supplier", "North Resins"), FAULT_REFUSED,
                 "a receiver or storekeeper opens deliveries");
    room_refuses(room, "place-entry", json_pack("{s:s,s:s}", "code", "C01", "kind", "shelf"), FAULT_REFUSED,
                 "a storekeeper enters");
    room_refuses(room, "reprint", json_pack("{s:s}", "unit", room->flint), FAULT_REFUSED, "has labels printed again");
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "A02"));
}

/* Not trained is a stop; that it was poured all the same is booked, and asked about. */
static void who_is_not_trained_does_not_pour(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s,s:[s]}", "name", "Jarl", "role", "technician", "serial", room->jarl,
                             "training", "retire"));
    json_t *content = json_pack("{s:s,s:s,s:i}", "from", room->flint, "to", room->vat_flint, "amount_ml", 100);
    be(room, room->jarl);
    room_refuses(room, "pour", json_incref(content), FAULT_REFUSED,
                 "this needs the training 'pour', which is not entered for this badge");
    (void)room_scan(room, room->jarl);
    (void)room_scan(room, room->flint);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "POUR");
    room_expect_reason(room, "not-trained", "This needs the training 'pour'");
    (void)room_press(room, "100ML");
    room_expect(room, "stop", "pour", "This needs the training 'pour'");
    room_expect_booked(room, false);
    (void)room_press(room, "YES");
    room_expect_booked(room, false);
    (void)room_press(room, "TAKEN");
    room_expect_booked(room, true);
    assert_true(room_question(room, "poured") > 0);
    be(room, room->tobias);
    (void)room_act(room, "pour", content);
    room_expect_booked(room, true);
}

/* ---- entries ---- */

static void a_person_is_changed_by_the_badge_and_gets_no_second_one(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Jarl Vik", "role", "receiver", "serial", room->jarl));
    const struct person person = person_of(room, room->jarl);
    bool found = false;
    assert_string_equal(person.name, "Jarl Vik");
    assert_string_equal(person.role, "receiver");
    struct print print;
    assert_true(print_load(room->reader, room->jarl, "", 2, &print, &found, NULL));
    assert_false(found);
    room_refuses(room, "person-entry",
                 json_pack("{s:s,s:s,s:s}", "name", "X", "role", "receiver", "serial", "H999999X"), FAULT_MISSING,
                 "'H999999X' is not known here");
}

static void the_last_storekeeper_stays_one(void **state)
{
    struct room *room = *state;
    room_refuses(room, "person-entry",
                 json_pack("{s:s,s:s,s:s}", "name", "Maren", "role", "technician", "serial", room->maren),
                 FAULT_REFUSED, "is the last storekeeper");
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Jarl", "role", "storekeeper", "serial", room->jarl));
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Maren", "role", "technician", "serial", room->maren));
    room_refuses(room, "place-entry", json_pack("{s:s,s:s}", "code", "C01", "kind", "shelf"), FAULT_REFUSED,
                 "a storekeeper enters");
}

static void training_is_entered_kept_and_taken_away(void **state)
{
    struct room *room = *state;
    char serial[SERIAL_SIZE];
    enter(room, "Ada", "technician", serial);
    assert_string_equal(person_of(room, serial).training, ""); /* who says nothing of it says none */
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s,s:[s,s]}", "name", "Jarl", "role", "technician", "serial", room->jarl,
                             "training", "retire", "pour"));
    assert_string_equal(person_of(room, room->jarl).training, "pour retire");
    (void)room_act(room, "person-entry", /* who does not speak of it takes nothing away */
                   json_pack("{s:s,s:s,s:s}", "name", "Jarl Vik", "role", "receiver", "serial", room->jarl));
    assert_string_equal(person_of(room, room->jarl).training, "pour retire");
    (void)room_act(
        room, "person-entry",
        json_pack("{s:s,s:s,s:s,s:[]}", "name", "Jarl", "role", "technician", "serial", room->jarl, "training"));
    assert_string_equal(person_of(room, room->jarl).training, "");
}

static void malformed_persons_are_refused_with_a_sentence(void **state)
{
    static const char *const cases[][3] = {
        {"name", NULL, "'name' is missing"},
        {"name", "\"\"", "'name' is missing"},
        {"name", "7", "'name' is not a text"},
        {"name", "\"a\\u0007b\"", "'name' holds a control character at place 2"},
        {"name", "\"A name that goes on and on and on, longer than anybody could print it on a badge\"",
         "'name' is longer"},
        {"role", NULL, "'role' is missing"},
        {"role", "\"boss\"", "'role' is 'boss', not one of technician, receiver, counter, storekeeper, auditor"},
        {"rolle", "\"x\"", "'rolle' is not known here: known are name, role, serial, training"},
        {"training", "\"pour\"", "'training' is a list of words: known are pour and retire"},
        {"training", "[\"pore\"]", "'training' is a list of words"},
        {"training", "[\"pour\",7]", "'training' is a list of words"},
    };
    struct room *room = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        json_t *content = json_pack("{s:s,s:s}", "name", "Ada", "role", "technician");
        if (cases[i][1])
            json_object_set_new(content, cases[i][0], json_loads(cases[i][1], JSON_DECODE_ANY, NULL));
        else
            json_object_del(content, cases[i][0]);
        room_refuses(room, "person-entry", content, FAULT_INPUT, cases[i][2]);
    }
}

/* ---- the first storekeeper ---- */

static void an_empty_room_lets_nobody_enter_anything_without_the_code(void **state)
{
    struct room *room = *state;
    char maren[SERIAL_SIZE];
    struct pin pin;
    room_refuses(room, "person-entry", json_pack("{s:s,s:s}", "name", "Eve", "role", "storekeeper"), FAULT_REFUSED,
                 "this room has no storekeeper yet: enter the first one on the page Room, with the code");
    room_refuses(room, "place-entry", json_pack("{s:s,s:s}", "code", "A01", "kind", "shelf"), FAULT_REFUSED,
                 "no storekeeper yet");
    room_refuses(room, "enrol", json_pack("{s:s}", "name", "Eve"), FAULT_APPROVAL, "needs the code");
    room_enrol(room, "Maren Østby", maren);
    assert_int_equal(maren[0], 'H');
    assert_string_equal(person_of(room, maren).role, "storekeeper");
    assert_int_equal(room_print(room, maren, "", 1).state, PRINT_WAITING); /* the badge's label is ordered */
    assert_true(has_pin(room, maren, &pin));
    assert_string_equal(pin.hash, "no PIN has this hash");
    room_refuses(room, "person-entry", json_pack("{s:s,s:s}", "name", "Eve", "role", "storekeeper"), FAULT_REFUSED,
                 "a storekeeper enters"); /* from now on */
    be(room, maren);
    (void)room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", "Jarl", "role", "technician"));
    (void)room_scan(room, maren);
    room_expect(room, NULL, "idle", "Maren Østby is here");
}

static void the_code_counts_once(void **state)
{
    struct room *room = *state;
    char maren[SERIAL_SIZE];
    room_enrol(room, "Maren", maren);
    (void)snprintf(room->aside, sizeof room->aside, "another hash");
    room_refuses(room, "enrol", json_pack("{s:s}", "name", "Eve"), FAULT_REFUSED, "the code counts no more");
    room_refuses(room, "enrol", json_pack("{s:s}", "person", maren), FAULT_REFUSED, "the code counts no more");
    room->desk.enrols_again = true; /* the kiosk was started so */
    room_refuses(room, "enrol", json_pack("{s:s}", "name", "Eve"), FAULT_REFUSED, "this room has a storekeeper");
    room_refuses(room, "enrol", json_object(), FAULT_INPUT, "'person' is missing");
    room_refuses(room, "enrol", json_pack("{s:s,s:s}", "name", "Eve", "person", maren), FAULT_INPUT, "'name'");
    (void)room_act(room, "enrol", json_pack("{s:s}", "person", maren));
    struct pin pin;
    assert_true(has_pin(room, maren, &pin));
    assert_string_equal(pin.hash, "another hash");
}

/* ---- PINs ---- */

static void a_pin_is_issued_by_a_storekeeper_with_a_pin_to_a_storekeeper(void **state)
{
    struct room *room = *state;
    char other[SERIAL_SIZE];
    struct pin pin;
    enter(room, "Asta", "storekeeper", other);
    (void)snprintf(room->aside, sizeof room->aside, "a hash");
    room_refuses(room, "pin-issue", json_pack("{s:s}", "person", room->tobias), FAULT_REFUSED,
                 "a PIN is for storekeepers");
    room_refuses(room, "pin-issue", json_pack("{s:s}", "person", "H999999X"), FAULT_MISSING, "is not known here");
    room->approver[0] = '\0';
    room_refuses(room, "pin-issue", json_pack("{s:s}", "person", other), FAULT_APPROVAL, "needs a storekeeper's PIN");
    (void)snprintf(room->approver, sizeof room->approver, "%s", room->maren);
    (void)room_act(room, "pin-issue", json_pack("{s:s}", "person", other));
    room_expect(room, "go", "idle", "Asta has a new PIN. It is shown once");
    assert_true(has_pin(room, other, &pin));
    assert_string_equal(pin.hash, "a hash");
    struct movement issued;
    bool found = false;
    assert_true(ledger_last_of_unit(room->reader, other, MOVEMENT_PIN_ISSUE, &issued, &found, NULL) && found);
    assert_string_equal(issued.person, room->maren);
    room->aside[0] = '\0';
    room_refuses(room, "pin-issue", json_pack("{s:s}", "person", other), FAULT_REFUSED, "made by the kiosk itself");
}

static void who_is_no_storekeeper_any_more_or_has_left_has_no_pin(void **state)
{
    struct room *room = *state;
    char other[SERIAL_SIZE];
    struct pin pin;
    for (int leaves = 0; leaves < 2; leaves++) {
        enter(room, "Asta", "storekeeper", other);
        (void)snprintf(room->aside, sizeof room->aside, "a hash");
        (void)room_act(room, "pin-issue", json_pack("{s:s}", "person", other));
        assert_true(has_pin(room, other, &pin));
        (void)(leaves ? room_act(room, "name-erase", json_pack("{s:s}", "person", other))
                      : room_act(room, "person-entry",
                                 json_pack("{s:s,s:s,s:s}", "name", "Asta", "role", "auditor", "serial", other)));
        assert_false(has_pin(room, other, &pin));
    }
}

static void tries_are_counted_and_a_right_one_forgets_them(void **state)
{
    struct room *room = *state;
    struct pin pin;
    room_refuses(room, "pin-tried", json_pack("{s:s}", "person", room->maren), FAULT_REFUSED, "only the kiosk itself");
    (void)snprintf(room->aside, sizeof room->aside, "wrong");
    for (int i = 1; i <= 4; i++) {
        (void)room_act(room, "pin-tried", json_pack("{s:s}", "person", room->maren));
        room_pass(room, 7);
        assert_true(has_pin(room, room->maren, &pin));
        assert_int_equal(pin.wrong, i);
    }
    room_restart(room); /* forgets nothing */
    assert_true(has_pin(room, room->maren, &pin));
    assert_int_equal(pin.wrong, 4);
    assert_true(pin.tried_ms > 0);
    (void)snprintf(room->aside, sizeof room->aside, "right");
    (void)room_act(room, "pin-tried", json_pack("{s:s}", "person", room->maren));
    assert_true(has_pin(room, room->maren, &pin));
    assert_int_equal(pin.wrong, 0);
    (void)room_act(room, "pin-tried", json_pack("{s:s}", "person", room->tobias)); /* has none: nothing to count */
}

static void a_release_is_approved_and_the_ledger_says_by_whom(void **state)
{
    struct room *room = *state;
    char other[SERIAL_SIZE];
    enter(room, "Asta", "storekeeper", other);
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
    room->approver[0] = '\0';
    room_refuses(room, "release", json_pack("{s:s}", "unit", room->flint), FAULT_APPROVAL,
                 "a storekeeper approves what is released: it needs a storekeeper's PIN");
    (void)snprintf(room->approver, sizeof room->approver, "%s", room->tobias); /* no longer one, say */
    room_refuses(room, "release", json_pack("{s:s}", "unit", room->flint), FAULT_APPROVAL, "is none");
    (void)snprintf(room->approver, sizeof room->approver, "%s", other);
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    struct movement approval;
    bool found = false;
    assert_true(ledger_last_of_unit(room->reader, other, MOVEMENT_APPROVAL, &approval, &found, NULL) && found);
    assert_string_equal(approval.word, "release");
    assert_string_equal(approval.person, room->maren); /* who did it, and who approved it */
}

static void taking_back_what_another_did_needs_a_pin_and_ones_own_does_not(void **state)
{
    struct room *room = *state;
    room->approver[0] = '\0';
    be(room, room->tobias);
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "A02"));
    (void)room_act(room, "undo", json_object());
    (void)room_act(room, "put-away", json_pack("{s:s,s:s}", "unit", room->flint, "place", "A02"));
    be(room, room->jarl);
    room_refuses(room, "undo", json_object(), FAULT_APPROVAL, "approves taking back what another person did");
    (void)room_scan(room, room->jarl);
    (void)room_press(room, "UNDO");
    room_expect(room, "ask", "idle", "Take back what another person did?");
    room_refuses(room, "press", json_pack("{s:s}", "word", "YES"), FAULT_APPROVAL, "needs a storekeeper's PIN");
    char card[UNIT_LABEL_TEXT_SIZE];
    size_t length = 0;
    assert_true(card_label_write("YES", card, &length, NULL));
    (void)room_scan_bytes(room, card, length, "]d2"); /* a card has no PIN */
    room_expect(room, "ask", "idle", "press the key Yes on the page, and give the PIN");
    assert_string_equal(room_unit(room, room->flint).place, "A02");
    (void)snprintf(room->approver, sizeof room->approver, "%s", room->maren);
    (void)room_press(room, "YES");
    room_expect(room, "go", "idle", "Taken back");
    assert_string_equal(room_unit(room, room->flint).place, "A01");
}

#define IN_ROOM(test)       cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)
#define IN_EMPTY_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup_empty, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_act_has_its_row),
        IN_ROOM(an_auditor_reads_all_and_changes_nothing),
        IN_ROOM(an_auditors_badge_is_proved_by_whoever_hands_it_over),
        IN_ROOM(a_receiver_is_stopped_and_reality_is_booked),
        IN_ROOM(a_technician_neither_receives_nor_enters),
        IN_ROOM(who_is_not_trained_does_not_pour),
        IN_ROOM(a_person_is_changed_by_the_badge_and_gets_no_second_one),
        IN_ROOM(the_last_storekeeper_stays_one),
        IN_ROOM(training_is_entered_kept_and_taken_away),
        IN_ROOM(malformed_persons_are_refused_with_a_sentence),
        IN_EMPTY_ROOM(an_empty_room_lets_nobody_enter_anything_without_the_code),
        IN_EMPTY_ROOM(the_code_counts_once),
        IN_ROOM(a_pin_is_issued_by_a_storekeeper_with_a_pin_to_a_storekeeper),
        IN_ROOM(who_is_no_storekeeper_any_more_or_has_left_has_no_pin),
        IN_ROOM(tries_are_counted_and_a_right_one_forgets_them),
        IN_ROOM(a_release_is_approved_and_the_ledger_says_by_whom),
        IN_ROOM(taking_back_what_another_did_needs_a_pin_and_ones_own_does_not),
    };
    return cmocka_run_group_tests_name("desk/people", tests, room_group_setup, room_group_teardown);
}
