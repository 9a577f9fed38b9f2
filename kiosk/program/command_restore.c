#include <inttypes.h>
#include <signal.h>
#include <stdio.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/backup/backup_restore.h"
#include "kiosk/program/command.h"
#include "kiosk/program/command_words.h"
#include "labels/basics/text.h"

static void say(const struct restore_report *report)
{
    char head[CHAIN_MARK_SIZE], newest[CALENDAR_INSTANT_SIZE] = "none";
    if (report->facts.movements > 0)
        (void)calendar_write_instant(report->facts.newest, newest);
    printf("restored and checked whole: %" PRId64 " movements, %" PRId64 " units, head %s, newest movement %s\n",
           report->facts.movements, report->facts.units,
           chain_mark_write(report->facts.movements, report->facts.head, head), newest);
    if (report->aside[0] && report->unreadable)
        printf("the former ledger could not be read; its files are kept as '%s'\n", report->aside);
    else if (report->aside[0])
        printf("the former ledger is kept as '%s'; %" PRId64 " of its movements are not in the restored one\n",
               report->aside, report->forgotten);
    if (report->serials_skipped > 0)
        printf("%" PRId64 " serials of each letter are skipped, so that labels printed after the backup stay unique; "
               "take on anew what carries one of them\n",
               report->serials_skipped);
}

static bool read_forget(const struct command_option *option, int64_t *forget)
{
    *forget = 0;
    return option->count == 0 || (option->count == 1 && span_read_count(span_of(option->values[0]), forget));
}

static int run_restore(const struct command *command, int argc, char **argv)
{
    struct command_option words_of[] = {
        {.name = "--config"}, {.name = "--ledger"}, {.name = "--forget"}, {.name = NULL}};
    struct command_words words = {.options = words_of};
    struct restore_options options = {.forget = 0};
    struct restore_report report;
    struct config config;
    struct fault fault = {0};
    int exit_code;
    if (!command_words_read(command, argc, argv, &words, &exit_code) ||
        !command_words_ledger(command, words_of[0].values[0], words_of[1].values[0], &config, &exit_code))
        return exit_code;
    if (words.plain_count != 1)
        return command_misused(command, "say the one backup that is to be restored");
    if (!read_forget(&words_of[2], &options.forget))
        return command_misused(command, "--forget wants the number of movements to leave behind");
    struct clock *clock = clock_create_system();
    if (clock)
        options.now = clock_now(clock).wall;
    clock_destroy(clock);
    (void)signal(SIGXFSZ, SIG_IGN);
    if (!backup_restore(config.ledger, words.plain[0], &options, &report, &fault))
        return command_failed("", &fault);
    say(&report);
    return EXIT_DONE;
}

const struct command command_restore = {
    "restore", "[--config FILE | --ledger LEDGER] [--forget N] BACKUP",
    "Puts a backup in the ledger's place, after checking it whole. Stop the kiosk first. The present files are kept "
    "under\n"
    "names with the date. A PostgreSQL ledger is restored into an empty database.\n"
    "  --config FILE    whose ledger (docs/configuration.md); default: ambershelf.db in this folder\n"
    "  --ledger LEDGER  a file, or postgresql:… with the words of a connection\n"
    "  --forget N       when the present ledger holds N movements that the backup does not: leave them behind\n"
    "Broken off at any moment, the old ledger or the new one is in place, whole; say the same command again.",
    run_restore};
