#include "labels/drawing/template.h"

#include <errno.h>
#include <fcntl.h>
#include <limits.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>
#include <unistd.h>

#include "labels/drawing/template_check.h"
#include "labels/drawing/words.h"

enum { NOT_SAID = -1 };

static bool read_box(struct words *words, struct template_box *box, struct fault *fault)
{
    const int most = TEMPLATE_SIDE_UM_MAX;
    return words_need(words, "at", fault) && words_length(words, "x", 0, most, &box->x, fault) &&
           words_length(words, "y", 0, most, &box->y, fault) && words_need(words, "room", fault) &&
           words_length(words, "the room's width", 1, most, &box->width, fault) && words_need(words, "x", fault) &&
           words_length(words, "the room's height", 1, most, &box->height, fault);
}

/* "A" or "A to B" behind `what`; without B it stays as it is, or is A when that is smaller. */
static bool read_range(struct words *words, const char *what, int least, int most, int *from, int *to,
                       struct fault *fault)
{
    if (!words_length(words, what, least, most, from, fault))
        return false;
    if (!words_take(words, "to"))
        *to = *to < *from ? *to : *from;
    else if (!words_length(words, what, least, most, to, fault))
        return false;
    if (*to > *from)
        return words_fault(words, fault, "%s goes from %g down to %g mm: give the larger one first", what,
                           *from / 1000.0, *to / 1000.0);
    return true;
}

static bool read_condition(struct words *words, struct template_element *element, struct fault *fault)
{
    if (element->condition_count == TEMPLATE_CONDITIONS)
        return words_fault(words, fault, "an element has over %d conditions", TEMPLATE_CONDITIONS);
    struct template_condition *condition = &element->conditions[element->condition_count];
    condition->absent = words_take(words, "no");
    const struct span name = words_next(words);
    const int id = label_field_find(name);
    char shown[48];
    if (name.length == 0)
        return words_fault(words, fault, "a field's name is expected behind '%s'", condition->absent ? "no" : "if");
    if (id < 0)
        return words_fault(words, fault, "field '%s' is not known", words_show(name, shown, sizeof shown));
    condition->field = (enum label_field_id)id;
    for (size_t i = 0; i < element->condition_count; i++)
        if (element->conditions[i].field == condition->field && element->conditions[i].absent != condition->absent)
            return words_fault(words, fault, "the element can never be there: it asks for '%s' and for no '%s'",
                               label_field_name(condition->field), label_field_name(condition->field));
    element->condition_count++;
    return true;
}

/* Nothing, or "only if …" to the line's end. */
static bool read_conditions(struct words *words, struct template_element *element, struct fault *fault)
{
    if (words_take(words, "only")) {
        if (!words_need(words, "if", fault))
            return false;
        do {
            if (!read_condition(words, element, fault))
                return false;
        } while (words_take(words, "and"));
    }
    return words_end(words, fault);
}

static bool read_pattern(struct words *words, struct template *template, struct template_element *element,
                         struct fault *fault)
{
    struct fault reason = {0};
    unsigned uses = 0;
    if (!words_quoted(words, element->value, sizeof element->value, fault))
        return false;
    if (!label_field_check_pattern(element->value, &uses, &reason))
        return words_fault(words, fault, "%s", reason.text);
    template->uses |= uses;
    return true;
}

static bool read_symbol(struct words *words, struct template *template, struct template_element *element,
                        struct fault *fault)
{
    char shown[48];
    const struct span word = words_next(words);
    int kind = 0;
    while (kind < SYMBOL_KINDS && !span_equals(word, symbol_kind_word((enum symbol_kind)kind)))
        kind++;
    if (word.length == 0)
        return words_fault(words, fault,
                           "the symbol's kind is missing: say unit, serial, place, person, card, item or job");
    if (kind == SYMBOL_KINDS)
        return words_fault(words, fault, "symbol '%s' is not known: say unit, serial, place, person, card, item or job",
                           words_show(word, shown, sizeof shown));
    element->symbol = (enum symbol_kind)kind;
    element->module_um = TEMPLATE_MODULE_UM;
    element->module_least_um = TEMPLATE_MODULE_LEAST_UM;
    if (kind == SYMBOL_CARD && !read_pattern(words, template, element, fault))
        return false;
    if (!read_box(words, &element->box, fault))
        return false;
    return !words_take(words, "modules") ||
           read_range(words, "the modules' size", TEMPLATE_MODULE_UM_MIN, TEMPLATE_MODULE_UM_MAX, &element->module_um,
                      &element->module_least_um, fault);
}

