#include "kiosk/desk/stock_list/stock_list.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

#include "kiosk/ledger/act_row.h"
#include "tests/desk/room.h"

/* Plans of stock lists over the small room, and the acts they make. What spreadsheets look like: common practice, no
 * source; the files are those of fixtures/stock-lists. */

enum { FILE_MOST = 65536 };

/* ---- making plans ---- */

static json_t *plan_of(struct room *room, const char *bytes, size_t length, const char *answers)
{
    json_error_t error;
    json_t *said = json_loads(answers ? answers : "{}", 0, &error), *plan = NULL;
    struct fault fault = {0};
    const int64_t before = room_seq(room);
    if (!said)
        fail_msg("the test's answers: %s", error.text);
    assert_true(ledger_begin(room->reader, &fault));
    if (!stock_list_plan(room->reader, (struct span){bytes, length}, said, (struct day){(int32_t)room_today(room)},
                         &plan, &fault))
        fail_msg("%s", fault.text);
    ledger_rollback(room->reader);
    json_decref(said);
    assert_int_equal(room_seq(room), before); /* nothing is booked by looking */
    return plan;
}

static json_t *plan_text(struct room *room, const char *text, const char *answers)
{
    return plan_of(room, text, strlen(text), answers);
}

static json_t *plan_file(struct room *room, const char *name, const char *answers)
{
    char path[512];
    static char bytes[FILE_MOST];
    (void)snprintf(path, sizeof path, "%s/stock-lists/%s", FIXTURES, name);
    FILE *file = fopen(path, "rb");
    if (!file)
        fail_msg("%s is not there", path);
    const size_t length = fread(bytes, 1, sizeof bytes, file);
    (void)fclose(file);
    return plan_of(room, bytes, length, answers);
}

static void refuses(struct room *room, const char *text, const char *answers, const char *says)
{
    json_t *said = json_loads(answers, 0, NULL), *plan = NULL;
    struct fault fault = {0};
    assert_true(ledger_begin(room->reader, NULL));
    assert_false(
        stock_list_plan(room->reader, span_of(text), said, (struct day){(int32_t)room_today(room)}, &plan, &fault));
    ledger_rollback(room->reader);
    assert_int_equal(fault.code, FAULT_INPUT);
    if (!strstr(fault.text, says))
        fail_msg("'%s' does not say '%s'", fault.text, says);
    assert_null(plan);
    json_decref(said);
}

/* ---- looking at them ---- */

static const char *text_of(const json_t *object, const char *key)
{
    const char *text = json_string_value(json_object_get(object, key));
    return text ? text : "";
}

static json_int_t number_of(const json_t *object, const char *key)
{
    return json_integer_value(json_object_get(object, key));
}

/* The question with this id and, unless NULL, field or text. */
static json_t *question_of(json_t *plan, const char *id, const char *field)
{
    json_t *question;
    size_t i;
    json_array_foreach(json_object_get(plan, "questions"), i, question)
    {
        if (strcmp(text_of(question, "id"), id) == 0 && (!field || strcmp(text_of(question, "field"), field) == 0))
            return question;
    }
    return NULL;
}

static json_t *line_of(json_t *plan, int number)
{
    json_t *line;
    size_t i;
    json_array_foreach(json_object_get(plan, "lines"), i, line)
    {
        if (number_of(line, "line") == number)
            return line;
    }
    fail_msg("no line %d", number);
    return NULL;
}

static void expect_line(json_t *plan, int number, const char *state, const char *content_json)
{
    json_t *line = line_of(plan, number), *wanted = json_loads(content_json, 0, NULL);
    char *shown = json_dumps(line, JSON_COMPACT);
    if (strcmp(text_of(line, "state"), state) != 0 || !json_equal(json_object_get(line, "content"), wanted))
        fail_msg("line %d: %s", number, shown);
    free(shown);
    json_decref(wanted);
}

static void expect_fault(json_t *plan, int number, const char *heading, const char *says)
{
    const json_t *line = line_of(plan, number), *fault = json_object_get(line, "fault");
    if (strcmp(text_of(line, "state"), "fault") != 0 || strcmp(text_of(fault, "heading"), heading) != 0 ||
        !strstr(text_of(fault, "sentence"), says))
        fail_msg("line %d: %s, column '%s', '%s'", number, text_of(line, "state"), text_of(fault, "heading"),
                 text_of(fault, "sentence"));
}

