#include "kiosk/rules/receipt.h"

#include <string.h>

#include "kiosk/rules/shelf_life.h"

const char *receipt_judge(const struct receipt_case *asked, struct verdict_list *list)
{
    memset(list, 0, sizeof *list);
    const char *hold = "";
    if (asked->has_expires) {
        char date[CALENDAR_DATE_SIZE];
        calendar_write_date(asked->expires, date);
        const struct shelf_life_answer life = shelf_life_of(asked->expires, asked->today, asked->minimum_days);
        if (!asked->clock_trusted) {
            verdict_add(list, REASON_CLOCK, "", "The kiosk's clock is not confirmed: this must be used by %s.", date);
        } else if (life.expired == TRUTH_YES) {
            hold = "expired";
            verdict_add(list, REASON_SHORT_DATED, "", "This expired: its last usable day was %s. It goes on hold.",
                        date);
        } else if (life.short_dated == TRUTH_YES) {
            hold = "short-dated";
            verdict_add(list, REASON_SHORT_DATED, "",
                        "Only %lld days are left until %s, %lld are asked for. It goes on hold.",
                        (long long)life.days_left, date, (long long)asked->minimum_days);
        }
    } else if (asked->holds_resin) {
        verdict_add(list, REASON_NO_EXPIRY, "", "The code has no use-by date.");
    }
    if (asked->provisional) {
        if (hold[0] == '\0')
            hold = "provisional";
        verdict_add(list, REASON_PROVISIONAL, "", "%s is not in the catalogue yet. It goes on hold.", asked->name);
    }
    return hold;
}
