#include "kiosk/desk/check_in.h"
#include "kiosk/desk/check_out.h"
#include "kiosk/desk/desk.h"
#include "kiosk/desk/entries.h"
#include "kiosk/desk/hold.h"
#include "kiosk/desk/labels.h"
#include "kiosk/desk/put_away.h"
#include "kiosk/desk/receive.h"
#include "kiosk/desk/scan_act.h"
#include "kiosk/desk/settle.h"
#include "kiosk/desk/take_on.h"
#include "kiosk/desk/undo.h"

const struct act_kind desk_acts[] = {
    {"scan", scan_act},
    {"press", press_act},
    {"delivery-open", delivery_open_act},
    {"delivery-resume", delivery_resume_act},
    {"delivery-close", delivery_close_act},
    {"receive", receive_act},
    {"check-out", check_out_act},
    {"check-in", check_in_act},
    {"put-away", put_away_act},
    {"hold", hold_act},
    {"release", release_act},
    {"undo", undo_act},
    {"settle", settle_act},
    {"reprint", reprint_act},
    {"prove", prove_act},
    {"item-entry", item_entry_act},
    {"place-entry", place_entry_act},
    {"printer-entry", printer_entry_act},
    {"person-entry", person_entry_act},
    {"take-on", take_on_act},
    {"clock-confirm", clock_confirm_act},
    {"print-mark", print_mark_act},
    {NULL, NULL},
};
