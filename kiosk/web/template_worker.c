#include "kiosk/web/template_worker.h"

#include <stdatomic.h>
#include <stdlib.h>

#include "kiosk/basics/queue.h"
#include "kiosk/basics/thread.h"
#include "kiosk/web/waiter.h"

struct template_worker {
    struct template_files files;
    bool demo;
    struct drawer *drawer; /* NULL until a label is drawn */
    struct queue *queue;
    struct thread *thread;
    atomic_bool stopping;
};

static void do_job(struct template_worker *self, struct template_job *job)
{
    struct fault fault = {0};
    const bool done = atomic_load(&self->stopping)
                          ? fault_set(&fault, FAULT_BUSY, "the kiosk is being stopped: try again when it is back")
                          : template_job_run(job, &self->files, self->demo, &self->drawer, &fault);
    waiter_complete(job->waiter, job, template_job_free, done ? NULL : &fault);
}

static void run(void *context)
{
    struct template_worker *self = context;
    void *job;
    while (queue_pop_many(self->queue, &job, 1, QUEUE_FOR_EVER) > 0)
        do_job(self, job);
    drawer_destroy(self->drawer);
}

bool template_worker_start(const struct template_files *files, bool demo, struct template_worker **worker,
                           struct fault *fault)
{
    struct template_worker *made = calloc(1, sizeof *made);
    if (!made)
        return fault_set(fault, FAULT_STORAGE, "no memory for the drawing of previews");
    made->files = *files;
    made->demo = demo;
    made->queue = queue_create(TEMPLATE_WORKER_WAITING);
    if (!made->queue) {
        free(made);
        return fault_set(fault, FAULT_STORAGE, "no memory for the drawing of previews");
    }
    if (!thread_start("templates", run, made, &made->thread, fault)) {
        queue_destroy(made->queue);
        free(made);
        return false;
    }
    *worker = made;
    return true;
}

void template_worker_stop(struct template_worker *worker)
{
    if (!worker)
        return;
    atomic_store(&worker->stopping, true);
    queue_close(worker->queue);
    thread_join(worker->thread);
    queue_destroy(worker->queue);
    free(worker);
}

bool template_worker_push(struct template_worker *worker, struct template_job *job, struct fault *fault)
{
    return queue_push(worker->queue, job) ||
           fault_set(fault, FAULT_BUSY, "%d drawings wait already: try again in a moment", TEMPLATE_WORKER_WAITING);
}
