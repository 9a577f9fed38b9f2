#include "kiosk/devices/printer.h"

#include <fcntl.h>
#include <pwd.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cmocka.h>

#include "tests/devices/test_printer.h"
#include "tests/devices/test_process.h"

/* Printing through a queue: a cupsd of our own, in a temporary folder, in front of the demo printer. */

enum { SKIPPED = 77, WIDTH = 400, HEIGHT = 200 };

struct cups {
    char folder[64], server[32];
    int port;
    pid_t pid;
};

static struct test_printer demo;
static struct cups cups;

static FILE *file_open(const char *name)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/%s", cups.folder, name);
    return fopen(path, "we");
}

/* cupsd refuses to run its helpers as root: as root we name the printing user, else ourselves. */
static const char *helper_user(void)
{
    if (geteuid() == 0)
        return "lp";
    const struct passwd *const entry = getpwuid(geteuid());
    return entry ? entry->pw_name : "lp";
}

static bool configuration_write(void)
{
    FILE *const conf = file_open("cupsd.conf"), *const files = file_open("cups-files.conf");
    if (!conf || !files)
        return false;
    (void)fprintf(conf,
                  "Listen 127.0.0.1:%d\nBrowsing No\nWebInterface No\nDefaultAuthType None\nLogLevel debug\n"
                  "JobRetryInterval 2\nErrorPolicy retry-job\nPreserveJobHistory Yes\n"
                  "<Location />\nOrder allow,deny\nAllow all\n</Location>\n<Policy default>\nJobPrivateAccess all\n"
                  "JobPrivateValues none\n<Limit All>\nOrder allow,deny\nAllow all\n</Limit>\n</Policy>\n",
                  cups.port);
    static const char *const places[] = {"ServerRoot", "RequestRoot", "CacheDir",
                                         "StateDir",   "TempDir",     "ServerKeychain"};
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        char folder[128];
        (void)snprintf(folder, sizeof folder, "%s/%s", cups.folder, places[i]);
        (void)mkdir(folder, 0755); /* cupsd sets owner and mode itself; without the folder it does not start */
        (void)fprintf(files, "%s %s\n", places[i], folder);
    }
    static const char *const logs[] = {"AccessLog", "ErrorLog", "PageLog"};
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++)
        (void)fprintf(files, "%s %s/%s\n", logs[i], cups.folder, logs[i]);
    (void)fprintf(files, "DataDir /usr/share/cups\nServerBin /usr/lib/cups\nUser %s\nGroup lp\n", helper_user());
    return fclose(conf) == 0 && fclose(files) == 0;
}

/* cupsd asks the printer in a thread of its own, after lpadmin has returned; a job that comes before it knows the
 * printer's formats is aborted. It saves what it learnt as CacheDir/label.data. */
static bool queue_await(void)
{
    char path[128];
    (void)snprintf(path, sizeof path, "%s/CacheDir/label.data", cups.folder);
    for (int tries = 0; tries < 100 && access(path, F_OK) != 0; tries++)
        usleep(100 * 1000);
    usleep(300 * 1000); /* the formats are taken over just after */
    return access(path, F_OK) == 0;
}

static bool queue_make(void)
{
    const char *const argv[] = {"lpadmin", "-h",     cups.server, "-p",         "label", "-E",
                                "-v",      demo.uri, "-m",        "everywhere", NULL};
    for (int tries = 0; tries < 20; tries++) { /* until the server listens */
        if (test_process_wait(test_process_start(argv, NULL), 10000) == 0)
            return queue_await();
        usleep(200 * 1000);
    }
    return false;
}

