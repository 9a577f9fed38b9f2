#ifndef KIOSK_LEDGER_CATALOGUE_H
#define KIOSK_LEDGER_CATALOGUE_H

#include "kiosk/ledger/ledger.h"
#include "labels/content/ufi.h"

/* What the room knows of: items, lots, places, printers, people. Rows kept by apply. All loads: `*found` false and
 * true returned when there is none. */

enum { NAME_SIZE = 65, FITS_SIZE = 129, TRAINING_SIZE = 65 };

enum { SDS_PRODUCT_SIZE = 121, SDS_PICTOGRAMS_SIZE = 64, SDS_LIST_SIZE = 1001, SDS_LANGUAGE_SIZE = 3 };

/* What the shop copied from an item's SDS for a hazard label, in the SDS's own words; "" where it entered nothing,
 * "none" where the SDS says none. Lists as labels/content/hazard_words.h has them. */
struct item_sds {
    char product[SDS_PRODUCT_SIZE]; /* product identifier, section 1 */
    char signal_word[WORD_SIZE];
    char pictograms[SDS_PICTOGRAMS_SIZE];
    char statements[SDS_LIST_SIZE];
    char precautions[SDS_LIST_SIZE];
    char revised[CALENDAR_DATE_SIZE]; /* the SDS's, YYYY-MM-DD */
    char place[NAME_SIZE];            /* where the SDS is kept */
    char label[WORD_SIZE];            /* template of the hazard label that its units get; "" none */
    char supplier[SDS_PRODUCT_SIZE];  /* section 1: name, address, telephone */
    char address[SDS_PRODUCT_SIZE];
    char phone[WORD_SIZE];
    char quantity[WORD_SIZE]; /* nominal, with its unit */
    char ufi[UFI_SIZE];
    char language[SDS_LANGUAGE_SIZE]; /* of the words above, ISO 639-1; "" not said */
};
struct item {
    char code[ITEM_CODE_SIZE];
    char letter; /* serial letter of its units: V T C R P W */
    char name[NAME_SIZE];
    char resin[NAME_SIZE]; /* resin type, "" for things that hold none */
    char revision[WORD_SIZE];
    char gtin[15]; /* GTIN-14 or "" */
    char maker_code[SUPPLIER_CODE_SIZE];
    char fits[FITS_SIZE];  /* printer codes separated by one space; "" = every printer */
    int64_t content_ul;    /* of a full one, MOVEMENT_NULL unknown */
    int64_t minimum_days;  /* fewer days left at receipt = short-dated; MOVEMENT_NULL = 0 */
    int64_t life_minutes;  /* rated light hours of a vat in minutes, MOVEMENT_NULL unknown */
    int64_t density_mg_ml; /* of a resin at the temperature its SDS states it for; MOVEMENT_NULL unknown */
    int64_t stir_days;     /* a resin may stand so long before it is stirred, MOVEMENT_NULL: nobody said */
    int64_t
        inspect_minutes; /* a vat or platform is looked at every so many light minutes, MOVEMENT_NULL: never asked */
    int64_t surface_minutes; /* life of a platform's removable surface, MOVEMENT_NULL: it has none, or nobody knows */
    struct item_sds sds;
    bool provisional; /* made from a scan; its units are held until a storekeeper completes it */
    int64_t version;
};
struct lot {
    char item[ITEM_CODE_SIZE], lot[LOT_SIZE];
    int64_t expires; /* earliest said of it */
    int64_t version;
};
struct place {
    char code[PLACE_SIZE];
    char kind[WORD_SIZE];       /* shelf, slot, counter, room (another one, that things are lent to) */
    char printer[PRINTER_SIZE]; /* of a slot */
    char name[NAME_SIZE];
    int64_t version;
};
struct machine { /* a resin printer; the word printer is also what prints labels, so code says machine */
    char code[PRINTER_SIZE];
    char name[NAME_SIZE];
    int64_t slots; /* cartridges it takes at once */
    int64_t version;
};
struct person {
    char serial[SERIAL_SIZE];
    char role[WORD_SIZE];         /* technician, receiver, counter, storekeeper, auditor; left */
    char training[TRAINING_SIZE]; /* words with one space between (kiosk/rules/permission.h), "" none */
    char name[NAME_SIZE];         /* from the erasable text; "" once erased */
    int64_t version;
};

bool item_load(struct ledger *ledger, const char *code, struct item *item, bool *found, struct fault *fault);
/* The item whose SDS a unit's hazard label speaks of: the unit's own item, or the resin's when only that has an entry.
 * `*item` is of either; `*found` false when neither has one. */
bool item_load_sds(struct ledger *ledger, const char *code, const char *resin, struct item *item, bool *found,
                   struct fault *fault);
bool item_find_gtin(struct ledger *ledger, const char *gtin, struct item *item, bool *found, struct fault *fault);
bool item_find_maker_code(struct ledger *ledger, const char *code, struct item *item, bool *found, struct fault *fault);
/* detail of an item-entry movement from a struct (canonical JSON), and back. */
bool item_write_detail(const struct item *item, char detail[DETAIL_SIZE], struct fault *fault);
bool item_read_detail(const char *detail, struct item *item, struct fault *fault);
typedef bool item_visitor(const struct item *item, void *context);
bool item_each(struct ledger *ledger, item_visitor *visit, void *context, struct fault *fault);
/* Whose units have this letter, and this type of resin in them ("" none of their own). */
bool item_each_of_resin(struct ledger *ledger, char letter, const char *resin, item_visitor *visit, void *context,
                        struct fault *fault);
/* The next free provisional code "NEW-1" … "NEW-9999". */
bool item_next_provisional(struct ledger *ledger, char code[ITEM_CODE_SIZE], struct fault *fault);

bool lot_load(struct ledger *ledger, const char *item, const char *lot, struct lot *row, bool *found,
              struct fault *fault);
bool place_load(struct ledger *ledger, const char *code, struct place *place, bool *found, struct fault *fault);
/* Do things in storage stand there? Not in a slot, which stands for its printer, and not in another room. */
bool place_keeps(const struct place *place);
typedef bool place_visitor(const struct place *place, void *context);
bool place_each(struct ledger *ledger, place_visitor *visit, void *context, struct fault *fault);
bool machine_load(struct ledger *ledger, const char *code, struct machine *machine, bool *found, struct fault *fault);
typedef bool machine_visitor(const struct machine *machine, void *context);
bool machine_each(struct ledger *ledger, machine_visitor *visit, void *context, struct fault *fault);
bool person_load(struct ledger *ledger, const char *serial, struct person *person, bool *found, struct fault *fault);
typedef bool person_visitor(const struct person *person, void *context);
bool person_each(struct ledger *ledger, person_visitor *visit, void *context, struct fault *fault);

#endif
