#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/cases/case.h"
#include "kiosk/program/command.h"

/* Standard input, whole; NULL: no memory, or more than a case may have. The caller frees. */
static char *read_input(size_t *length)
{
    size_t size = 1 << 16, have = 0, got = 0;
    char *text = malloc(size);
    while (text && (got = fread(text + have, 1, size - have, stdin)) > 0) {
        have += got;
        if (have < size)
            continue;
        char *larger = size < CASE_BYTES ? realloc(text, size * 2) : NULL;
        if (!larger)
            free(text);
        text = larger;
        size *= 2;
    }
    *length = have;
    return text;
}

static int print(json_t *answer)
{
    const bool good = json_dumpf(answer, stdout, JSON_COMPACT | JSON_REAL_PRECISION(17)) == 0 && putchar('\n') != EOF &&
                      fflush(stdout) == 0;
    json_decref(answer);
    if (!good)
        (void)fputs("ambershelf: the answer could not be written: make room where it goes\n", stderr);
    return good ? EXIT_DONE : EXIT_NO;
}

static int answer(const struct rule_case *rule)
{
    size_t length = 0;
    json_t *json = NULL;
    struct arena arena;
    struct rule_fault fault = {0};
    char *text = read_input(&length);
    void *memory = malloc(CASE_ARENA);
    arena_init(&arena, memory, memory ? CASE_ARENA : 0);
    const bool good = text ? case_compute(rule, text, length, &arena, &json, &fault) : rule_fault_memory(&fault);
    free(text);
    free(memory);
    if (good)
        return print(json);
    (void)fprintf(stderr, "ambershelf: compute %s: %s\n", rule->name, fault.text);
    (void)print(case_fault(&fault));
    return EXIT_NO;
}

static int print_contract(const char *name)
{
    char path[4096], part[4096];
    size_t got = 0;
    (void)snprintf(path, sizeof path, "%s/compute/%s.md", command_data_folder("docs"), name);
    FILE *file = fopen(path, "r");
    if (!file) {
        (void)fprintf(stderr, "ambershelf: '%s' is not there: install Ambershelf whole\n", path);
        return EXIT_NO;
    }
    while ((got = fread(part, 1, sizeof part, file)) > 0)
        (void)fwrite(part, 1, got, stdout);
    (void)fclose(file);
    return EXIT_DONE;
}

static void print_names(FILE *out)
{
    (void)fputs("rules:", out);
    for (const struct rule_case *const *rule = cases; *rule; rule++)
        (void)fprintf(out, " %s", (*rule)->name);
    (void)fputc('\n', out);
}

static int run_compute(const struct command *command, int argc, char **argv)
{
    if (argc < 2 || argc > 3) {
        print_names(stderr);
        return command_misused(command, "compute takes the name of one rule");
    }
    const struct rule_case *rule = case_find(argv[1]);
    if (!rule) {
        print_names(stderr);
        return command_misused(command, "'%s' is not a rule", argv[1]);
    }
    if (argc == 3 && strcmp(argv[2], "--help") == 0)
        return print_contract(rule->name);
    if (argc == 3)
        return command_misused(command, "'%s' is one word too many: the case comes on standard input", argv[2]);
    return answer(rule);
}

const struct command command_compute = {
    "compute", "RULE [--help] < CASE",
    "Computes one of the rules: a JSON object on standard input, the answer as a JSON object on standard output.\n"
    "Without RULE it lists them; compute RULE --help says which keys a rule takes and gives. Exit 0: an answer, which\n"
    "may be no, or that something is unknown; 1: the case makes no sense (its fault is printed as JSON too);\n"
    "2: no such rule.",
    run_compute};
