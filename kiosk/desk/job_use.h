#ifndef KIOSK_DESK_JOB_USE_H
#define KIOSK_DESK_JOB_USE_H

#include "kiosk/desk/turn.h"

/* Resin that a printer moved by itself: out of its cartridges into its vat, out of the vat into a job's parts. The
 * printer keeps its vat's level, so what the parts took came out of the cartridges first: as told for each, else out of
 * the one that expires first until it is empty by the books, then the next; the rest was the vat's own (common
 * practice, no source). Reality is never refused: more than is there by the books takes what is there and opens a
 * question. */

enum { JOB_CARTRIDGES = 16 };

struct job_used {
    const char *word;  /* estimate, told */
    int64_t amount_ul; /* all of it; MOVEMENT_NULL: nobody knows */
    size_t told_count; /* 0: not said for each cartridge */
    struct {
        char unit[SERIAL_SIZE];
        int64_t amount_ul;
    } told[JOB_CARTRIDGES];
};

bool job_use_book(struct turn *turn, const struct job *job, const struct job_used *used, struct fault *fault);

/* A job has begun over a clean vat, and cartridges are there: the printer has filled it, up to what such a vat holds
 * (an estimate), or nobody knows how far. Nothing happens when the vat holds resin already, or no cartridge is there.
 */
bool job_use_fill(struct turn *turn, const struct job *job, struct fault *fault);

/* What is in the printer now: serials. The vat "" when there is none. */
struct job_inside {
    char vat[SERIAL_SIZE];
    char cartridges[JOB_CARTRIDGES][SERIAL_SIZE]; /* with resin in them, the one that expires first at first */
    size_t cartridge_count;
};
bool job_use_inside(struct turn *turn, const char *machine, struct job_inside *inside, struct fault *fault);

#endif