static bool has_notice(const json_t *line, const char *says)
{
    json_t *notice;
    size_t i;
    json_array_foreach(json_object_get(line, "notices"), i, notice)
    {
        if (strstr(json_string_value(notice), says))
            return true;
    }
    return false;
}

static bool is_ready(const json_t *plan)
{
    const bool ready = json_is_true(json_object_get(plan, "ready"));
    assert_true(ready == (json_array_size(json_object_get(plan, "acts")) > 0));
    return ready;
}

/* ---- booking them ---- */

struct booked {
    int taken, repeated, refused;
};

static struct booked book(struct room *room, json_t *plan, size_t from, size_t most)
{
    struct booked booked = {0};
    struct writer_counts before, after;
    json_t *planned = json_object_get(plan, "acts");
    writer_read_counts(room->writer, &before);
    for (size_t i = from; i < json_array_size(planned) && i < from + most; i++) {
        const json_t *row = json_array_get(planned, i);
        struct act act = {.kind = "take-on", .version = STOCK_LIST_ACT_VERSION};
        struct fault fault = {0};
        json_t *answer = NULL;
        (void)snprintf(act.id, sizeof act.id, "%s", text_of(row, "id"));
        (void)snprintf(act.person, sizeof act.person, "%s", room->maren);
        act.content = json_deep_copy(json_object_get(row, "content"));
        if (!writer_run(room->writer, &act, &answer, &fault))
            booked.refused++;
        else
            booked.taken++;
        json_decref(answer);
    }
    writer_read_counts(room->writer, &after);
    booked.repeated = (int)(after.repeated - before.repeated);
    booked.taken -= booked.repeated;
    return booked;
}

struct counting {
    int units, labelled;
    int64_t amount_ul;
};

static bool count_unit(const struct unit *unit, void *context)
{
    struct counting *counting = context;
    counting->units++;
    counting->labelled += unit->labelled;
    if (unit->amount_ul != MOVEMENT_NULL)
        counting->amount_ul += unit->amount_ul;
    return true;
}

static struct counting units_of(struct room *room)
{
    struct counting counting = {0};
    struct fault fault = {0};
    if (!unit_each(room->reader, UNIT_BY_ALL, "", "", INT64_MAX, count_unit, &counting, &fault))
        fail_msg("%s", fault.text);
    return counting;
}

/* ---- flavours of spreadsheets ---- */

static void an_english_sheet_with_iso_dates_asks_nothing(void **state)
{
    struct room *room = *state;
    json_t *plan = plan_file(room, "english-comma.csv", "{\"again\":\"others\"}");
    expect_line(
        plan, 2, "take-on",
        "{\"item\":\"FLINT\",\"lot\":\"FL-2207\",\"expires\":\"2027-08-31\",\"amount_ml\":1000,\"place\":\"A01\"}");
    expect_line(plan, 3, "take-on",
                "{\"item\":\"OAK\",\"lot\":\"OK-0931\",\"expires\":\"2027-11-30\",\"amount_ml\":1000,\"place\":\"A02\","
                "\"note\":\"opened by mistake, closed again\"}");
    expect_line(plan, 4, "take-on",
                "{\"item\":\"CHALK\",\"lot\":\"CH-0077\",\"expires\":\"2028-01-31\",\"place\":\"A02\",\"note\":\"label "
                "torn see the box\"}"); /* empty content is unknown, not 0; the cell's own line end is a blank */
    assert_true(json_is_true(json_object_get(line_of(plan, 4), "month_only")));
    assert_true(has_notice(line_of(plan, 4), "the month's last day counts"));
    expect_line(plan, 6, "take-on", "{\"item\":\"VAT-S\",\"place\":\"B01\"}"); /* by GTIN; ?, -, unknown, n/a */
    assert_int_equal(number_of(plan, "units"), 7);
    assert_true(is_ready(plan));
    json_decref(plan);
}

