#include <stdio.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/ledger/backup/verify_against.h"
#include "kiosk/program/command.h"
#include "kiosk/program/command_words.h"

static int say(bool clean, const char *sentence)
{
    fprintf(clean ? stdout : stderr, "%s\n", sentence);
    return clean ? EXIT_DONE : EXIT_NO;
}

static int verify_itself(const char *ledger)
{
    struct verify_report report;
    struct fault fault = {0};
    bool clean;
    if (!ledger_verify(ledger, &report, &clean, &fault))
        return command_failed("", &fault);
    return say(clean, report.sentence);
}

static int verify_by_head(const char *ledger, const struct chain_mark *mark)
{
    struct against_report report;
    struct fault fault = {0};
    bool clean;
    if (!verify_head(ledger, mark, &report, &clean, &fault))
        return command_failed("", &fault);
    return say(clean, report.sentence);
}

static int verify_by_backup(const char *ledger, const char *backup)
{
    struct against_report report;
    struct fault fault = {0};
    bool clean;
    if (!verify_against(ledger, backup, &report, &clean, &fault))
        return command_failed(backup, &fault);
    return say(clean, report.sentence);
}

/* Backups first: they can name the movement. The first trouble ends it; it is the one to look at. */
static int verify_all(const char *ledger, const struct command_option *backups, const struct command_option *heads,
                      const struct chain_mark *marks)
{
    int code = verify_itself(ledger);
    for (int i = 0; code == EXIT_DONE && i < backups->count; i++)
        code = verify_by_backup(ledger, backups->values[i]);
    for (int i = 0; code == EXIT_DONE && i < heads->count; i++)
        code = verify_by_head(ledger, &marks[i]);
    return code;
}

static int run_verify(const struct command *command, int argc, char **argv)
{
    struct command_option options[] = {{.name = "--config"}, {.name = "--against"}, {.name = "--head"}, {.name = NULL}};
    struct command_words words = {.options = options};
    struct chain_mark marks[COMMAND_OPTION_TIMES];
    struct config config;
    struct fault fault = {0};
    int exit_code;
    if (!command_words_read(command, argc, argv, &words, &exit_code))
        return exit_code;
    if (words.plain_count + options[0].count != 1)
        return command_misused(command, "say which ledger: its address, or --config FILE");
    for (int i = 0; i < options[2].count; i++)
        if (!chain_mark_read(span_of(options[2].values[i]), &marks[i], &fault))
            return command_misused(command, "%s", fault.text);
    if (!command_words_ledger(command, options[0].values[0], words.plain_count ? words.plain[0] : NULL, &config,
                              &exit_code))
        return exit_code;
    return verify_all(config.ledger, &options[1], &options[2], marks);
}

const struct command command_verify = {
    "verify", "LEDGER | --config FILE [--against BACKUP]… [--head NUMBER:HASH]…",
    "Recomputes the whole present state from the movements, compares every row, and walks the hash chain.\n"
    "LEDGER is a file, or postgresql:… with the words of a connection.\n"
    "  --against BACKUP     the ledger must hold every movement of this backup; names the first that differs\n"
    "  --head NUMBER:HASH   the ledger must have come through this head, as a backup or the page Room shows it\n"
    "A ledger whose end was cut off, or whose chain somebody computed anew, agrees with itself: only a head kept\n"
    "elsewhere shows it.",
    run_verify};
