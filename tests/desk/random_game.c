#include "tests/desk/random_game.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/desk/job_plan.h"
#include "kiosk/desk/job_use.h"

static const char *const printers[] = {"CAPSTAN", "SEXTANT", "HALYARD"};
static const char *const shelves[] = {"A01", "A02", "B01"};
static const char *const rooms[] = {"ANNEX", "LOFT"};
static const char *const codes[] = {"KQ-1", "KQ-2", "KQ-3"};

uint64_t game_draw(struct game *game, uint64_t below)
{
    game->seed ^= game->seed << 13; /* xorshift64: Marsaglia, Xorshift RNGs, 2003 */
    game->seed ^= game->seed >> 7;
    game->seed ^= game->seed << 17;
    return game->seed % below;
}

static struct plain_unit *draw_unit(struct game *game, const char *letters)
{
    struct plain_unit *unit;
    do
        unit = &game->plain.units[game_draw(game, game->plain.unit_count)];
    while (!strchr(letters, unit->serial[0]));
    return unit;
}
void game_must_be(const char *what, const char *serial, const char *is, const char *should)
{
    if (strcmp(is, should) != 0)
        fail_msg("%s of %s is '%s', and the plain room has '%s'", what, serial, is, should);
}

/* ---- acts ---- */

static void note(struct game *game, const struct plain_unit *one, const struct plain_unit *two)
{
    if (game->journal_count == GAME_JOURNAL) {
        memmove(game->journal, game->journal + GAME_JOURNAL / 2, GAME_JOURNAL / 2 * sizeof *game->journal);
        game->journal_count = GAME_JOURNAL / 2;
    }
    struct entry *entry = &game->journal[game->journal_count++];
    *entry = (struct entry){.touched = two ? 2 : 1};
    (void)snprintf(entry->act, sizeof entry->act, "%s", game->room->act);
    entry->before[0] = *one;
    if (two)
        entry->before[1] = *two;
    memcpy(entry->moved, game->plain.accounts, sizeof entry->moved); /* those not there yet are 0 */
    entry->first_use = game->uses.count;
    game->booked++;
}

/* The plain room has done it too. */
static void seal(struct game *game)
{
    struct entry *entry = &game->journal[game->journal_count - 1];
    for (size_t i = 0; i < game->plain.account_count; i++) {
        entry->moved[i].in = game->plain.accounts[i].in - entry->moved[i].in;
        entry->moved[i].wasted = game->plain.accounts[i].wasted - entry->moved[i].wasted;
    }
    entry->last_use = game->uses.count;
}

/* True when it was booked. */
static bool done(struct game *game, const char *kind, json_t *content)
{
    struct fault fault = {0};
    const bool answered = room_try(game->room, kind, content, &fault);
    const bool booked = answered && json_is_true(json_object_get(game->room->view, "booked"));
    if (!answered && fault.code != FAULT_REFUSED && fault.code != FAULT_CONFLICT)
        fail_msg("%s: %s", kind, fault.text);
    game->refused += !booked;
    return booked;
}

/* How what speaks against it is met: what happened is said, a storekeeper lets a stop go, or an ask is answered. */
static void draw_answer(struct game *game, json_t *content)
{
    const uint64_t way = game_draw(game, 12);
    json_object_set_new(content, way == 0 ? "taken" : way < 3 ? "overrule" : "confirm", json_true());
}

static void pour(struct game *game)
{
    struct plain_unit *from = draw_unit(game, "VCR"), *to = draw_unit(game, "VCR");
    const uint64_t way = game_draw(game, game->vague ? 10 : 8);
    const bool all = way == 0 || way == 9, unknown = way == 8;
    const int64_t ul = all ? from->total : unknown ? PLAIN_UNKNOWN : (int64_t)(1 + game_draw(game, 400)) * 1000;
    json_t *content = json_pack("{s:s,s:s}", "from", from->serial, "to", to->serial);
    if (all || unknown)
        json_object_set_new(content, all ? "all" : "unknown", json_true());
    else
        json_object_set_new(content, "amount_ml", json_integer(ul / 1000));
    draw_answer(game, content);
    if (from == to || from->lot_count == 0 || (!game->vague && from->total == 0) ||
        to->lot_count + from->lot_count > PLAIN_LOTS) {
        json_decref(content);
        return;
    }
    if (!done(game, "pour", content))
        return;
    note(game, from, to);
    plain_pour(&game->plain, from, to, ul, all);
    seal(game);
}

