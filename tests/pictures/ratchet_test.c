#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/pictures/kinds.h"
#include "tests/pictures/score.h"

/* tests/pictures/found.txt says for each kind how many symbols of how many are found in its first pictures, seed 1 on.
 * Fewer fail, more ask for the number to be raised, and one wrong read fails. The bench looks at seeds from a million
 * on, so that the reader cannot be fitted to what is reported of it. */

#ifdef __SANITIZE_ADDRESS__
static const char subset[] = "few"; /* some twenty times slower */
#else
static const char subset[] = "all";
#endif

struct row {
    char kind[16];
    int pictures, found, symbols;
};
static struct row rows[KINDS];
static struct reader *reader;

static struct score read_pictures(const struct row *row)
{
    struct score score = {0};
    for (int seed = 1; seed <= row->pictures; seed++) {
        struct stage stage;
        struct reader_result result = {0};
        struct fault fault = {0};
        if (!kinds_make(row->kind, (uint64_t)seed, &(struct kinds_shelf){0}, &stage))
            fail_msg("%s %d cannot be made", row->kind, seed);
        const struct grey grey = {stage.camera.pixels, stage.camera.width, stage.camera.height,
                                  (size_t)stage.camera.width};
        if (!reader_read(reader, &grey, &result, &fault))
            fail_msg("%s %d: %s", row->kind, seed, fault.text);
        const int wrong = score.wrong;
        score_add(&score, &stage, &result, NULL);
        if (score.wrong > wrong)
            fail_msg("%s %d: a symbol is reported that is not there", row->kind, seed);
        stage_close(&stage);
    }
    return score;
}

static void finds_no_fewer(void **state)
{
    const struct row *row = *state;
    const struct score score = read_pictures(row);
    if (score.symbols != row->symbols)
        fail_msg("%s: %d symbols are shown, found.txt was made with %d: count again", row->kind, score.symbols,
                 row->symbols);
    if (score.found < row->found)
        fail_msg("%s: %d of %d found, %d before (tests/pictures/tell_misses says which)", row->kind, score.found,
                 score.symbols, row->found);
    if (score.found > row->found)
        print_message("%s: %d of %d found, %d before: raise the number in tests/pictures/found.txt\n", row->kind,
                      score.found, score.symbols, row->found);
}

/* "SUBSET KIND PICTURES FOUND of SYMBOLS" a line; '#' begins a comment. */
static int read_rows(const char *path)
{
    char line[200], which[8];
    int count = 0;
    FILE *file = fopen(path, "r");
    while (file && fgets(line, sizeof line, file)) {
        struct row row;
        if (line[0] == '#' ||
            sscanf(line, "%7s %15s %d %d of %d", which, row.kind, &row.pictures, &row.found, /* NOLINT(cert-err34-c) */
                   &row.symbols) != 5 ||
            strcmp(which, subset) != 0)
            continue;
        if (count < KINDS)
            rows[count] = row;
        count++;
    }
    if (file)
        (void)fclose(file);
    return count;
}

int main(void)
{
    struct CMUnitTest tests[KINDS] = {0};
    if (read_rows(SOURCE_ROOT "/tests/pictures/found.txt") != KINDS) {
        (void)fprintf(stderr, "tests/pictures/found.txt is not there or has not %d lines '%s'\n", KINDS, subset);
        return 1;
    }
    for (int i = 0; i < KINDS; i++)
        tests[i] = (struct CMUnitTest){rows[i].kind, finds_no_fewer, NULL, NULL, &rows[i]};
    reader = reader_create();
    const int failed = reader ? cmocka_run_group_tests_name("pictures/ratchet", tests, NULL, NULL) : 1;
    reader_destroy(reader);
    return failed;
}
