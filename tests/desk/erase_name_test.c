#include "kiosk/desk/erase_name.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/erasure.h"
#include "tests/desk/room.h"

/* The right to be forgotten: Regulation (EU) 2016/679, article 17. What a badge may do after: common practice, no
 * source. Each teardown verifies chain, texts and rows. */

static json_t *person_of(const char *serial)
{
    return json_pack("{s:s}", "person", serial);
}

static char *export_of(const char *address)
{
    char *text = NULL;
    size_t length = 0;
    struct fault fault = {0};
    FILE *out = open_memstream(&text, &length);
    assert_non_null(out);
    if (!ledger_export(address, out, &fault))
        fail_msg("%s", fault.text);
    assert_int_equal(fclose(out), 0);
    return text;
}

/* Does the ledger hold the word anywhere that an export shows, or in a counter's session? */
static bool holds(struct room *room, const char *word)
{
    char *text = export_of(room->place.address), *state = malloc(SESSION_STATE_SIZE);
    assert_non_null(state);
    assert_true(session_load(room->reader, "front", state, SESSION_STATE_SIZE, NULL));
    const bool found = strstr(text, word) != NULL || strstr(state, word) != NULL;
    free(text);
    free(state);
    return found;
}

static void enter(struct room *room, const char *name, char serial[SERIAL_SIZE])
{
    const json_t *answer = room_act(room, "person-entry", json_pack("{s:s,s:s}", "name", name, "role", "technician"));
    (void)snprintf(serial, SERIAL_SIZE, "%s", json_string_value(json_object_get(answer, "serial")));
}

static void a_name_is_gone_from_everything_that_held_it(void **state)
{
    struct room *room = *state;
    char skua[SERIAL_SIZE];
    enter(room, "Skua \"the tern\" \xC3\x98", skua); /* quotes and more than ASCII: JSON writes them another way */
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Skua", "role", "technician", "serial", skua)); /* named twice */
    (void)room_scan(room, skua);
    room_expect(room, NULL, "idle", "Skua is here");
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN-1");
    room_expect(room, "go", "idle", "Booked");
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->flint, "amount_ml", 900, "place", "A01"));
    (void)room_scan(room, skua); /* and stands at the counter still */
    assert_true(holds(room, "Skua"));

    (void)room_act(room, "name-erase", person_of(skua));
    assert_non_null(strstr(json_string_value(json_object_get(room->view, "title")), "is erased"));
    assert_false(holds(room, "Skua"));
    assert_false(holds(room, "the tern"));
    struct person person;
    bool found = false;
    assert_true(person_load(room->reader, skua, &person, &found, NULL) && found);
    assert_string_equal(person.name, "");
    assert_string_equal(person.role, "left");
    assert_int_equal(room_movements(room, MOVEMENT_NAME_ERASE), 1);
    (void)room_scan(room, room->oak); /* nobody is signed in any more */
    assert_true(json_is_null(json_object_get(room->view, "person")));
    assert_false(holds(room, "Skua")); /* nothing brings it back */
    room_restart(room);
    assert_false(holds(room, "Skua"));
}

static void the_badge_of_somebody_who_left_opens_nothing(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "name-erase", person_of(room->jarl));
    (void)room_scan(room, room->jarl);
    room_expect(room, "stop", "idle", "counts no more");
    assert_true(json_is_null(json_object_get(room->view, "person")));
    (void)snprintf(room->person, sizeof room->person, "%s", room->jarl);
    room_refuses(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "dropped"), FAULT_REFUSED,
                 "counts no more");
}

static void a_person_who_comes_back_is_entered_anew(void **state)
{
    struct room *room = *state;
    (void)room_act(room, "name-erase", person_of(room->jarl));
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Petrel", "role", "technician", "serial", room->jarl));
    (void)room_scan(room, room->jarl);
    room_expect(room, NULL, "idle", "Petrel is here");
    (void)room_act(room, "name-erase", person_of(room->jarl));
    assert_false(holds(room, "Petrel"));
}

static void whoever_may_not_or_cannot_is_refused(void **state)
{
    struct room *room = *state;
    room_refuses(room, "name-erase", person_of("H999999X"), FAULT_MISSING, "not known");
    room_refuses(room, "name-erase", json_object(), FAULT_INPUT, "person");
    room_refuses(room, "name-erase", person_of(room->maren), FAULT_REFUSED, "the last storekeeper");
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint, "printer", "CAPSTAN", "confirm", 1));
    assert_string_equal(room_unit(room, room->flint).holder, room->maren);
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Tobias", "role", "storekeeper", "serial", room->tobias));
    room_refuses(room, "name-erase", person_of(room->maren), FAULT_REFUSED, room->flint); /* still has it out */
    (void)room_act(room, "name-erase", person_of(room->jarl));
    room_refuses(room, "name-erase", person_of(room->jarl), FAULT_REFUSED, "erased already");
    (void)snprintf(room->person, sizeof room->person, "%s", room->tobias);
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Tobias", "role", "storekeeper", "serial", room->tobias));
    (void)room_act(room, "person-entry",
                   json_pack("{s:s,s:s,s:s}", "name", "Maren", "role", "technician", "serial", room->maren));
    (void)snprintf(room->person, sizeof room->person, "%s", room->maren);
    room_refuses(room, "name-erase", person_of(room->tobias), FAULT_REFUSED, "storekeeper");
}

