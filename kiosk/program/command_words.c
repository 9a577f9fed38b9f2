#include "kiosk/program/command_words.h"

#include <string.h>

#include "labels/basics/text.h"

static struct command_option *find(struct command_option *options, const char *name)
{
    for (; options->name; options++)
        if (strcmp(options->name, name) == 0)
            return options;
    return NULL;
}

bool command_words_read(const struct command *command, int argc, char **argv, struct command_words *words,
                        int *exit_code)
{
    *exit_code = EXIT_USAGE;
    for (int i = 1; i < argc; i++) {
        struct command_option *option = find(words->options, argv[i]);
        if (option && i + 1 == argc)
            return command_misused(command, "%s wants a word after it", argv[i]) == EXIT_DONE;
        if (option && option->count == COMMAND_OPTION_TIMES)
            return command_misused(command, "%s was said too often", argv[i]) == EXIT_DONE;
        if (option)
            option->values[option->count++] = argv[++i];
        else if (argv[i][0] == '-' && argv[i][1] != '\0')
            return command_misused(command, "'%s' is not understood", argv[i]) == EXIT_DONE;
        else if (words->plain_count == COMMAND_PLAIN_WORDS)
            return command_misused(command, "'%s' is one word too many", argv[i]) == EXIT_DONE;
        else
            words->plain[words->plain_count++] = argv[i];
    }
    *exit_code = EXIT_DONE;
    return true;
}

bool command_words_ledger(const struct command *command, const char *config_file, const char *address,
                          struct config *config, int *exit_code)
{
    struct fault fault = {0};
    config_init(config);
    *exit_code = EXIT_DONE;
    if (config_file && address)
        *exit_code = command_misused(command, "say either --config or which ledger");
    else if (config_file && !config_read(config_file, config, &fault))
        *exit_code = command_failed("", &fault);
    else if (address && !span_copy(span_of(address), config->ledger, sizeof config->ledger))
        *exit_code = command_misused(command, "the address is longer than %zu bytes", sizeof config->ledger - 1);
    return *exit_code == EXIT_DONE;
}
