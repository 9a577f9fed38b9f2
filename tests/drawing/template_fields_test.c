#include "labels/drawing/template_fields.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static struct template template;

static unsigned set_of(const char *words)
{
    unsigned set = 0;
    while (*words) {
        const size_t length = strcspn(words, " ");
        const int id = label_field_find((struct span){words, length});
        assert_true(id >= 0);
        set |= 1U << id;
        words += length + (words[length] == ' ');
    }
    return set;
}

static void expect(const char *name, const char *needs, const char *takes)
{
    const struct template_fields fields = template_fields_of(&template);
    if (fields.needs != set_of(needs) || (fields.takes & set_of(takes)) != set_of(takes))
        fail_msg("%s: needs %x, takes %x", name, fields.needs, fields.takes);
}

/* the table of docs/templates.md, "The templates that come with it"; each has a place for the mark SAMPLE besides */
static void the_shipped_ones_ask_for_what_their_page_says(void **state)
{
    static const struct {
        const char *name, *needs, *takes;
    } cases[] = {
        {"vat-case", "serial", "item item-name resin lot batch filled expires content sample"},
        {"platform", "serial", "item item-name resin lot batch filled expires content note sample"},
        {"place", "place", "note sample"},
        {"person", "serial person", "note sample"},
        {"job-ticket", "job", "printer resin revision content ends note sample"},
        {"job-ticket-25x13", "job", "printer content sample"},
        {"card", "card", "note sample"},
        {"item-card", "item", "item-name note sample"},
        {"hold", "", "serial note sample"},
        {"card-sheet", "", "sample"},
        {"bottle-hazard", "serial product capacity signal-word pictograms statements precautions sds",
         "language sample"},
        {"bottle-hazard-red",
         "serial product capacity signal-word pictograms statements precautions sds supplier supplier-address "
         "supplier-phone",
         "quantity ufi sample"},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        struct fault fault = {0};
        if (!template_load(SOURCE_ROOT "/labels/drawing/templates", cases[i].name, &template, &fault))
            fail_msg("%s", fault.text);
        expect(cases[i].name, cases[i].needs, cases[i].takes);
    }
}

static void a_condition_makes_a_field_a_choice_and_its_absence_does_not(void **state)
{
    static const char text[] = "label 50 x 25\n"
                               "text at 1 1 room 48 x 5 letters 2 \"{lot}\" only if lot\n"
                               "text at 1 7 room 48 x 5 letters 2 \"{note}\" only if no sample\n"
                               "text at 1 13 room 48 x 5 letters 2 \"{item}\"\n";
    struct fault fault = {0};
    (void)state;
    assert_true(template_read("own", span_of(text), &template, &fault));
    expect("own", "note item", "lot");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(the_shipped_ones_ask_for_what_their_page_says),
        cmocka_unit_test(a_condition_makes_a_field_a_choice_and_its_absence_does_not),
    };
    return cmocka_run_group_tests_name("drawing/template_fields", tests, NULL, NULL);
}
