#include "tests/devices/test_cups.h"

#include <grp.h>
#include <pwd.h>
#include <stddef.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "tests/devices/test_process.h"

enum { PATH_SIZE = 160, COMMAND_MS = 10000 };

bool test_cups_is_installed(void)
{
    static const char *const programs[] = {"cupsd", "lpadmin", "cupsdisable", "ippeveprinter", "dbus-daemon"};
    for (size_t i = 0; i < sizeof programs / sizeof *programs; i++) {
        if (!test_process_is_installed(programs[i])) {
            (void)fprintf(stderr, "skipped: %s is missing (packages cups-daemon, cups-client, cups-ipp-utils)\n",
                          programs[i]);
            return false;
        }
    }
    return true;
}

/* cupsd refuses to run its helpers as root: as root we name the printing user, else ourselves. */
static const char *helper_user(void)
{
    if (geteuid() == 0)
        return "lp";
    const struct passwd *const entry = getpwuid(geteuid());
    return entry ? entry->pw_name : "lp";
}

static FILE *file_open(const struct test_cups *cups, const char *name)
{
    char path[PATH_SIZE];
    (void)snprintf(path, sizeof path, "%s/%s", cups->folder, name);
    return fopen(path, "we");
}

static bool conf_write(const struct test_cups *cups, enum test_cups_rights rights)
{
    /* the operations and limits are those of /usr/share/cups/cupsd.conf.default, in fewer words */
    static const char *const limits[] = {
        [TEST_CUPS_OPEN] = "JobPrivateAccess all\nJobPrivateValues none\n",
        [TEST_CUPS_STRICT] = "JobPrivateAccess default\nJobPrivateValues default\n"
                             "<Limit Pause-Printer Resume-Printer Enable-Printer Disable-Printer CUPS-Accept-Jobs "
                             "CUPS-Reject-Jobs CUPS-Add-Modify-Printer>\nAuthType Default\nRequire user @SYSTEM\n"
                             "Order deny,allow\n</Limit>\n<Limit Cancel-Job>\nRequire user @OWNER @SYSTEM\n"
                             "Order deny,allow\n</Limit>\n",
        [TEST_CUPS_CLOSED] = "JobPrivateAccess default\nJobPrivateValues default\n"
                             "<Limit Print-Job CUPS-Add-Modify-Printer>\nAuthType Default\nRequire user @SYSTEM\n"
                             "Order deny,allow\n</Limit>\n",
    };
    FILE *const conf = file_open(cups, "cupsd.conf");
    if (!conf)
        return false;
    (void)fprintf(conf,
                  "Listen %s\nListen %s\nBrowsing No\nWebInterface No\nDefaultAuthType %s\nLogLevel debug\n"
                  "JobRetryInterval 2\nErrorPolicy retry-job\nPreserveJobHistory Yes\n"
                  "<Location />\nOrder allow,deny\nAllow all\n</Location>\n<Policy default>\n%s"
                  "<Limit All>\nOrder allow,deny\nAllow all\n</Limit>\n</Policy>\n",
                  cups->server, cups->socket, rights == TEST_CUPS_OPEN ? "None" : "Basic", limits[rights]);
    return fclose(conf) == 0;
}

static bool files_write(const struct test_cups *cups)
{
    static const char *const places[] = {"ServerRoot", "RequestRoot", "CacheDir",
                                         "StateDir",   "TempDir",     "ServerKeychain"};
    static const char *const logs[] = {"AccessLog", "ErrorLog", "PageLog"};
    FILE *const files = file_open(cups, "cups-files.conf");
    if (!files)
        return false;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++) {
        char folder[PATH_SIZE];
        (void)snprintf(folder, sizeof folder, "%s/%s", cups->folder, places[i]);
        (void)mkdir(folder, 0755); /* cupsd sets owner and mode itself; without the folder it does not start */
        (void)fprintf(files, "%s %s\n", places[i], folder);
    }
    for (size_t i = 0; i < sizeof logs / sizeof *logs; i++)
        (void)fprintf(files, "%s %s/%s\n", logs[i], cups->folder, logs[i]);
    const struct group *const own = getgrgid(getegid()); /* so that we are an administrator, whoever we are */
    (void)fprintf(files, "DataDir /usr/share/cups\nServerBin /usr/lib/cups\nUser %s\nGroup lp\nSystemGroup %s\n",
                  helper_user(), own ? own->gr_name : "lpadmin");
    return fclose(files) == 0;
}

/* cupsd asks the printer in a thread of its own, after lpadmin has returned; a job that comes before it knows the
 * printer's formats is aborted. It saves what it learnt as CacheDir/label.data. */
static bool queue_await(const struct test_cups *cups)
{
    char path[PATH_SIZE];
    (void)snprintf(path, sizeof path, "%s/CacheDir/label.data", cups->folder);
    for (int tries = 0; tries < 100 && access(path, F_OK) != 0; tries++)
        usleep(100 * 1000);
    usleep(300 * 1000); /* the formats are taken over just after */
    return access(path, F_OK) == 0;
}

static bool queue_make(const struct test_cups *cups, const char *printer_uri)
{
    const char *const argv[] = {"lpadmin", "-h",        cups->socket, "-p",         "label", "-E",
                                "-v",      printer_uri, "-m",         "everywhere", NULL};
    for (int tries = 0; tries < 20; tries++) { /* until the server listens */
        if (test_process_wait(test_process_start(argv, NULL), COMMAND_MS) == 0)
            return queue_await(cups);
        usleep(200 * 1000);
    }
    return false;
}

bool test_cups_start(struct test_cups *cups, enum test_cups_rights rights, const char *printer_uri)
{
    (void)snprintf(cups->folder, sizeof cups->folder, "/tmp/cups-XXXXXX");
    if (!mkdtemp(cups->folder) || chmod(cups->folder, 0755) != 0)
        return false;
    (void)snprintf(cups->server, sizeof cups->server, "127.0.0.1:%d", test_process_free_port());
    (void)snprintf(cups->socket, sizeof cups->socket, "%s/socket", cups->folder);
    (void)snprintf(cups->uri, sizeof cups->uri, "ipp://%s/printers/label", cups->server);
    char conf[PATH_SIZE], files[PATH_SIZE];
    (void)snprintf(conf, sizeof conf, "%s/cupsd.conf", cups->folder);
    (void)snprintf(files, sizeof files, "%s/cups-files.conf", cups->folder);
    if (!conf_write(cups, rights) || !files_write(cups))
        return false;
    const char *const argv[] = {"cupsd", "-f", "-c", conf, "-s", files, NULL};
    cups->pid = test_process_start(argv, NULL);
    return cups->pid > 0 && queue_make(cups, printer_uri);
}

void test_cups_stop(struct test_cups *cups)
{
    if (cups->pid > 0)
        test_process_stop(cups->pid);
    test_process_remove(cups->folder);
}

bool test_cups_run(const struct test_cups *cups, const char *command)
{
    const char *const argv[] = {command, "-h", cups->socket, "label", NULL};
    return test_process_wait(test_process_start(argv, NULL), COMMAND_MS) == 0;
}
