#include "kiosk/rules/life_channels.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include <cmocka.h>

#include "tests/reading/random.h"

/* Against what follows from "the first limit that is reached retires it"; the rule is common practice, no source. */

enum { MOST = 8, TURNS = 2000 };
static unsigned char memory[1 << 16];

static struct life_channels_answer ask(const struct life_channels_case *asked)
{
    struct arena arena;
    struct life_channels_answer answer;
    struct rule_fault fault = {0};
    arena_init(&arena, memory, sizeof memory);
    if (!life_channels(asked, &arena, &answer, &fault))
        fail_msg("%s", fault.text);
    return answer;
}

/* Quarters, so that ties are common and quotients exact; one in five is not known. */
static size_t make(uint64_t *random, struct life_channel *channels)
{
    static const char *const names[MOST] = {"a", "b", "c", "d", "e", "f", "g", "h"};
    const size_t count = 1 + (size_t)random_below(random, MOST);
    for (size_t i = 0; i < count; i++) {
        channels[i] = (struct life_channel){names[i], random_below(random, 6), 4, random_below(random, 3)};
        if (random_below(random, 5) == 0)
            channels[i].limit = RULE_NULL;
        if (random_below(random, 5) == 0)
            channels[i].use_per_day = RULE_NULL;
    }
    return count;
}

static bool is_same(double a, double b)
{
    return (rule_is_null(a) && rule_is_null(b)) || a == b;
}

/* Use goes on at its rate for the days left: then a limit is reached, and the day before none is. */
static void after_the_days_left_a_limit_is_reached_and_no_sooner(void **state)
{
    uint64_t random = 1;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_channel channels[MOST], later[MOST];
        const size_t count = make(&random, channels);
        const struct life_channels_answer now = ask(&(struct life_channels_case){channels, count, false});
        if (rule_is_null(now.days_left) || now.retire)
            continue;
        for (int early = 0; early < 2; early++) {
            memcpy(later, channels, sizeof later);
            for (size_t i = 0; i < count; i++)
                if (!rule_is_null(later[i].use_per_day))
                    later[i].used += later[i].use_per_day * (early ? now.days_left / 2 : now.days_left);
            assert_int_equal(ask(&(struct life_channels_case){later, count, false}).retire, !early);
        }
    }
}

static void the_order_of_channels_changes_names_of_equals_only(void **state)
{
    uint64_t random = 2;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_channel channels[MOST], turned[MOST];
        const size_t count = make(&random, channels);
        const struct life_channels_answer one = ask(&(struct life_channels_case){channels, count, false});
        for (size_t i = 0; i < count; i++)
            turned[i] = channels[count - 1 - i];
        const struct life_channels_answer other = ask(&(struct life_channels_case){turned, count, false});
        assert_true(is_same(one.fraction, other.fraction) && is_same(one.days_left, other.days_left));
        assert_int_equal(one.retire, other.retire);
        assert_int_equal(one.said.unknown_count, other.said.unknown_count);
        if (one.fraction_channel)
            assert_true(strcmp(one.fraction_channel, other.fraction_channel) <= 0); /* a before b in the first */
    }
}

static void more_use_never_leaves_more_days(void **state)
{
    uint64_t random = 3;
    (void)state;
    for (int turn = 0; turn < TURNS; turn++) {
        struct life_channel channels[MOST];
        const size_t count = make(&random, channels);
        const struct life_channels_answer before = ask(&(struct life_channels_case){channels, count, false});
        channels[random_below(&random, (int)count)].used += 1;
        const struct life_channels_answer after = ask(&(struct life_channels_case){channels, count, false});
        assert_false(after.fraction < before.fraction);
        assert_false(after.days_left > before.days_left);
        assert_true(after.retire || !before.retire);
    }
}

static void every_channel_without_a_limit_is_named(void **state)
{
    const struct life_channel channels[] = {
        {"film", 1, RULE_NULL, 1}, {"age", 1, 4, 1}, {"litres", 1, RULE_NULL, RULE_NULL}};
    (void)state;
    const struct life_channels_answer answer = ask(&(struct life_channels_case){channels, 3, false});
    assert_int_equal(answer.said.unknown_count, 1);
    assert_string_equal(answer.said.unknown[0].key, "channels");
    assert_non_null(strstr(answer.said.unknown[0].why, "'film', 'litres'"));
    assert_null(strstr(answer.said.unknown[0].why, "age"));
}

static void a_full_arena_is_a_fault(void **state)
{
    const struct life_channel channels[4] = {{"a", 1, 4, 1}, {"b", 1, 4, 1}, {"c", 1, 4, 1}, {"d", 1, 4, 1}};
    struct arena arena;
    struct life_channels_answer answer;
    struct rule_fault fault = {0};
    (void)state;
    arena_init(&arena, memory, 32);
    assert_false(life_channels(&(struct life_channels_case){channels, 4, false}, &arena, &answer, &fault));
    assert_int_equal(fault.code, RULE_RANGE);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(after_the_days_left_a_limit_is_reached_and_no_sooner),
        cmocka_unit_test(the_order_of_channels_changes_names_of_equals_only),
        cmocka_unit_test(more_use_never_leaves_more_days),
        cmocka_unit_test(every_channel_without_a_limit_is_named),
        cmocka_unit_test(a_full_arena_is_a_fault),
    };
    return cmocka_run_group_tests_name("rules/life_channels", tests, NULL, NULL);
}