static bool read_letters(struct words *words, struct template_element *element, struct fault *fault)
{
    if (element->letters_um)
        return words_fault(words, fault, "the letters' height is said twice");
    return read_range(words, "the letters' height", TEMPLATE_LETTERS_UM_MIN, TEMPLATE_LETTERS_UM_MAX,
                      &element->letters_um, &element->letters_least_um, fault);
}

static bool read_align(struct words *words, struct template_element *element, bool *known, struct fault *fault)
{
    static const char *const aligns[] = {
        [TEMPLATE_LEFT] = "left", [TEMPLATE_CENTRE] = "centre", [TEMPLATE_RIGHT] = "right"};
    for (int align = TEMPLATE_LEFT; align <= TEMPLATE_RIGHT; align++) {
        if (!words_take(words, aligns[align]))
            continue;
        if (element->aligned)
            return words_fault(words, fault, "'%s' is one too many: a text stands left, centre or right",
                               aligns[align]);
        element->align = (enum template_align)align;
        element->aligned = true;
        return true;
    }
    *known = false;
    return true;
}

/* One of a text's words; `*known` false when the word is none of them. */
static bool read_text_word(struct words *words, struct template *template, struct template_element *element,
                           bool *known, struct fault *fault)
{
    *known = true;
    if (words_quote_follows(words)) {
        if (element->value[0])
            return words_fault(words, fault, "a text has one value in quotes, not two");
        return read_pattern(words, template, element, fault);
    }
    if (words_take(words, "letters"))
        return read_letters(words, element, fault);
    if (words_take(words, "bold"))
        element->bold = true;
    else if (words_take(words, "inverse"))
        element->inverse = true;
    else
        return read_align(words, element, known, fault);
    return true;
}

static bool read_text(struct words *words, struct template *template, struct template_element *element,
                      struct fault *fault)
{
    element->letters_least_um = TEMPLATE_LETTERS_UM_MIN;
    bool known = true;
    if (!read_box(words, &element->box, fault))
        return false;
    while (known)
        if (!read_text_word(words, template, element, &known, fault))
            return false;
    if (!words_ended(words) && !span_equals(words_peek(words), "only"))
        return words_end(words, fault); /* the strange word says more than what is missing because of it */
    if (element->letters_um == 0)
        return words_fault(words, fault, "the text has no letters' height: add, for example, 'letters 2.5 to 1.6'");
    return element->value[0] || words_fault(words, fault, "the text has no value: add one in double quotes");
}

static bool read_frame(struct words *words, struct template_element *element, struct fault *fault)
{
    if (!read_box(words, &element->box, fault) || !words_need(words, "thick", fault))
        return false;
    const int side = element->box.width < element->box.height ? element->box.width : element->box.height;
    if (side < 2)
        return words_fault(words, fault, "the frame's room is too small for a frame");
    return words_length(words, "the frame's thickness", 1, side / 2, &element->thick_um, fault);
}

static bool read_hazard(struct words *words, const struct template *template, struct template_element *element,
                        struct fault *fault)
{
    for (size_t i = 0; i < template->element_count; i++)
        if (template->elements[i].kind == TEMPLATE_HAZARD)
            return words_fault(words, fault, "a label has one hazard part, and line %d is it",
                               template->elements[i].line);
    return read_box(words, &element->box, fault) && hazard_element_read(words, &element->hazard, fault) &&
           template_check_diamonds(element, words, fault);
}

