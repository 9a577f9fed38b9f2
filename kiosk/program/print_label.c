#include "kiosk/program/print_label.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/mman.h>
#include <unistd.h>

#include "kiosk/desk/job_ticket_words.h"
#include "kiosk/ledger/catalogue.h"
#include "kiosk/ledger/contents.h"
#include "kiosk/ledger/print_looks.h"
#include "kiosk/ledger/unit.h"
#include "kiosk/web/label_pitch.h"
#include "labels/basics/text.h"
#include "labels/drawing/label_pwg.h"

enum { FIELDS_MAX = LABEL_FIELD_IDS, UL_AN_ML = 1000, UM_A_HUNDREDTH = 10, USUAL_DPI = 203, HUNDREDTHS_A_MM = 100 };

/* The texts of one label; fields point into it. */
struct fields {
    struct label_field list[FIELDS_MAX];
    size_t count;
    struct unit unit;
    struct item item, resin;
    struct person person;
    struct place place;
    char filled[CALENDAR_DATE_SIZE], expires[CALENDAR_DATE_SIZE], content[24], resin_words[120], note[64];
    struct item spoken_of; /* by an SDS */
    char sds[120], capacity[24];
    struct job_ticket_words ticket;
};

static void add(struct fields *fields, const char *name, const char *value)
{
    if (value[0] != '\0' && fields->count < FIELDS_MAX)
        fields->list[fields->count++] = (struct label_field){name, value};
}

static const char *day_text(int64_t day, char text[CALENDAR_DATE_SIZE])
{
    text[0] = '\0';
    return day == MOVEMENT_NULL ? text : calendar_write_date((struct day){(int32_t)day}, text);
}

/* Only these stand in a lot's field of the symbol (ANSI MH10.8.2 as we write it); a maker's lot may hold others. */
static bool lot_is_plain(const char *lot)
{
    return strspn(lot, "0123456789ABCDEFGHIJKLMNOPQRSTUVWXYZ./-") == strlen(lot);
}

static bool unit_fields(struct ledger *ledger, const char *serial, struct fields *fields, struct fault *fault)
{
    bool found;
    struct unit *unit = &fields->unit;
    struct contents contents;
    if (!unit_load(ledger, serial, unit, &found, fault))
        return false;
    if (!found || unit->status == UNIT_VOID)
        return fault_set(fault, FAULT_MISSING, "%s is not in the ledger any more", serial);
    if (unit->status == UNIT_RELABELLED)
        return fault_set(fault, FAULT_MISSING, "%s has a new serial, %s: that label is printed", serial, unit->heir);
    if (!item_load(ledger, unit->item, &fields->item, &found, fault) ||
        (unit->resin[0] != '\0' && !item_load(ledger, unit->resin, &fields->resin, &found, fault)))
        return false;
    add(fields, "serial", unit->serial);
    add(fields, "item", unit->item);
    add(fields, "item-name", fields->item.name);
    if (fields->resin.resin[0] != '\0') {
        struct builder words;
        builder_init(&words, fields->resin_words, sizeof fields->resin_words);
        builder_addf(&words, "%s%s%s", fields->resin.resin, fields->resin.revision[0] ? " rev " : "",
                     fields->resin.revision);
        add(fields, "resin", fields->resin_words);
    }
    if (!contents_load(ledger, unit, &contents, fault))
        return false;
    if (contents.count > 1) { /* of a mix no lot is said in the symbol: the serial is the key, the ledger knows */
        struct builder note;
        builder_init(&note, fields->note, sizeof fields->note);
        builder_addf(&note, "MIX of %zu lots", contents.count);
        add(fields, "note", fields->note);
    } else if (lot_is_plain(unit->lot)) {
        add(fields, "lot", unit->lot);
    } else {
        struct builder note;
        builder_init(&note, fields->note, sizeof fields->note);
        builder_addf(&note, "lot %s", unit->lot);
        add(fields, "note", fields->note);
    }
    if (unit->status == UNIT_TRAY && unit->pair[0] != '\0') {
        (void)snprintf(fields->note, sizeof fields->note, "case %s", unit->pair);
        add(fields, "note", fields->note);
    }
    add(fields, "filled", day_text(unit->filled, fields->filled));
    add(fields, "expires", day_text(unit->expires, fields->expires));
    if (unit->amount_ul != MOVEMENT_NULL && unit->amount_ul >= UL_AN_ML && unit->serial[0] != 'V') {
        (void)snprintf(fields->content, sizeof fields->content, "%lld", (long long)(unit->amount_ul / UL_AN_ML));
        add(fields, "content", fields->content);
    }
    return true;
}