static void a_german_sheet_is_asked_for_its_letters_and_its_dates(void **state)
{
    struct room *room = *state;
    json_t *plan = plan_file(room, "deutsch-semikolon.csv", NULL);
    assert_non_null(question_of(plan, "encoding", NULL));
    assert_int_equal(number_of(plan, "open"), 1);
    assert_false(is_ready(plan));
    json_decref(plan);
    plan = plan_file(room, "deutsch-semikolon.csv", "{\"encoding\":\"windows-1252\",\"again\":\"others\"}");
    const json_t *dates = question_of(plan, "dates", "expires");
    assert_non_null(strstr(text_of(dates, "sentence"), "Only one order reads them all"));
    assert_non_null(question_of(plan, "dates", "filled"));
    assert_int_equal(number_of(plan, "open"), 2);
    assert_false(is_ready(plan));
    json_decref(plan);
    plan = plan_file(room, "deutsch-semikolon.csv",
                     "{\"encoding\":\"windows-1252\",\"dates\":\"dmy\",\"again\":\"others\"}");
    expect_line(plan, 3, "take-on",
                "{\"item\":\"OAK\",\"lot\":\"OK-0931\",\"expires\":\"2027-11-30\",\"amount_ml\":640,\"place\":\"A02\","
                "\"note\":\"angebrochen, f\\u00fcr Pr\\u00fcfst\\u00fccke\"}");
    expect_line(plan, 4, "take-on",
                "{\"item\":\"VAT-S\",\"resin\":\"FLINT\",\"lot\":\"FL-2207\",\"expires\":\"2027-08-31\",\"filled\":"
                "\"2026-02-09\",\"amount_ml\":412.5,\"minutes\":8310,\"film\":\"clear\",\"place\":\"B01\",\"note\":"
                "\"Wanne mit gr\\u00fcnem Griff\"}");
    expect_line(plan, 5, "take-on", "{\"item\":\"VAT-S\",\"film\":\"fogged\",\"place\":\"B01\"}");
    assert_true(is_ready(plan));
    json_decref(plan);
}

static void other_flavours_read_the_same_units(void **state)
{
    static const struct {
        const char *name, *answers;
        int line;
    } cases[] = {
        {"francais-utf16.csv", "{\"dates\":\"dmy\"}", 2},
        {"espanol-sep.csv", "{\"dates\":\"dmy\"}", 3},
        {"italiano.csv", "{\"dates\":\"dmy\",\"encoding\":\"iso-8859-15\",\"decimal\":\"comma\"}", 2},
        {"nederlands.csv", "{\"dates\":{\"expires\":\"dmy\"},\"decimal\":{\"amount\":\"comma\"}}", 2},
    };
    struct room *room = *state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        json_t *plan = plan_file(room, cases[i].name, cases[i].answers);
        json_t *content = json_object_get(line_of(plan, cases[i].line), "content");
        assert_true(is_ready(plan));
        json_object_del(content, "note");
        expect_line(plan, cases[i].line, "take-on",
                    "{\"item\":\"FLINT\",\"lot\":\"FL-2207\",\"expires\":\"2027-08-31\",\"amount_ml\":1000,\"place\":"
                    "\"A01\"}");
        json_decref(plan);
    }
}

/* ---- questions ---- */