static bool read_element(struct words *words, struct template *template, struct fault *fault)
{
    char shown[48];
    if (template->element_count == TEMPLATE_ELEMENTS)
        return words_fault(words, fault, "a label has over %d elements", TEMPLATE_ELEMENTS);
    struct template_element *element = &template->elements[template->element_count];
    *element = (struct template_element){.line = words->line};
    bool good = false;
    if (words_take(words, "symbol")) {
        element->kind = TEMPLATE_SYMBOL;
        good = read_symbol(words, template, element, fault);
    } else if (words_take(words, "text")) {
        element->kind = TEMPLATE_TEXT;
        good = read_text(words, template, element, fault);
    } else if (words_take(words, "line")) {
        element->kind = TEMPLATE_LINE_ELEMENT;
        good = read_box(words, &element->box, fault);
    } else if (words_take(words, "frame")) {
        element->kind = TEMPLATE_FRAME;
        good = read_frame(words, element, fault);
    } else if (words_take(words, "hazard")) {
        element->kind = TEMPLATE_HAZARD;
        good = read_hazard(words, template, element, fault);
    } else {
        return words_fault(words, fault, "'%s' is not known: say symbol, text, line, frame, hazard, where or margin",
                           words_show_next(words, shown, sizeof shown));
    }
    if (!good || !read_conditions(words, element, fault))
        return false;
    template->element_count++;
    return template_check_element(template, words, fault);
}

static bool read_size(struct words *words, struct template *template, struct fault *fault)
{
    const int least = TEMPLATE_SIDE_UM_MIN, most = TEMPLATE_SIDE_UM_MAX;
    if (template->width_um)
        return words_fault(words, fault, "the label's size is said twice");
    return words_length(words, "the label's width", least, most, &template->width_um, fault) &&
           words_need(words, "x", fault) &&
           words_length(words, "the label's height", least, most, &template->height_um, fault);
}

static bool read_margin(struct words *words, struct template *template, struct fault *fault)
{
    if (template->element_count > 0)
        return words_fault(words, fault, "the margin comes before the elements");
    if (template->margin_um != NOT_SAID)
        return words_fault(words, fault, "the margin is said twice");
    const int side = template->width_um < template->height_um ? template->width_um : template->height_um;
    if (!words_length(words, "the margin", 0, TEMPLATE_MARGIN_UM_MAX, &template->margin_um, fault))
        return false;
    return 2 * template->margin_um < side ||
           words_fault(words, fault, "the margin of %g mm leaves nothing of a label of %g x %g mm",
                       template->margin_um / 1000.0, template->width_um / 1000.0, template->height_um / 1000.0);
}

static bool read_where(struct words *words, struct template *template, struct fault *fault)
{
    if (template->where[0])
        return words_fault(words, fault, "where to stick the label is said twice");
    return words_quoted(words, template->where, sizeof template->where, fault);
}

static bool read_statement(struct words *words, struct template *template, struct fault *fault)
{
    if (words_ended(words))
        return true;
    if (words_take(words, "label"))
        return read_size(words, template, fault) && words_end(words, fault);
    if (!template->width_um)
        return words_fault(words, fault, "the label's size comes first, for example 'label 50 x 25'");
    if (words_take(words, "margin"))
        return read_margin(words, template, fault) && words_end(words, fault);
    if (words_take(words, "where"))
        return read_where(words, template, fault) && words_end(words, fault);
    if (template->margin_um == NOT_SAID)
        template->margin_um = 0;
    return read_element(words, template, fault);
}

bool template_name_is_good(const char *name)
{
    const size_t length = strlen(name);
    return length > 0 && length < TEMPLATE_NAME_SIZE && strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789-") == length;
}

static bool check_name(const char *name, struct fault *fault)
{
    char shown[64];
    return template_name_is_good(name) ||
           fault_set(fault, FAULT_INPUT,
                     "template '%s' cannot be a name: use 1 to %d of small letters, digits and '-', such as vat-case",
                     text_show(span_of(name), shown, sizeof shown), TEMPLATE_NAME_SIZE - 1);
}

