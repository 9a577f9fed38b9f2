#include "tests/desk/room.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/contents.h"

/* ---- what the view says ---- */

static const char *text(const json_t *object, const char *key)
{
    const char *value = json_string_value(json_object_get(object, key));
    return value ? value : "(null)";
}

void room_expect(struct room *room, const char *verdict, const char *step, const char *title_holds)
{
    if (strcmp(text(room->view, "verdict"), verdict ? verdict : "(null)") != 0 ||
        strcmp(text(room->view, "step"), step) != 0 || !strstr(text(room->view, "title"), title_holds))
        fail_msg("the view says %s, step %s, '%s'; not %s, %s, '%s'", text(room->view, "verdict"),
                 text(room->view, "step"), text(room->view, "title"), verdict ? verdict : "no verdict", step,
                 title_holds);
}

static const json_t *reason(const struct room *room, const char *code)
{
    size_t i;
    json_t *row;
    json_array_foreach(json_object_get(room->view, "reasons"), i, row)
    {
        if (strcmp(text(row, "code"), code) == 0)
            return row;
    }
    return NULL;
}

void room_expect_reason(struct room *room, const char *code, const char *sentence_holds)
{
    const json_t *row = reason(room, code);
    if (!row || !strstr(text(row, "sentence"), sentence_holds))
        fail_msg("reason %s: '%s', not '%s' (title '%s')", code, row ? text(row, "sentence") : "is not there",
                 sentence_holds, text(room->view, "title"));
}

void room_expect_no_reason(struct room *room, const char *code)
{
    if (reason(room, code))
        fail_msg("reason %s is there: '%s'", code, text(reason(room, code), "sentence"));
}

void room_expect_key(struct room *room, const char *word, bool there)
{
    size_t i;
    json_t *row;
    bool found = false;
    json_array_foreach(json_object_get(room->view, "keys"), i, row)
    {
        found = found || strcmp(text(row, "word"), word) == 0;
    }
    if (found != there)
        fail_msg("key %s is %s", word, found ? "there" : "not there");
}

void room_expect_booked(struct room *room, bool booked)
{
    if (json_is_true(json_object_get(room->view, "booked")) != booked)
        fail_msg("booked is not %s (title '%s')", booked ? "true" : "false", text(room->view, "title"));
}

void room_expect_undo(struct room *room, const char *sentence_holds)
{
    const json_t *undo = json_object_get(room->view, "undo");
    if (!sentence_holds ? !json_is_null(undo) : !strstr(text(undo, "sentence"), sentence_holds))
        fail_msg("undo says '%s', not '%s'", text(undo, "sentence"), sentence_holds ? sentence_holds : "nothing");
}

/* ---- what the ledger says ---- */

int64_t room_seq(struct room *room)
{
    int64_t seq = -1;
    uint8_t hash[HASH_BYTES];
    assert_true(ledger_head(room->reader, &seq, hash, NULL));
    return seq;
}

struct unit room_unit(struct room *room, const char *serial)
{
    struct unit unit;
    bool found = false;
    assert_true(unit_load(room->reader, serial, &unit, &found, NULL));
    if (!found)
        fail_msg("unit '%s' is not there", serial);
    return unit;
}

void room_expect_content(struct room *room, const char *serial, const char *lots)
{
    const struct unit unit = room_unit(room, serial);
    struct contents contents;
    struct fault fault = {0};
    char written[CONTENTS_TEXT_SIZE];
    if (!contents_load(room->reader, &unit, &contents, &fault))
        fail_msg("%s", fault.text);
    contents_write(&contents, written);
    assert_string_equal(written, lots);
}

struct print room_print(struct room *room, const char *unit, const char *place, int64_t number)
{
    struct print print;
    bool found = false;
    assert_true(print_load(room->reader, unit, place, number, &print, &found, NULL));
    if (!found)
        fail_msg("label %d of '%s%s' is not there", (int)number, unit, place);
    return print;
}

struct kind_count {
    enum movement_kind kind;
    int64_t count;
};

static bool count_kind(const struct movement *movement, void *context)
{
    struct kind_count *count = context;
    count->count += movement->kind == count->kind;
    return true;
}

int64_t room_movements(struct room *room, enum movement_kind kind)
{
    struct kind_count count = {.kind = kind};
    assert_true(ledger_each(room->reader, 0, INT64_MAX, count_kind, &count, NULL));
    return count.count;
}

struct open_question {
    const char *code;
    int64_t seq;
};

static bool take_question(const struct question *question, void *context)
{
    struct open_question *open = context;
    if (open->seq == 0 && (!open->code || strcmp(open->code, question->code) == 0))
        open->seq = question->seq;
    return true;
}

int64_t room_question(struct room *room, const char *code)
{
    struct open_question open = {.code = code};
    assert_true(question_each_open(room->reader, 1000, take_question, &open, NULL));
    return open.seq;
}

bool room_job(struct room *room, const char *machine, struct job *job)
{
    bool found = false;
    assert_true(job_load_running(room->reader, machine, job, &found, NULL));
    return found;
}

void room_expect_check_in_first(struct room *room, const char *word)
{
    (void)room_act(room, "check-out",
                   json_pack("{s:[s],s:s,s:b}", "units", room->vat_flint, "printer", "CAPSTAN", "confirm", 1));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, room->vat_flint);
    (void)room_press(room, "6H");
    (void)room_press(room, word);
    room_expect(room, "ask", "check-in", "Finish bringing V");
    (void)room_press(room, "FILM-CLEAR");
    (void)room_scan(room, "B01");
    assert_int_equal(room_unit(room, room->vat_flint).minutes, 16 * 60);
}