/* What the shop copied from the SDS, word for word. */
static bool hazard_fields(struct ledger *ledger, struct fields *fields, struct fault *fault)
{
    const struct unit *unit = &fields->unit;
    const struct item_sds *sds = &fields->spoken_of.sds;
    bool found;
    if (!item_load_sds(ledger, unit->item, unit->resin, &fields->spoken_of, &found, fault))
        return false;
    if (!found)
        return true;
    add(fields, "product", sds->product);
    add(fields, "signal-word", sds->signal_word);
    add(fields, "pictograms", sds->pictograms);
    add(fields, "statements", sds->statements);
    add(fields, "precautions", sds->precautions);
    add(fields, "supplier", sds->supplier);
    add(fields, "supplier-address", sds->address);
    add(fields, "supplier-phone", sds->phone);
    add(fields, "quantity", sds->quantity);
    add(fields, "ufi", sds->ufi);
    add(fields, "language", sds->language);
    if (sds->revised[0] != '\0' || sds->place[0] != '\0') {
        (void)snprintf(fields->sds, sizeof fields->sds, "SDS%s%s%s%s", sds->revised[0] ? " of " : "", sds->revised,
                       sds->place[0] ? ": " : "", sds->place);
        add(fields, "sds", fields->sds);
    }
    if (fields->item.content_ul != MOVEMENT_NULL) {
        const int64_t ml = (fields->item.content_ul + UL_AN_ML - 1) / UL_AN_ML;
        (void)snprintf(fields->capacity, sizeof fields->capacity, "%lld", (long long)ml);
        add(fields, "capacity", fields->capacity);
    }
    return true;
}

static void ticket_fields(struct fields *fields)
{
    const struct job_ticket_words *ticket = &fields->ticket;
    add(fields, "job", ticket->code);
    add(fields, "printer", ticket->printer);
    add(fields, ticket->resin_fits ? "resin" : "item-name", ticket->resin);
    add(fields, "revision", ticket->revision);
    add(fields, "content", ticket->need_ml);
    add(fields, "ends", ticket->ends);
    add(fields, "note", ticket->name);
}

static bool print_fields(struct ledger *ledger, const struct print *print, struct fields *fields, struct fault *fault)
{
    bool found;
    if (print->unit[0] != '\0' && print->unit[0] != 'H') {
        if (!unit_fields(ledger, print->unit, fields, fault) || !hazard_fields(ledger, fields, fault))
            return false;
    } else if (print->unit[0] == 'H') {
        if (!person_load(ledger, print->unit, &fields->person, &found, fault))
            return false;
        add(fields, "serial", print->unit);
        add(fields, "person", fields->person.name[0] ? fields->person.name : print->unit);
    } else if (print_ticket_plan(print->place) != MOVEMENT_NULL) {
        if (!job_ticket_words_load(ledger, print_ticket_plan(print->place), &fields->ticket, fault))
            return false;
        ticket_fields(fields);
    } else {
        if (!place_load(ledger, print->place, &fields->place, &found, fault))
            return false;
        add(fields, "place", print->place);
        add(fields, "note", fields->place.name);
    }
    if (ledger_is_demo(ledger))
        add(fields, "sample", "SAMPLE");
    return true;
}

static bool media_for(const struct printer_facts *facts, const struct template *template, struct printer_media *media,
                      struct fault *fault)
{
    return printer_facts_media(facts, template->width_um / UM_A_HUNDREDTH, template->height_um / UM_A_HUNDREDTH, media,
                               fault);
}

