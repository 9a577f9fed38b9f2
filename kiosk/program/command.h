#ifndef KIOSK_PROGRAM_COMMAND_H
#define KIOSK_PROGRAM_COMMAND_H

#include "labels/basics/fault.h"

/* The commands of `ambershelf`. Exit codes: 0 done, 1 the answer is no or something failed (one line on standard
 * error: what, where, what to do), 2 wrong usage. */

enum { EXIT_DONE = 0, EXIT_NO = 1, EXIT_USAGE = 2 };

struct command {
    const char *name;
    const char *usage;                                                /* after the name */
    const char *help;                                                 /* what it does, and its options */
    int (*run)(const struct command *command, int argc, char **argv); /* argv[0] is the name */
};

extern const struct command command_serve, command_read, command_label, command_parse, command_verify, command_export,
    command_import, command_backup, command_restore, command_eye, command_compute, command_grade;

/* Prints usage and help to standard output; for --help. */
int command_help(const struct command *command);
/* Prints the fault's sentence to standard error; EXIT_NO. */
int command_failed(const char *what, const struct fault *fault);
/* Says what is wrong with the usage; EXIT_USAGE. */
int command_misused(const struct command *command, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* The folder of what is not code, as installed or in the source tree: "templates", "pages", "docs". Static. */
const char *command_data_folder(const char *what);

#endif
