#include <string.h>

#include "kiosk/desk/desk.h"
#include "kiosk/desk/view.h"

/* The demo: Kestrel Quay, an invented workshop that makes ship models and museum replicas. Everything in it is
 * invented; item numbers use the range GS1 keeps for examples (950…). Days are relative to today. */

static const struct {
    const char *name, *role;
    bool trained;
} people[] = {{"Maren", "storekeeper", false},
              {"Tobias", "technician", true},
              {"Ines", "receiver", false},
              {"Jarl", "technician", false}};

static const struct {
    const char *code, *name;
    int slots;
} printers[] = {{"CAPSTAN", "Capstan", 1}, {"SEXTANT", "Sextant", 2}, {"HALYARD", "Halyard", 1}};

static const struct {
    const char *code, *letter, *name, *resin, *revision, *gtin, *fits;
    int content_ml, minimum_days, life_hours;
} items[] = {
    {"FLINT", "C", "Flint cartridge", "Flint", "2", "09506000135007", "", 1000, 90, 0},
    {"OAK", "C", "Oak cartridge", "Oak", "1", "09506000135014", "", 1000, 90, 0},
    {"KELP", "C", "Kelp cartridge", "Kelp", "4", "09506000135021", "", 1000, 90, 0},
    {"CHALK", "C", "Chalk cartridge", "Chalk", "1", "09506000135038", "SEXTANT HALYARD", 1000, 60, 0},
    {"VAT-S", "V", "Small vat", "", "", "09506000135045", "CAPSTAN HALYARD", 0, 0, 500},
    {"VAT-L", "V", "Large vat", "", "", "09506000135052", "SEXTANT", 0, 0, 400},
};

static const struct {
    const char *code, *kind, *printer, *name;
} places[] = {
    {"A01", "shelf", NULL, "cartridges, top"},      {"A02", "shelf", NULL, "cartridges, middle"},
    {"A03", "shelf", NULL, "cartridges, bottom"},   {"B01", "shelf", NULL, "vat cases, top"},
    {"B02", "shelf", NULL, "vat cases, bottom"},    {"DESK", "counter", NULL, "the counter"},
    {"CAPSTAN-1", "slot", "CAPSTAN", "in Capstan"}, {"SEXTANT-1", "slot", "SEXTANT", "in Sextant"},
    {"HALYARD-1", "slot", "HALYARD", "in Halyard"},
};

/* What stands there. Days: from today; 0 hours and ml stand for "not said". */
static const struct {
    const char *item, *resin, *lot, *place, *film;
    int filled, expires, ml, hours;
} stock[] = {
    {"FLINT", NULL, "FL-2207", "A01", NULL, -120, 240, 1000, 0},
    {"FLINT", NULL, "FL-2207", "A01", NULL, -120, 240, 1000, 0},
    {"FLINT", NULL, "FL-2188", "A01", NULL, -300, 25, 640, 0},
    {"OAK", NULL, "OK-0931", "A02", NULL, -90, 275, 1000, 0},
    {"OAK", NULL, "OK-0902", "A02", NULL, -380, -6, 1000, 0},
    {"KELP", NULL, "KP-4410", "A02", NULL, -40, 325, 1000, 0},
    {"CHALK", NULL, "CH-0077", "A03", NULL, -60, 305, 1000, 0},
    {"VAT-S", "FLINT", "FL-2207", "B01", "clear", -21, 240, 420, 138},
    {"VAT-S", "OAK", "OK-0931", "B01", "clear", -9, 275, 380, 61},
    {"VAT-S", NULL, NULL, "B01", NULL, 0, 0, 0, 0},
    {"VAT-L", "KELP", "KP-4410", "B02", "fogged", -35, 325, 900, 355},
};

struct filling {
    struct writer *writer;
    struct day today;
    char storekeeper[SERIAL_SIZE];
    int acts;
};

static bool run(struct filling *filling, const char *kind, json_t *content, json_t **answer, struct fault *fault)
{
    struct act act = {.version = 1, .content = content};
    struct builder id; /* the same every time, so that an act is done once */
    builder_init(&id, act.id, sizeof act.id);
    builder_addf(&id, "demo-%03d-%s", ++filling->acts, kind);
    (void)span_copy(span_of(kind), act.kind, sizeof act.kind);
    (void)span_copy(span_of(filling->storekeeper), act.person, sizeof act.person);
    if (strcmp(kind, "enrol") == 0)
        (void)span_copy(span_of(DESK_DEMO_NO_PIN), act.aside, sizeof act.aside);
    json_t *ignored = NULL;
    struct fault why = {0};
    const bool done = writer_run(filling->writer, &act, answer ? answer : &ignored, &why);
    json_decref(ignored);
    if (!done && why.code == FAULT_CONFLICT) /* done before, when other days were the same days from today */
        return true;
    if (!done && fault)
        *fault = why;
    return done;
}

