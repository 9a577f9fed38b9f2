#include "kiosk/program/daemon.h"

#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/basics/id.h"
#include "kiosk/basics/log.h"
#include "kiosk/devices/eye/eye.h"
#include "kiosk/program/backup_thread.h"
#include "kiosk/program/check_thread.h"
#include "kiosk/program/command.h"
#include "kiosk/program/enrolment.h"
#include "kiosk/program/print_thread.h"
#include "kiosk/program/scanner_thread.h"
#include "kiosk/web/server.h"

struct daemon {
    const struct config *config;
    bool demo, enrols_again;
    struct clock *clock;
    struct feed *feed;
    struct desk desk;
    struct writer *writer;
    struct enrolment enrolment;
    char demo_pin[ENROLMENT_PIN_SIZE];
    struct check_thread *check;
    struct eye *eye;
    struct backup_thread *backup;
    struct web *web;
    struct print_thread *printing;
    struct scanner_thread *scanners;
    char api_file[512];
    int started; /* how many rows of the table below */
};

static bool no_memory(struct fault *fault, const char *what)
{
    return fault_set(fault, FAULT_STORAGE, "no memory for the %s", what);
}

static bool start_clock(struct daemon *daemon, struct fault *fault)
{
    const char *file = daemon->config->clock_file;
    daemon->clock = file[0] != '\0' ? clock_create_file(file) : clock_create_system();
    if (!daemon->clock)
        return no_memory(fault, "clock");
    if (daemon->demo && file[0] == '\0')
        clock_confirm(daemon->clock); /* nothing in a demo is dated in earnest */
    return true;
}

static void stop_clock(struct daemon *daemon)
{
    clock_destroy(daemon->clock);
}

static bool start_feed(struct daemon *daemon, struct fault *fault)
{
    daemon->feed = feed_create();
    return daemon->feed || no_memory(fault, "feed");
}

static void stop_feed(struct daemon *daemon)
{
    feed_destroy(daemon->feed);
}

static bool start_writer(struct daemon *daemon, struct fault *fault)
{
    daemon->desk = (struct desk){.idle_seconds = daemon->config->idle_seconds,
                                 .clock = daemon->clock,
                                 .ask_need = daemon->config->ask_need,
                                 .enrols_again = daemon->demo || daemon->enrols_again};
    id_make(daemon->desk.run);
    const struct writer_options options = {.address = daemon->config->ledger,
                                           .kinds = desk_acts,
                                           .desk = &daemon->desk,
                                           .clock = daemon->clock,
                                           .feed = daemon->feed,
                                           .kiosk = daemon->config->kiosk,
                                           .demo = daemon->demo};
    if (!writer_create(&options, &daemon->writer, fault))
        return false;
    return !daemon->demo || feed_last_seq(daemon->feed) > 0 || writer_is_shut(daemon->writer, NULL) ||
           desk_demo_fill(daemon->writer, clock_now(daemon->clock), fault);
}

static void stop_writer(struct daemon *daemon)
{
    writer_destroy(daemon->writer);
}

static bool enrol(struct daemon *daemon, struct fault *fault)
{
    const char *ledger = daemon->config->ledger;
    return daemon->demo ? enrolment_of_demo(daemon->writer, ledger, daemon->demo_pin, fault)
                        : enrolment_open(&daemon->enrolment, ledger, daemon->enrols_again, fault);
}

/* After the writer, which makes the ledger. On a damaged one the kiosk starts all the same, to say so; there is no code
 * then, for nothing could be booked with it. */
static bool start_enrolment(struct daemon *daemon, struct fault *fault)
{
    struct fault why = {FAULT_NONE, ""};
    if (writer_is_shut(daemon->writer, NULL))
        return true;
    if (!enrol(daemon, &why) && why.code != FAULT_DAMAGED)
        return fault_set(fault, why.code, "%s", why.text);
    if (daemon->enrolment.code[0] != '\0') /* the log is read by more people than the code is for */
        log_line(LOG_LEVEL_INFO, "people", "nobody has a PIN yet, or a new one was asked for: the code for it is %s%s",
                 daemon->enrolment.file[0] ? "on standard output and in " : "on standard output",
                 daemon->enrolment.file);
    return true;
}

static void stop_enrolment(struct daemon *daemon)
{
    enrolment_close(&daemon->enrolment);
}

/* The web's thread: the code itself is the worker's by now, and the file is all that is left of it. */
static void code_used(void *context)
{
    struct daemon *daemon = context;
    if (daemon->enrolment.file[0] != '\0')
        (void)unlink(daemon->enrolment.file);
}

/* Before the web: what is checked at once is checked before anybody can act. */
static bool start_check(struct daemon *daemon, struct fault *fault)
{
    const struct check_thread_options options = {
        .ledger_address = daemon->config->ledger, .writer = daemon->writer, .feed = daemon->feed};
    return check_thread_start(&options, &daemon->check, fault);
}

static void stop_check(struct daemon *daemon)
{
    check_thread_stop(daemon->check);
}

static bool start_eye(struct daemon *daemon, struct fault *fault)
{
    return eye_create(daemon->config->eye, &daemon->eye, fault);
}

static void stop_eye(struct daemon *daemon)
{
    eye_destroy(daemon->eye);
}

static bool start_backup(struct daemon *daemon, struct fault *fault)
{
    if (daemon->config->backup_folder[0] == '\0') {
        if (!daemon->demo)
            log_line(LOG_LEVEL_WARNING, "backup", "no backup folder is configured: nothing is copied");
        return true;
    }
    const struct backup_thread_options options = {.folder = daemon->config->backup_folder,
                                                  .ledger_address = daemon->config->ledger,
                                                  .every_hours = daemon->config->backup_hours,
                                                  .keep = daemon->config->backup_keep,
                                                  .clock = daemon->clock};
    return backup_thread_start(&options, &daemon->backup, fault);
}

