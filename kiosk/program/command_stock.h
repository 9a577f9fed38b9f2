#ifndef KIOSK_PROGRAM_COMMAND_STOCK_H
#define KIOSK_PROGRAM_COMMAND_STOCK_H

#include "kiosk/program/command.h"

/* `ambershelf import --stock FILE …`: a stock list into the ledger; a dry run unless --book. argv[1] is "--stock". */
int command_stock_import(const struct command *command, int argc, char **argv);

#define COMMAND_STOCK_USAGE                                                                                            \
    "--stock FILE [--dates ymd|dmy|mdy] [--decimal comma|point] [--encoding NAME] [--column FIELD=HEADING]…"         \
    " [--place CODE] [--leave-out N] [--again others|same] [--answers FILE] [--person BADGE] [--json] [--book] "       \
    "(LEDGER | "                                                                                                       \
    "--config FILE)"

#endif