static void what_may_be_read_in_two_ways_is_asked_and_never_guessed(void **state)
{
    static const char text[] = "Item;Lot;Use by;Content;Shelf\n"
                               "FLINT;A;03.04.2027;1.000;A01\n"
                               "FLINT;B;2027-05-06;0,5 l;A01\n";
    struct room *room = *state;
    json_t *plan = plan_text(room, text, NULL);
    assert_non_null(question_of(plan, "dates", "expires"));
    assert_non_null(strstr(text_of(question_of(plan, "decimal", "amount"), "sentence"), "The column also has '0,5 l'"));
    assert_non_null(question_of(plan, "unit", "amount"));
    expect_line(plan, 2, "open", "{\"item\":\"FLINT\",\"lot\":\"A\",\"place\":\"A01\"}");
    expect_line(plan, 3, "take-on",
                "{\"item\":\"FLINT\",\"lot\":\"B\",\"expires\":\"2027-05-06\",\"amount_ml\":500,\"place\":\"A01\"}");
    assert_int_equal(number_of(plan, "open"), 3);
    assert_false(is_ready(plan));
    json_decref(plan);
    static const struct {
        const char *answers, *content;
    } cases[] = {
        {"{\"dates\":\"dmy\",\"decimal\":\"comma\",\"unit\":\"ml\"}",
         "{\"item\":\"FLINT\",\"lot\":\"A\",\"expires\":\"2027-04-03\",\"amount_ml\":1000,\"place\":\"A01\"}"},
        {"{\"dates\":\"mdy\",\"decimal\":\"comma\",\"unit\":\"ml\"}",
         "{\"item\":\"FLINT\",\"lot\":\"A\",\"expires\":\"2027-03-04\",\"amount_ml\":1000,\"place\":\"A01\"}"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        plan = plan_text(room, text, cases[i].answers);
        expect_line(plan, 2, "take-on", cases[i].content);
        assert_true(is_ready(plan));
        json_decref(plan);
    }
    plan = plan_text(room, text, "{\"dates\":\"dmy\",\"decimal\":\"point\",\"unit\":\"l\"}");
    expect_line(plan, 2, "take-on",
                "{\"item\":\"FLINT\",\"lot\":\"A\",\"expires\":\"2027-04-03\",\"amount_ml\":1000,\"place\":\"A01\"}");
    expect_fault(plan, 3, "Content", "'0,5 l' is not a number"); /* contradicts the answer */
    assert_false(is_ready(plan));
    json_decref(plan);
}

static void unknown_items_places_and_words_are_listed_once_each(void **state)
{
    static const char text[] = "Item;Shelf;Film;Kind\n"
                               "Grey stuff;Regal 3;;Kartusche\n"
                               "Grey stuff;A01;;thing\n"
                               "VAT-S;B01;milky;Wanne\n"
                               "VAT-S;;klar;\n";
    struct room *room = *state;
    json_t *plan = plan_text(room, text, NULL);
    const json_t *item = question_of(plan, "word", "item"), *place = question_of(plan, "word", "place");
    assert_string_equal(text_of(item, "text"), "Grey stuff");
    assert_int_equal(number_of(item, "lines"), 2);
    assert_non_null(strstr(text_of(item, "sentence"), "(lines 2, 3) is no item of this room"));
    assert_string_equal(text_of(place, "suggest"), "REGAL-3");
    assert_non_null(question_of(plan, "word", "film"));
    assert_non_null(question_of(plan, "word", "kind"));
    assert_non_null(question_of(plan, "place", NULL));
    assert_int_equal(number_of(plan, "open"), 5);
    json_decref(plan);
    plan = plan_text(room, text,
                     "{\"words\":{\"item\":{\"Grey stuff\":\"FLINT\"},\"place\":{\"Regal 3\":\"A02\"},"
                     "\"film\":{\"milky\":\"fogged\"},\"kind\":{\"thing\":null}},\"place\":\"B01\"}");
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"place\":\"A02\"}");
    expect_line(plan, 3, "take-on", "{\"item\":\"FLINT\",\"place\":\"A01\"}");
    expect_line(plan, 4, "take-on", "{\"item\":\"VAT-S\",\"film\":\"fogged\",\"place\":\"B01\"}");
    expect_line(plan, 5, "take-on", "{\"item\":\"VAT-S\",\"film\":\"clear\",\"place\":\"B01\"}");
    json_decref(plan);
    plan = plan_text(room, text,
                     "{\"words\":{\"item\":{\"Grey stuff\":null},\"film\":{\"milky\":null}},\"place\":\"B01\"}");
    assert_string_equal(text_of(line_of(plan, 2), "state"), "left-out");
    expect_line(plan, 4, "take-on", "{\"item\":\"VAT-S\",\"place\":\"B01\"}");
    json_decref(plan);
    (void)room_act(room, "place-entry", json_pack("{s:s,s:s}", "code", "REGAL-3", "kind", "shelf"));
    plan = plan_text(room, text, NULL);
    assert_null(question_of(plan, "word", "place")); /* "Regal 3" is REGAL-3 */
    json_decref(plan);
}

static void two_columns_of_one_meaning_are_never_chosen_between(void **state)
{
    static const char text[] = "Item;Expiry;Use by;Shelf\nFLINT;2027-01-31;2027-02-28;A01\n";
    struct room *room = *state;
    json_t *plan = plan_text(room, text, NULL);
    const json_t *question = question_of(plan, "column", "expires");
    assert_int_equal(json_array_size(json_object_get(question, "choices")), 2);
    assert_string_equal(text_of(line_of(plan, 2), "state"), "open");
    assert_false(is_ready(plan));
    json_decref(plan);
    plan = plan_text(room, text, "{\"columns\":{\"expires\":3}}");
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"expires\":\"2027-02-28\",\"place\":\"A01\"}");
    json_decref(plan);
    plan = plan_text(room, text, "{\"columns\":{\"expires\":\"expiry\"}}");
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"expires\":\"2027-01-31\",\"place\":\"A01\"}");
    json_decref(plan);
    plan = plan_text(room, text, "{\"columns\":{\"expires\":null}}");
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"place\":\"A01\"}");
    json_decref(plan);
    plan = plan_text(room, "Thing;Where\nFLINT;A01\n", NULL);
    assert_non_null(question_of(plan, "column", "item"));
    assert_false(is_ready(plan));
    json_decref(plan);
    plan = plan_text(room, "Thing;Where\nFLINT;A01\n", "{\"columns\":{\"item\":\"Thing\",\"place\":\"Where\"}}");
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"place\":\"A01\"}");
    json_decref(plan);
}

