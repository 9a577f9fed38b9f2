#ifndef LABELS_DRAWING_TEMPLATE_H
#define LABELS_DRAWING_TEMPLATE_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/drawing/hazard_element.h"
#include "labels/drawing/label_field.h"
#include "labels/drawing/symbol_content.h"

/* A label's plan, from a text file NAME.label that a storekeeper may edit. One statement a line, all lengths in
 * millimetres with up to three decimals, x and y from the label's upper left corner:
 *
 *   # from here to the line's end is a comment
 *   label 50 x 25                       first of all: width x height
 *   margin 1                            nothing is drawn nearer to the edge; 0 when absent
 *   where "On the case's front."        where to stick it, for the person
 *   symbol unit at 1 1 room 18.5 x 18.5 modules 0.6 to 0.38
 *   symbol card "YES" at …              kinds: unit, serial, place, person, card "word", item
 *   text at 20 1 room 29 x 6 letters 4 to 3 bold right "lot {lot}" only if lot and no batch
 *   line at 20 7 room 29 x 0.3          a black rectangle
 *   frame at 1 1 room 48 x 23 thick 0.3 its outline
 *   hazard at 1 20 room 50 x 53 …       pictograms and statements, one a label: see hazard_element.h
 *
 * symbol: centred in its room, quiet zone included; `modules A to B`: a module is as near to A as whole dots allow,
 *   and smaller down to B when the room is short (when absent 0.5 to 0.38; without B 0.38, or A when that is less).
 * text: `letters A to B`: height of a capital letter, shrinking down to B when the room is short (B absent: 1.5). The
 *   line stands in the middle of its room. `bold`; `left` (when absent), `centre`, `right`; `inverse`: white on black.
 *   The value is in double quotes, which it cannot hold; {name} stands for a field, {expires month} for a date as
 *   "14 Feb 2026", {{ for a brace.
 * only if NAME, only if no NAME, joined by "and": the element is there only when the fields are (not) given.
 *
 * Everything lies within the margin, and no two elements that can be there together overlap: that keeps text out of
 * quiet zones. Letters under 1.5 mm are refused: eyes need 1/200 of the distance, and a label is held 30 cm away. */

enum {
    TEMPLATE_BYTES = 32768,  /* longest file */
    TEMPLATE_LINE = 400,     /* longest line, bytes */
    TEMPLATE_NAME_SIZE = 33, /* [a-z0-9-]{1,32} */
    TEMPLATE_ELEMENTS = 96,
    TEMPLATE_SYMBOLS = 24,
    TEMPLATE_CONDITIONS = 4, /* of one element */
    TEMPLATE_VALUE_SIZE = 161,
    TEMPLATE_WHERE_SIZE = 241,
    TEMPLATE_SIDE_UM_MIN = 10000, /* a label's side */
    TEMPLATE_SIDE_UM_MAX = 420000,
    TEMPLATE_MARGIN_UM_MAX = 50000,
    TEMPLATE_LETTERS_UM_MIN = 1500, /* 1/200 of 30 cm */
    TEMPLATE_LETTERS_UM_MAX = 100000,
    TEMPLATE_MODULE_UM = 500,       /* what a symbol gets when it does not say */
    TEMPLATE_MODULE_LEAST_UM = 380, /* X of GS1 symbol specification table 4, smallest */
    TEMPLATE_MODULE_UM_MIN = 250,   /* floor of the symbology in practice */
    TEMPLATE_MODULE_UM_MAX = 5000,
    TEMPLATE_MODULES_MIN = 14 /* a side of the smallest symbol, 10, and two of quiet zone twice */
};

enum template_kind { TEMPLATE_SYMBOL, TEMPLATE_TEXT, TEMPLATE_LINE_ELEMENT, TEMPLATE_FRAME, TEMPLATE_HAZARD };
enum { TEMPLATE_KINDS = TEMPLATE_HAZARD + 1 };
enum template_align { TEMPLATE_LEFT, TEMPLATE_CENTRE, TEMPLATE_RIGHT };

struct template_box {
    int x, y, width, height; /* micrometres */
};

struct template_condition {
    enum label_field_id field;
    bool absent; /* "no": the field must not be given */
};

struct template_element {
    enum template_kind kind;
    int line; /* of the file, from 1 */
    struct template_box box;
    enum symbol_kind symbol;          /* symbol */
    int module_um, module_least_um;   /* symbol */
    int letters_um, letters_least_um; /* text */
    bool bold, inverse;               /* text */
    enum template_align align;        /* text */
    bool aligned;                     /* text: the file says so */
    int thick_um;                     /* frame */
    struct hazard_element hazard;     /* hazard */
    char value[TEMPLATE_VALUE_SIZE];  /* text; a card's word; a checked pattern */
    struct template_condition conditions[TEMPLATE_CONDITIONS];
    size_t condition_count;
};

/* About 40 KiB; plain data, nothing to free. */
struct template
{
    char name[TEMPLATE_NAME_SIZE];
    int width_um, height_um, margin_um;
    char where[TEMPLATE_WHERE_SIZE]; /* "" when the file does not say */
    unsigned uses;                   /* fields in texts and cards, a bit an id */
    struct template_element elements[TEMPLATE_ELEMENTS];
    size_t element_count;
};

/* Small letters, digits and '-', 1 to TEMPLATE_NAME_SIZE - 1 of them. */
bool template_name_is_good(const char *name);

/* Reads a template from text as editors write it: UTF-8 with or without a byte order mark, lines ended by LF or CR LF.
 * FAULT_INPUT: one sentence with the template's name, the line's number and the words in question; `*template`
 * untouched. Pure. */
bool template_read(const char *name, struct span text, struct template *template, struct fault *fault);

/* Reads FOLDER/NAME.label. FAULT_MISSING: no such template; FAULT_INPUT: a name with other than [a-z0-9-], or what
 * template_read says; FAULT_STORAGE: the file cannot be read. */
bool template_load(const char *folder, const char *name, struct template *template, struct fault *fault);

/* No symbol of the template gets modules smaller than `least_um` from now on: what a calibrated printer can do. */
void template_raise_modules(struct template *template, int least_um);

/* Is the element there, given these values? */
bool template_is_shown(const struct template_element *element, const struct label_values *values);

#endif
