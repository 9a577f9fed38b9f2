#ifndef KIOSK_PROGRAM_COMMAND_WORDS_H
#define KIOSK_PROGRAM_COMMAND_WORDS_H

#include <stddef.h>

#include "kiosk/program/command.h"
#include "kiosk/program/config.h"

/* The words of a command that works on a ledger: options with one value each, in any order, and the rest. */

enum { COMMAND_PLAIN_WORDS = 2, COMMAND_OPTION_TIMES = 8 };

struct command_option {
    const char *name;                         /* "--config" */
    const char *values[COMMAND_OPTION_TIMES]; /* as often as it was said; borrowed from argv */
    int count;
};

struct command_words {
    struct command_option *options; /* ends with a NULL name */
    const char *plain[COMMAND_PLAIN_WORDS];
    int plain_count;
};

/* False: said what is wrong, and `*exit_code` is EXIT_USAGE. */
bool command_words_read(const struct command *command, int argc, char **argv, struct command_words *words,
                        int *exit_code);

/* Which ledger: `--config FILE`'s, the address given (NULL: not), or the default configuration's. */
bool command_words_ledger(const struct command *command, const char *config_file, const char *address,
                          struct config *config, int *exit_code);

#endif