static void answers_that_make_no_sense_are_refused(void **state)
{
    static const char text[] = "Item;Lot;Lot\nFLINT;A;B\n";
    static const struct {
        const char *answers, *says;
    } cases[] = {
        {"{\"order\":\"dmy\"}", "'order' is not known here"},
        {"{\"dates\":\"dym\"}", "'dates' is 'dym', not one of ymd, dmy, mdy"},
        {"{\"dates\":{\"expires\":1}}", "'dates' of expires is not one of"},
        {"{\"dates\":{\"price\":\"dmy\"}}", "names the field 'price', which is not known"},
        {"{\"dates\":3}", "'dates' is neither a word nor an object"},
        {"{\"decimal\":\"dot\"}", "'decimal' is 'dot', not one of comma, point"},
        {"{\"columns\":{\"lot\":\"Charge\"}}", "no column is called 'Charge'"},
        {"{\"columns\":{\"lot\":\"Lot\"}}", "two columns are called 'Lot'"},
        {"{\"columns\":{\"lot\":9}}", "names column 9, but there are 3"},
        {"{\"columns\":{\"lot\":2,\"note\":2}}", "cannot be both lot and note"},
        {"{\"columns\":[]}", "'columns' is not an object"},
        {"{\"columns\":{\"lot\":true}}", "neither a heading, a number nor null"},
        {"{\"words\":{\"lot\":{}}}", "only item, resin, place, kind and film"},
        {"{\"words\":{\"item\":{\"a\":3}}}", "is mapped to neither a code nor null"},
        {"{\"words\":3}", "'words' is not an object"},
        {"{\"headings\":7}", "line 7, which was said to hold the headings"},
        {"{\"again\":\"perhaps\"}", "'again' is 'perhaps', not one of"},
        {"{\"unit\":\"g\"}", "'unit' is 'g', not one of"},
        {"{\"separator\":\"dash\"}", "'separator' is 'dash', not one of"},
    };
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        refuses(*state, text, cases[i].answers, cases[i].says);
}

/* ---- faults ---- */

static void every_fault_names_its_line_and_column(void **state)
{
    static const struct {
        int line;
        const char *heading, *says;
    } cases[] = {
        {2, "Use by", "'31.02.2027' has day 31, but 2027-02 has days 1 to 28"},
        {3, "Lot", "'lot' may hold only"},
        {4, "Use by", "is a spreadsheet's own day number"},
        {5, "Use by", "is not a date in digits"},
        {6, "Lot", "the spreadsheet has shortened '1,23E+11'"},
        {7, "Use by", "write the year with four digits"},
        {8, "Use by", "more than 30 years from now"},
        {9, "Content", "'500 g' is a weight"},
        {10, "Content", "'much' is not a number"},
        {11, "Content", "more than a full FLINT holds (1000 ml)"},
        {12, "Qty", "does not say how many"},
        {13, "Qty", "is not a whole number of pieces"},
        {14, "Qty", "more than 500"},
        {15, "Hours", "says nothing of item FLINT"},
        {16, "Film", "says nothing of item FLINT"},
        {17, "Resin", "'Oak' is not the resin of item FLINT"},
        {18, "Hours", "is not hours and minutes"},
        {19, "Resin", "which is not said: say the resin"},
        {20, "Item", "does not say what it is"},
        {21, "", "the line has 5 cells, the headings have 9"},
        {22, "", "more cells than the 9 headings"},
        {23, "Lot", "is the spreadsheet's own error"},
    };
    struct room *room = *state;
    json_t *plan = plan_file(room, "faults.csv", "{\"dates\":\"dmy\"}");
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        expect_fault(plan, cases[i].line, cases[i].heading, cases[i].says);
    assert_int_equal(number_of(plan, "faults"), sizeof cases / sizeof *cases);
    assert_string_equal(text_of(line_of(plan, 24), "state"), "nothing"); /* 0 pieces */
    assert_int_equal(number_of(plan, "units"), 2);
    assert_false(is_ready(plan)); /* books only when the person says so */
    json_decref(plan);
    plan = plan_file(room, "faults.csv", "{\"dates\":\"dmy\",\"leave_out\":21}");
    assert_false(is_ready(plan)); /* said of another state of the file */
    json_decref(plan);
    plan = plan_file(room, "faults.csv", "{\"dates\":\"dmy\",\"leave_out\":22}");
    assert_true(is_ready(plan));
    const struct booked booked = book(room, plan, 0, SIZE_MAX);
    assert_int_equal(booked.taken, 2);
    json_decref(plan);
}

