#ifndef KIOSK_CASES_MIX_IN_H
#define KIOSK_CASES_MIX_IN_H

#include "kiosk/cases/case_in.h"
#include "kiosk/rules/mix.h"

/* Lots, containers and events, which mix and recall read alike. Whether all is good: case_good. */
void mix_in(struct case_in *in, struct mix_case *mix);

#endif
