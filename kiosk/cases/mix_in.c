#include "kiosk/cases/mix_in.h"

/* A million litres: up to there a double is good for far less than MIX_EMPTY_ML. */
static const struct case_range AMOUNT = {0, 1e9, true, false};

static void read_lots(struct case_in *in, struct mix_case *mix)
{
    static const char *const keys[] = {"id", "expires", "resin", NULL};
    const json_t *list = case_list(in, "lots", &mix->lot_count);
    struct mix_lot *lots = case_room(in, mix->lot_count, sizeof *lots);
    for (size_t i = 0; case_good(in) && i < mix->lot_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "lots", list, i, keys);
        lots[i].id = case_text(&item, "id");
        lots[i].expires = case_day(&item, "expires");
        lots[i].resin = case_text_or(&item, "resin", NULL);
    }
    mix->lots = lots;
}

static void read_contents(struct case_in *in, struct mix_container *container)
{
    static const char *const keys[] = {"lot", "quantity_ml", NULL};
    const json_t *list = case_list_or(in, "contents", &container->content_count);
    struct mix_content *contents = case_room(in, container->content_count, sizeof *contents);
    for (size_t i = 0; case_good(in) && i < container->content_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "contents", list, i, keys);
        contents[i].lot = case_text(&item, "lot");
        contents[i].ml = case_number(&item, "quantity_ml", AMOUNT);
    }
    container->contents = contents;
}

static void read_containers(struct case_in *in, struct mix_case *mix)
{
    static const char *const keys[] = {"id", "contents", "open_until", NULL};
    const json_t *list = case_list(in, "containers", &mix->container_count);
    struct mix_container *containers = case_room(in, mix->container_count, sizeof *containers);
    for (size_t i = 0; case_good(in) && i < mix->container_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "containers", list, i, keys);
        containers[i].id = case_text(&item, "id");
        containers[i].open_until = case_day_or(&item, "open_until", RULE_NO_DAY);
        read_contents(&item, &containers[i]);
    }
    mix->containers = containers;
}

static void read_events(struct case_in *in, struct mix_case *mix)
{
    static const char *const acts[] = {
        [MIX_POUR] = "pour", [MIX_USE] = "use", [MIX_WASTE] = "waste", [MIX_CLEAN] = "clean", NULL};
    static const char *const all[] = {"act", "from", "to", "job", "quantity_ml", NULL};
    static const char *const keys[][5] = {[MIX_POUR] = {"act", "from", "to", "quantity_ml"},
                                          [MIX_USE] = {"act", "from", "job", "quantity_ml"},
                                          [MIX_WASTE] = {"act", "from", "quantity_ml"},
                                          [MIX_CLEAN] = {"act", "from"}};
    const json_t *list = case_list(in, "events", &mix->event_count);
    struct mix_event *events = case_room(in, mix->event_count, sizeof *events);
    for (size_t i = 0; case_good(in) && i < mix->event_count; i++) {
        struct case_in item;
        case_open_item(&item, in, "events", list, i, all);
        events[i].act = (enum mix_act)case_word(&item, "act", acts);
        if (case_good(in))
            case_open_item(&item, in, "events", list, i, keys[events[i].act]);
        events[i].from = case_text(&item, "from");
        if (events[i].act == MIX_POUR)
            events[i].to = case_text(&item, "to");
        if (events[i].act == MIX_USE)
            events[i].job = case_text(&item, "job");
        if (events[i].act != MIX_CLEAN)
            events[i].ml = case_number(&item, "quantity_ml", AMOUNT);
    }
    mix->events = events;
}

void mix_in(struct case_in *in, struct mix_case *mix)
{
    read_lots(in, mix);
    read_containers(in, mix);
    read_events(in, mix);
    if (case_good(in))
        (void)(case_unique_in(in, "lots", "id", mix->lots, mix->lot_count, sizeof *mix->lots,
                              offsetof(struct mix_lot, id)) &&
               case_unique_in(in, "containers", "id", mix->containers, mix->container_count, sizeof *mix->containers,
                              offsetof(struct mix_container, id)));
}