static void other_cells_contradict_each_other(void **state)
{
    struct room *room = *state;
    json_t *plan = plan_text(room,
                             "Item;Name;Kind;Shelf;Filled;Received;Note;Old no.;Printer\n"
                             "FLINT;Oak cartridge;;A01;;;;;\n"
                             "FLINT;;vat;A01;;;;;\n"
                             "FLINT;;;CAPSTAN-1;;;;;\n"
                             "VAT-S;;;B01;2027-01-01;;;;\n"
                             "VAT-S;;;B01;2026-01;;;;\n"
                             "FLINT;;;A01;;2026-01-05;from the old shelf;4711;Capstan\n",
                             NULL);
    expect_fault(plan, 2, "Name", "'Oak cartridge' is OAK, but another cell of the line says FLINT");
    expect_fault(plan, 3, "Kind", "'vat' is not what item FLINT is");
    expect_fault(plan, 4, "", "is a slot of a printer");
    expect_fault(plan, 5, "Filled", "has not come yet");
    expect_fault(plan, 6, "Filled", "says no day");
    expect_line(
        plan, 7, "take-on",
        "{\"item\":\"FLINT\",\"place\":\"A01\",\"note\":\"Old no.: 4711; received 2026-01-05; in printer Capstan; "
        "from the old shelf\"}");
    assert_true(has_notice(line_of(plan, 7), "check it out to that printer"));
    json_decref(plan);
    plan = plan_text(room,
                     "Item;Lot;Use by;Shelf\nFLINT;L-1;2027-01-31;A01\nFLINT;l-1;2027-02-28;A01\n"
                     "FLINT;FL-1;2026-01-31;A01\n",
                     NULL);
    assert_true(has_notice(line_of(plan, 3), "lot L-1 has use-by date 2027-01-31 in line 2"));
    assert_true(has_notice(line_of(plan, 4), "in the ledger: is one of them wrong?"));
    assert_true(has_notice(line_of(plan, 4), "its use-by date has passed"));
    json_decref(plan);
    plan = plan_text(room, "Item;Shelf;Content (g);Price\nFLINT;A01;1000;12,50\n", NULL);
    const json_t *column = json_array_get(json_object_get(plan, "columns"), 2);
    assert_true(json_is_null(json_object_get(column, "field")));
    assert_non_null(strstr(text_of(column, "why"), "kept by volume"));
    expect_line(plan, 2, "take-on", "{\"item\":\"FLINT\",\"place\":\"A01\"}"); /* unknown, not guessed, not 0 */
    json_decref(plan);
}

/* ---- booking ---- */

static void a_whole_room_is_taken_on_once_however_often_it_is_sent(void **state)
{
    struct room *room = *state;
    const struct counting before = units_of(room);
    json_t *plan = plan_file(room, "kestrel-320.csv", "{\"dates\":\"dmy\"}");
    assert_int_equal(number_of(plan, "units"), 320);
    assert_int_equal(json_array_size(json_object_get(plan, "acts")), 320);
    struct booked booked = book(room, plan, 0, 123); /* interrupted */
    assert_int_equal(booked.taken, 123);
    json_decref(plan);
    plan = plan_file(room, "kestrel-320.csv", "{\"dates\":\"dmy\"}");
    assert_int_equal(number_of(plan, "booked"), 123);
    assert_null(question_of(plan, "again", NULL)); /* its own units are no others */
    booked = book(room, plan, 0, SIZE_MAX);
    assert_int_equal(booked.taken, 197);
    assert_int_equal(booked.repeated, 123);
    booked = book(room, plan, 0, SIZE_MAX);
    assert_int_equal(booked.taken, 0);
    assert_int_equal(booked.repeated, 320);
    json_decref(plan);
    const struct counting after = units_of(room);
    assert_int_equal(after.units - before.units, 320);
    assert_int_equal(after.labelled, before.labelled); /* a label is ordered for each, none is proved */
    assert_int_equal(after.amount_ul - before.amount_ul, INT64_C(300000000) + INT64_C(8200000)); /* 300 l, 20 vats */
    plan = plan_file(room, "kestrel-320.csv", "{\"dates\":\"dmy\"}");
    assert_int_equal(number_of(plan, "booked"), 320);
    assert_non_null(strstr(text_of(plan, "sentence"), "Everything of this list is taken on: 320 units"));
    json_decref(plan);
}

