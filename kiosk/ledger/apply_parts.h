#ifndef KIOSK_LEDGER_APPLY_PARTS_H
#define KIOSK_LEDGER_APPLY_PARTS_H

#include "kiosk/ledger/apply.h"

/* The parts of apply, one function a kind of movement, by subject: apply.c (catalogue), apply_unit.c, apply_lend.c,
 * apply_desk.c (deliveries, questions), apply_job.c, apply_job_plan.c, apply_pour.c, apply_care.c, apply_pair.c,
 * apply_sticker.c, apply_substitution.c, apply_print.c, apply_look.c, correction.c, relabel.c. Each checks everything
 * before its first save. */

typedef bool apply_step(const struct movement *movement, const struct apply_store *store, struct fault *fault);

apply_step apply_receipt, apply_take_on, apply_put_away, apply_fill, apply_check_out, apply_check_in, apply_hold,
    apply_release, apply_supply;
apply_step apply_inspection, apply_stir, apply_surface_renewal, apply_life_shown, apply_pair;
apply_step apply_delivery_open, apply_delivery_close, apply_question, apply_settlement;
apply_step apply_job_start, apply_job_ticket, apply_job_end;
apply_step apply_job_plan, apply_job_drop;
apply_step apply_print, apply_print_move, apply_print_tell;
apply_step apply_sticker_entry, apply_sticker_forget;
apply_step apply_substitution_entry, apply_substitution_end;
apply_step apply_calibration, apply_print_look, apply_print_baseline;
apply_step apply_retire, apply_dispose, apply_relabel;
apply_step apply_lend, apply_reserve, apply_unreserve;
apply_step apply_pour, apply_use, apply_waste, apply_clean, apply_weighing;
apply_step apply_correction;

/* A unit of which no more is known than this. */
struct unit apply_blank_unit(const char serial[SERIAL_SIZE], const char item[ITEM_CODE_SIZE], enum unit_status status);
/* What flows, is carried or comes in was moved: where the movement says so (detail.stirred; earlier kiosks did not),
 * the resin in the unit stands from now on. The row is the caller's to save. */
void apply_note_rest(const struct movement *movement, struct unit *unit);
/* A unit's row in a movement: columns where one fits (word = hold), the rest in its detail, where `holder` says who has
 * it ("": the movement says so elsewhere). Reading leaves the serial, the count of labels and the version alone. */
bool apply_state_write(const struct unit_state *state, const char *holder, struct movement *movement,
                       struct fault *fault);
bool apply_state_read(const struct movement *movement, struct unit_state *state, struct fault *fault);
/* A job that was planned and has not begun. */
bool apply_job_is_planned(const struct job *row);
/* What a job's row says again, in full, when a step is taken back: need and end day, and from the detail code, end and
 * the ticket that counts from now on. */
bool apply_job_read_again(const struct movement *movement, struct job *row, struct fault *fault);

/* The unit's mix is `lots` from now on; "": it has none (any more). */
bool apply_mix_set(const struct movement *movement, const char *lots, const struct apply_store *store,
                   struct fault *fault);
/* Where the unit holds a mix, its lots are in proportion to the new total from now on; the row itself is the caller's.
 */
bool apply_mix_total(const struct movement *movement, const struct unit *before, int64_t total_ul,
                     const struct apply_store *store, struct fault *fault);

/* The unit a movement is about; FAULT_REFUSED when there is none. Void ones (their receipt was taken back),
 * relabelled ones (the thing has another serial now) and trays (the vat is meant, never its second label) count as none
 * unless `or_void`. */
bool apply_find_unit(const struct movement *movement, const struct apply_store *store, bool or_void, struct unit *unit,
                     struct fault *fault);
/* FAULT_REFUSED when the thing has another serial now. */
bool apply_check_label(const struct unit *unit, struct fault *fault);
/* The same, and when it is the second label of a vat: what is true of any thing, void ones included, is not of a label
 * alone. */
bool apply_check_thing(const struct unit *unit, struct fault *fault);
/* FAULT_REFUSED unless the movement's place, printer, job, delivery is known; "" is fine. */
bool apply_check_place(const struct movement *movement, const struct apply_store *store, struct fault *fault);
bool apply_check_printer(const struct movement *movement, const struct apply_store *store, struct fault *fault);
bool apply_check_job(const struct movement *movement, const struct apply_store *store, struct fault *fault);
bool apply_check_delivery(const struct movement *movement, const struct apply_store *store, struct fault *fault);
/* FAULT_REFUSED when a field that this kind needs was not said: "receipt without item: …". */
bool apply_needs(const struct movement *movement, const char *value, const char *name, struct fault *fault);
/* One of the words in `words`, parted by single spaces; FAULT_REFUSED otherwise. */
bool apply_check_word(const struct movement *movement, const char *words, struct fault *fault);
/* A text of the movement's detail, "" when it has none. FAULT_INPUT as movement_detail_text. */
bool apply_detail_text(const struct movement *movement, const char *key, char *buffer, size_t size,
                       struct fault *fault);

#endif
