#ifndef KIOSK_DEVICES_EYE_EYE_KEEPER_H
#define KIOSK_DEVICES_EYE_EYE_KEEPER_H

#include <stdatomic.h>
#include <stdbool.h>
#include <stdint.h>
#include <sys/types.h>

#include "kiosk/devices/eye/eye_message.h"
#include "kiosk/devices/eye/eye_process.h"
#include "labels/basics/fault.h"
#include "labels/reading/reader.h"

/* Keeps one worker: gives it a picture, listens with a deadline, ends and restarts it. The functions belong to the
 * eye's thread; the atomic fields may be read, and `closing` set, by others, who then write to `wake`. */
struct eye_keeper {
    const char *program_path;           /* borrowed */
    int wake;                           /* borrowed: an eventfd; a write ends any waiting early */
    struct reader_symbol *symbols;      /* borrowed: room for READER_SYMBOLS; the last answer's */
    struct quality_brief *looks;        /* likewise */
    struct eye_calibration calibration; /* the last answer's, when `calibrated` */
    bool calibrated;
    struct eye_process process;
    uint32_t last_number;

    atomic_bool closing;
    atomic_int pid; /* 0: no worker runs */
    atomic_uint_fast64_t pictures, hung, died, started;
};

/* Starts the first worker. False: FAULT_DEVICE, nothing to end. */
bool eye_keeper_init(struct eye_keeper *keeper, const char *program_path, int wake, struct reader_symbol *symbols,
                     struct quality_brief *looks, struct fault *fault);
void eye_keeper_end(struct eye_keeper *keeper); /* kills and reaps the worker */

/* One picture: hands `request` (kind, sizes, limits and time set; number and header are filled here) with `memory` to
 * the worker, starting one if need be, and waits for the answer. True: `*done` has no fault, and its count of symbols
 * lies in keeper->symbols. False: the fault that the picture gets; a worker that was at fault has been ended. */
bool eye_keeper_read(struct eye_keeper *keeper, struct eye_request *request, int memory, struct eye_done *done,
                     struct fault *fault);

/* Waits for a write to `wake`. A worker that speaks or goes meanwhile is ended; the next is started at once if no pause
 * is due, else by the next picture. */
void eye_keeper_idle(struct eye_keeper *keeper);

/* What a picture gets that the closing eye leaves unread: FAULT_BUSY. Returns false. */
bool eye_keeper_refuse(struct fault *fault);

#endif