static void the_same_line_with_other_values_is_a_conflict(void **state)
{
    static const char text[] = "Item;Use by;Shelf\nFLINT;03.04.2027;A01\n";
    struct room *room = *state;
    json_t *plan = plan_text(room, text, "{\"dates\":\"dmy\"}");
    assert_int_equal(book(room, plan, 0, SIZE_MAX).taken, 1);
    json_decref(plan);
    plan = plan_text(room, text, "{\"dates\":\"mdy\"}");
    assert_int_equal(number_of(plan, "booked"), 1);
    assert_int_equal(book(room, plan, 0, SIZE_MAX).refused, 1);
    json_decref(plan);
}

static void a_corrected_file_does_not_take_on_what_stands_here(void **state)
{
    static const char first[] = "Item;Lot;Use by;Qty;Shelf\nFLINT;L-1;2027-01-31;3;A01\nOAK;L-2;31.02.2027;2;A02\n";
    static const char corrected[] = "Item;Lot;Use by;Qty;Shelf\nFLINT;L-1;2027-01-31;4;A01\nOAK;L-2;2027-02-28;2;A02\n";
    struct room *room = *state;
    json_t *plan = plan_text(room, first, "{\"dates\":\"dmy\",\"leave_out\":1}");
    assert_int_equal(book(room, plan, 0, SIZE_MAX).taken, 3);
    json_decref(plan);
    plan = plan_text(room, corrected, NULL);
    assert_non_null(
        strstr(text_of(question_of(plan, "again", NULL), "sentence"), "3 units of this list look like ones"));
    assert_false(is_ready(plan));
    json_decref(plan);
    plan = plan_text(room, corrected, "{\"again\":\"others\"}");
    assert_int_equal(number_of(plan, "units"), 6);
    json_decref(plan);
    plan = plan_text(room, corrected, "{\"again\":\"same\"}");
    assert_int_equal(number_of(plan, "units"), 3);
    assert_int_equal(number_of(line_of(plan, 2), "here"), 3);
    assert_int_equal(book(room, plan, 0, 1).taken, 1); /* interrupted, and gone on with */
    json_decref(plan);
    plan = plan_text(room, corrected, "{\"again\":\"same\"}");
    assert_int_equal(number_of(plan, "units"), 3);
    assert_int_equal(book(room, plan, 0, SIZE_MAX).taken, 2);
    json_decref(plan);
}

#define IN_ROOM(test) cmocka_unit_test_setup_teardown(test, room_setup, room_teardown)

int main(void)
{
    const struct CMUnitTest tests[] = {
        IN_ROOM(an_english_sheet_with_iso_dates_asks_nothing),
        IN_ROOM(a_german_sheet_is_asked_for_its_letters_and_its_dates),
        IN_ROOM(other_flavours_read_the_same_units),
        IN_ROOM(what_may_be_read_in_two_ways_is_asked_and_never_guessed),
        IN_ROOM(unknown_items_places_and_words_are_listed_once_each),
        IN_ROOM(two_columns_of_one_meaning_are_never_chosen_between),
        IN_ROOM(answers_that_make_no_sense_are_refused),
        IN_ROOM(every_fault_names_its_line_and_column),
        IN_ROOM(other_cells_contradict_each_other),
        IN_ROOM(a_whole_room_is_taken_on_once_however_often_it_is_sent),
        IN_ROOM(the_same_line_with_other_values_is_a_conflict),
        IN_ROOM(a_corrected_file_does_not_take_on_what_stands_here),
    };
    return cmocka_run_group_tests_name("desk/stock_list", tests, room_group_setup, room_group_teardown);
}