static void clean(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VR");
    if (!done(game, "clean", json_pack("{s:s}", "unit", unit->serial)))
        return;
    note(game, unit, NULL);
    plain_clean(&game->plain, unit);
    seal(game);
}

static void say_amount(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VCR");
    const int64_t ml = (int64_t)game_draw(game, 900);
    if (unit->lot_count > 1 && unit->total == 0 && !game->vague) /* of nothing no proportion is left */
        return;
    if (!done(game, "amount", json_pack("{s:s,s:I}", "unit", unit->serial, "amount_ml", (json_int_t)ml)))
        return;
    note(game, unit, NULL);
    plain_set_total(&game->plain, unit, ml * 1000);
    seal(game);
}

static bool is_planned(struct game *game, const char *code)
{
    struct job job;
    bool found = false;
    assert_true(job_plan_find(game->room->reader, code, "", &job, &found, NULL));
    return found;
}

/* A job is planned, planned anew or withdrawn: nothing moves. */
static void plan_job(struct game *game)
{
    const char *code = codes[game_draw(game, sizeof codes / sizeof *codes)], *printer = printers[game_draw(game, 3)];
    const uint64_t way = game_draw(game, 6);
    if (way == 0 && is_planned(game, code))
        (void)done(game, "job-drop", json_pack("{s:s}", "job", code));
    else
        (void)done(game, "job-plan",
                   json_pack("{s:s,s:s,s:i,s:b}", "job", code, "printer", printer, "need_ml",
                             10 + (int)game_draw(game, 3), "print", game_draw(game, 2) == 0));
}

static void reserve_or_free(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VCR");
    const char *const whom = game_draw(game, 2) ? "KQ-KEPT" : game->room->maren;
    const bool frees = unit->kept[0] != '\0' && game_draw(game, 3) != 0;
    if (!frees && game_draw(game, 4) != 0) /* much that is kept would leave little to take */
        return;
    if (!done(game, frees ? "unreserve" : "reserve",
              frees ? json_pack("{s:s}", "unit", unit->serial)
                    : json_pack("{s:s,s:s}", "unit", unit->serial, "for", whom)))
        return;
    note(game, unit, NULL);
    (void)snprintf(unit->kept, sizeof unit->kept, "%s", frees ? "" : whom);
    seal(game);
}

/* It went to whom it was kept for. */
static void keep_no_more(struct game *game, struct plain_unit *unit)
{
    if (strcmp(unit->kept, game->room->person) == 0)
        unit->kept[0] = '\0';
}

static void take_out(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VC");
    const char *printer = printers[game_draw(game, 3)], *code = codes[game_draw(game, sizeof codes / sizeof *codes)];
    json_t *content = json_pack("{s:[s],s:s}", "units", unit->serial, "printer", printer);
    if (game_draw(game, 2) == 0 && is_planned(game, code))
        json_object_set_new(content, "job", json_string(code));
    draw_answer(game, content);
    if (!done(game, "check-out", content))
        return;
    note(game, unit, NULL);
    keep_no_more(game, unit);
    plain_take_out(unit, printer, game->room->person);
    seal(game);
}

static void lend(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VC");
    const char *annex = rooms[game_draw(game, 2)];
    const bool longer = unit->out && strcmp(unit->place, annex) == 0;
    const int days = (int)game_draw(game, 15);
    json_t *content = json_pack("{s:[s],s:s}", "units", unit->serial, "place", annex);
    json_object_set_new(content, game_draw(game, 10) == 0 ? "taken" : "confirm", json_true());
    if (days > 0)
        json_object_set_new(content, "days", json_integer(days));
    if (!done(game, "lend", content))
        return;
    note(game, unit, NULL);
    if (!longer)
        keep_no_more(game, unit);
    plain_lend(unit, annex, game->room->person, days > 0 ? room_today(game->room) + days : 0);
    seal(game);
}

static void bring_back(struct game *game)
{
    static const char *const films[] = {"clear", "fogged", "dented"};
    struct plain_unit *unit = draw_unit(game, "VC");
    const char *film = films[game_draw(game, 3)], *shelf = shelves[game_draw(game, 3)];
    const bool is_vat = unit->serial[0] == 'V';
    json_t *row = json_pack("{s:s}", "unit", unit->serial);
    if (!unit->out) {
        json_decref(row);
        return;
    }
    if (is_vat)
        json_object_set_new(row, "film", json_string(film));
    if (!done(game, "check-in", json_pack("{s:[o],s:s}", "units", row, "place", shelf)))
        return;
    note(game, unit, NULL);
    plain_bring_back(unit, shelf);
    if (is_vat && strcmp(film, "dented") == 0)
        (void)snprintf(unit->hold, sizeof unit->hold, "film-dented");
    seal(game);
}