static void set_day(json_t *content, const char *key, const struct filling *filling, int offset)
{
    json_object_set_new(content, key, view_day(filling->today.number + offset));
}

static bool enter_people(struct filling *filling, struct fault *fault)
{
    for (size_t i = 0; i < sizeof people / sizeof *people; i++) {
        json_t *answer = NULL;
        json_t *content = i == 0 ? json_pack("{s:s}", "name", people[i].name)
                                 : json_pack("{s:s,s:s}", "name", people[i].name, "role", people[i].role);
        if (people[i].trained)
            json_object_set_new(content, "training", json_pack("[s,s]", "pour", "retire"));
        if (!run(filling, i == 0 ? "enrol" : "person-entry", content, &answer, fault))
            return false;
        const char *serial = json_string_value(json_object_get(answer, "serial"));
        if (i == 0 && serial)
            (void)span_copy(span_of(serial), filling->storekeeper, sizeof filling->storekeeper);
        json_decref(answer);
    }
    return true;
}

static bool enter_rooms(struct filling *filling, struct fault *fault)
{
    for (size_t i = 0; i < sizeof printers / sizeof *printers; i++)
        if (!run(filling, "printer-entry",
                 json_pack("{s:s,s:s,s:i}", "code", printers[i].code, "name", printers[i].name, "slots",
                           printers[i].slots),
                 NULL, fault))
            return false;
    for (size_t i = 0; i < sizeof places / sizeof *places; i++)
        if (!run(filling, "place-entry",
                 json_pack("{s:s,s:s,s:s?,s:s}", "code", places[i].code, "kind", places[i].kind, "printer",
                           places[i].printer, "name", places[i].name),
                 NULL, fault))
            return false;
    return true;
}

static bool enter_items(struct filling *filling, struct fault *fault)
{
    for (size_t i = 0; i < sizeof items / sizeof *items; i++) {
        json_t *content = json_pack("{s:s,s:s,s:s,s:s,s:s,s:s,s:s}", "code", items[i].code, "letter", items[i].letter,
                                    "name", items[i].name, "resin", items[i].resin, "revision", items[i].revision,
                                    "gtin", items[i].gtin, "fits", items[i].fits);
        if (items[i].content_ml > 0)
            json_object_set_new(content, "content_ml", json_integer(items[i].content_ml));
        if (items[i].minimum_days > 0)
            json_object_set_new(content, "minimum_days", json_integer(items[i].minimum_days));
        if (items[i].life_hours > 0)
            json_object_set_new(content, "life_hours", json_integer(items[i].life_hours));
        if (!run(filling, "item-entry", content, NULL, fault))
            return false;
    }
    return true;
}

static bool take_on_stock(struct filling *filling, struct fault *fault)
{
    for (size_t i = 0; i < sizeof stock / sizeof *stock; i++) {
        json_t *content = json_pack("{s:s,s:s?,s:s?,s:s,s:s?,s:b}", "item", stock[i].item, "resin", stock[i].resin,
                                    "lot", stock[i].lot, "place", stock[i].place, "film", stock[i].film, "labelled", 1);
        if (stock[i].filled != 0)
            set_day(content, "filled", filling, stock[i].filled);
        if (stock[i].expires != 0)
            set_day(content, "expires", filling, stock[i].expires);
        if (stock[i].ml > 0)
            json_object_set_new(content, "amount_ml", json_integer(stock[i].ml));
        if (stock[i].item[0] == 'V')
            json_object_set_new(content, "hours", json_integer(stock[i].hours));
        if (!run(filling, "take-on", content, NULL, fault))
            return false;
    }
    return true;
}

/* One job waits for somebody to take a vat to it; a copy of its ticket is not printed. */
static bool plan_a_job(struct filling *filling, struct fault *fault)
{
    json_t *content =
        json_pack("{s:s,s:s,s:i,s:s,s:s,s:s,s:[{s:s,s:i}]}", "job", "KQ-1042", "printer", "CAPSTAN", "need_ml", 121,
                  "resin", "Flint", "revision", "2", "name", "Gear housing", "parts", "name", "Lid", "count", 4);
    set_day(content, "ends", filling, 1);
    return run(filling, "job-plan", content, NULL, fault);
}

bool desk_demo_fill(struct writer *writer, struct moment moment, struct fault *fault)
{
    struct filling filling = {.writer = writer, .today = moment.local_day};
    return enter_people(&filling, fault) && enter_rooms(&filling, fault) && enter_items(&filling, fault) &&
           take_on_stock(&filling, fault) && plan_a_job(&filling, fault);
}
