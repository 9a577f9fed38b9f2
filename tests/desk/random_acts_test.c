#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/apply.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/trace_account.h"
#include "tests/desk/random_game.h"

/* Random acts by the real desk and writer beside a plain model of the room (plain_room.h), which is told only whether
 * an act was booked: every row as the model has it, no drop of any lot lost, no unit in two places, what is taken back
 * is as before, the past of any unit at any instant as it was, and of each lot told how much is where now, went into
 * which job, was wasted, and is not accounted for. 2 000 acts; AMBERSHELF_TEST_LONG=1: 100 000. The
 * room's teardown verifies the ledger. */

enum { ACTS = 2000, ACTS_LONG = 100000, LOOK_EVERY = 50, ACCOUNTS = 4 };

/* ---- what the ledger says ---- */

static void contents_text(struct room *room, const struct unit *unit, char text[CONTENTS_TEXT_SIZE])
{
    struct contents contents;
    struct fault fault = {0};
    if (!contents_load(room->reader, unit, &contents, &fault))
        fail_msg("%s", fault.text);
    contents_write(&contents, text);
}

static void plain_text(const struct plain_unit *unit, char text[CONTENTS_TEXT_SIZE])
{
    size_t at = 0;
    text[0] = '\0';
    for (size_t i = 0; i < unit->lot_count; i++) {
        char number[24] = "?";
        if (unit->lots[i].ul != PLAIN_UNKNOWN)
            (void)snprintf(number, sizeof number, "%lld", (long long)unit->lots[i].ul);
        at += (size_t)snprintf(text + at, CONTENTS_TEXT_SIZE - at, "%s%s:%s:%s", i > 0 ? " " : "", number,
                               unit->lots[i].item, unit->lots[i].lot);
    }
}

static void compare(const struct plain_unit *plain, const struct unit *unit)
{
    game_must_be("place", plain->serial, unit->place, plain->place);
    game_must_be("printer", plain->serial, unit->printer, plain->printer);
    game_must_be("holder", plain->serial, unit->holder, plain->holder);
    game_must_be("hold", plain->serial, unit->hold, plain->hold);
    assert_int_equal(unit->status, plain->out ? UNIT_OUT : UNIT_IN);
    assert_int_equal(unit->due == MOVEMENT_NULL ? 0 : unit->due, plain->due);
    game_must_be("whom it is kept for", plain->serial, unit->reserved, plain->kept);
    assert_true(unit->reserved[0] == '\0' || unit->status == UNIT_IN || unit->status == UNIT_OUT);
    assert_true(unit->place[0] == '\0' ||
                unit->printer[0] == '\0'); /* nowhere twice: lent, it is with somebody there */
    assert_true((unit->status == UNIT_OUT) == (unit->holder[0] != '\0'));
}

static int64_t sum_of_lot(void *context, const char *item, const char *lot)
{
    struct game *game = context;
    int64_t sum = 0;
    for (size_t i = 0; i < game->plain.unit_count; i++) {
        const struct unit unit = room_unit(game->room, game->plain.units[i].serial);
        struct contents contents;
        struct fault fault = {0};
        assert_true(contents_load(game->room->reader, &unit, &contents, &fault));
        for (size_t j = 0; j < contents.count; j++)
            if (strcmp(contents.lots[j].item, item) == 0 && strcmp(contents.lots[j].lot, lot) == 0)
                sum += contents.lots[j].amount_ul;
    }
    return sum;
}

static void look(struct game *game)
{
    for (size_t i = 0; i < game->plain.unit_count; i++) {
        const struct plain_unit *plain = &game->plain.units[i];
        const struct unit unit = room_unit(game->room, plain->serial);
        char is[CONTENTS_TEXT_SIZE], should[CONTENTS_TEXT_SIZE];
        compare(plain, &unit);
        contents_text(game->room, &unit, is);
        plain_text(plain, should);
        game_must_be("content", plain->serial, is, should);
        if (plain->lot_count > 0)
            assert_int_equal(unit.amount_ul, plain->total);
    }
    const char *trouble = plain_balance(&game->plain, &game->uses, sum_of_lot, game);
    if (trouble)
        fail_msg("%s", trouble);
}

