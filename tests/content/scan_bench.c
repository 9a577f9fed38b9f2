#include "tests/content/scan_bench.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include "labels/basics/text.h"

struct day scan_bench_today(void)
{
    return calendar_day(2026, 2, 14);
}

struct scan scan_bench_read_well(const char *text, const char *symbology)
{
    struct scan scan = {.kind = SCAN_KINDS};
    struct fault fault = {FAULT_NONE, ""};
    char shown[120];
    if (!scan_read(span_of(text), symbology, scan_bench_today(), &scan, &fault))
        fail_msg("%s %s: %s", symbology, text_show(span_of(text), shown, sizeof shown), fault.text);
    return scan;
}

void scan_bench_assert_day(struct day day, const char *expected)
{
    char text[CALENDAR_DATE_SIZE];
    assert_string_equal(calendar_write_date(day, text), expected);
}
