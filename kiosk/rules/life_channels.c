#include "kiosk/rules/life_channels.h"

#include <math.h>
#include <string.h>

#include "labels/basics/text.h"

static bool is_reached(double fraction)
{
    return fraction >= 1 - RULE_SLACK; /* not so when there is no limit */
}

static struct life_channel_state state_of(const struct life_channel *channel)
{
    struct life_channel_state state = {RULE_NULL, RULE_NULL};
    if (rule_is_null(channel->limit))
        return state;
    state.fraction = channel->used / channel->limit;
    if (is_reached(state.fraction))
        state.days_left = 0;
    else if (channel->use_per_day > 0) /* not so when it is not known */
        state.days_left = (channel->limit - channel->used) / channel->use_per_day;
    return state;
}

static bool look_at_each(const struct life_channels_case *asked, struct arena *arena, struct life_channel_state *states,
                         struct rule_fault *fault)
{
    for (size_t i = 0; i < asked->channel_count; i++) {
        states[i] = state_of(&asked->channels[i]);
        if (isinf(states[i].fraction) || isinf(states[i].days_left))
            return rule_fault_set(fault, RULE_RANGE, rule_text(arena, "channels.%zu", i),
                                  "the numbers of channel '%.60s' are too far apart to be divided: check their units",
                                  asked->channels[i].name);
    }
    return true;
}

/* The extremes first, then the first channel within the slack of each: of equals the earlier one is named. */
static void find_weakest(const struct life_channels_case *asked, const struct life_channel_state *states,
                         struct life_channels_answer *answer)
{
    answer->fraction = answer->days_left = RULE_NULL;
    for (size_t i = 0; i < asked->channel_count; i++) { /* fmax and fmin pass over what is null */
        answer->fraction = fmax(answer->fraction, states[i].fraction);
        answer->days_left = fmin(answer->days_left, states[i].days_left);
    }
    for (size_t i = asked->channel_count; i-- > 0;) {
        if (states[i].fraction >= answer->fraction - RULE_SLACK)
            answer->fraction_channel = asked->channels[i].name;
        if (states[i].days_left <= answer->days_left + RULE_SLACK)
            answer->first_out = asked->channels[i].name;
    }
}

/* "'film', 'age'"; NULL: all have a limit. */
static const char *names_without_limit(const struct life_channels_case *asked, struct arena *arena)
{
    size_t size = 1;
    for (size_t i = 0; i < asked->channel_count; i++)
        if (rule_is_null(asked->channels[i].limit))
            size += strlen(asked->channels[i].name) + strlen("'', ");
    char *names = size > 1 ? arena_take(arena, size, 1) : NULL;
    if (!names)
        return size > 1 ? "some channels" : NULL;
    struct builder builder;
    builder_init(&builder, names, size);
    for (size_t i = 0; i < asked->channel_count; i++)
        if (rule_is_null(asked->channels[i].limit))
            builder_addf(&builder, "%s'%s'", names[0] ? ", " : "", asked->channels[i].name);
    return names;
}

static void say_unknown(const struct life_channels_case *asked, struct arena *arena,
                        struct life_channels_answer *answer)
{
    const char *names = names_without_limit(asked, arena), *no_fraction = "no channel has a limit: set one",
               *no_days = "no channel has both a limit and a use per day: give them";
    if (names)
        rule_set_unknown(&answer->said, "channels", rule_text(arena, "no limit is known for %s: set one", names));
    if (rule_is_null(answer->fraction)) {
        rule_set_unknown(&answer->said, "fraction", no_fraction);
        rule_set_unknown(&answer->said, "fraction_channel", no_fraction);
    }
    if (rule_is_null(answer->days_left)) {
        rule_set_unknown(&answer->said, "days_left", no_days);
        rule_set_unknown(&answer->said, "first_out", no_days);
    }
}

static const char *sentence_of(const struct life_channels_case *asked, struct arena *arena,
                               const struct life_channels_answer *answer)
{
    if (asked->inspection_failed)
        return "The inspection failed: retire it.";
    if (answer->retire)
        return rule_text(arena, "'%s' has reached its limit: retire it.", answer->fraction_channel);
    if (rule_is_null(answer->fraction))
        return "No limit is known, so nobody can say how much of the life is used: set one.";
    if (rule_is_null(answer->days_left))
        return rule_text(arena,
                         "%.3g %% of the life is used, by '%s'; how long the rest will last is not known: give "
                         "the use per day.",
                         100 * answer->fraction, answer->fraction_channel);
    return rule_text(arena, "%.3g %% of the life is used, by '%s'; '%s' runs out first, in %.0f days.",
                     100 * answer->fraction, answer->fraction_channel, answer->first_out, floor(answer->days_left));
}

bool life_channels(const struct life_channels_case *asked, struct arena *arena, struct life_channels_answer *answer,
                   struct rule_fault *fault)
{
    struct life_channel_state *states = arena_take(arena, asked->channel_count, sizeof *states);
    if (!states)
        return rule_fault_memory(fault);
    if (!look_at_each(asked, arena, states, fault))
        return false;
    *answer = (struct life_channels_answer){.said = {.method = "weakest link of several limits"}, .channels = states};
    find_weakest(asked, states, answer);
    answer->retire = asked->inspection_failed || is_reached(answer->fraction);
    if (asked->inspection_failed) {
        answer->days_left = 0;
        answer->first_out = "inspection";
    }
    say_unknown(asked, arena, answer);
    answer->said.sentence = sentence_of(asked, arena, answer);
    return true;
}