/* ---- how much of each lot is where ---- */

struct told {
    struct game *game;
    const struct plain_account *plain;
    size_t units; /* told of, that hold some by the books */
    int64_t jobs; /* likewise, that took some */
};

static const struct plain_lot *lot_in(const struct plain_unit *unit, const struct plain_account *account)
{
    for (size_t i = 0; i < unit->lot_count; i++)
        if (strcmp(unit->lots[i].item, account->item) == 0 && strcmp(unit->lots[i].lot, account->lot) == 0)
            return &unit->lots[i];
    return NULL;
}

static bool amount_is(int64_t is, int64_t should)
{
    return should == PLAIN_UNKNOWN ? is == MOVEMENT_NULL : is == should;
}

static bool check_place(const struct trace_place *place, void *context)
{
    struct told *told = context;
    const struct plain_account *lot = told->plain;
    if (place->stop.serial[0] == '\0') {
        size_t unknown = 0;
        const int64_t used = plain_used(&told->game->uses, lot->item, lot->lot, place->stop.job, &unknown);
        if (place->booked && !amount_is(place->lot_ul, unknown > 0 ? PLAIN_UNKNOWN : used))
            fail_msg("%s %s in job %s: %lld, not %lld", lot->item, lot->lot, place->stop.job, (long long)place->lot_ul,
                     (long long)used);
        assert_true(place->booked || (used == 0 && unknown == 0));
        told->jobs += place->booked;
        return true;
    }
    const struct plain_unit *unit = plain_find(&told->game->plain, place->stop.serial);
    if (!unit) { /* retired since, and empty; or it has another name now, and that one is told of, too */
        assert_true(!place->booked || place->lot_ul == 0);
        return true;
    }
    const struct plain_lot *in = lot_in(unit, lot);
    if (in && (!place->booked || !amount_is(place->lot_ul, unit->total == 0 ? 0 : in->ul)))
        fail_msg("%s %s in %s: %lld, not %lld", lot->item, lot->lot, unit->serial, (long long)place->lot_ul,
                 (long long)in->ul);
    if (!in && place->lot_ul != (place->stop.present ? MOVEMENT_NULL : 0))
        fail_msg("%s %s in %s: %lld, not none", lot->item, lot->lot, unit->serial, (long long)place->lot_ul);
    told->units += in != NULL;
    return true;
}

static int64_t jobs_with(const struct plain_uses *uses, const struct plain_account *lot)
{
    int64_t jobs = 0;
    for (size_t i = 0; i < uses->count; i++) {
        const struct plain_use *use = &uses->list[i];
        bool again = use->undone || strcmp(use->item, lot->item) != 0 || strcmp(use->lot, lot->lot) != 0;
        for (size_t j = 0; j < i && !again; j++)
            again = !uses->list[j].undone && strcmp(uses->list[j].job, use->job) == 0 &&
                    strcmp(uses->list[j].item, lot->item) == 0 && strcmp(uses->list[j].lot, lot->lot) == 0;
        jobs += !again;
    }
    return jobs;
}

static void account_of_lot(struct game *game, const struct plain_account *lot)
{
    struct told told = {.game = game, .plain = lot};
    struct trace_account account;
    struct fault fault = {0};
    size_t units = 0;
    int64_t held = 0;
    if (!trace_account_read(game->room->reader, lot->item, lot->lot, &account, check_place, &told, &fault))
        fail_msg("%s", fault.text);
    for (size_t i = 0; i < game->plain.unit_count; i++) {
        const struct plain_unit *unit = &game->plain.units[i];
        const struct plain_lot *in = lot_in(unit, lot);
        units += in != NULL;
        held += in && in->ul != PLAIN_UNKNOWN && unit->total != 0 ? in->ul : 0;
    }
    const int64_t used = plain_used(&game->uses, lot->item, lot->lot, NULL, NULL);
    assert_int_equal(told.units, units);
    assert_int_equal(told.jobs, jobs_with(&game->uses, lot));
    assert_int_equal(account.received_unknown, 0);
    assert_int_equal(account.received_ul + account.corrected_ul, lot->in);
    assert_int_equal(account.held_ul, held);
    assert_int_equal(account.used_ul, used);
    assert_int_equal(account.wasted_ul, lot->wasted);
    assert_int_equal(account.unaccounted_ul, lot->in - held - used - lot->wasted);
    if (!lot->vague)
        assert_int_equal(account.unaccounted_ul, 0); /* every drop of what came in is told */
}

