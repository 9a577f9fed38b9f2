#include "tests/desk/reason_scenes.h"

/* What speaks against a thing itself, and against who takes it. */

static void a_cartridge_in_another_printer(struct room *room)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->flint, "printer", "CAPSTAN"));
    (void)room_scan(room, room->tobias);
    (void)room_scan(room, "HALYARD");
    (void)room_scan(room, room->flint);
}

static void a_cartridge_on_the_shelf(struct room *room)
{
    scene_take_unknown(room, room->flint, NULL, "HALYARD");
}

static void hold(struct room *room)
{
    (void)room_act(room, "hold", json_pack("{s:s,s:s}", "unit", room->flint, "reason", "leaking"));
}

static void a_cartridge_on_hold(struct room *room)
{
    hold(room);
    scene_take(room, room->flint, NULL, "CAPSTAN");
}

static void a_cartridge_that_was_released(struct room *room)
{
    hold(room);
    (void)room_act(room, "release", json_pack("{s:s}", "unit", room->flint));
    scene_take_unknown(room, room->flint, NULL, "CAPSTAN");
}

static void take_of_new_item(struct room *room, bool completed)
{
    char serial[SERIAL_SIZE];
    scene_receive_unknown(room, serial);
    if (completed)
        (void)room_act(room, "item-entry",
                       json_pack("{s:s,s:s,s:s,s:s,s:s,s:s}", "code", "NEW-1", "letter", "C", "name", "Rowan cartridge",
                                 "resin", "Rowan", "revision", "1", "gtin", "09506000135069"));
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", serial, "printer", "CAPSTAN"));
}

static void a_cartridge_whose_item_is_not_completed(struct room *room)
{
    take_of_new_item(room, false);
}

static void a_cartridge_whose_item_was_completed(struct room *room)
{
    take_of_new_item(room, true);
}

static void a_cartridge_that_expired_yesterday(struct room *room)
{
    scene_take(room, room->flint_old, NULL, "CAPSTAN");
}

static void a_cartridge_on_its_last_day(struct room *room)
{
    char today[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s,s:o}", "lot", "FL-0", "expires", room_day(room, 0)), today);
    scene_take_unknown(room, today, NULL, "CAPSTAN");
}

static void a_clock_nobody_vouches_for(struct room *room)
{
    room_distrust_clock(room);
    scene_take(room, room->flint, NULL, "CAPSTAN");
}

static void an_undated_vat_by_such_a_clock(struct room *room)
{
    room_distrust_clock(room);
    scene_take_unknown(room, room->vat_empty, NULL, "CAPSTAN");
}

static void a_cartridge_without_a_date(struct room *room)
{
    char serial[SERIAL_SIZE];
    room_take_on(room, "FLINT", json_pack("{s:s,s:i}", "lot", "FL-5", "amount_ml", 1000), serial);
    scene_take(room, serial, NULL, "CAPSTAN");
}

static void an_empty_vat_without_a_date(struct room *room)
{
    scene_take_unknown(room, room->vat_empty, NULL, "CAPSTAN");
}

static void a_fogged_film(struct room *room)
{
    scene_take(room, room->vat_fogged, NULL, "CAPSTAN");
}

static void a_clear_film(struct room *room)
{
    scene_take_unknown(room, room->vat_flint, NULL, "CAPSTAN");
}

static void take_after_a_job(struct room *room, const char *how)
{
    (void)room_act(room, "check-out", json_pack("{s:[s],s:s}", "units", room->vat_flint, "printer", "CAPSTAN"));
    (void)room_act(room, "job-start", json_pack("{s:s,s:s,s:i}", "printer", "CAPSTAN", "job", "KQ-7", "need_ml", 50));
    (void)room_act(room, "job-end", json_pack("{s:s,s:s}", "job", "KQ-7", "how", how));
    (void)room_act(room, "check-in", json_pack("{s:[{s:s}],s:s}", "units", "unit", room->vat_flint, "place", "B01"));
    scene_take_unknown(room, room->vat_flint, NULL, "CAPSTAN");
}