/* The same label for another roll is NAME-WxH, its whole millimetres (docs/templates.md). `*found` stays false when
 * there is none for this roll; only a file that cannot be used is a fault. */
static bool load_sized(const struct template_files *templates, const char *name, const struct printer_facts *facts,
                       const struct printer_media *roll, struct template *template, struct printer_media *media,
                       bool *found, struct fault *fault)
{
    char sized[TEMPLATE_NAME_SIZE];
    struct fault reason = {0};
    const int wanted =
        snprintf(sized, sizeof sized, "%s-%dx%d", name, (roll->x + HUNDREDTHS_A_MM / 2) / HUNDREDTHS_A_MM,
                 (roll->y + HUNDREDTHS_A_MM / 2) / HUNDREDTHS_A_MM);
    if (wanted < 0 || wanted >= (int)sizeof sized || roll->x <= 0 || roll->y <= 0)
        return true;
    if (template_files_load(templates, sized, template, &reason))
        *found = media_for(facts, template, media, NULL);
    else if (reason.code != FAULT_MISSING)
        return fault_set(fault, reason.code, "%s", reason.text);
    return true;
}

/* A label that was drawn for one roll and did not go out may meet another: its name without "-WxH". */
static void plain_name(const char *drawn, char name[TEMPLATE_NAME_SIZE])
{
    int width = 0, height = 0, end = 0;
    (void)span_copy(span_of(drawn), name, TEMPLATE_NAME_SIZE);
    char *size = strrchr(name, '-');
    if (size && sscanf(size, "-%dx%d%n", &width, &height, &end) == 2 && size[end] == '\0')
        *size = '\0';
}

static bool wrong_roll(const struct template *template, const struct printer_facts *facts, const struct fault *reason,
                       struct fault *fault)
{
    if (facts->media_ready_count == 0 || !printer_media_check(&facts->media_ready[0], NULL))
        return fault_set(fault, FAULT_DEVICE, "label '%s': %s", template->name, reason->text);
    return fault_set(fault, FAULT_DEVICE,
                     "label '%s' is %g x %g mm, the printer holds %s, and no template is for that roll: put in the "
                     "right roll, or add a template named for it",
                     template->name, template->width_um / 1000.0, template->height_um / 1000.0,
                     facts->media_ready[0].name[0] ? facts->media_ready[0].name : "another size");
}

/* The roll in the printer decides: the plain template where a roll of its size is ready, else the one for a roll that
 * is. A queue seldom says what lies in its printer: then the size that is set there counts as the roll, and after that
 * every size that it can take, for the label would else wait for ever. */
static bool load_for_roll(const struct template_files *templates, const char *name, const struct printer_facts *facts,
                          struct template *template, struct printer_media *media, struct fault *fault)
{
    const bool says = facts->media_ready_count > 0;
    const struct printer_media *const rolls = says ? facts->media_ready : &facts->media_default;
    const size_t count = says ? facts->media_ready_count : 1;
    struct printer_facts held = *facts;
    struct fault reason = {0};
    held.size_count = 0;
    if (!template_files_load(templates, name, template, fault))
        return false;
    bool found = media_for(&held, template, media, NULL);
    for (size_t i = 0; !found && i < count; i++)
        if (!load_sized(templates, name, &held, &rolls[i], template, media, &found, fault))
            return false;
    if (found)
        return true;
    if (!template_files_load(templates, name, template, fault)) /* a sized one may lie in its place */
        return false;
    return media_for(facts, template, media, &reason) || wrong_roll(template, facts, &reason, fault);
}

/* What a label is drawn for: how far apart the printer's dots are, and the dots that it is moved by. The template's
 * modules are raised to what the printer can do. */
struct aim {
    struct pitch pitch;
    int right, down;
};