/* What it changed is known only afterwards: the model runs on a copy first. */
static void end_job(struct game *game)
{
    static struct plain_room before;
    const char *printer = printers[game_draw(game, 3)];
    const bool says_nothing = game->vague && game_draw(game, 6) == 0;
    const int64_t ul = game_draw(game, 4) == 0 ? (int64_t)game_draw(game, 300) * 1000 : (int64_t)game_draw(game, 5000);
    struct job job;
    if (!room_job(game->room, printer, &job))
        return;
    const bool unknown = says_nothing && job.need_ul == MOVEMENT_NULL; /* else it used what it was planned to need */
    json_t *content = json_pack("{s:s,s:s}", "printer", printer, "how", "done");
    if (!unknown)
        json_object_set_new(content, "used_ml", json_real((double)ul / 1000));
    struct fault fault = {0};
    if (!room_try(game->room, "job-end", content, &fault)) {
        assert_int_equal(fault.code, FAULT_REFUSED);
        game->refused++;
        return;
    }
    before = game->plain;
    note(game, &game->plain.units[0], NULL);
    plain_end_job(&game->plain, printer, job.id, unknown ? PLAIN_UNKNOWN : ul, JOB_CARTRIDGES, &game->uses);
    seal(game);
    struct entry *entry = &game->journal[game->journal_count - 1];
    entry->touched = 0;
    for (size_t i = 0; i < game->plain.unit_count; i++)
        if (!plain_holds_the_same(&before.units[i], &game->plain.units[i])) {
            assert_true(entry->touched < GAME_TOUCHED);
            entry->before[entry->touched++] = before.units[i];
        }
}

/* An empty cartridge is retired and a full one comes, or the room would run dry. */
static void renew(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "C");
    char lot[12], serial[SERIAL_SIZE];
    const int64_t ml = 500 + (int64_t)game_draw(game, 500);
    const int last_day = 200 + (int)game_draw(game, 100);
    (void)snprintf(lot, sizeof lot, "F-%d", (int)game_draw(game, 5));
    if (unit->total != 0 || unit->out || unit->hold[0] ||
        !done(game, "retire", json_pack("{s:s,s:s,s:b}", "unit", unit->serial, "reason", "used-up", "confirm", 1)))
        return;
    json_t *more = json_pack("{s:s,s:I}", "lot", lot, "amount_ml", (json_int_t)ml);
    json_object_set_new(more, "expires", room_day(game->room, last_day));
    room_take_on(game->room, "FLINT", more, serial);
    plain_renew(&game->plain, unit, serial, "A01", "FLINT", lot, ml * 1000);
    unit->last_day = last_day;
    game->booked += 2;
}

static void put_away(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VCR");
    const char *shelf = shelves[game_draw(game, 3)];
    if (!done(game, "put-away", json_pack("{s:s,s:s}", "unit", unit->serial, "place", shelf)))
        return;
    note(game, unit, NULL);
    (void)snprintf(unit->place, sizeof unit->place, "%s", shelf);
    seal(game);
}

static void hold_or_release(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VCR");
    const bool release = unit->hold[0] != '\0';
    if (!release && game_draw(game, 4) != 0)
        return;
    if (!done(game, release ? "release" : "hold",
              release ? json_pack("{s:s}", "unit", unit->serial)
                      : json_pack("{s:s,s:s}", "unit", unit->serial, "reason", "damaged")))
        return;
    note(game, unit, NULL);
    (void)snprintf(unit->hold, sizeof unit->hold, "%s", release ? "" : "damaged");
    seal(game);
}

/* Revision 3 of Flint may come where 2 is, and may not: what is booked then is the desk's to decide. */
static void let_stand_in(struct game *game)
{
    const bool ends = game_draw(game, 2) == 0;
    json_t *content = json_pack("{s:s,s:s,s:s}", "resin", "Flint", "wanted", "2", "given", "3");
    if (game_draw(game, 10) != 0) {
        json_decref(content);
        return;
    }
    if (!ends)
        json_object_set_new(content, "until", room_day(game->room, (int)game_draw(game, 3)));
    (void)done(game, ends ? "substitution-end" : "substitution-entry", content);
}

