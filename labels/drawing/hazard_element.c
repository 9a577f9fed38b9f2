#include "labels/drawing/hazard_element.h"

#include <stdint.h>

enum {
    SIDE_MAX = 420000,
    DIAMOND_MIN = 10000, /* CLP Annex I 1.2.1.4: 1 cm2 at least */
    LETTERS_MIN = 1500,
    LETTERS_MAX = 20000
};

int hazard_diamond_half(int side)
{
    return (int)(((int64_t)side * 70711 + 99999) / 100000);
}

static bool read_diamonds(struct words *words, struct hazard_element *element, struct fault *fault)
{
    element->preprinted = true;
    if (!words_length(words, "the diamonds' side", DIAMOND_MIN, SIDE_MAX, &element->side_um, fault))
        return false;
    while (words_take(words, "at")) {
        if (element->diamond_count == HAZARD_DIAMONDS)
            return words_fault(words, fault, "a stock has over %d diamonds", HAZARD_DIAMONDS);
        struct hazard_diamond *diamond = &element->diamonds[element->diamond_count++];
        if (!words_length(words, "the diamond's x", 0, SIDE_MAX, &diamond->x, fault) ||
            !words_length(words, "the diamond's y", 0, SIDE_MAX, &diamond->y, fault))
            return false;
    }
    return element->diamond_count > 0 ||
           words_fault(words, fault, "say where the stock's diamonds stand, for example 'at 13 32'");
}

static bool read_frames(struct words *words, struct hazard_element *element, struct fault *fault)
{
    if (!words_need(words, "frames", fault))
        return false;
    if (words_take(words, "preprinted"))
        return read_diamonds(words, element, fault);
    return words_take(words, "black") || words_fault(words, fault, "say 'frames black' or 'frames preprinted'");
}

bool hazard_element_read(struct words *words, struct hazard_element *element, struct fault *fault)
{
    struct hazard_element read = {0};
    if (!words_need(words, "letters", fault) ||
        !words_length(words, "the letters' height", LETTERS_MIN, LETTERS_MAX, &read.letters_um, fault) ||
        !read_frames(words, &read, fault))
        return false;
    read.small = words_take(words, "small");
    if (words_take(words, "missing")) {
        if (!words_need(words, "see-sds", fault))
            return false;
        read.see_sds = true;
    }
    *element = read;
    return true;
}
