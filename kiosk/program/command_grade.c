#include <stdio.h>
#include <string.h>

#include "kiosk/program/command.h"
#include "kiosk/program/grade_answer.h"
#include "kiosk/program/picture_file.h"
#include "labels/basics/text.h"
#include "labels/quality/quality.h"
#include "labels/reading/reader.h"

enum { NAME_SIZE = 4096 };

struct grading {
    struct reader *reader;
    bool json, failed; /* failed: some picture gave nothing to judge */
};

static void print_line(const char *path, const struct grey *grey, json_t *symbols)
{
    char shown[NAME_SIZE];
    json_t *line = json_object(), *name = json_string(path);
    json_object_set_new(line, "file", name ? name : json_string(text_show(span_of(path), shown, sizeof shown)));
    json_object_set_new(line, "width", json_integer(grey->width));
    json_object_set_new(line, "height", json_integer(grey->height));
    json_object_set_new(line, "standing", json_string(QUALITY_WORDING));
    json_object_set_new(line, "edition", json_string(QUALITY_EDITION));
    json_object_set_new(line, "symbols", symbols);
    json_dumpf(line, stdout, JSON_COMPACT | JSON_REAL_PRECISION(8));
    putchar('\n');
    json_decref(line);
}

static bool grade_symbols(const struct grading *grading, const char *path, const struct grey *grey,
                          const struct reader_result *result, json_t *rows, struct fault *fault)
{
    struct quality quality;
    for (size_t i = 0; i < result->count; i++) {
        if (!quality_measure(grey, &result->symbols[i], &quality, fault))
            return false;
        if (grading->json)
            json_array_append_new(rows, grade_answer_json(&result->symbols[i], &quality));
        else
            grade_answer_text(path, (int)i + 1, &result->symbols[i], &quality);
    }
    return true;
}

static bool grade_picture(const struct grading *grading, const char *path, const struct grey *grey, struct fault *fault)
{
    struct reader_result result;
    if (!reader_read(grading->reader, grey, &result, fault))
        return false;
    json_t *rows = json_array();
    if (!grade_symbols(grading, path, grey, &result, rows, fault)) {
        json_decref(rows);
        return false;
    }
    if (grading->json)
        print_line(path, grey, rows);
    else
        json_decref(rows);
    return result.count > 0 || fault_set(fault, FAULT_MISSING,
                                         "no symbol was read, so there is none to judge: fill the picture with the "
                                         "label, sharp and evenly lit");
}

static void grade_file(struct grading *grading, const char *path)
{
    struct fault fault = {0};
    struct picture picture = {.memory = NULL};
    if (!picture_file_read(path, &picture, &fault) || !grade_picture(grading, path, &picture.grey, &fault)) {
        (void)fflush(stdout);
        command_failed(path, &fault);
        grading->failed = true;
    }
    picture_clear(&picture);
}

static int run_grade(const struct command *command, int argc, char **argv)
{
    struct grading grading = {.json = argc > 1 && strcmp(argv[1], "--json") == 0};
    const int first = grading.json ? 2 : 1;
    if (first == argc)
        return command_misused(command, "say which pictures");
    if (argv[first][0] == '-')
        return command_misused(command, "option '%s' is not known", argv[first]);
    grading.reader = reader_create();
    if (!grading.reader)
        return command_failed("", &(struct fault){FAULT_STORAGE, "no memory for a reader"});
    for (int i = first; i < argc; i++)
        grade_file(&grading, argv[i]);
    reader_destroy(grading.reader);
    return grading.failed ? EXIT_NO : EXIT_DONE;
}

const struct command command_grade = {
    "grade", "[--json] FILE…",
    "Estimates how well each Data Matrix symbol in pictures (JPEG, PNG, PGM) is printed, to see a printer get worse\n"
    "before its labels stop reading: a " QUALITY_WORDING ".\n"
    "Says of each symbol which number is the worst and what usually helps, then the numbers: level 4 (best) to 0 and\n"
    "what was measured. No certificate: it needs no more than a camera, and proves no more (docs/quality.md).\n"
    "  --json   one JSON object a picture with all measured values, edition and pixels a module\n"
    "Lay the label flat, hold the camera square to it, light it evenly, 5 pixels a module or more.\n"
    "A picture without a symbol is one line on standard error, and the next one is judged; exit 1 at the end.",
    run_grade};
