#ifndef KIOSK_DESK_DESK_H
#define KIOSK_DESK_DESK_H

#include <jansson.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/ledger.h"
#include "kiosk/ledger/writer.h"

/* What people do at the counter: one file per act. Each is an act_function (writer.h): present state and rule ->
 * movements. Answers are JSON objects.
 *
 * acts and their content (keys with ? are optional; serials, codes and words are strings, days "YYYY-MM-DD")
 * who may do which stands in kiosk/rules/permission.c; release, pin-issue, undo of another person's act and what is
 * overruled need a storekeeper's PIN besides (`approver` of struct act), else FAULT_APPROVAL.
 * every act may add  seen: {serial: version}: done only if those units are as the person saw them (else FAULT_CONFLICT)
 *   scan            bytes: hex, or text: string as scanned or typed; symbology?: "]d2"; source: scanner|typed|picture;
 *                   more?: [{bytes; symbology?}]: the other codes of the same carton, in one picture
 *   press           word: YES|NO|OTHER|UNDO|TAKEN|… as the card of that word would, or OVERRULE (with the PIN: no card
 *                   has one); quantity?: of a receipt (with YES)
 *   delivery-open   supplier; note?                  the counter's session has this delivery open from now on
 *   delivery-resume delivery                        likewise, one that is open already
 *   delivery-close  delivery
 *   receive         delivery; item; lot?; lot_sure?: true (asked before); expires?; quantity; hold?: reason: typed;
 *                   confirm?: true (so many labels are meant: over 200 it asks first)
 *   check-out       units: [serial]; printer: code; job?: code of a planned one; need_ml?; ends?: day; due?: day it is
 *                   promised back; confirm?: true (answers an ask);
 *                   taken?: true (reality: booked whatever the verdict, opens a question); overrule?: true (a
 *                   storekeeper lets a stop go, with the PIN: overrule.h; which reasons: docs/reasons.md)
 *   check-in        units: [{unit; film?; minutes?; amount_ml?; minutes_unknown?; amount_unknown?}]; place; confirm?:
 *                   true (such amounts are meant: off by a thousand they are asked about first)
 *   lend            units: [serial]; place: another room; due?: day, or days? from today; confirm?; taken?;
 *                   overrule?: as check-out. Of what is lent already: another day (docs/lending.md)
 *   reserve         unit; for: job's code or badge; until?: day: kept for that job or person (docs/lending.md)
 *   unreserve       unit: kept no more
 *   put-away        unit; place
 *   pour            from; to: serials; amount_ml, all: true, or unknown: true; confirm?; taken?; overrule?: as
 *                   check-out
 *   job-start       printer; job?: code; need_ml?; ends?: day, or instant in UTC; resin?; revision?; name?;
 *                   parts?: [{name?; count?; x_mm?, y_mm?, width_mm?, depth_mm?}]     answer.job = its id
 *   job-plan        job: code, 1 to 16 of 0-9 A-Z . / -; printer; print?: true (its ticket); else as job-start, resin
 *                   also by an item's code     answer.job = its id; the plan of the same code is replaced
 *   job-drop        job (id or code) that is planned: it will not be printed
 *   job-ticket      job (id or code) that is planned or runs: prints its ticket (again)
 *   job-end         job (id or code) or printer; how: done|failed|aborted; used_ml?, or cartridges?: [{unit; ml}], both
 *                   as the printer told; or done_percent?: 0, 10 … 100 of the need; none: all of it when done. Of a job
 *                   that was over when its printer was emptied, how it ended
 *   inspect         unit; of a vat film: clear|fogged|dented|bits|leaking; mixer?: there|missing; float?: moves|stuck;
 *                   of a platform surface: fine|scratched|loose
 *   pair            unit: a vat; tray?: the label of a tray that is in its case now. Without it one is ordered;
 *                   answer.serial = it
 *   stir            unit: its resin was stirred
 *   surface-renewed  unit: a platform with a new removable surface
 *   life-shown      unit: a vat or platform of an item with life_hours; hours: whole, left as its printer shows
 *                   them. Ours stay, unless nobody knew them; too far apart, the question life-differs is
 *                   opened (docs/inspection.md)
 *   clean           unit; waste?: serial of the waste container that the rest went into
 *   amount          unit; amount_ml: so much is in it, as somebody saw or was told; confirm?: as check-in
 *   weigh           unit; gross_g; tare_g?: when empty; empty?: true: this is what it weighs when empty; confirm?: as
 *                   check-out
 *   retire          unit; reason: keyword; to?: the fresh one that takes its resin; confirm?, overrule?: as
 *                   check-out
 *   dispose         unit: retired before, it has left the room
 *   hold            unit; reason: keyword [a-z0-9-], as in receive; outlet-stuck and outlet-leaks of a cartridge
 *                   open a question for its supplier              release   unit
 *   undo            act?: id (default: the counter's last)
 *   settle          question: number; how
 *   reprint         unit, place, or batch; of a batch: from?, to? (labels 5 to 12 of 20)
 *   relabel         unit; confirm?: as check-out: its label is gone, so it gets a new serial     answer.serial
 *   prove           unit (what a scan of a waiting label does)
 *   item-entry      code; letter; name; resin?; revision?; gtin?; maker_code?; fits?; content_ml?; minimum_days?;
 *                   life_hours?; density_g_ml?; stir_days?: a resin may stand so long; inspect_hours?: a vat or
 *                   platform is looked at every so many light hours; surface_hours?: life of a platform's removable
 *                   surface     completes a provisional item: its units held for that are released
 *   place-entry     code; kind: shelf|slot|counter|room; printer?; name?; label?: true (prints its label)
 *   printer-entry   code; name; slots
 *   person-entry    name; role; serial?: to change one; training?: [pour|retire], what the person is trained for from
 *                   now on; without it none, or as it was     answer.serial = the badge, whose label is ordered
 *   pin-issue       person: badge of a storekeeper who gets a new PIN; approved     answer.serial
 *   enrol           name: of the room's first storekeeper, or person: badge of one where nobody has a PIN
 *   pin-tried       person    of the program itself
 *   device-entry    name: keyword; printer?: the only one it may speak of; token_sha256: digest of its token, hex; a
 *                   device that has one gets a new one      device-revoke   name
 *   name-erase      person: badge             forgets the name for ever; the badge opens nothing any more
 *   take-on         item; lot?; expires?; filled?; resin?: item code of the resin in a vat; amount_ml?; hours? or
 *                   minutes? (whole); place; film?; note?; labelled?: true (it has our label already: demo only);
 *                   ask?: true: an amount that is off by a thousand is asked about, and nothing is booked
 *   clock-confirm   (nothing)
 *   print-mark      unit or place; number; state; device?; device_job?; template?: as drawn; note?: what to ask when
 * the state is unknown from the printing thread print-move      as reprint: those that wait are printed next
 *   print-withdraw  as reprint: those that wait are not printed; the printer drops the one it has
 *   print-go        (nothing): sets a stopped label printer going
 *   print-calibration  (nothing): the printer draws its calibration label (docs/calibration.md)
 *                   A batch is what one act ordered; its name is that act's id (GET /api/labels).
 *
 *   sticker-entry   supplier; example: text; parts: [{part: item|lot|expires|made|quantity|other; start; length: bytes
 *                   of the UTF-8; order?: ymd|dmy|mdy (dates must); same_length?}], or pattern: text instead of parts;
 *                   try?: true: nothing is kept. answer.sticker = {id|null, pattern, reading: {…}}
 *   sticker-forget  sticker: id
 *   substitution-entry  resin; wanted, given: revisions; until: last day; approved. given may come where wanted is
 *                   asked for, or is there already (docs/substitution.md)
 *   substitution-end  resin; wanted; given
 *   calibrate       printer: word; dpi; left_mm?, top_mm?: from the label's edge to the ruler's line 5;
 *                   stretch_mm?, came_out_mm?: two together, of the upper ruler; stretch_down_mm?, came_out_down_mm?:
 * of the left one; module_dots?: smallest that reads                              (docs/calibration.md) label-look
 * source: word; looks: [{unit; marks?; edition?; pixels …: whole thousandths}]   from the picture reader label-baseline
 * printer: word; from?: number of a look          what its labels are compared with from now on
 *
 * A badge counts until check-out or check-in closes the group, the next badge, the card DONE, or idle_seconds without a
 * scan. UNDO goes past what only proved labels, and past what took something back itself.
 *
 * The answer of scan, press, check-out, check-in, undo, receive and delivery-open is the counter's VIEW, as desk_view
 * gives it, with `booked`: true when movements were booked:
 *   {counter, seq, person: {serial,name,role}|null, delivery: {id,supplier}|null,
 *    step: "idle"|"check-out"|"check-in"|"receipt"|"proof"|"put-away"|"pour"|"clean"|"retire"|"inspect"|"lend"|
 *          "label-lost"|"take-on"|"keep"|"life",
 *    verdict: "go"|"ask"|"stop"|null (heard, nothing to decide), title: sentence, reasons:
 * [{code,verdict,subject,sentence,next,overruled_by?: "nobody"|"storekeeper" of a stop}], units:
 * [{serial,kind,item,name,resin,revision,lot,filled,expires,use_by,amount_ml,hours,status,place,holder,
 *             holder_name,printer,delivery,hold,film,labelled,version, said: {film,amount_ml,hours,unknown},
 *             lots: [{item,lot,amount_ml}] of a mix,estimated,recovered,first_filled,opened,heir,
 *             reserved,reserved_until,reserved_for: as people say it,due,due_days_left: less than 0 overdue,pair,
 *             inspected_hours,surface_hours: light since then,inspect_hours,surface_life_hours,life_hours,stood_since,
 *             stir_days}],
 *    ticket: {job,name,printer,printer_name,resin,revision,need_ml,end_day,ends_at,parts,planned,old}|null,
 *    proposal: {item,name,lot,expires,use_by,quantity,amount_ml,day_was_00,provisional,hold,unproved,proved,
 *               asked: so many labels were asked about, and YES means them}|null
 *             (step receipt, proof; item null: not in the catalogue)
 *    candidates: [units as above, with `here`: it should stand there]|null   (step label-lost: which one it may be)
 *    prompts: [sentence], keys: [{word,label,quantity?}], undo: {act,sentence}|null, clock_trusted, today: day,
 *    demo: bool, booked?: bool}
 *
 * use_by: {state: "expired"|"soon"|"good", days_left}, null without a day. Unknown numbers are null. `keys` are the
 * cards that mean something now, most likely first; one with `quantity` takes the quantity along. The answer of receive
 * may have `ask` and have booked nothing: typed_lot.h. */