static void accounts_add_up(struct game *game)
{
    for (size_t i = 0; i < game->plain.account_count; i++)
        account_of_lot(game, &game->plain.accounts[i]);
}

static void keep_instant(struct game *game)
{
    const size_t at = game->instant_count < GAME_INSTANTS ? game->instant_count++ : game_draw(game, GAME_INSTANTS);
    game->instants[at].seq = room_seq(game->room);
    game->instants[at].plain = game->plain;
}

static void past_is_as_it_was(struct game *game)
{
    for (size_t i = 0; i < game->instant_count; i++)
        for (size_t j = 0; j < game->plain.unit_count; j += 5) {
            const struct plain_unit *plain = &game->instants[i].plain.units[j];
            struct unit_state state;
            struct contents contents;
            struct fault fault = {0};
            bool found = false;
            char is[CONTENTS_TEXT_SIZE], should[CONTENTS_TEXT_SIZE];
            if (!apply_unit_before(game->room->reader, plain->serial, game->instants[i].seq + 1, &state, &found,
                                   &fault) ||
                !contents_of(&state.unit, state.mix, &contents, &fault))
                fail_msg("%s", fault.text);
            assert_true(found);
            compare(plain, &state.unit);
            contents_write(&contents, is);
            plain_text(plain, should);
            game_must_be("content then", plain->serial, is, should);
        }
}

/* ---- the day ---- */

static void play(struct game *game)
{
    const int count = getenv("AMBERSHELF_TEST_LONG") ? ACTS_LONG : ACTS;
    (void)snprintf(game->room->person, sizeof game->room->person, "%s", game->room->maren);
    game_fill_room(game);
    for (int i = 1; i <= count; i++) {
        game_random_act(game);
        room_pass(game->room, 1);
        if (i % LOOK_EVERY == 0)
            look(game);
        if (game_draw(game, (uint64_t)count / GAME_INSTANTS) == 0)
            keep_instant(game);
        if (i % (count / ACCOUNTS) == 0)
            accounts_add_up(game);
    }
    past_is_as_it_was(game);
    print_message("%d acts: %lld booked, %lld taken back, %lld refused or asked about, %zu instants, %zu uses\n", count,
                  (long long)game->booked, (long long)game->undone, (long long)game->refused, game->instant_count,
                  game->uses.count);
    assert_true(game->uses.count > (size_t)count / 50 && game->relabelled > count / 200);
    free(game->uses.list);
    assert_true(game->booked > count / 4 && game->undone > count / 100 && game->refused > count / 20);
}

static void every_drop_is_known(void **state)
{
    struct game *game = calloc(1, sizeof *game);
    assert_non_null(game);
    game->room = *state;
    game->seed = 20261126;
    play(game);
    for (size_t i = 0; i < game->plain.account_count; i++)
        assert_false(game->plain.accounts[i].vague); /* so the balances above were asked for */
    free(game);
}

static void some_amounts_nobody_knows(void **state)
{
    struct game *game = calloc(1, sizeof *game);
    assert_non_null(game);
    game->room = *state;
    game->seed = 7;
    game->vague = true;
    play(game);
    free(game);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test_setup_teardown(every_drop_is_known, room_setup, room_teardown),
        cmocka_unit_test_setup_teardown(some_amounts_nobody_knows, room_setup, room_teardown),
    };
    return cmocka_run_group_tests_name("desk/random_acts", tests, room_group_setup, room_group_teardown);
}
