#ifndef KIOSK_DESK_SDS_ENTRY_H
#define KIOSK_DESK_SDS_ENTRY_H

#include <jansson.h>

#include "kiosk/ledger/catalogue.h"

/* The part of an item's entry that was copied from its SDS, for hazard labels. Nothing is classified, completed or
 * corrected: what looks like a slip is asked. Which parts a label must have is its template's say. */

#define SDS_ENTRY_KEYS                                                                                                 \
    "sds_product", "sds_signal_word", "sds_pictograms", "sds_statements", "sds_precautions", "sds_revised",            \
        "sds_place", "sds_label", "sds_supplier", "sds_address", "sds_phone", "sds_quantity", "sds_ufi",               \
        "sds_language"

/* Does the content speak of the SDS at all? Keys that are null do: they take away. */
bool sds_entry_is_said(const json_t *content);

/* FAULT_INPUT: a code without words, a pictogram that there is not, a day that there is not, a UFI that is none, a
 * language without words of ours, something without the product's name. */
bool sds_entry_read(const json_t *content, struct item_sds *sds, struct fault *fault);

/* "questions": sentences, added to the answer when something looks like a slip. */
bool sds_entry_ask(const struct item_sds *sds, json_t *answer, struct fault *fault);

#endif
