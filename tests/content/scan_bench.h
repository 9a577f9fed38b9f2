#ifndef TESTS_CONTENT_SCAN_BENCH_H
#define TESTS_CONTENT_SCAN_BENCH_H

#include "labels/content/scan.h"

/* What the tests of scan.h share: the envelope of ISO/IEC 15434 format 06, and a scan on 2026-02-14. */

#define RS   "\x1e"
#define GS   "\x1d"
#define EOT  "\x04"
#define HEAD "[)>" RS "06" GS
#define TAIL RS EOT

struct day scan_bench_today(void);
/* Fails the test when it is refused. */
struct scan scan_bench_read_well(const char *text, const char *symbology);
void scan_bench_assert_day(struct day day, const char *expected); /* YYYY-MM-DD */

#endif