struct desk {
    int idle_seconds;    /* a badge counts this long without a scan; default 90 */
    char run[33];        /* this run of the daemon: monotonic times of another run mean nothing */
    bool ask_need;       /* a vat goes to a printer where no job runs: does the counter ask how much it needs? */
    struct clock *clock; /* borrowed; told when a storekeeper confirms date and time */
    bool enrols_again;   /* the code of act "enrol" counts though somebody has a PIN: a demo, or so started */
};

extern const struct act_kind desk_acts[]; /* ends with kind NULL; hand `struct desk *` to the writer */

/* The counter's view without changing anything; a reader's ledger will do. */
bool desk_view(const struct desk *desk, struct ledger *ledger, const char *counter, const struct moment *moment,
               json_t **view, struct fault *fault);

/* One unit as in a view, with history asked for separately (ledger_each_of_unit). FAULT_MISSING when there is none. */
bool desk_unit(struct ledger *ledger, const char *serial, struct day today, json_t **unit, struct fault *fault);

/* The "hash" of its storekeeper's PIN then: no PIN has it. Whoever starts the demo gives her one that it tells. */
#define DESK_DEMO_NO_PIN "none yet"

/* Fills an empty demo ledger with an invented print room, days relative to the moment, act by act as people would.
 * Does nothing when it was filled before. */
bool desk_demo_fill(struct writer *writer, struct moment moment, struct fault *fault);

#endif
