#include <stdio.h>
#include <string.h>

#include "kiosk/rules/check_out.h"
#include "kiosk/rules/receipt.h"
#include "labels/content/scan.h"
#include "tests/faults/allocation.h"
#include "tests/faults/allocations_more.h"

/* The parsers of scanned bytes (labels/content) and the rules (kiosk/rules) work on what they are handed. Each is asked
 * once with memory and once without any: the answers are the same bytes, and nothing was asked for. */

static const struct day TODAY = {20514}; /* 2026-03-02, GNU date 9.1: date -ud @$((20514*86400)) */

static bool same(const char *what, const void *with, const void *without, size_t size)
{
    if (memcmp(with, without, size) == 0)
        return true;
    printf("allocations: FAILED %s answers otherwise without memory\n", what);
    return false;
}

static void start(void)
{
    allocation_arm(1, true);
}

static bool none_asked(const char *what)
{
    const int64_t count = allocation_disarm(NULL);
    if (count == 0)
        return true;
    printf("allocations: FAILED %s asked for memory %lld times\n", what, (long long)count);
    return false;
}

static bool scans_need_none(void)
{
    static const char *const texts[] = {
        "(01)09501101020917(17)261130(10)AB-123", /* typed; GTIN from the range GS1 keeps for examples */
        "]d2010950110102091717261130"
        "10AB-123\x1d"
        "3150001000",
        "[)>\x1e"
        "06\x1d"
        "1PAMB-77\x1d"
        "1TLOT9\x1d"
        "14D20261130\x1e\x04",
        "09501101020917",
        "0109501101020918", /* wrong check digit */
        "[)>\x1e"
        "06\x1d"
        "1PAMB-77", /* cut */
        "LA01",
        "ZYES",
        "a maker's plain serial 42",
    };
    bool fine = true;
    for (size_t i = 0; i < sizeof texts / sizeof *texts; i++) {
        struct scan with, without;
        struct fault fault_with, fault_without;
        memset(&with, 0, sizeof with);
        memset(&without, 0, sizeof without);
        memset(&fault_with, 0, sizeof fault_with);
        memset(&fault_without, 0, sizeof fault_without);
        const bool read = scan_read(span_of(texts[i]), "", TODAY, &with, &fault_with);
        start();
        const bool again = scan_read(span_of(texts[i]), "", TODAY, &without, &fault_without);
        fine = none_asked("scan_read") && fine;
        fine = same("scan_read", &read, &again, sizeof read) && same("scan_read", &with, &without, sizeof with) &&
               strcmp(fault_with.text, fault_without.text) == 0 && fine;
    }
    return fine;
}

static bool rules_need_none(void)
{
    const struct check_out_thing things[] = {
        {.serial = "AX1",
         .letter = 'V',
         .name = "Vat S",
         .in = true,
         .film = "fogged",
         .resin = "Flint",
         .revision = "2",
         .hold = "",
         .fits = "CAPSTAN HALYARD",
         .holder_name = "",
         .where = ""},
        {.serial = "AX2",
         .letter = 'C',
         .name = "Oak",
         .in = false,
         .film = "",
         .resin = "Oak",
         .revision = "1",
         .hold = "expired",
         .fits = "SEXTANT",
         .holder_name = "Jarl",
         .where = "Sextant",
         .has_expires = true,
         .expires = {TODAY.number - 1}},
    };
    const struct check_out_case asked = {.things = things,
                                         .thing_count = sizeof things / sizeof *things,
                                         .printer = "CAPSTAN",
                                         .printer_name = "Capstan",
                                         .slots = 1,
                                         .today = TODAY};
    const struct receipt_case arrives = {.name = "Oak",
                                         .provisional = true,
                                         .holds_resin = true,
                                         .has_expires = true,
                                         .expires = {TODAY.number + 3},
                                         .minimum_days = 30,
                                         .today = TODAY};
    static struct verdict_list with, without;
    check_out_judge(&asked, &with);
    start();
    check_out_judge(&asked, &without);
    bool fine = none_asked("check_out_judge");
    fine = same("check_out_judge", &with, &without, sizeof with) && with.count > 0 && fine;
    memset(&with, 0, sizeof with);
    memset(&without, 0, sizeof without);
    const char *hold = receipt_judge(&arrives, &with);
    start();
    const char *again = receipt_judge(&arrives, &without);
    fine = none_asked("receipt_judge") && fine;
    return same("receipt_judge", &with, &without, sizeof with) && strcmp(hold, again) == 0 && fine;
}

bool allocations_need_none(void)
{
    const bool scans = scans_need_none();
    return rules_need_none() && scans;
}
