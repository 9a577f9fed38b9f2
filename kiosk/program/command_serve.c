#include <malloc.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "kiosk/basics/log.h"
#include "kiosk/program/command.h"
#include "kiosk/program/daemon.h"

static void wait_for_the_end(void)
{
    sigset_t signals;
    int signal_number;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    (void)sigwait(&signals, &signal_number);
    log_line(LOG_LEVEL_INFO, "serve", "stopping (signal %d)", signal_number);
}

/* Signals are waited for by main alone; all threads started later inherit the block. */
static void block_signals(void)
{
    sigset_t signals;
    sigemptyset(&signals);
    sigaddset(&signals, SIGINT);
    sigaddset(&signals, SIGTERM);
    (void)sigprocmask(SIG_BLOCK, &signals, NULL);
    (void)signal(SIGPIPE, SIG_IGN); /* a browser or printer that goes away is an error of its call, not our end */
    (void)signal(SIGXFSZ, SIG_IGN); /* likewise a file at its limit */
}

enum { LARGE_BYTES = 256 * 1024 };

/* A kiosk runs for months: what is large (a label's dots, a photograph, a long answer) goes back to the system when it
 * is freed. Left to itself glibc raises this limit with each large piece it sees freed, and then keeps megabytes. */
static void give_large_memory_back(void)
{
    (void)mallopt(M_MMAP_THRESHOLD, LARGE_BYTES);
    (void)mallopt(M_TRIM_THRESHOLD, LARGE_BYTES);
}

/* To the terminal of whoever starts the kiosk, before the address at which anybody may come. */
static void tell_code(const struct daemon *daemon)
{
    const char *file, *code = daemon_code(daemon, &file);
    if (code[0] != '\0')
        printf("Code for the first storekeeper's PIN: %s (page Room; it counts once%s%s)\n", code,
               file[0] ? ", and stands in " : "", file);
}

static int run_serve(const struct command *command, int argc, char **argv)
{
    static struct config config;
    struct fault fault = {0};
    struct daemon *daemon;
    bool demo = false, enrols_again = false;
    config_init(&config);
    for (int i = 1; i < argc; i++) {
        if (strcmp(argv[i], "--demo") == 0) {
            demo = true;
        } else if (strcmp(argv[i], "--enrol") == 0) {
            enrols_again = true;
        } else if (strcmp(argv[i], "--config") == 0 && i + 1 < argc) {
            if (!config_read(argv[++i], &config, &fault))
                return command_failed("", &fault);
        } else {
            return command_misused(command, "'%s' is not understood", argv[i]);
        }
    }
    give_large_memory_back();
    block_signals();
    if (!daemon_start(&config, demo, enrols_again, &daemon, &fault))
        return command_failed("", &fault);
    tell_code(daemon);
    printf("Ambershelf%s is at http://%s:%d/\n", demo ? " (demo)" : "", config.web_address, daemon_port(daemon));
    (void)fflush(stdout);
    wait_for_the_end();
    daemon_stop(daemon);
    return EXIT_DONE;
}

const struct command command_serve = {
    "serve", "[--config FILE] [--demo] [--enrol]",
    "Runs the kiosk: the page, the scanners, the label printer, the ledger. Ends at SIGINT or SIGTERM.\n"
    "  --config FILE  where everything is (docs/configuration.md)\n"
    "  --demo         an invented print room in its own ledger; every label says SAMPLE\n"
    "  --enrol        writes a code by which a storekeeper gets a PIN anew on the page Room (docs/people.md);\n"
    "                 without it there is one as long as nobody has a PIN",
    run_serve};
