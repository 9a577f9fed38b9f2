#ifndef TESTS_DESK_REASON_SCENES_H
#define TESTS_DESK_REASON_SCENES_H

#include "kiosk/rules/verdict.h"
#include "tests/desk/room.h"

/* Each reason of the table, played in the room by real acts: once so that it comes, once, as close by as may be, so
 * that it does not. reasons_test.c plays them all and misses a code that has no row here. */

typedef void reason_scene(struct room *room);

struct reason_scenes {
    enum reason_code code;
    reason_scene *comes; /* the last view has the reason, and nothing is booked */
    const char *says;    /* in its sentence */
    reason_scene *stays_away;
    const char *instead; /* in the title then: what the kiosk says or does in its place */
};

/* Each ends with `comes` NULL. */
extern const struct reason_scenes reason_scenes_scan[], reason_scenes_receipt[], reason_scenes_check_out[],
    reason_scenes_printer[], reason_scenes_job[], reason_scenes_ticket[], reason_scenes_pour[], reason_scenes_care[];

/* ---- what several scenes begin with ---- */

/* Badge of the technician, one or two things (`two` may be NULL), the printer. */
void scene_take(struct room *room, const char *one, const char *two, const char *printer);
/* The same, and nobody knows how much the job needs. */
void scene_take_unknown(struct room *room, const char *one, const char *two, const char *printer);
/* One cartridge of an item that the catalogue does not know, received; its serial. */
void scene_receive_unknown(struct room *room, char serial[SERIAL_SIZE]);
/* So many Flint cartridges of a lot, received into the open delivery; the serial of the last. */
void scene_receive_flint(struct room *room, const char *lot, int quantity, char serial[SERIAL_SIZE]);
/* A person with this role and no training signs in at the counter. */
void scene_sign_in_untrained(struct room *room, const char *role);
/* A script pours so many millilitres. */
void scene_pour(struct room *room, const char *from, const char *to, int ml);

#endif
