#ifndef KIOSK_WEB_TEMPLATE_WORKER_H
#define KIOSK_WEB_TEMPLATE_WORKER_H

#include "kiosk/web/template_job.h"

/* One thread that draws labels for the page and writes the shop's templates, so that no HTTP thread waits for fonts, a
 * large sheet or a disk, and so that fonts are in memory once. Measured on two
 * slow cores: a label of 50 x 25 mm 1 ms, the first one 14 ms for the fonts, a sheet of A4 at 600 dots an inch 64 ms. A
 * few jobs wait, more are refused. */

enum { TEMPLATE_WORKER_WAITING = 16 };

struct template_worker;

/* `files` is copied, its texts are borrowed. FAULT_STORAGE: no memory or no thread. */
bool template_worker_start(const struct template_files *files, bool demo, struct template_worker **worker,
                           struct fault *fault);
/* Ends after the job in hand; those that wait get FAULT_BUSY. Accepts NULL. */
void template_worker_stop(struct template_worker *worker);

/* Queues `job`. It completes job->waiter with the job as its result, beside a fault too; the waiter then owns it.
 * False, FAULT_BUSY: the queue is full, the job stays the caller's. */
bool template_worker_push(struct template_worker *worker, struct template_job *job, struct fault *fault);

#endif
