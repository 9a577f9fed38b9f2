#ifndef TESTS_DESK_RANDOM_GAME_H
#define TESTS_DESK_RANDOM_GAME_H

#include "tests/desk/plain_room.h"
#include "tests/desk/room.h"

/* A room in which people do things at random, by the real desk and writer, and a plain model of it (plain_room.h) that
 * is told only whether an act was booked. Drawn from a seed: the same on every machine. */

enum { GAME_INSTANTS = 60, GAME_JOURNAL = 400, GAME_TOUCHED = 20 };

struct entry { /* an act that was booked, and what it changed as it was before */
    char act[ACT_ID_SIZE];
    struct plain_unit before[GAME_TOUCHED];
    struct plain_account moved[PLAIN_UNITS]; /* by how much it moved each account; before it is sealed: as they were */
    size_t touched;
    char became[PLAIN_TEXT];    /* the first of them, relabelled: its new serial, "" it was not */
    size_t first_use, last_use; /* what went into parts by it: from the one up to before the other */
    bool undone;
};

struct game {
    struct room *room;
    struct plain_room plain;
    struct plain_uses uses;
    uint64_t seed;
    bool vague; /* unknown amounts too */
    struct entry journal[GAME_JOURNAL];
    size_t journal_count;
    struct {
        int64_t seq;
        struct plain_room plain;
    } instants[GAME_INSTANTS];
    size_t instant_count;
    int64_t booked, refused, undone, relabelled;
};

uint64_t game_draw(struct game *game, uint64_t below);
void game_fill_room(struct game *game);
void game_random_act(struct game *game);

/* The ledger says `is` of the unit's `what`, the model `should`. */
void game_must_be(const char *what, const char *serial, const char *is, const char *should);

#endif
