#ifndef KIOSK_DEVICES_PRINTER_H
#define KIOSK_DEVICES_PRINTER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "kiosk/devices/printer_facts.h"
#include "kiosk/devices/printer_reason.h"
#include "kiosk/devices/printer_standing.h"
#include "labels/basics/fault.h"

/* Printing labels over IPP, straight to the printer or to a CUPS queue. A label goes out as PWG raster (PWG 5102.4) at
 * the printer's own resolution on its exact size, never as PDF and never scaled: a renderer in between would blur the
 * modules of the symbol. What a printer does not offer is not asked of it.
 *
 * Calls wait on the network for seconds (limits in printer_wire.h), so each printer gets its own thread; a struct is
 * used by one thread at a time. Nothing stays connected between calls.
 *
 * "Completed" is what the printer claims; printer_standing.h says how far each claim goes. A label is proved by
 * scanning it. What happens in which trouble, measured: docs/printing.md. */

struct printer;

/* "ipp://host[:port]/ipp/print", "ipps://…", "ipp://localhost/printers/QUEUE" or "cups:QUEUE". Does not connect.
 * NULL: `fault` says what is wrong in the address. */
struct printer *printer_open(const char *uri, struct fault *fault);
void printer_close(struct printer *printer); /* NULL allowed */

/* Asks what it is, holds, offers, and how it is. False: not there, or no printer; `facts` untouched. */
bool printer_query(const struct printer *printer, struct printer_facts *facts, struct fault *fault);

struct printer_job {   /* all borrowed for the call */
    const char *name;  /* shown at the printer; cut to 255 bytes */
    const void *bytes; /* PWG raster; or NULL, then it is the file behind `fd`, read from its beginning */
    size_t length;     /* of `bytes` */
    int fd;
    int media_x, media_y;   /* 1/100 mm, x across the print head */
    const char *media_name; /* as the printer names that size; NULL, or a name of another size: size alone */
    int resolution_dpi;     /* of the raster */
    /* What follows may stay 0. Asked of the printer only where its facts offer it. */
    const struct printer_facts *facts; /* of this printer, lately; NULL: it is asked first */
    enum printer_tracking tracking;    /* PRINTER_TRACKING_UNSAID: as it is set */
    const char *media_type;            /* as the printer names it; NULL: as it is set */
    int darkness;                      /* -100 to 100 on top of what is set at the printer; 0: as it is set */
    int speed;                         /* 1/100 mm a second; 0: as it is set */
};

enum printer_sent {
    PRINTER_SENT,     /* taken: `*job_id` is set */
    PRINTER_NOT_SENT, /* not there, or refused: nothing comes out, safe to try again once the cause is gone */
    PRINTER_BUSY,     /* has another job: try again in a second or two */
    PRINTER_UNKNOWN   /* bytes of the label went out and no clear answer came: it may come out, now or later, or not.
                         Do not send again before somebody has looked. */
};

/* Sends one label. A document that is not PWG raster of that size and resolution, or a wish outside of what the printer
 * offers, is PRINTER_NOT_SENT with FAULT_INPUT.
 * Other than PRINTER_SENT: `*job_id` untouched, `fault` filled. */
enum printer_sent printer_send(const struct printer *printer, const struct printer_job *job, int *job_id,
                               struct fault *fault);

/* How the job stands. False: no answer this time (ask again); `standing` untouched. A printer that does not know the
 * job number is an answer: PRINTER_JOB_GONE. So is one where that number has another name than `name` (as it was sent;
 * NULL: not looked at): job numbers of a printer start again at 1 when it is switched off and on. */
bool printer_follow(const struct printer *printer, int job_id, const char *name, struct printer_standing *standing,
                    struct fault *fault);

/* The same without a name, and without a word on how far the state can be believed. */
bool printer_poll(const struct printer *printer, int job_id, enum printer_job_state *state,
                  struct printer_reasons *reasons, struct fault *fault);

/* Takes a label back. True: it is ended, ending, or gone, and `standing` says how it stands now (follow it until its
 * certainty is no longer PRINTER_UNDER_WAY); another's job of that number is left alone. False: `fault` says why. */
bool printer_cancel(const struct printer *printer, int job_id, const char *name, struct printer_standing *standing,
                    struct fault *fault);

enum printer_jobs { PRINTER_JOBS_WAITING /* and those that print */, PRINTER_JOBS_ENDED };

/* The jobs that the printer or queue tells of, `*count` at most `most`; of other people's it may hide the names. */
bool printer_list(const struct printer *printer, enum printer_jobs which, struct printer_standing list[], size_t most,
                  size_t *count, struct fault *fault);

/* Looks for a label by the name it was sent with: after PRINTER_UNKNOWN, or a start of the kiosk. True: `*found` says
 * whether the printer knows it. One that it does not know may still be on its way, or may have come out. */
bool printer_find(const struct printer *printer, const char *name, struct printer_standing *standing, bool *found,
                  struct fault *fault);

enum { PRINTER_SENT_EARLIER = -1 }; /* by an earlier start of the kiosk */

/* What the printer behind a queue says itself of a label that the queue calls completed, for CUPS says that also of
 * labels that its printer gave up, or lost when it was switched off (measured, docs/printing.md). A queue tells where
 * its printer is; that printer is asked for its jobs of that name and since when it is on, and is never sent anything.
 * `sent_ms`: when the label was sent, by clock_mono_ms(). True: `*certainty` is the printer's own word, or that it was
 * switched on since and has forgotten it. False: not a queue, no address that we can ask, no answer, or a printer that
 * keeps no list: the queue's word stands. */
bool printer_ask_behind(const struct printer *queue, const char *name, int64_t sent_ms,
                        enum printer_certainty *certainty);

enum printer_begun { /* what becomes of labels that a stopped queue would send a second time */
                     PRINTER_BEGUN_ASK,
                     PRINTER_BEGUN_CANCEL, /* ours; another's that is left keeps the queue stopped */
                     PRINTER_BEGUN_PRINT
};
enum printer_resumed {
    PRINTER_RESUMED,      /* it goes on, and takes jobs */
    PRINTER_NOT_RESUMED,  /* `fault` says why */
    PRINTER_WOULD_REPEAT, /* nothing was done: `fault` names a label that was begun and would be printed once more */
};

/* Sets a stopped printer or queue going, and lets it take jobs again. */
enum printer_resumed printer_resume(const struct printer *printer, enum printer_begun begun, struct fault *fault);

#endif