static void another_of_the_same_name_and_words_that_hold_it_stay(void **state)
{
    struct room *room = *state;
    char one[SERIAL_SIZE], other[SERIAL_SIZE];
    struct person person;
    bool found = false;
    enter(room, "Ann", one);
    enter(room, "Ann", other);
    room_open_delivery(room);
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint_old, "printer", "CAPSTAN", "taken", 1));
    const int64_t question = room_question(room, NULL);
    assert_true(question > 0);
    (void)room_act(room, "settle", json_pack("{s:I,s:s}", "question", question, "how", "Annual check, Ann saw it"));
    (void)room_act(room, "check-in",
                   json_pack("{s:[{s:s,s:i}],s:s}", "units", "unit", room->flint_old, "amount_ml", 1, "place", "A01"));
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->flint_old, "printer", "CAPSTAN", "taken", 1));
    (void)room_act(room, "settle",
                   json_pack("{s:I,s:s}", "question", room_question(room, NULL), "how", "Annual check, all well"));
    (void)room_act(room, "name-erase", person_of(one));
    assert_true(person_load(room->reader, other, &person, &found, NULL) && found);
    assert_string_equal(person.name, "Ann");
    assert_true(holds(room, "Annual check, all well"));
    assert_false(holds(room, "Ann saw it")); /* a note that names the person is about the person */
}

static void the_act_that_entered_the_name_tells_nothing_any_more(void **state)
{
    struct room *room = *state;
    char skua[SERIAL_SIZE], id[ACT_ID_SIZE];
    enter(room, "Skua", skua);
    memcpy(id, room->act, sizeof id);
    (void)room_act(room, "name-erase", person_of(skua));
    char *text = export_of(room->place.address), needle[80];
    (void)snprintf(needle, sizeof needle, "\"%s\"", id);
    const char *line = strstr(text, needle);
    for (; line && !strstr(line, "\"digest\""); line = strstr(line + 1, needle))
        ;
    assert_non_null(line);
    assert_non_null(strstr(text, "0000000000000000000000000000000000000000000000000000000000000000"));
    free(text);
}

static void an_export_carries_the_erased_state(void **state)
{
    struct room *room = *state;
    struct ledger_fixture other;
    struct fault fault = {0};
    int64_t movements = 0;
    (void)room_act(room, "name-erase", person_of(room->tobias));
    char *text = export_of(room->place.address);
    ledger_fixture_create(&other);
    FILE *in = fmemopen(text, strlen(text), "r");
    if (!ledger_import(other.address, in, &movements, &fault))
        fail_msg("%s", fault.text);
    (void)fclose(in);
    char *again = export_of(other.address);
    assert_string_equal(again, text);
    assert_null(strstr(again, "Tobias"));
    free(text);
    free(again);
    ledger_fixture_destroy(&other);
}

static void only_whole_words_are_replaced(void **state)
{
    static const struct {
        const char *text, *becomes;
    } cases[] = {
        {"Ann", "H1"},
        {"Ann: check-out of V1", "H1: check-out of V1"},
        {"Annual, MAnn, Ann2, Ann\xC3\xA9", "Annual, MAnn, Ann2, Ann\xC3\xA9"},
        {"(Ann) Ann,Ann", "(H1) H1,H1"},
        {"", ""},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        char *made = erasure_replace(cases[i].text, "Ann", "H1");
        assert_string_equal(made, cases[i].becomes);
        free(made);
    }
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(a_name_is_gone_from_everything_that_held_it),
        IN_ROOM(the_badge_of_somebody_who_left_opens_nothing),
        IN_ROOM(a_person_who_comes_back_is_entered_anew),
        IN_ROOM(whoever_may_not_or_cannot_is_refused),
        IN_ROOM(another_of_the_same_name_and_words_that_hold_it_stay),
        IN_ROOM(the_act_that_entered_the_name_tells_nothing_any_more),
        IN_ROOM(an_export_carries_the_erased_state),
        cmocka_unit_test(only_whole_words_are_replaced),
    };
    return cmocka_run_group_tests_name("desk/erase_name", tests, room_group_setup, room_group_teardown);
}
