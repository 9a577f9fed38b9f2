#include <inttypes.h>
#include <signal.h>
#include <stdio.h>

#include "kiosk/basics/clock.h"
#include "kiosk/ledger/backup/backup.h"
#include "kiosk/program/command.h"
#include "kiosk/program/command_words.h"

/* What a backup is worth, in one line; its head is what `verify --head` takes. */
static void say(const char *file, const struct backup_facts *facts, struct instant now)
{
    char head[CHAIN_MARK_SIZE], when[CALENDAR_INSTANT_SIZE], newest[CALENDAR_INSTANT_SIZE] = "none";
    if (facts->movements > 0)
        (void)calendar_write_instant(facts->newest, newest);
    printf("%s: %" PRId64 " movements, %" PRId64 " units, head %s, newest movement %s; made %s, checked whole\n", file,
           facts->movements, facts->units, chain_mark_write(facts->movements, facts->head, head), newest,
           calendar_write_instant(now, when));
}

static int run_backup(const struct command *command, int argc, char **argv)
{
    struct command_option options[] = {{.name = "--config"}, {.name = "--ledger"}, {.name = NULL}};
    struct command_words words = {.options = options};
    struct config config;
    struct backup_facts facts;
    struct fault fault = {0};
    int exit_code;
    if (!command_words_read(command, argc, argv, &words, &exit_code) ||
        !command_words_ledger(command, options[0].values[0], options[1].values[0], &config, &exit_code))
        return exit_code;
    if (words.plain_count != 1)
        return command_misused(command, "say the one file that the backup goes into");
    (void)signal(SIGXFSZ, SIG_IGN); /* a file at its limit is a failing write with a sentence */
    if (!backup_make(config.ledger, words.plain[0], NULL, &facts, &fault))
        return command_failed("", &fault);
    struct clock *clock = clock_create_system();
    say(words.plain[0], &facts, clock ? clock_now(clock).wall : facts.newest);
    clock_destroy(clock);
    return EXIT_DONE;
}

const struct command command_backup = {
    "backup", "[--config FILE | --ledger LEDGER] FILE",
    "Copies the ledger into one SQLite file while the kiosk goes on booking, and checks the copy whole: file, hash\n"
    "chain, every row. The line it prints holds the head; write it down for 'verify --head'. FILE must not be there\n"
    "yet; a backup that fails leaves nothing. docs/backup.md says what to do on the day the disk dies.\n"
    "  --config FILE    whose ledger (docs/configuration.md); default: ambershelf.db in this folder\n"
    "  --ledger LEDGER  a file, or postgresql:… with the words of a connection",
    run_backup};
