#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "kiosk/program/command.h"
#include "kiosk/program/picture_file.h"
#include "kiosk/program/read_answer.h"
#include "kiosk/program/read_explain.h"
#include "labels/basics/text.h"
#include "labels/picture/picture.h"
#include "labels/reading/reader.h"

enum { REPEAT_MAX = 1000, NAME_LINE_SIZE = 4096 };

struct reading {
    struct reader *reader;
    bool json, cartons;
    int repeat;
    const char *explain; /* folder, or NULL */
    bool failed;         /* some file could not be read */
};

static int by_value(const void *one, const void *two)
{
    const int64_t a = *(const int64_t *)one, b = *(const int64_t *)two;
    return (a > b) - (a < b);
}

/* Reads as often as asked; `*cpu_ms` is the median. */
static bool read_times(const struct reading *reading, const struct grey *grey, struct reader_result *result,
                       double *cpu_ms, struct fault *fault)
{
    static int64_t times[REPEAT_MAX];
    for (int i = 0; i < reading->repeat; i++) {
        if (!reader_read(reading->reader, grey, result, fault))
            return false;
        times[i] = result->cpu_ns;
    }
    const int middle = reading->repeat / 2;
    qsort(times, (size_t)reading->repeat, sizeof *times, by_value);
    *cpu_ms = (double)times[middle] / 1e6;
    return true;
}

static bool read_explained(const struct reading *reading, const struct grey *grey, struct reader_result *result,
                           double *cpu_ms, struct fault *fault)
{
    struct read_explain *explain = NULL;
    if (!read_explain_begin(reading->explain, grey, &explain, fault))
        return false;
    reader_set_explain(reading->reader, read_explain_listener(explain));
    const bool read = read_times(reading, grey, result, cpu_ms, fault);
    reader_set_explain(reading->reader, NULL);
    return read_explain_end(explain, read ? result : NULL, read ? fault : NULL) && read;
}

static bool read_picture(const struct reading *reading, const char *path, const struct grey *grey, struct fault *fault)
{
    struct reader_result result;
    double cpu_ms = 0;
    if (!(reading->explain ? read_explained : read_times)(reading, grey, &result, &cpu_ms, fault))
        return false;
    if (reading->json)
        read_answer_json(path, grey, &result, cpu_ms);
    else
        read_answer_text(path, &result);
    return true;
}

static void read_file(struct reading *reading, const char *path)
{
    struct fault fault = {0};
    struct picture picture = {.memory = NULL};
    if (!picture_file_read(path, &picture, &fault) || !read_picture(reading, path, &picture.grey, &fault)) {
        (void)fflush(stdout);
        command_failed(path, &fault);
        reading->failed = true;
    }
    picture_clear(&picture);
}

static void read_names_from_input(struct reading *reading)
{
    static char line[NAME_LINE_SIZE];
    while (fgets(line, sizeof line, stdin)) {
        line[strcspn(line, "\n")] = '\0';
        if (line[0] != '\0')
            read_file(reading, line);
    }
}

/* False: wrong usage, and the caller says so. `*first` becomes the first picture. */
static bool take_options(struct reading *reading, int argc, char **argv, int *first)
{
    int i = 1;
    for (; i < argc && argv[i][0] == '-' && argv[i][1] != '\0'; i++) {
        int64_t number;
        *first = i;
        if (strcmp(argv[i], "--json") == 0)
            reading->json = true;
        else if (strcmp(argv[i], "--cartons") == 0)
            reading->cartons = true;
        else if (strcmp(argv[i], "--explain") == 0 && i + 1 < argc)
            reading->explain = argv[++i];
        else if (strcmp(argv[i], "--repeat") == 0 && i + 1 < argc && span_read_count(span_of(argv[i + 1]), &number) &&
                 number >= 1 && number <= REPEAT_MAX)
            reading->repeat = (int)number, i++;
        else
            return false;
    }
    *first = i;
    return true;
}

static int run_read(const struct command *command, int argc, char **argv)
{
    struct reading reading = {.repeat = 1};
    int first = 1;
    if (!take_options(&reading, argc, argv, &first))
        return command_misused(command, "option '%s' is not known, lacks its word, or its number is not 1 to %d",
                               argv[first], REPEAT_MAX);
    if (first == argc)
        return command_misused(command, "say which pictures");
    if (reading.explain && (argc - first != 1 || strcmp(argv[first], "-") == 0 || reading.repeat != 1))
        return command_misused(command, "--explain takes one picture, read once");
    struct fault fault = {FAULT_STORAGE, "no memory for a reader"};
    reading.reader = reader_create();
    if (!reading.reader || !reader_set_cartons(reading.reader, reading.cartons, &fault)) {
        reader_destroy(reading.reader);
        return command_failed("", &fault);
    }
    for (int i = first; i < argc; i++) {
        if (strcmp(argv[i], "-") == 0)
            read_names_from_input(&reading);
        else
            read_file(&reading, argv[i]);
    }
    reader_destroy(reading.reader);
    return reading.failed ? EXIT_NO : EXIT_DONE;
}

const struct command command_read = {
    "read", "[--json] [--cartons] [--repeat N] [--explain DIR] FILE… | -",
    "Finds and reads every Data Matrix symbol in pictures (JPEG, PNG, PGM). '-' takes file names from standard input.\n"
    "  --json         one JSON object a picture: size, CPU time of reading, and for each symbol its bytes in hex, "
    "text,\n"
    "                 symbology identifier, ECI, size in modules, corners in pixels, corrected codewords, and what it\n"
    "                 says of itself: a place in a series (structured append), reader programming\n"
    "  --cartons      also reads the codes of a supplier's carton: Code 128 and GS1-128, EAN and UPC, ITF-14, Code "
    "39,\n"
    "                 GS1 DataBar, QR; size is 0 and corrected is -1 for these\n"
    "  --repeat N     reads each picture N times; the time is the median\n"
    "  --explain DIR  of one picture: writes what each stage saw as numbered PNGs into DIR, which must be new or "
    "empty,\n"
    "                 and explain.txt, which says why each candidate was given up (docs/reading.md)\n"
    "A file that is no picture is one line on standard error, and the next one is read; exit 1 at the end.",
    run_read};
