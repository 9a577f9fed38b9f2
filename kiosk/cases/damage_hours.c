#include "kiosk/cases/damage_hours.h"

const struct damage_hours *damage_hours_read(struct case_in *in, const char *key, struct case_range range,
                                             size_t *count)
{
    static const char *const keys[] = {"class", "hours", NULL};
    const json_t *list = case_list(in, key, count);
    struct damage_hours *hours = case_room(in, *count, sizeof *hours);
    for (size_t i = 0; case_good(in) && i < *count; i++) {
        struct case_in item;
        case_open_item(&item, in, key, list, i, keys);
        hours[i].class = case_text(&item, "class");
        hours[i].hours = case_number(&item, "hours", range);
    }
    return hours;
}

const struct damage_hours *damage_ratings_read(struct case_in *in, size_t *count)
{
    const struct damage_hours *ratings = damage_hours_read(in, "ratings", CASE_POSITIVE, count);
    if (case_good(in))
        case_unique_in(in, "ratings", "class", ratings, *count, sizeof *ratings, offsetof(struct damage_hours, class));
    return case_good(in) ? ratings : NULL;
}