static bool calibrate(struct ledger *ledger, int dpi, struct template *template, struct aim *aim, struct fault *fault)
{
    struct label_printer printer;
    bool found;
    *aim = (struct aim){pitch_nominal(dpi), 0, 0};
    if (!label_printer_load(ledger, PRINT_LABEL_PRINTER, &printer, &found, fault))
        return false;
    if (!found || printer.dpi != dpi)
        return true;
    *aim = (struct aim){label_pitch_of(&printer), (int)printer.shift_right, (int)printer.shift_down};
    if (printer.module_dots != MOVEMENT_NULL)
        template_raise_modules(template, pitch_module_um(&aim->pitch, (int)printer.module_dots));
    return true;
}

static bool draw(struct drawer *drawer, const struct template *template, const struct fields *fields,
                 const struct printer_media *media, const struct aim *aim, int file, struct fault *fault)
{
    struct dots dots = {.rows = NULL};
    if (!label_draw_for(drawer, template, fields->list, fields->count, &aim->pitch, &dots, fault))
        return false;
    const size_t length = strlen(media->name);
    const bool named = length > 0 && length < LABEL_PWG_NAME_SIZE; /* the size counts, the name is for eyes */
    const struct label_pwg_media exact = {named ? media->name : "custom", template->width_um, template->height_um};
    const int width = dots_of_um(template->width_um, dots.dpi), height = dots_of_um(template->height_um, dots.dpi);
    const bool done = dots_place(&dots, aim->right, aim->down, width, height, fault) &&
                      label_pwg_write(file, &dots, &exact, 1, fault);
    dots_clear(&dots);
    return done;
}

void print_label_name(const struct print *print, char name[PRINT_LABEL_NAME_SIZE])
{
    char ordered[CALENDAR_INSTANT_SIZE];
    struct builder builder;
    builder_init(&builder, name, PRINT_LABEL_NAME_SIZE);
    builder_addf(&builder, "%s-%lld %s", print->unit[0] ? print->unit : print->place, (long long)print->number,
                 calendar_write_instant((struct instant){print->ordered_ms}, ordered));
}

static void fill_job(const struct print *print, const struct template *template, const struct printer_media *media,
                     int dpi, struct print_raster *raster)
{
    print_label_name(print, raster->name);
    memcpy(raster->template_name, template->name, sizeof raster->template_name);
    (void)span_copy(span_of(media->name), raster->media_name, sizeof raster->media_name);
    raster->job = (struct printer_job){.name = raster->name,
                                       .fd = raster->file,
                                       .media_x = media->x,
                                       .media_y = media->y,
                                       .media_name = raster->media_name[0] ? raster->media_name : NULL,
                                       .resolution_dpi = dpi};
}

bool print_label_make(struct ledger *ledger, struct drawer *drawer, const struct template_files *templates,
                      const struct print *print, const struct printer_facts *facts, struct print_raster *raster,
                      struct fault *fault)
{
    struct template *template = malloc(sizeof *template);
    struct fields *fields = calloc(1, sizeof *fields);
    const int dpi = facts->resolution_count > 0 ? facts->resolutions_dpi[0] : USUAL_DPI;
    struct printer_media media;
    struct aim aim;
    char name[TEMPLATE_NAME_SIZE];
    bool done = false;
    *raster = (struct print_raster){.file = -1};
    if (!template || !fields) {
        fault_set(fault, FAULT_STORAGE, "no memory to draw a label");
        goto out;
    }
    plain_name(print->label_template, name);
    if (!load_for_roll(templates, name, facts, template, &media, fault) ||
        !print_fields(ledger, print, fields, fault) || !calibrate(ledger, dpi, template, &aim, fault))
        goto out;
    raster->file = memfd_create("label", MFD_CLOEXEC);
    if (raster->file < 0) {
        fault_set(fault, FAULT_STORAGE, "no memory to hold a label");
        goto out;
    }
    done = draw(drawer, template, fields, &media, &aim, raster->file, fault);
    if (done)
        fill_job(print, template, &media, dpi, raster);
    else
        print_label_clear(raster);
out:
    free(fields);
    free(template);
    return done;
}

void print_label_clear(struct print_raster *raster)
{
    if (raster->file >= 0)
        close(raster->file);
    raster->file = -1;
}
