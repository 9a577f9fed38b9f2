#include "tests/faults/act_run_day.h"

#include <stddef.h>

#include "tests/faults/act_run.h"

/* An invented day and the next; item numbers from the range that GS1 keeps for examples (950…). */

#define AT(where, act, who, what)                                                                                      \
    {                                                                                                                  \
        act, where, who, what, NULL, false                                                                             \
    }
#define DO(act, who, what)                                                                                             \
    {                                                                                                                  \
        act, "front", who, what, NULL, false                                                                           \
    }
#define REFUSED(act, who, what, says)                                                                                  \
    {                                                                                                                  \
        act, "front", who, what, says, false                                                                           \
    }
#define SCAN_AT(where, text)                                                                                           \
    {                                                                                                                  \
        "scan", where, "", "{\"text\":\"" text "\",\"source\":\"typed\"}", NULL, false                                 \
    }
#define SCAN(text) SCAN_AT("front", text)
#define SCAN_NEXT_DAY(text)                                                                                            \
    {                                                                                                                  \
        "scan", "front", "", "{\"text\":\"" text "\",\"source\":\"typed\"}", NULL, true                                \
    }
#define CARD(word)                                                                                                     \
    {                                                                                                                  \
        "scan", "front", "", "{\"bytes\":\"<" word "!>\",\"source\":\"scanner\"}", NULL, false                         \
    }
#define PRESS_AT(where, word)                                                                                          \
    {                                                                                                                  \
        "press", where, "", "{\"word\":\"" word "\"}", NULL, false                                                     \
    }
#define PRESS(word) PRESS_AT("front", word)
#define MARK(what, number, state)                                                                                      \
    {                                                                                                                  \
        "print-mark", "", "", "{" what ",\"number\":" number ",\"state\":\"" state "\"}", NULL, false                  \
    }
#define PRINTED(what, number) MARK(what, number, "sent"), MARK(what, number, "printed")
#define ITEM(code, letter, name, more)                                                                                 \
    DO("item-entry", "<H1>", "{\"code\":\"" code "\",\"letter\":\"" letter "\",\"name\":\"" name "\"" more "}")
#define TAKE_ON(item, place, more) DO("take-on", "<H1>", "{\"item\":\"" item "\",\"place\":\"" place "\"" more "}")
#define LABELLED                   ",\"labelled\":true"
#define RESIN(lot, expires)        ",\"lot\":\"" lot "\",\"expires\":\"" expires "\",\"amount_ml\":1000" LABELLED
/* Out to a printer and back, by scans; nobody knows what the job will need: eleven acts. */
#define LENT(where, person, vat, cartridge, printer, film, shelf)                                                      \
    SCAN_AT(where, person), SCAN_AT(where, vat), SCAN_AT(where, cartridge), SCAN_AT(where, printer),                   \
        PRESS_AT(where, "UNKNOWN"), SCAN_AT(where, vat), SCAN_AT(where, person), PRESS_AT(where, film),                \
        SCAN_AT(where, cartridge), PRESS_AT(where, "350ML"), SCAN_AT(where, shelf)

