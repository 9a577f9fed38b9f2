#include <stdarg.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "kiosk/ledger/json_memory.h"
#include "kiosk/program/command.h"

static const struct command *const commands[] = {&command_serve,
                                                 &command_read,
                                                 &command_grade,
                                                 &command_label,
                                                 &command_parse,
                                                 &command_verify,
                                                 &command_backup,
                                                 &command_restore,
                                                 &command_export,
                                                 &command_import,
                                                 &command_eye,
                                                 &command_compute,
                                                 NULL};

int command_help(const struct command *command)
{
    printf("ambershelf %s %s\n\n%s\n", command->name, command->usage, command->help);
    return EXIT_DONE;
}

int command_failed(const char *what, const struct fault *fault)
{
    fprintf(stderr, "ambershelf: %s%s%s\n", what, what[0] ? ": " : "", fault->text);
    return EXIT_NO;
}

int command_misused(const struct command *command, const char *format, ...)
{
    va_list arguments;
    va_start(arguments, format);
    fputs("ambershelf: ", stderr);
    vfprintf(stderr, format, arguments);
    va_end(arguments);
    fprintf(stderr, "\nusage: ambershelf %s %s\n", command->name, command->usage);
    return EXIT_USAGE;
}

const char *command_data_folder(const char *what)
{
    static const struct {
        const char *what, *installed, *source;
    } folders[] = {
        {"templates", AMBERSHELF_DATA "/templates", AMBERSHELF_SOURCE "/labels/drawing/templates"},
        {"pages", AMBERSHELF_DATA "/pages", AMBERSHELF_SOURCE "/kiosk/web/pages"},
        {"docs", AMBERSHELF_DATA "/docs", AMBERSHELF_SOURCE "/docs"},
    };
    for (size_t i = 0; i < sizeof folders / sizeof *folders; i++)
        if (strcmp(folders[i].what, what) == 0)
            return access(folders[i].source, R_OK) == 0 ? folders[i].source : folders[i].installed;
    return "";
}

static int usage(FILE *out)
{
    fputs("ambershelf keeps the consumables of a resin print room: labels, scans, stock.\n\n", out);
    for (size_t i = 0; commands[i]; i++)
        fprintf(out, "  ambershelf %-7s %s\n", commands[i]->name, commands[i]->usage);
    fputs("\nambershelf COMMAND --help says more. Exit codes: 0 done, 1 no or failed, 2 wrong usage.\n", out);
    return out == stdout ? EXIT_DONE : EXIT_USAGE;
}

int main(int argc, char **argv)
{
    json_memory_keep();
    if (argc < 2)
        return usage(stderr);
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "help") == 0)
        return usage(stdout);
    if (strcmp(argv[1], "--version") == 0) {
        printf("ambershelf %s\n", AMBERSHELF_VERSION);
        return EXIT_DONE;
    }
    for (size_t i = 0; commands[i]; i++) {
        if (strcmp(argv[1], commands[i]->name) != 0)
            continue;
        if (argc > 2 && strcmp(argv[2], "--help") == 0)
            return command_help(commands[i]);
        return commands[i]->run(commands[i], argc - 1, argv + 1);
    }
    fprintf(stderr, "ambershelf: '%s' is not a command\n", argv[1]);
    return usage(stderr);
}
