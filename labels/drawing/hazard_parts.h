#ifndef LABELS_DRAWING_HAZARD_PARTS_H
#define LABELS_DRAWING_HAZARD_PARTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "labels/basics/fault.h"
#include "labels/basics/text.h"
#include "labels/content/hazard_words.h"
#include "labels/drawing/hazard_element.h"
#include "labels/drawing/label_field.h"

/* What a hazard label says: what the shop entered from the SDS, in the order product identifier, nominal quantity and
 * UFI, signal word, hazard statements, precautionary statements, supplier, SDS. Nothing is classified or added; "none"
 * means that the SDS says none. Pure.
 *
 * Pre-printed red frames go with what is handed on: CLP (EC) 1272/2008, article 17 asks for the supplier with address
 * and telephone, for the nominal quantity where the public buys it and the package does not say it elsewhere, and Annex
 * VIII for the UFI of a mixture that was notified; the last two are the shop's to say. A label with black frames is for
 * the workplace and carries none of the three, but the words "Workplace label." (29 CFR 1910.1200(f)(6)). */

enum { HAZARD_PARAGRAPHS = 10, HAZARD_TEXT_SIZE = 3100, HAZARD_PICTOGRAMS = HAZARD_WORDS_PICTOGRAMS };

struct hazard_paragraph {
    struct span text;          /* points into the parts */
    enum label_field_id field; /* where it came from, for faults; LABEL_FIELD_IDS: our own words */
    bool bold;
};

struct hazard_parts {
    int64_t capacity_ml;
    int pictograms[HAZARD_PICTOGRAMS]; /* 1 for GHS01 to 9 */
    size_t pictogram_count, paragraph_count;
    struct hazard_paragraph paragraphs[HAZARD_PARAGRAPHS];
    char text[HAZARD_TEXT_SIZE];
};

/* FAULT_INPUT names the field that is missing (when the template does not say `missing see-sds`), a statement that is a
 * bare code without the SDS's words, a pictogram that is unknown or given twice, a UFI that is none, a language without
 * words of ours; with pre-printed red frames, which go with what is handed on, a supplier without name, address or
 * telephone. `*parts` then holds nothing of use. Must not be moved afterwards. */
bool hazard_parts_read(const struct hazard_element *element, const struct label_values *values,
                       struct hazard_parts *parts, struct fault *fault);

#endif
