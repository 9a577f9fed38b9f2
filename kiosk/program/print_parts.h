#ifndef KIOSK_PROGRAM_PRINT_PARTS_H
#define KIOSK_PROGRAM_PRINT_PARTS_H

#include <pthread.h>
#include <stdatomic.h>

#include "kiosk/ledger/desk_rows.h"
#include "kiosk/program/print_label.h"
#include "kiosk/program/print_thread.h"

/* What the files of the printing thread share: print_thread.c (its life, what is next), print_send.c (one label on its
 * way), print_told.c (what a person told the printer). All but `said` is the thread's own. */

enum { PRINT_RETRY_MS = 2000, PRINT_POLL_MS = 300, PRINT_STATUS_SIZE = FAULT_TEXT_SIZE };
enum { PRINTS_MOST = 64 }; /* looked at for one that can be printed */

struct print_thread {
    struct print_thread_options options; /* strings borrowed: the daemon's configuration outlives the thread */
    struct printer *printer;
    struct drawer *drawer;
    struct ledger *ledger; /* a reader's, reopened after a fault */
    struct feed_follower *follower;
    struct thread *thread;
    int wake; /* eventfd: something was booked, or stop */
    atomic_bool stop;
    struct print prints[PRINTS_MOST]; /* as read last, in the order of printing */
    size_t print_count;
    bool wants_calibration;       /* somebody asked for the calibration label */
    int64_t told_seq;             /* movements up to this one were looked through for what the printer is told */
    pthread_mutex_t lock;         /* guards said: /health reads it */
    char said[PRINT_STATUS_SIZE]; /* last state told to the pages and logged, "" = fine */
    int64_t said_ms;              /* when the pages were told */
};

/* Waits for a booking, the time limit, or the end. */
void print_rest(struct print_thread *self, int ms);
/* Tells the pages how the printer is; "" = fine. */
void print_say(struct print_thread *self, const char *sentence);
/* Books a label's new state; false when it was refused, for what is booked already says otherwise. */
bool print_mark(struct print_thread *self, const struct print *print, enum print_state state, int job,
                const char *note);
/* A reader's connection; false while there is none. print_ledger_drop after a fault: the next look opens a new one. */
bool print_ledger_open(struct print_thread *self);
void print_ledger_drop(struct print_thread *self, const struct fault *fault);

/* Sends one label and follows it to its end. `before`: what the printer said of itself just now. */
void print_send(struct print_thread *self, const struct print *print, const struct print_raster *raster,
                const struct printer_reasons *before);
/* A label that was being sent when the daemon ended: the printer is asked for it by its name and it is followed, else a
 * person is asked. `*answers` false: the printer is not asked any more. False: its state is not booked. */
bool print_settle_sent(struct print_thread *self, const struct print *print, bool *answers);
/* The worst of a printer's reasons in words, or "". */
void print_reason_words(const struct printer_reasons *reasons, char *text, size_t size);

/* Draws and sends the calibration label for the roll that is in; what hinders it is said. */
void print_calibration(struct print_thread *self);

/* Does what the printer was told since the last look: sets it going. `*cancel`: the label in hand (NULL: none) is to be
 * dropped. */
void print_told(struct print_thread *self, const struct print *in_hand, bool *cancel);

#endif
