#ifndef TESTS_WEB_WEB_FIXTURE_H
#define TESTS_WEB_WEB_FIXTURE_H

#include <semaphore.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/feed.h"
#include "kiosk/ledger/writer.h"
#include "kiosk/web/server.h"
#include "tests/support/ledger_fixture.h"

/* A whole server on a free loopback port, over a real ledger and writer on the engine asked for (ledger_fixture.h). The
 * acts are the test's own (web_fixture.c), so that these tests say nothing of the desk: mark     books one movement
 * (clock-confirmed); answers {"n": content.n} block    waits for fixture->gate, then as mark fail     fails with the
 * fault code whose word is content.code scan     answers {"content": content} empty    answers {} stock    books the
 * little catalogue that the tests of the reading routes look at; shelves and lots  save what shelves.h says, label-rows
 * what label_rows.h says; answers {}. The desk's own: label-look, and
 * what devices need (entries of printers and devices; job-plan, job-drop, job-ticket, job-start, job-end); storekeeper
 * books one, answers {"serial"}.
 */

struct web_fixture {
    char folder[64];
    struct ledger_fixture ledger; /* its address */
    char pages[96], vendor[96], api[96];
    struct clock *clock;
    struct feed *feed;
    struct writer *writer;
    struct desk desk;
    struct web *web;
    uint16_t port;
    sem_t gate;
    struct eye *eye; /* set before web_fixture_serve by tests that read pictures */
};

/* Ledger, feed and writer; pages/ with index.html and more. */
void web_fixture_open(struct web_fixture *fixture);
void web_fixture_open_desk(struct web_fixture *fixture); /* with the desk's acts instead of the test's */
/* The test's acts, `kind` run once, and serving: what most tests of a route begin with. */
void web_fixture_start(struct web_fixture *fixture, const char *kind);
void web_fixture_serve(struct web_fixture *fixture, int keep_alive_ms);
void web_fixture_close(struct web_fixture *fixture); /* web first, unless it is NULL already */

/* Runs "mark" `count` times straight on the writer. */
void web_fixture_mark(struct web_fixture *fixture, int count);
void web_fixture_run(struct web_fixture *fixture, const char *kind);
void web_fixture_write_file(const char *path, const char *text);
void web_fixture_remove_folder(const char *folder); /* and what is in it */

#endif
