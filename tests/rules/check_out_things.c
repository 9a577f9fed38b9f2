#include "tests/rules/check_out_things.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

struct check_out_thing things_cartridge(const char *serial)
{
    return (struct check_out_thing){.serial = serial,
                                    .letter = 'C',
                                    .name = "Flint cartridge",
                                    .in = true,
                                    .holder_name = "",
                                    .where = "",
                                    .hold = "",
                                    .film = "",
                                    .resin = "Flint",
                                    .revision = "2",
                                    .fits = "",
                                    .has_expires = true,
                                    .expires = {THINGS_TODAY + 100}};
}

struct check_out_thing things_vat(const char *serial)
{
    struct check_out_thing thing = things_cartridge(serial);
    thing.letter = 'V';
    thing.name = "Small vat";
    thing.film = "clear";
    return thing;
}

struct check_out_case things_to_capstan(const struct check_out_thing *things, size_t count)
{
    return (struct check_out_case){.things = things,
                                   .thing_count = count,
                                   .printer = "CAPSTAN",
                                   .printer_name = "Capstan",
                                   .slots = 2,
                                   .today = {THINGS_TODAY},
                                   .clock_trusted = true};
}

struct verdict_list things_judge_one(struct check_out_thing thing)
{
    const struct check_out_case asked = things_to_capstan(&thing, 1);
    struct verdict_list list;
    check_out_judge(&asked, &list);
    return list;
}

void things_expect(const struct verdict_list *list, enum reason_code code, enum verdict verdict, const char *says)
{
    if (list->verdict != verdict || list->count != 1 || list->reasons[0].code != code ||
        !strstr(list->reasons[0].sentence, says))
        fail_msg("verdict %s, %zu reasons, first '%s': %s", verdict_word(list->verdict), list->count,
                 list->count ? reason_code_word(list->reasons[0].code) : "",
                 list->count ? list->reasons[0].sentence : "");
}
