#ifndef TESTS_RULES_CHECK_OUT_THINGS_H
#define TESTS_RULES_CHECK_OUT_THINGS_H

#include "kiosk/rules/check_out.h"

/* What goes to the printer Capstan in the tests of check_out.h. */

enum { THINGS_TODAY = 20514 }; /* 2026-03-02, GNU date 9.1 */

/* Of Flint, revision 2, good for 100 days more. */
struct check_out_thing things_cartridge(const char *serial);
struct check_out_thing things_vat(const char *serial); /* with a clear film */
struct check_out_case things_to_capstan(const struct check_out_thing *things, size_t count);
struct verdict_list things_judge_one(struct check_out_thing thing); /* alone, to Capstan */
/* One reason, with this verdict, whose sentence has these words. */
void things_expect(const struct verdict_list *list, enum reason_code code, enum verdict verdict, const char *says);

#endif
