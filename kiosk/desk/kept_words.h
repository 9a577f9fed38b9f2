#ifndef KIOSK_DESK_KEPT_WORDS_H
#define KIOSK_DESK_KEPT_WORDS_H

#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/rules/kept.h"

/* For whom a unit is kept, as people say it: "job KQ-1042", "Tobias"; and who said so. */
struct kept_words {
    char whom[JOB_CODE_SIZE];
    char named[JOB_CODE_SIZE + NAME_SIZE];
    char by[NAME_SIZE];
    bool is_person;
    int64_t until; /* MOVEMENT_NULL: until it is freed */
};

/* Of what is kept for nobody all is "". */
bool kept_words_load(struct ledger *ledger, const struct unit *unit, struct kept_words *words, struct fault *fault);
/* Whom this names: a badge or a job's code. */
bool kept_words_name(struct ledger *ledger, const char *whom, struct kept_words *words, struct fault *fault);
/* Points into `words`. */
struct kept kept_words_for_rule(const struct kept_words *words);

#endif
