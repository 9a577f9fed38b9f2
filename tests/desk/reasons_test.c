#include "kiosk/rules/verdict.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

#include "tests/desk/reason_scenes.h"

/* Every reason of the table comes when it should and stays away when it should not (reason_scenes.h). */

static const struct reason_scenes *find(enum reason_code code)
{
    const struct reason_scenes *const lists[] = {reason_scenes_scan,    reason_scenes_receipt, reason_scenes_check_out,
                                                 reason_scenes_printer, reason_scenes_pour,    reason_scenes_care,
                                                 reason_scenes_job,     reason_scenes_ticket,  NULL};
    const struct reason_scenes *found = NULL;
    for (size_t i = 0; lists[i]; i++)
        for (const struct reason_scenes *scenes = lists[i]; scenes->comes; scenes++)
            if (scenes->code == code) {
                if (found)
                    fail_msg("the reason '%s' has two rows of scenes", reason_code_word(code));
                found = scenes;
            }
    if (!found)
        fail_msg("the reason '%s' has no scenes in tests/desk/reason_scenes_*.c", reason_code_word(code));
    return found;
}

static void expect_as_in_the_table(struct room *room, enum reason_code code)
{
    size_t i;
    json_t *row;
    json_array_foreach(json_object_get(room->view, "reasons"), i, row)
    {
        if (strcmp(json_string_value(json_object_get(row, "code")), reason_code_word(code)) != 0)
            continue;
        const char *by = json_string_value(json_object_get(row, "overruled_by"));
        const bool stop = reason_verdict(code) == VERDICT_STOP;
        assert_string_equal(json_string_value(json_object_get(row, "verdict")), verdict_word(reason_verdict(code)));
        assert_string_equal(json_string_value(json_object_get(row, "next")), reason_next(code));
        assert_string_equal(by ? by : "", stop ? overruler_word(reason_overruler(code)) : "");
    }
}

/* Each scene has a room of its own: `state` is the filled one that they are copies of. */
static void play(void *filled, reason_scene *scene, const struct reason_scenes *scenes)
{
    const char *word = reason_code_word(scenes->code);
    void *state = filled;
    (void)room_setup(&state);
    struct room *room = state;
    print_message("  %s %s\n", word, scene == scenes->comes ? "comes" : "stays away");
    scene(room);
    if (scene == scenes->comes) {
        room_expect_reason(room, word, scenes->says);
        expect_as_in_the_table(room, scenes->code);
        room_expect_booked(room, false);
    } else {
        const char *title = json_string_value(json_object_get(room->view, "title"));
        room_expect_no_reason(room, word);
        if (!strstr(title, scenes->instead))
            fail_msg("without the reason '%s' the title is '%s', not '%s'", word, title, scenes->instead);
    }
    assert_int_equal(room_teardown(&state), 0);
}

static void every_reason_comes_when_it_should(void **state)
{
    for (int code = 0; code < REASON_CODES; code++) {
        const struct reason_scenes *scenes = find((enum reason_code)code);
        play(*state, scenes->comes, scenes);
    }
}

static void every_reason_stays_away_when_it_should_not_come(void **state)
{
    for (int code = 0; code < REASON_CODES; code++) {
        const struct reason_scenes *scenes = find((enum reason_code)code);
        play(*state, scenes->stays_away, scenes);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(every_reason_comes_when_it_should),
        cmocka_unit_test(every_reason_stays_away_when_it_should_not_come),
    };
    return cmocka_run_group_tests_name("desk/reasons", tests, room_group_setup, room_group_teardown);
}
