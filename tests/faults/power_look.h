#ifndef TESTS_FAULTS_POWER_LOOK_H
#define TESTS_FAULTS_POWER_LOOK_H

#include "tests/faults/power_disk.h"

/* Every image of every cut of a recording: is the ledger in it right, and does the day go on with it? */

struct power_day {
    struct power_event *events;
    size_t count, first; /* what came before `first` was there already */
    int every, jobs;     /* a seeded one in `every` of the kinds with many images */
    uint64_t seed;
    bool quiet; /* failures are what is looked for: none is printed, and no kind is looked at whole */
    bool once;  /* no second cuts */
};

struct power_tally {
    int cuts, images[IMAGES];
    int second_cuts, second_images;
    int failed; /* of all images */
};

/* The images that fall to job `job` of `day->jobs`, added to the tally. Prints the first failures. */
void power_look(const struct power_day *day, int job, struct power_tally *tally);

#endif
