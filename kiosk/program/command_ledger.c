#include <errno.h>
#include <stdio.h>
#include <string.h>

#include "kiosk/ledger/audit.h"
#include "kiosk/program/command.h"
#include "kiosk/program/command_stock.h"
#include "kiosk/program/config.h"

/* `--config FILE` or a ledger's address, for the commands that work on a ledger. */
static bool read_address(const struct command *command, int argc, char **argv, struct config *config, int *exit_code)
{
    struct fault fault = {0};
    config_init(config);
    *exit_code = EXIT_DONE;
    if (argc == 3 && strcmp(argv[1], "--config") == 0) {
        if (!config_read(argv[2], config, &fault))
            *exit_code = command_failed("", &fault);
    } else if (argc == 2 && argv[1][0] != '-') {
        if (!span_copy(span_of(argv[1]), config->ledger, sizeof config->ledger))
            *exit_code = command_misused(command, "the address is longer than %zu bytes", sizeof config->ledger - 1);
    } else {
        *exit_code = command_misused(command, "say which ledger: its address, or --config FILE");
    }
    return *exit_code == EXIT_DONE;
}

static int run_export(const struct command *command, int argc, char **argv)
{
    struct config config;
    struct fault fault = {0};
    int exit_code;
    if (!read_address(command, argc, argv, &config, &exit_code))
        return exit_code;
    if (!ledger_export(config.ledger, stdout, &fault))
        return command_failed("", &fault);
    if (fflush(stdout) != 0) {
        fault_set(&fault, FAULT_STORAGE, "the export is not whole (%s): write it where there is room", strerror(errno));
        return command_failed("", &fault);
    }
    return EXIT_DONE;
}

const struct command command_export = {"export", "LEDGER | --config FILE",
                                       "Writes everything the ledger holds to standard output, as JSON lines.",
                                       run_export};

static int run_import(const struct command *command, int argc, char **argv)
{
    struct config config;
    struct fault fault = {0};
    int exit_code;
    int64_t movements;
    if (argc > 1 && strcmp(argv[1], "--stock") == 0)
        return command_stock_import(command, argc, argv);
    if (!read_address(command, argc, argv, &config, &exit_code))
        return exit_code;
    if (!ledger_import(config.ledger, stdin, &movements, &fault))
        return command_failed("", &fault);
    printf("%lld movements imported; the head hash is the one of the export\n", (long long)movements);
    return EXIT_DONE;
}

const struct command command_import = {
    "import", "LEDGER | --config FILE | " COMMAND_STOCK_USAGE,
    "Reads an export from standard input into an empty ledger: all of it or nothing, every hash compared.\n\n"
    "With --stock: reads the units of a room from a spreadsheet saved as CSV, and says line by line what would be "
    "taken\n"
    "on; books nothing unless --book is given too, and nothing twice (docs/stock-list.md).\n"
    "  --dates ORDER           order of the dates that need one\n"
    "  --decimal SIGN          what 1.234 and 1,234 mean\n"
    "  --encoding NAME         of a file that is not UTF-8\n"
    "  --column FIELD=HEADING  over what the headings say; FIELD=#NUMBER by number, FIELD= for none\n"
    "  --place CODE            where things stand whose line does not say\n"
    "  --leave-out N           leaves out the lines with faults, when they are N\n"
    "  --again others|same     units that look like some here already: taken on besides, or left out\n"
    "  --answers FILE          more answers, as POST /api/stock-lists takes them (JSON)\n"
    "  --person BADGE          who takes it on\n"
    "  --json                  the whole plan as JSON\n"
    "  --book                  takes it on, while the kiosk is stopped; while it runs, use its page",
    run_import};