static void a_vat_after_a_job_that_was_aborted(struct room *room)
{
    take_after_a_job(room, "aborted");
}

static void a_vat_after_a_job_that_was_done(struct room *room)
{
    take_after_a_job(room, "done");
}

static void reserve(struct room *room, const char *whom)
{
    (void)room_act(room, "reserve", json_pack("{s:s,s:s}", "unit", room->flint, "for", whom));
}

static void a_cartridge_that_is_kept_for_another(struct room *room)
{
    reserve(room, room->jarl);
    scene_take(room, room->flint, NULL, "CAPSTAN");
}

static void a_cartridge_that_is_kept_for_who_takes_it(struct room *room)
{
    reserve(room, room->tobias);
    scene_take_unknown(room, room->flint, NULL, "CAPSTAN");
}

/* ---- who ---- */

static void a_receiver_takes_it(struct room *room)
{
    scene_sign_in_untrained(room, "receiver");
    (void)room_scan(room, room->flint);
    (void)room_scan(room, "CAPSTAN");
}

static void a_technician_takes_it(struct room *room)
{
    scene_sign_in_untrained(room, "technician");
    (void)room_scan(room, room->flint);
    (void)room_scan_printer(room, "CAPSTAN");
}

static void retire_empty_vat(struct room *room)
{
    (void)room_scan(room, room->vat_empty);
    (void)room_press(room, "RETIRE");
}

static void somebody_untrained_retires(struct room *room)
{
    scene_sign_in_untrained(room, "technician");
    retire_empty_vat(room);
}

static void somebody_trained_retires(struct room *room)
{
    (void)room_scan(room, room->tobias);
    retire_empty_vat(room);
}

const struct reason_scenes reason_scenes_check_out[] = {
    {REASON_ALREADY_OUT, a_cartridge_in_another_printer, "already out, with Maren, in Capstan",
     a_cartridge_on_the_shelf, "Booked: Flint cartridge"},
    {REASON_ON_HOLD, a_cartridge_on_hold, "on hold: leaking", a_cartridge_that_was_released, "Booked: Flint cartridge"},
    {REASON_ITEM_INCOMPLETE, a_cartridge_whose_item_is_not_completed, "not completed yet",
     a_cartridge_whose_item_was_completed, "Booked: Rowan cartridge"},
    {REASON_EXPIRED, a_cartridge_that_expired_yesterday, "last usable day was 2026-03-01", a_cartridge_on_its_last_day,
     "Booked: Flint cartridge"},
    {REASON_CLOCK, a_clock_nobody_vouches_for, "clock is not confirmed", an_undated_vat_by_such_a_clock,
     "Booked: Small vat"},
    {REASON_NO_EXPIRY, a_cartridge_without_a_date, "No use-by date is known", an_empty_vat_without_a_date,
     "Booked: Small vat"},
    {REASON_FILM_FOGGED, a_fogged_film, "was fogged", a_clear_film, "Booked: Small vat"},
    {REASON_NOT_INSPECTED, a_vat_after_a_job_that_was_aborted, "since job KQ-7 was aborted",
     a_vat_after_a_job_that_was_done, "Booked: Small vat"},
    {REASON_RESERVED, a_cartridge_that_is_kept_for_another, "is kept for Jarl (by Maren)",
     a_cartridge_that_is_kept_for_who_takes_it, "Booked: Flint cartridge"},
    {REASON_NOT_ALLOWED, a_receiver_takes_it, "takes things to a printer", a_technician_takes_it,
     "Booked: Flint cartridge"},
    {REASON_NOT_TRAINED, somebody_untrained_retires, "the training 'retire'", somebody_trained_retires,
     "It can't be used any more"},
    {.comes = NULL},
};