static bool cups_start(void)
{
    (void)snprintf(cups.folder, sizeof cups.folder, "/tmp/cups-XXXXXX");
    if (!mkdtemp(cups.folder) || chmod(cups.folder, 0755) != 0)
        return false;
    cups.port = test_process_free_port();
    (void)snprintf(cups.server, sizeof cups.server, "127.0.0.1:%d", cups.port);
    setenv("CUPS_SERVER", cups.server, 1); /* stands for this machine's server; libcups looks once */
    if (!configuration_write())
        return false;
    char conf[128], files[128];
    (void)snprintf(conf, sizeof conf, "%s/cupsd.conf", cups.folder);
    (void)snprintf(files, sizeof files, "%s/cups-files.conf", cups.folder);
    const char *const argv[] = {"cupsd", "-f", "-c", conf, "-s", files, NULL};
    cups.pid = test_process_start(argv, NULL);
    return cups.pid > 0 && queue_make();
}

static int set_up(void **state)
{
    (void)state;
    return test_printer_start(&demo) && cups_start() ? 0 : -1;
}

static int tear_down(void **state)
{
    (void)state;
    if (cups.pid > 0)
        test_process_stop(cups.pid);
    test_process_remove(cups.folder);
    return test_printer_stop(&demo) ? 0 : -1;
}

static void prints_through(const char *uri, unsigned seed, int printer_job_id)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    size_t length = 0, got_length = 0;
    int job_id = 0;
    struct printer *const printer = printer_open(uri, &fault);
    assert_non_null(printer);
    if (!printer_query(printer, &facts, &fault))
        fail_msg("%s", fault.text);
    assert_true(facts.accepts_raster);
    assert_true(facts.accepts_jobs);
    uint8_t *const bytes = test_label_create(WIDTH, HEIGHT, TEST_LABEL_DPI, seed, &length);
    const struct printer_job job = {.name = "label",
                                    .bytes = bytes,
                                    .length = length,
                                    .fd = -1,
                                    .media_x = TEST_LABEL_X,
                                    .media_y = TEST_LABEL_Y,
                                    .media_name = "oe_shelf-label_50x25mm",
                                    .resolution_dpi = TEST_LABEL_DPI};
    if (printer_send(printer, &job, &job_id, &fault) != PRINTER_SENT)
        fail_msg("%s", fault.text);
    assert_true(test_printer_await(printer, job_id, PRINTER_JOB_COMPLETED));
    uint8_t *const got = test_printer_document(&demo, printer_job_id, &got_length);
    assert_int_equal(got_length, length);
    assert_memory_equal(got, bytes, length);
    free(got);
    free(bytes);
    printer_close(printer);
}

static void a_label_passes_a_queue_byte_for_byte(void **state)
{
    char uri[64];
    (void)state;
    (void)snprintf(uri, sizeof uri, "ipp://%s/printers/label", cups.server);
    prints_through(uri, 1, 1);
}

static void a_queue_is_found_by_its_name_alone(void **state)
{
    (void)state;
    prints_through("cups:label", 2, 2);
}

static void a_queue_that_is_not_there_is_not_sent(void **state)
{
    struct fault fault = {.code = FAULT_NONE};
    struct printer_facts facts;
    (void)state;
    struct printer *const printer = printer_open("cups:nosuch", &fault);
    assert_non_null(printer);
    assert_false(printer_query(printer, &facts, &fault));
    assert_int_equal(fault.code, FAULT_DEVICE);
    printer_close(printer);
}

int main(void)
{
    static const char *const programs[] = {"cupsd", "lpadmin", "ippeveprinter", "dbus-daemon"};
    for (size_t i = 0; i < sizeof programs / sizeof *programs; i++) {
        if (!test_process_is_installed(programs[i])) {
            (void)fprintf(stderr, "skipped: %s is missing (packages cups-daemon, cups-client, cups-ipp-utils)\n",
                          programs[i]);
            return SKIPPED;
        }
    }
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_label_passes_a_queue_byte_for_byte),
        cmocka_unit_test(a_queue_is_found_by_its_name_alone),
        cmocka_unit_test(a_queue_that_is_not_there_is_not_sent),
    };
    return cmocka_run_group_tests_name("devices/printer_queue", tests, set_up, tear_down);
}
