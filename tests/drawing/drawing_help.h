#ifndef TESTS_DRAWING_DRAWING_HELP_H
#define TESTS_DRAWING_DRAWING_HELP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/drawing/label.h"

/* What the tests of this room share. Each fails the running test when it cannot do its part. */

enum { WORKED_LABELS = 4, MODULES_MAX = 24 };

/* Worked labels: content and module rows, of which three encoders agree (zint 2.11.1, bwip-js 4.11.4 and one written
 * for the comparison), read back by ZXing 1.4 and dmtxread. A row is a number of `side` bits, leftmost module first. */
struct worked_label {
    const char *template;
    struct label_field fields[6];
    size_t field_count;
    const char *hex; /* the symbol's bytes */
    int side;
    uint32_t rows[MODULES_MAX];
};
extern const struct worked_label worked_labels[WORKED_LABELS];

extern const char templates_folder[];
extern const char *const shipped_templates[];
extern const size_t shipped_template_count;

/* Values for every field that a shipped template may need; `sample` among them when wanted. */
size_t sample_fields(const char *template, bool sample, struct label_field fields[LABEL_FIELD_IDS]);

/* The longest values that the template promises to hold (docs/templates.md). */
size_t long_fields(const char *template, struct label_field fields[LABEL_FIELD_IDS]);

void load_shipped(const char *name, struct template *template);
void read_text(const char *text, struct template *template);

/* One drawer for a test program: cmocka's group setup and teardown. */
int create_drawer(void **state);
int destroy_drawer(void **state);

/* An empty file in memory; its bytes, to free(). */
int memory_file(void);
uint8_t *file_bytes(int file, size_t *length);

#endif