/* Its label is lost: to pencil and paper the same thing, with another name. */
static void relabel(struct game *game)
{
    struct plain_unit *unit = draw_unit(game, "VCR");
    char old[PLAIN_TEXT];
    if (game_draw(game, 3) != 0 || !done(game, "relabel", json_pack("{s:s,s:b}", "unit", unit->serial, "confirm", 1)))
        return;
    note(game, unit, NULL);
    char *became = game->journal[game->journal_count - 1].became;
    const char *fresh = json_string_value(json_object_get(game->room->view, "serial"));
    (void)snprintf(old, sizeof old, "%s", unit->serial);
    (void)snprintf(became, PLAIN_TEXT, "%s", fresh);
    (void)snprintf(unit->serial, sizeof unit->serial, "%s", fresh);
    seal(game);
    const struct unit left = room_unit(game->room, old);
    assert_int_equal(left.status, UNIT_RELABELLED);
    game_must_be("heir", old, left.heir, unit->serial);
    (void)room_act(game->room, "prove", json_pack("{s:s}", "unit", unit->serial)); /* it is stuck on */
    game->relabelled++;
}

static void undo(struct game *game)
{
    if (game->journal_count == 0)
        return;
    const size_t back = 1 + game_draw(game, game->journal_count < 6 ? game->journal_count : 6);
    struct entry *entry = &game->journal[game->journal_count - back];
    if (entry->undone || !done(game, "undo", json_pack("{s:s}", "act", entry->act)))
        return;
    for (size_t i = 0; i < game->plain.account_count; i++) {
        game->plain.accounts[i].in -= entry->moved[i].in;
        game->plain.accounts[i].wasted -= entry->moved[i].wasted;
    }
    for (size_t i = 0; i < entry->touched; i++)
        *plain_find(&game->plain, entry->became[0] ? entry->became : entry->before[i].serial) = entry->before[i];
    for (size_t i = entry->first_use; i < entry->last_use; i++)
        game->uses.list[i].undone = true;
    entry->undone = true;
    game->undone++;
}

/* ---- the room ---- */

static void add(struct game *game, const char *item, const char *resin, const char *lot, int ml)
{
    char serial[SERIAL_SIZE];
    json_t *more = json_object();
    int last_day = 0;
    if (lot) {
        json_object_set_new(more, "lot", json_string(lot));
        json_object_set_new(more, "amount_ml", json_integer(ml));
        last_day = 200 + (int)game_draw(game, 100);
        json_object_set_new(more, "expires", room_day(game->room, last_day));
    }
    if (item[0] == 'V')
        json_object_set_new(more, "resin", resin ? json_string(resin) : json_null());
    if (item[0] == 'V' && !resin)
        json_object_del(more, "resin");
    room_take_on(game->room, item, more, serial);
    plain_add(&game->plain, serial, item[0] == 'V' ? "B01" : "A01", lot ? (resin ? resin : item) : "", lot ? lot : "",
              (int64_t)ml * 1000);
    plain_find(&game->plain, serial)->last_day = last_day;
}

void game_fill_room(struct game *game)
{
    (void)room_act(game->room, "item-entry",
                   json_pack("{s:s,s:s,s:s,s:s,s:s}", "code", "FLINT-R", "letter", "R", "name", "Flint bottle", "resin",
                             "Flint", "revision", "2"));
    for (size_t i = 0; i < sizeof rooms / sizeof *rooms; i++)
        (void)room_act(game->room, "place-entry", json_pack("{s:s,s:s}", "code", rooms[i], "kind", "room"));
    for (int i = 0; i < 12; i++) {
        char lot[12];
        (void)snprintf(lot, sizeof lot, "F-%d", i % 5);
        add(game, "FLINT", NULL, lot, 700 + 50 * i);
    }
    for (int i = 0; i < 4; i++)
        add(game, "OAK", NULL, i % 2 ? "O-1" : "O-2", 1000);
    for (int i = 0; i < 3; i++)
        add(game, "FLINT3", NULL, i % 2 ? "N-1" : "N-2", 900);
    for (int i = 0; i < 3; i++)
        add(game, "FLINT-R", NULL, "F-1", 100);
    for (int i = 0; i < 6; i++)
        add(game, i < 4 ? "VAT-S" : "VAT-L", i == 0 ? "FLINT" : NULL, i == 0 ? "F-0" : NULL, i == 0 ? 300 : 0);
}

void game_random_act(struct game *game)
{
    static void (*const acts[])(struct game *) = {
        pour,         pour,       pour,     clean,      say_amount, take_out, take_out,        lend,  reserve_or_free,
        take_out,     bring_back, put_away, bring_back, end_job,    end_job,  hold_or_release, renew, undo,
        let_stand_in, relabel,    plan_job, end_job};
    acts[game_draw(game, sizeof acts / sizeof *acts)](game);
}
