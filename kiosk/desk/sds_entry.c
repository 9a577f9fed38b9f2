#include "kiosk/desk/sds_entry.h"

#include <string.h>

#include "kiosk/desk/content.h"
#include "kiosk/rules/hazard_usual.h"
#include "labels/content/hazard_words.h"
#include "labels/content/ufi.h"
#include "labels/content/workplace_words.h"

bool sds_entry_is_said(const json_t *content)
{
    static const char *const keys[] = {SDS_ENTRY_KEYS};
    for (size_t i = 0; i < sizeof keys / sizeof *keys; i++)
        if (json_object_get(content, keys[i]))
            return true;
    return false;
}

static bool check(const struct item_sds *sds, struct fault *fault)
{
    int numbers[HAZARD_WORDS_PICTOGRAMS];
    size_t count;
    static const struct item_sds empty = {.product = ""};
    if (!sds->product[0] && memcmp(sds, &empty, sizeof empty) != 0)
        return fault_set(fault, FAULT_INPUT,
                         "'sds_product' is missing: say the product as section 1 of the SDS names it");
    if (sds->language[0] && !workplace_words_in(sds->language))
        return fault_set(fault, FAULT_INPUT, "'sds_language' is '%s', and there are words in %s: say one of them",
                         sds->language, workplace_words_languages);
    return hazard_words_pictograms(sds->pictograms, numbers, &count, fault) &&
           (!sds->statements[0] || hazard_words_check("sds_statements", sds->statements, fault)) &&
           (!sds->precautions[0] || hazard_words_check("sds_precautions", sds->precautions, fault)) &&
           (!sds->ufi[0] || ufi_check("sds_ufi", sds->ufi, fault));
}

bool sds_entry_read(const json_t *content, struct item_sds *sds, struct fault *fault)
{
    struct item_sds read = {.product = ""};
    int64_t revised;
    if (!content_text(content, "sds_product", CONTENT_OPTIONAL, read.product, sizeof read.product, fault) ||
        !content_text(content, "sds_signal_word", CONTENT_OPTIONAL, read.signal_word, sizeof read.signal_word, fault) ||
        !content_text(content, "sds_pictograms", CONTENT_OPTIONAL, read.pictograms, sizeof read.pictograms, fault) ||
        !content_text(content, "sds_statements", CONTENT_OPTIONAL, read.statements, sizeof read.statements, fault) ||
        !content_text(content, "sds_precautions", CONTENT_OPTIONAL, read.precautions, sizeof read.precautions, fault) ||
        !content_day(content, "sds_revised", &revised, fault) ||
        !content_text(content, "sds_place", CONTENT_OPTIONAL, read.place, sizeof read.place, fault) ||
        !content_word(content, "sds_label", CONTENT_OPTIONAL, read.label, sizeof read.label, fault) ||
        !content_text(content, "sds_supplier", CONTENT_OPTIONAL, read.supplier, sizeof read.supplier, fault) ||
        !content_text(content, "sds_address", CONTENT_OPTIONAL, read.address, sizeof read.address, fault) ||
        !content_text(content, "sds_phone", CONTENT_OPTIONAL, read.phone, sizeof read.phone, fault) ||
        !content_text(content, "sds_quantity", CONTENT_OPTIONAL, read.quantity, sizeof read.quantity, fault) ||
        !content_text(content, "sds_ufi", CONTENT_OPTIONAL, read.ufi, sizeof read.ufi, fault) ||
        !content_text(content, "sds_language", CONTENT_OPTIONAL, read.language, sizeof read.language, fault))
        return false;
    if (revised != MOVEMENT_NULL)
        (void)calendar_write_date((struct day){(int32_t)revised}, read.revised);
    if (!check(&read, fault))
        return false;
    *sds = read;
    return true;
}

bool sds_entry_ask(const struct item_sds *sds, json_t *answer, struct fault *fault)
{
    struct hazard_questions questions;
    hazard_usual_ask(sds->statements, sds->pictograms, sds->signal_word, &questions);
    if (questions.count == 0)
        return true;
    json_t *sentences = json_array();
    bool fine = sentences != NULL;
    for (size_t i = 0; fine && i < questions.count; i++)
        fine = json_array_append_new(sentences, json_string(questions.sentences[i])) == 0;
    if (fine && json_object_set_new(answer, "questions", sentences) == 0)
        return true;
    if (!fine)
        json_decref(sentences);
    return fault_set(fault, FAULT_STORAGE, "no memory to answer");
}