/* Editors under Windows put a mark before UTF-8, which says nothing, and may save as UTF-16. */
static bool check_start(const struct words *words, struct span *text, struct fault *fault)
{
    if (text->length > TEMPLATE_BYTES)
        return words_fault(words, fault, "the file has over %d bytes: shorten it", TEMPLATE_BYTES);
    if (span_starts(*text, "\xFF\xFE") || span_starts(*text, "\xFE\xFF"))
        return words_fault(words, fault, "the file is UTF-16, not UTF-8: save it as UTF-8");
    if (span_starts(*text, "\xEF\xBB\xBF"))
        *text = (struct span){text->at + 3, text->length - 3};
    return true;
}

bool template_read(const char *name, struct span text, struct template *template, struct fault *fault)
{
    if (!check_name(name, fault))
        return false;
    struct template read = {.margin_um = NOT_SAID};
    span_copy(span_of(name), read.name, sizeof read.name);
    struct words words = {name, 0, {0}};
    if (!check_start(&words, &text, fault))
        return false;
    while (text.length > 0) {
        const char *end = memchr(text.at, '\n', text.length);
        const size_t length = end ? (size_t)(end - text.at) : text.length;
        words.line++;
        words.rest = (struct span){text.at, length};
        if (length > TEMPLATE_LINE)
            return words_fault(&words, fault, "the line has over %d bytes: shorten it", TEMPLATE_LINE);
        if (!template_check_bytes(&words, fault) || !read_statement(&words, &read, fault))
            return false;
        text.at += length + (end != NULL);
        text.length -= length + (end != NULL);
    }
    if (!read.element_count)
        return words_fault(&words, fault, "the file ends without a single element: add a text or a symbol");
    *template = read;
    return true;
}

static bool read_file(int file, const char *name, char *bytes, size_t size, size_t *length, struct fault *fault)
{
    size_t have = 0;
    while (have < size) {
        const ssize_t got = read(file, bytes + have, size - have);
        if (got < 0 && errno == EINTR)
            continue;
        if (got < 0)
            return fault_set(fault, FAULT_STORAGE, "template '%s' cannot be read: %s", name, strerror(errno));
        if (got == 0)
            break;
        have += (size_t)got;
    }
    *length = have;
    return true;
}

bool template_load(const char *folder, const char *name, struct template *template, struct fault *fault)
{
    char path[PATH_MAX], bytes[TEMPLATE_BYTES + 1];
    size_t length = 0;
    if (!check_name(name, fault))
        return false;
    const int wanted = snprintf(path, sizeof path, "%s/%s.label", folder, name);
    if (wanted < 0 || wanted >= (int)sizeof path)
        return fault_set(fault, FAULT_INPUT, "the path of the folder of templates is too long");
    const int file = open(path, O_RDONLY | O_CLOEXEC | O_NONBLOCK);
    if (file < 0 && errno == ENOENT)
        return fault_set(fault, FAULT_MISSING, "template '%s' is not known: there is no %s.label among the templates",
                         name, name);
    if (file < 0)
        return fault_set(fault, FAULT_STORAGE, "template '%s' cannot be opened: %s", name, strerror(errno));
    const bool good = read_file(file, name, bytes, sizeof bytes, &length, fault);
    close(file);
    return good && template_read(name, (struct span){bytes, length}, template, fault);
}

bool template_is_shown(const struct template_element *element, const struct label_values *values)
{
    for (size_t i = 0; i < element->condition_count; i++)
        if ((values->at[element->conditions[i].field] == NULL) != element->conditions[i].absent)
            return false;
    return true;
}

void template_raise_modules(struct template *template, int least_um)
{
    for (size_t i = 0; i < template->element_count; i++) {
        struct template_element *element = &template->elements[i];
        if (element->kind != TEMPLATE_SYMBOL || element->module_least_um >= least_um)
            continue;
        element->module_least_um = least_um;
        if (element->module_um < least_um)
            element->module_um = least_um;
    }
}
