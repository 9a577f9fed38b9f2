#include "kiosk/ledger/database_store.h"

#include "kiosk/ledger/tables.h"

static bool load_item(void *context, struct item *row, bool *found, struct fault *fault)
{
    return item_load(context, row->code, row, found, fault);
}

static bool load_lot(void *context, struct lot *row, bool *found, struct fault *fault)
{
    return lot_load(context, row->item, row->lot, row, found, fault);
}

static bool load_place(void *context, struct place *row, bool *found, struct fault *fault)
{
    return place_load(context, row->code, row, found, fault);
}

static bool load_machine(void *context, struct machine *row, bool *found, struct fault *fault)
{
    return machine_load(context, row->code, row, found, fault);
}

static bool load_person(void *context, struct person *row, bool *found, struct fault *fault)
{
    return person_load_row(context, row, found, fault);
}

static bool load_unit(void *context, struct unit *row, bool *found, struct fault *fault)
{
    return unit_load(context, row->serial, row, found, fault);
}

static bool load_unit_mix(void *context, struct unit_mix *row, bool *found, struct fault *fault)
{
    return unit_mix_load(context, row->unit, row, found, fault);
}

static bool load_delivery(void *context, struct delivery *row, bool *found, struct fault *fault)
{
    return delivery_load(context, row->id, row, found, fault);
}

static bool load_job(void *context, struct job *row, bool *found, struct fault *fault)
{
    return job_load(context, row->id, row, found, fault);
}

static bool load_print(void *context, struct print *row, bool *found, struct fault *fault)
{
    return print_load(context, row->unit, row->place, row->number, row, found, fault);
}

static bool load_sticker(void *context, struct sticker *row, bool *found, struct fault *fault)
{
    return sticker_load(context, row->id, row, found, fault);
}

static bool load_substitution(void *context, struct substitution *row, bool *found, struct fault *fault)
{
    return substitution_load(context, row, found, fault);
}

static bool load_label_printer(void *context, struct label_printer *row, bool *found, struct fault *fault)
{
    return label_printer_load(context, row->device, row, found, fault);
}

static bool load_print_look(void *context, struct print_look *row, bool *found, struct fault *fault)
{
    return print_look_load(context, row->seq, row, found, fault);
}

static bool load_question(void *context, struct question *row, bool *found, struct fault *fault)
{
    return question_load_row(context, row, found, fault);
}

#define SAVE(name)                                                                                                     \
    static bool save_##name(void *context, const struct name *row, struct fault *fault)                                \
    {                                                                                                                  \
        return name##_save(context, row, fault);                                                                       \
    }
SAVE(item)
SAVE(lot)
SAVE(place)
SAVE(machine)
SAVE(unit)
SAVE(unit_mix)
SAVE(delivery)
SAVE(job)
SAVE(print)
SAVE(sticker)
SAVE(substitution)
SAVE(label_printer)
SAVE(print_look)

static bool save_person(void *context, const struct person *row, const char *text, struct fault *fault)
{
    return person_save(context, row, text, fault);
}

static bool save_question(void *context, const struct question *row, const char *text, struct fault *fault)
{
    return question_save(context, row, text, fault);
}

struct apply_store database_store(struct ledger *ledger)
{
    return (struct apply_store){
        .context = ledger,
        .load_item = load_item,
        .save_item = save_item,
        .load_lot = load_lot,
        .save_lot = save_lot,
        .load_place = load_place,
        .save_place = save_place,
        .load_machine = load_machine,
        .save_machine = save_machine,
        .load_person = load_person,
        .save_person = save_person,
        .load_unit = load_unit,
        .save_unit = save_unit,
        .load_unit_mix = load_unit_mix,
        .save_unit_mix = save_unit_mix,
        .load_delivery = load_delivery,
        .save_delivery = save_delivery,
        .load_job = load_job,
        .save_job = save_job,
        .load_print = load_print,
        .save_print = save_print,
        .load_sticker = load_sticker,
        .save_sticker = save_sticker,
        .load_substitution = load_substitution,
        .save_substitution = save_substitution,
        .load_label_printer = load_label_printer,
        .save_label_printer = save_label_printer,
        .load_print_look = load_print_look,
        .save_print_look = save_print_look,
        .load_question = load_question,
        .save_question = save_question,
    };
}