static void stop_backup(struct daemon *daemon)
{
    backup_thread_stop(daemon->backup);
}

/* Without a backup the kiosk is well all the same: it goes on booking, and says so in /health and on its page. */
static bool tell_health(void *context, json_t *health)
{
    const struct daemon *daemon = context;
    check_thread_health(daemon->check, health);
    backup_thread_tell(daemon->backup, health);
    print_thread_health(daemon->printing, health);
    return true;
}

static struct template_files template_files_of(const struct daemon *daemon)
{
    const struct config *config = daemon->config;
    return (struct template_files){.own = config->own_templates,
                                   .shipped = config->templates[0] != '\0' ? config->templates
                                                                           : command_data_folder("templates")};
}

static bool start_web(struct daemon *daemon, struct fault *fault)
{
    struct builder api;
    builder_init(&api, daemon->api_file, sizeof daemon->api_file);
    builder_addf(&api, "%s/api.yaml", command_data_folder("docs"));
    const struct template_files templates = template_files_of(daemon);
    const struct web_options options = {.address = daemon->config->web_address,
                                        .port = daemon->config->web_port,
                                        .writer = daemon->writer,
                                        .feed = daemon->feed,
                                        .eye = daemon->eye,
                                        .clock = daemon->clock,
                                        .desk = &daemon->desk,
                                        .ledger_address = daemon->config->ledger,
                                        .pages_folder = command_data_folder("pages"),
                                        .vendor_folder = "/usr/share/nodejs/preact/src",
                                        .api_file = daemon->api_file,
                                        .templates_folder = templates.shipped,
                                        .own_templates = templates.own,
                                        .demo = daemon->demo,
                                        .kiosk = daemon->config->kiosk,
                                        .code = daemon->enrolment.code,
                                        .code_used = code_used,
                                        .code_context = daemon,
                                        .demo_pin = daemon->demo_pin,
                                        .health = tell_health,
                                        .health_context = daemon};
    return web_create(&options, &daemon->web, fault);
}

static void stop_web(struct daemon *daemon)
{
    web_destroy(daemon->web);
}

static bool start_printing(struct daemon *daemon, struct fault *fault)
{
    if (daemon->config->printer[0] == '\0') {
        log_line(LOG_LEVEL_WARNING, "printing", "no label printer is configured: labels wait");
        return true;
    }
    const struct print_thread_options options = {.printer_uri = daemon->config->printer,
                                                 .templates = template_files_of(daemon),
                                                 .ledger_address = daemon->config->ledger,
                                                 .kiosk = daemon->config->kiosk,
                                                 .shared = ledger_is_shared(daemon->config->ledger),
                                                 .ask_seconds = daemon->config->print_ask_seconds,
                                                 .darkness = daemon->config->darkness,
                                                 .speed = daemon->config->speed_mm * 100, /* 1/100 mm */
                                                 .tracking = printer_tracking_read(daemon->config->tracking),
                                                 .writer = daemon->writer,
                                                 .feed = daemon->feed,
                                                 .demo = daemon->demo};
    return print_thread_start(&options, &daemon->printing, fault);
}

static void stop_printing(struct daemon *daemon)
{
    print_thread_stop(daemon->printing);
}

static bool start_scanners(struct daemon *daemon, struct fault *fault)
{
    return daemon->config->scanner_count == 0 ||
           scanner_thread_start(daemon->config->scanners, daemon->config->scanner_count, daemon->writer, daemon->feed,
                                &daemon->scanners, fault);
}

static void stop_scanners(struct daemon *daemon)
{
    scanner_thread_stop(daemon->scanners);
}

/* Who starts and stops whom: started from the top, stopped from the bottom. Who stands lower uses who stands higher.
 * The web comes before its users end: acts in flight announce themselves on the feed, which ends last but one. */
static const struct {
    const char *part;
    bool (*start)(struct daemon *daemon, struct fault *fault);
    void (*stop)(struct daemon *daemon);
} parts[] = {
    {"clock", start_clock, stop_clock},
    {"feed", start_feed, stop_feed},
    {"writer", start_writer, stop_writer},
    {"enrolment", start_enrolment, stop_enrolment},
    {"check", start_check, stop_check},
    {"eye", start_eye, stop_eye},
    {"backup", start_backup, stop_backup},       /* before the web, whose /health asks it, */
    {"printing", start_printing, stop_printing}, /* and this */
    {"web", start_web, stop_web},
    {"scanners", start_scanners, stop_scanners},
};

enum { PARTS = sizeof parts / sizeof *parts };

bool daemon_start(const struct config *config, bool demo, bool enrols_again, struct daemon **daemon,
                  struct fault *fault)
{
    struct daemon *made = calloc(1, sizeof *made);
    if (!made)
        return no_memory(fault, "daemon");
    made->config = config;
    made->demo = demo;
    made->enrols_again = enrols_again;
    for (int i = 0; i < PARTS; i++) {
        made->started = i + 1; /* a part that failed half-way is stopped too: every stop accepts that */
        if (!parts[i].start(made, fault)) {
            daemon_stop(made);
            return false;
        }
    }
    *daemon = made;
    return true;
}

void daemon_stop(struct daemon *daemon)
{
    if (!daemon)
        return;
    while (daemon->started > 0)
        parts[--daemon->started].stop(daemon);
    free(daemon);
}

uint16_t daemon_port(const struct daemon *daemon)
{
    return web_port(daemon->web);
}

const char *daemon_code(const struct daemon *daemon, const char **file)
{
    *file = daemon->enrolment.file;
    return daemon->enrolment.code;
}
