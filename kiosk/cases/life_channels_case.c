#include "kiosk/rules/life_channels.h"

#include "kiosk/cases/case_in.h"
#include "kiosk/cases/case_out.h"
#include "kiosk/cases/case_table.h"

static const struct life_channel *read_channels(struct case_in *in, size_t *count)
{
    static const char *const keys[] = {"name", "used", "limit", "use_per_day", NULL};
    const json_t *list = case_list(in, "channels", count);
    struct life_channel *channels = case_room(in, *count, sizeof *channels);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, "channels", list, i, keys);
        channels[i].name = case_text(&item, "name");
        channels[i].used = case_number(&item, "used", CASE_NOT_NEGATIVE);
        channels[i].limit = case_number_or(&item, "limit", CASE_POSITIVE, RULE_NULL);
        channels[i].use_per_day = case_number_or(&item, "use_per_day", CASE_NOT_NEGATIVE, RULE_NULL);
    }
    return channels;
}

static bool compute(const json_t *object, struct arena *arena, json_t *out, struct rule_fault *fault)
{
    static const char *const keys[] = {"channels", "inspection_failed", NULL};
    struct life_channels_case asked = {0};
    struct life_channels_answer answer;
    struct case_in in;
    case_open(&in, object, "", keys, arena, fault);
    asked.channels = read_channels(&in, &asked.channel_count);
    asked.inspection_failed = case_flag_or(&in, "inspection_failed", false);
    if (!case_good(&in) ||
        !case_unique_in(&in, "channels", "name", asked.channels, asked.channel_count, sizeof *asked.channels,
                        offsetof(struct life_channel, name)) ||
        !life_channels(&asked, arena, &answer, fault))
        return false;
    case_put_number(out, "fraction", answer.fraction);
    case_put_text(out, "fraction_channel", answer.fraction_channel);
    case_put_number(out, "days_left", answer.days_left);
    case_put_text(out, "first_out", answer.first_out);
    case_put_flag(out, "retire", answer.retire);
    json_t *list = case_put_list(out, "channels");
    for (size_t i = 0; i < asked.channel_count; i++) {
        json_t *item = case_put_item(list);
        case_put_text(item, "name", asked.channels[i].name);
        case_put_number(item, "fraction", answer.channels[i].fraction);
        case_put_number(item, "days_left", answer.channels[i].days_left);
    }
    case_put_said(out, &answer.said);
    return true;
}

const struct rule_case life_channels_rule = {"life-channels", compute};