const struct day_act act_run_day[] = {
    /* the room */
    REFUSED("person-entry", "", "{\"name\":\"Tobias\",\"role\":\"technician\"}", "no storekeeper yet"),
    DO("enrol", "", "{\"name\":\"Maren\"}"),
    DO("person-entry", "<H1>", "{\"name\":\"Tobias\",\"role\":\"technician\",\"training\":[\"pour\",\"retire\"]}"),
    REFUSED("person-entry", "<H2>", "{\"name\":\"Ines\",\"role\":\"receiver\"}", "a storekeeper enters"),
    DO("person-entry", "<H1>", "{\"name\":\"Ines\",\"role\":\"receiver\"}"),
    DO("person-entry", "<H1>", "{\"name\":\"Jarl\",\"role\":\"technician\",\"training\":[\"pour\"]}"),
    DO("printer-entry", "<H1>", "{\"code\":\"CAPSTAN\",\"name\":\"Capstan\",\"slots\":1}"),
    DO("printer-entry", "<H1>", "{\"code\":\"SEXTANT\",\"name\":\"Sextant\",\"slots\":2}"),
    DO("printer-entry", "<H1>", "{\"code\":\"HALYARD\",\"name\":\"Halyard\",\"slots\":1}"),
    DO("place-entry", "<H1>", "{\"code\":\"A01\",\"kind\":\"shelf\",\"name\":\"cartridges\",\"label\":true}"),
    DO("place-entry", "<H1>", "{\"code\":\"A02\",\"kind\":\"shelf\"}"),
    DO("place-entry", "<H1>", "{\"code\":\"B01\",\"kind\":\"shelf\",\"name\":\"vat cases\"}"),
    DO("place-entry", "<H1>", "{\"code\":\"B02\",\"kind\":\"shelf\"}"),
    DO("place-entry", "<H1>", "{\"code\":\"DESK\",\"kind\":\"counter\"}"),
    DO("place-entry", "<H1>", "{\"code\":\"CAPSTAN-1\",\"kind\":\"slot\",\"printer\":\"CAPSTAN\"}"),
    REFUSED("place-entry", "<H1>", "{\"code\":\"HALYARD-1\",\"kind\":\"slot\"}", "a slot names a printer"),
    ITEM("FLINT", "C", "Flint cartridge",
         ",\"resin\":\"Flint\",\"revision\":\"2\",\"gtin\":\"09506000135007\",\"content_ml\":1000,\"density_g_ml\":1."
         "12"),
    ITEM("FLINT3", "C", "Flint cartridge, new", ",\"resin\":\"Flint\",\"revision\":\"3\",\"content_ml\":1000"),
    ITEM("OAK", "C", "Oak cartridge",
         ",\"resin\":\"Oak\",\"revision\":\"1\",\"maker_code\":\"OAK-1000\",\"minimum_days\":90"),
    ITEM("CHALK", "C", "Chalk cartridge", ",\"resin\":\"Chalk\",\"revision\":\"1\",\"fits\":\"SEXTANT HALYARD\""),
    ITEM("VAT-S", "V", "Small vat", ",\"fits\":\"CAPSTAN HALYARD\",\"life_hours\":500"),
    ITEM("VAT-L", "V", "Large vat", ",\"fits\":\"SEXTANT\",\"life_hours\":400"),
    ITEM("PLATE", "P", "Build platform", ""), ITEM("WASTE", "W", "Waste container", ""),
    REFUSED("item-entry", "<H1>", "{\"code\":\"KELP\",\"letter\":\"C\",\"name\":\"Kelp\",\"gtin\":\"09506000135007\"}",
            "belongs to item FLINT already"),
    /* what stands there */
    TAKE_ON("FLINT", "A01", RESIN("FL-1", "2026-10-28")), TAKE_ON("FLINT", "A01", RESIN("FL-1", "2026-10-28")),
    TAKE_ON("FLINT", "A01", RESIN("FL-0", "2026-03-01")), /* expired yesterday */
    TAKE_ON("FLINT3", "A01", RESIN("FN-1", "2026-10-28")), TAKE_ON("OAK", "A01", RESIN("OK-1", "2026-10-28")),
    TAKE_ON("CHALK", "A01", RESIN("CH-1", "2026-10-28")),
    TAKE_ON("VAT-S", "B01",
            ",\"resin\":\"FLINT\",\"lot\":\"VT-1\",\"amount_ml\":400,\"expires\":\"2026-09-18\",\"filled\":"
            "\"2026-02-20\",\"film\":\"clear\",\"hours\":10.5" LABELLED),
    TAKE_ON("VAT-S", "B01", LABELLED), TAKE_ON("VAT-L", "B01", ",\"hours\":40" LABELLED),
    TAKE_ON("VAT-S", "B01", ",\"resin\":\"OAK\",\"lot\":\"VT-2\",\"amount_ml\":380,\"film\":\"fogged\"" LABELLED),
    TAKE_ON("PLATE", "B02", ""), TAKE_ON("WASTE", "B02", LABELLED),
    REFUSED("take-on", "<H1>", "{\"item\":\"FLINT\",\"place\":\"Z9\"}", "place 'Z9' is not known here"),
    /* labels come out and are scanned back */
    PRINTED("\"unit\":\"<P1>\"", "1"), SCAN("<P1>"), SCAN("<H1>"), SCAN("B02"),
    PRINTED("\"unit\":\"<H2>\",\"device\":\"label-desk\",\"device_job\":7", "1"), SCAN("<H2>"),
    PRINTED("\"place\":\"A01\"", "1"), SCAN("A01"), MARK("\"unit\":\"<H3>\"", "1", "sent"),
    MARK("\"unit\":\"<H3>\",\"note\":\"The power went: is the badge of Ines on the counter?\"", "1", "unknown"),
    SCAN("<H3>"), DO("clock-confirm", "<H1>", "{}"), DO("pin-tried", "", "{\"person\":\"<H1>\"}"),
    DO("print-calibration", "<H1>", "{}"),
    /* out and back by scans, in several orders */
    SCAN("<C1>"), SCAN("<H2>"), SCAN("<C5>"), PRESS("NO"), SCAN("<V1>"), SCAN("<C1>"), SCAN("CAPSTAN"),
    PRESS("UNKNOWN"), SCAN("<V1>"), SCAN("<H2>"), PRESS("FILM-FOGGED"), PRESS("380ML"), PRESS("3H"), SCAN("B01"),
    SCAN("<C1>"), SCAN("<H4>"), CARD("UNKNOWN"), SCAN("A01"), SCAN("<H2>"), PRESS("UNDO"), PRESS("YES"),
    /* by scripts */
    DO("check-in", "<H2>", "{\"units\":[{\"unit\":\"<C1>\",\"amount_ml\":600}],\"place\":\"A01\"}"),
    DO("check-out", "<H2>", "{\"units\":[\"<C3>\"],\"printer\":\"SEXTANT\"}"), /* expired: stop */
    DO("check-out", "<H2>", "{\"units\":[\"<C3>\"],\"printer\":\"SEXTANT\",\"taken\":true}"),
    DO("settle", "<H1>", "{\"question\":<Q>,\"how\":\"Tobias had asked by telephone\"}"),
    REFUSED("settle", "<H1>", "{\"question\":1,\"how\":\"no\"}", "question 1 is not open"),
    DO("check-in", "<H2>", "{\"units\":[{\"unit\":\"<C3>\",\"amount_unknown\":true}],\"place\":\"A02\"}"),
    DO("check-out", "<H4>",
       "{\"units\":[\"<V4>\"],\"printer\":\"HALYARD\",\"need_ml\":120.5,\"ends\":\"2026-03-04\",\"confirm\":true}"),
    REFUSED("check-out", "<H4>", "{\"units\":[\"<C1>\",\"<C1>\"],\"printer\":\"HALYARD\"}", "twice"),
    DO("check-in", "<H4>",
       "{\"units\":[{\"unit\":\"<V4>\",\"film\":\"dented\",\"minutes\":95,\"amount_ml\":250}],\"place\":\"B02\"}"),
    REFUSED("release", "<H2>", "{\"unit\":\"<V4>\"}", "a storekeeper releases"),
    DO("release", "<H1>", "{\"unit\":\"<V4>\"}"), DO("hold", "<H4>", "{\"unit\":\"<C6>\",\"reason\":\"damaged\"}"),
    DO("put-away", "<H4>", "{\"unit\":\"<C6>\",\"place\":\"B01\"}"),
    REFUSED("put-away", "<H4>", "{\"unit\":\"<C6>\",\"place\":\"CAPSTAN-1\"}", "is not a shelf"),
    /* lent to another room, for longer by scans and by a script, and back */
    DO("place-entry", "<H1>", "{\"code\":\"ANNEX\",\"kind\":\"room\",\"name\":\"the Annex\"}"), SCAN("<H2>"),
    SCAN("<C5>"), SCAN("ANNEX"), CARD("7D"), SCAN("<C5>"), CARD("14D"), SCAN("<H2>"),
    DO("lend", "<H1>", "{\"units\":[\"<C5>\"],\"place\":\"ANNEX\",\"days\":3}"),
    /* kept for a person by scans, for a job by a script, freed both ways */
    SCAN("<H2>"), SCAN("<C4>"), CARD("KEEP"), CARD("3D"), SCAN("<H4>"), SCAN("<C4>"), CARD("FREE"), PRESS("DONE"),
    DO("reserve", "<H1>", "{\"unit\":\"<C4>\",\"for\":\"KQ-1\",\"until\":\"2026-03-05\"}"),
    REFUSED("reserve", "<H2>", "{\"unit\":\"<C4>\",\"for\":\"KQ-2\"}", "free it first"),
    DO("unreserve", "<H2>", "{\"unit\":\"<C4>\"}"),
    REFUSED("lend", "<H3>", "{\"units\":[\"<C1>\"],\"place\":\"ANNEX\"}", "lends things to another room"),
    DO("check-in", "<H2>", "{\"units\":[{\"unit\":\"<C5>\"}],\"place\":\"A01\"}"), SCAN("<H2>"),
    DO("reprint", "<H1>", "{\"unit\":\"<C2>\"}"),
    REFUSED("reprint", "<H1>", "{\"unit\":\"<C2>\"}", "waits for the label printer"),
    DO("print-move", "<H1>", "{\"unit\":\"<C2>\"}"), DO("print-withdraw", "<H1>", "{\"unit\":\"<C2>\"}"),
    DO("undo", "<H1>", "{}"), DO("print-go", "<H1>", "{}"), PRINTED("\"unit\":\"<C2>\"", "2"), SCAN("<C2>"),
    PRESS("HOLD"), DO("release", "<H1>", "{\"unit\":\"<C2>\"}"), DO("undo", "<H1>", "{}"),
    DO("release", "<H1>", "{\"unit\":\"<C2>\"}"),
    /* on hold, and a storekeeper lets it go all the same */
    DO("check-out", "<H2>", "{\"units\":[\"<C6>\"],\"printer\":\"SEXTANT\",\"overrule\":true}"),
    DO("check-in", "<H2>", "{\"units\":[{\"unit\":\"<C6>\"}],\"place\":\"B01\"}"),
    /* resin is poured, by scans and by a script, taken back, weighed, cleaned out */
    SCAN("<H2>"), SCAN("<V2>"), SCAN("<C2>"), CARD("POUR"), CARD("250ML"),
    DO("pour", "<H2>", "{\"from\":\"<C1>\",\"to\":\"<V2>\",\"amount_ml\":100}"), DO("undo", "<H1>", "{}"),
    REFUSED("pour", "<H2>", "{\"from\":\"<C1>\",\"to\":\"<V2>\"}", "one of 'amount_ml'"),
    DO("amount", "<H2>", "{\"unit\":\"<C2>\",\"amount_ml\":700}"),
    DO("weigh", "<H2>", "{\"unit\":\"<C2>\",\"gross_g\":934.1,\"tare_g\":150}"),
    DO("clean", "<H2>", "{\"unit\":\"<V2>\",\"waste\":\"<W1>\"}"), DO("surface-renewed", "<H2>", "{\"unit\":\"<P1>\"}"),
    DO("relabel", "<H2>", "{\"unit\":\"<P1>\"}"), DO("relabel", "<H2>", "{\"unit\":\"<P1>\",\"confirm\":true}"),
    SCAN("<P1>"), DO("undo", "<H2>", "{}"),
    /* what has no label is looked for, and what was never booked is taken on */
    PRESS("LABEL-LOST"), SCAN("B02"), SCAN("PLATE"), PRESS("NO"), SCAN("<H1>"), PRESS("TAKE-ON"), SCAN("B02"),
    SCAN("WASTE"), PRESS("YES"), PRESS("DONE"), DO("retire", "<H2>", "{\"unit\":\"<P1>\",\"reason\":\"scratched\"}"),
    DO("dispose", "<H2>", "{\"unit\":\"<P1>\"}"),
    /* a script tells of a job; it fails, that is taken back, and it fails again */
    DO("check-out", "<H2>", "{\"units\":[\"<V1>\"],\"printer\":\"CAPSTAN\",\"confirm\":true}"),
    DO("job-start", "<H2>",
       "{\"printer\":\"CAPSTAN\",\"job\":\"KQ-1\",\"need_ml\":100,\"name\":\"Gear "
       "housing\",\"parts\":[{\"name\":\"Lid\","
       "\"width_mm\":40}]}"),
    DO("job-end", "<H2>", "{\"printer\":\"CAPSTAN\",\"how\":\"failed\",\"done_percent\":40}"), DO("undo", "<H1>", "{}"),
    DO("device-entry", "<H1>",
       "{\"name\":\"slicer\",\"token_sha256\":\"ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad\"}"),
    DO("device-revoke", "<H1>", "{\"name\":\"slicer\"}"),
    DO("job-end", "<H2>", "{\"job\":\"KQ-1\",\"how\":\"aborted\",\"used_ml\":35.5}"),
    DO("inspect", "<H2>", "{\"unit\":\"<V1>\",\"film\":\"clear\",\"mixer\":\"there\"}"),
    DO("check-in", "<H2>", "{\"units\":[{\"unit\":\"<V1>\"}],\"place\":\"B01\"}"),
    DO("pair", "<H2>", "{\"unit\":\"<V1>\"}"), DO("stir", "<H2>", "{\"unit\":\"<V1>\"}"),
    DO("life-shown", "<H2>", "{\"unit\":\"<V1>\",\"hours\":300}"), /* our books have more: a question */
    /* a job is planned, its ticket printed and scanned, its start taken back; it is dropped */
    DO("job-plan", "<H2>",
       "{\"job\":\"KQ-2\",\"printer\":\"CAPSTAN\",\"need_ml\":10,\"resin\":\"Flint\",\"name\":\"Mast "
       "cap\",\"print\":true}"),
    SCAN("<H2>"), SCAN("<C2>"), SCAN("KQ-2"), PRESS("UNDO"),
    DO("job-plan", "<H2>", "{\"job\":\"KQ-2\",\"printer\":\"SEXTANT\",\"need_ml\":20}"),
    DO("job-ticket", "<H2>", "{\"job\":\"KQ-2\"}"), DO("job-drop", "<H2>", "{\"job\":\"KQ-2\"}"),
    DO("undo", "<H2>", "{}"),
    /* the next day: a delivery, by the maker's code */
    SCAN_NEXT_DAY("(01)09506000135007(17)270215(10)FL-77"), PRESS("DELIVERY"), SCAN("<H3>"), PRESS("DELIVERY"),
    SCAN("(01)09506000135007(17)270215(10)FL-77"), AT("front", "press", "", "{\"word\":\"YES\",\"quantity\":3}"),
    PRINTED("\"unit\":\"<C7>\"", "1"), PRINTED("\"unit\":\"<C8>\"", "1"), PRINTED("\"unit\":\"<C9>\"", "1"),
    SCAN("<C7>"), SCAN("(01)09506000135007(17)270215(10)FL-77"), SCAN("<C8>"), SCAN("<C9>"), SCAN("<H3>"), SCAN("A02"),
    DO("delivery-close", "<H3>", "{\"delivery\":\"<D>\"}"),
    REFUSED("receive", "<H3>", "{\"delivery\":\"<D>\",\"item\":\"OAK\",\"quantity\":1}", "is not open"),
    DO("delivery-open", "<H1>", "{\"supplier\":\"North Resins\",\"note\":\"The driver left it at the door\"}"),
    AT("back", "delivery-resume", "<H3>", "{\"delivery\":\"<D>\"}"),
    AT("back", "receive", "<H3>",
       "{\"delivery\":\"<D>\",\"item\":\"OAK\",\"lot\":\"OK-2\",\"expires\":\"2026-12-24\",\"quantity\":2,\"hold\":"
       "\"carton-wet\"}"),
    SCAN("<H3>"), SCAN("(01)09506000135069(17)261231(10)RW-1"), CARD("YES"), /* not in the catalogue yet */
    DO("item-entry", "<H1>", "{\"code\":\"NEW-1\",\"letter\":\"C\",\"name\":\"Rowan cartridge\",\"resin\":\"Rowan\"}"),
    DO("undo", "<H1>", "{\"act\":\"<BACK5>\"}"), /* the two of Oak */
    AT("back", "delivery-close", "<H1>", "{\"delivery\":\"<D>\"}"), AT("back", "prove", "<H1>", "{\"unit\":\"<C12>\"}"),
    /* what says nothing, and what changed meanwhile */
    AT("front", "scan", "", "{\"bytes\":\"<YES!>\",\"source\":\"picture\"}"),
    REFUSED("put-away", "<H1>", "{\"unit\":\"<C1>\",\"place\":\"A02\",\"seen\":{\"<C1>\":1}}", "changed since you saw"),
    REFUSED("person-entry", "<H1>", "{\"name\":\"Maren\",\"role\":\"technician\",\"serial\":\"<H1>\"}",
            "is the last storekeeper"),
    ITEM("FLINT", "C", "Flint cartridge",
         ",\"resin\":\"Flint\",\"revision\":\"2\",\"gtin\":\"09506000135007\",\"minimum_days\":60"),
    DO("sticker-entry", "<H1>",
       "{\"supplier\":\"North Resins\",\"example\":\"LOT "
       "OK-3\",\"parts\":[{\"part\":\"lot\",\"start\":4,\"length\":4}]}"),
    DO("sticker-forget", "<H1>", "{\"sticker\":\"<K>\"}"),
    DO("substitution-entry", "<H1>", "{\"resin\":\"Flint\",\"wanted\":\"2\",\"given\":\"3\",\"until\":\"2026-12-31\"}"),
    DO("substitution-end", "<H1>", "{\"resin\":\"Flint\",\"wanted\":\"2\",\"given\":\"3\"}"),
    DO("calibrate", "<H1>", "{\"printer\":\"label-desk\",\"dpi\":203,\"module_dots\":4}"),
    DO("label-look", "<H1>",
       "{\"source\":\"desk-camera\",\"looks\":[{\"unit\":\"<C2>\",\"pixels\":8000,\"modulation\":700}]}"),
    DO("label-baseline", "<H1>", "{\"printer\":\"label-desk\"}"),
    /* and much lending */
    LENT("front", "<H2>", "<V2>", "<C1>", "CAPSTAN", "FILM-CLEAR", "A01"),
    LENT("back", "<H4>", "<V3>", "<C2>", "SEXTANT", "FILM-CLEAR", "A02"),
    LENT("front", "<H4>", "<V2>", "<C7>", "HALYARD", "FILM-CLEAR", "B01"),
    LENT("back", "<H2>", "<V3>", "<C8>", "SEXTANT", "UNKNOWN", "B02"), DO("pin-issue", "<H1>", "{\"person\":\"<H1>\"}"),
    SCAN("<H4>"), SCAN("<V2>"), SCAN("CAPSTAN"), PRESS("UNKNOWN"), SCAN("<V2>"), SCAN("<H4>"), PRESS("FILM-BITS"),
    SCAN("B01"), LENT("back", "<H2>", "<V3>", "<C9>", "SEXTANT", "FILM-CLEAR", "A02"),
    DO("name-erase", "<H1>", "{\"person\":\"<H3>\"}"), /* has left; no act beside it names her */
};

_Static_assert(sizeof act_run_day / sizeof *act_run_day == ACT_RUN_LENGTH,
               "the day has as many acts as act_run.h says");
