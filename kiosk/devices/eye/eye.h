#ifndef KIOSK_DEVICES_EYE_EYE_H
#define KIOSK_DEVICES_EYE_EYE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <sys/types.h>

#include "labels/basics/fault.h"
#include "labels/picture/grey.h"
#include "labels/quality/calibration_measure.h"
#include "labels/quality/quality_brief.h"
#include "labels/reading/reader.h"

/* The eye: pictures from outside are decoded in a caged worker process (eye_worker.h), never in the kiosk itself. One
 * thread of the eye owns the worker: it hands over one picture at a time, waits for the answer with a monotonic
 * deadline, and kills and restarts a worker that hangs, dies or talks nonsense. The kiosk goes on.
 *
 * Every call may come from any thread, except where said. One lock guards the queue; it is held for no call out. */

enum {
    EYE_QUEUE = 8,           /* most pictures waiting or being read */
    EYE_DEADLINE_MS = 10000, /* for one picture, unless set otherwise */
};

/* What is wanted besides Data Matrix symbols; added up. */
enum eye_wish {
    EYE_CARTONS = 1, /* the codes of a supplier's carton too (labels/reading/carton.h) */
    EYE_LOOKS = 2 /* how well each symbol is printed, and where a calibration label's print came out (labels/quality) */
};

struct eye;

/* Of the calibration label in a picture. */
struct eye_calibration {
    bool measured;
    struct calibration_measure measure; /* when measured */
    struct fault why;                   /* when not: FAULT_INPUT or FAULT_STORAGE */
};

/* Coordinates are pixels of the picture as it is stored. */
struct eye_answer {
    int width, height;
    struct reader_symbol *symbols; /* borrowed until `done` returns */
    size_t count;
    const struct quality_brief *looks; /* of each symbol, pixels_a_module 0 where it could not be judged; NULL: not
                                        * wished; borrowed likewise (eye_read: always NULL) */
    const struct eye_calibration *calibration; /* NULL: not wished, or no such label; borrowed likewise (eye_read:
                                                * always NULL) */
    bool cut_short;                            /* there may be more symbols than these */
    int64_t cpu_ns;                            /* spent in locating and decoding */
};

/* Called exactly once for each picture that was accepted, from the eye's thread, in the order of submission. Exactly
 * one of the two is given: `answer`, or `fault` (FAULT_INPUT: no picture, or a broken one; FAULT_DEVICE: the worker
 * hung or died over it; FAULT_STORAGE: no memory; FAULT_BUSY: the eye was closed first). It must not wait, and must
 * not call eye_read or eye_destroy; eye_submit is fine. */
typedef void eye_done_function(void *context, const struct eye_answer *answer, const struct fault *fault);

/* Starts the worker as `program_path eye` ("/proc/self/exe": this very program; its main must hand on to
 * eye_worker_main(3)) and the eye's thread. False: FAULT_DEVICE or FAULT_STORAGE. The caller destroys. The program must
 * leave waiting for the worker's end to the eye: no wait() for any child, no ignored SIGCHLD. */
bool eye_create(const char *program_path, struct eye **eye, struct fault *fault);

/* Stops the picture in hand, kills and reaps the worker, joins the thread. Pictures not read get FAULT_BUSY first.
 * Accepts NULL. No other call may be running. */
void eye_destroy(struct eye *eye);

/* A picture file (JPEG, PNG, PGM; at most 32 MiB), copied: `bytes` may go when this returns. `wishes` of enum
 * eye_wish. Never blocks. False: `done` will not be called, and the
 * fault is FAULT_INPUT (empty, too long), FAULT_BUSY (EYE_QUEUE pictures in hand already, or closing) or FAULT_STORAGE.
 */
bool eye_submit(struct eye *eye, const uint8_t *bytes, size_t length, unsigned wishes, eye_done_function *done,
                void *context, struct fault *fault);

/* The same for a grey picture, a camera's frame, without wishes; sizes within picture_default_limits. */
bool eye_submit_frame(struct eye *eye, const struct grey *frame, eye_done_function *done, void *context,
                      struct fault *fault);

/* Submits and waits. Not from the eye's thread. The symbols are copied to `symbols`, at most `room`;
 * answer->symbols points there, and answer->cut_short is set when not all had room. */
bool eye_read(struct eye *eye, const uint8_t *bytes, size_t length, unsigned wishes, struct reader_symbol *symbols,
              size_t room, struct eye_answer *answer, struct fault *fault);

/* Milliseconds for each picture taken in hand from now on, 1 to 600 000 (assert). */
void eye_set_deadline(struct eye *eye, int deadline_ms);

pid_t eye_pid(const struct eye *eye); /* the worker's; 0 while none runs */

struct eye_counts {
    uint64_t pictures; /* handed to a worker, frames too */
    uint64_t hung;     /* not answered in time */
    uint64_t died;     /* workers that ended by themselves or gave nonsense */
    uint64_t started;  /* workers */
};
struct eye_counts eye_counts(const struct eye *eye);

#endif
