#include "kiosk/desk/stock_list/stock_list_column.h"

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include <cmocka.h>

/* Headings by common practice, no source. */

static enum stock_list_field field_of(const char *heading)
{
    enum stock_list_volume unit;
    bool mass;
    return stock_list_heading_read(heading, &unit, &mass);
}

static void headings_of_six_languages_are_known(void **state)
{
    static const struct {
        enum stock_list_field field;
        const char *headings[6]; /* English, German, French, Spanish, Italian, Dutch */
    } cases[] = {
        {STOCK_LIST_ITEM,
         {"Item", "Artikelnummer", "R\u00E9f\u00E9rence", "C\u00F3digo", "Codice articolo", "Artikelcode"}},
        {STOCK_LIST_NAME,
         {"Description", "Bezeichnung", "D\u00E9signation", "Descripci\u00F3n", "Descrizione", "Omschrijving"}},
        {STOCK_LIST_KIND, {"Kind", "Warengruppe", "Cat\u00E9gorie", "Tipo", "Genere", "Soort"}},
        {STOCK_LIST_RESIN, {"Resin", "Harz", "R\u00E9sine", "Resina", "Tipo di resina", "Hars"}},
        {STOCK_LIST_LOT, {"Batch no.", "Chargen-Nr.", "N\u00B0 de lot", "Lote", "Lotto", "Partijnummer"}},
        {STOCK_LIST_EXPIRES,
         {"Use by", "MHD", "Date de p\u00E9remption", "Fecha de caducidad", "Data di scadenza", "Houdbaar tot"}},
        {STOCK_LIST_FILLED,
         {"Filled on", "Abf\u00FClldatum", "Rempli le", "Fecha de llenado", "Data di riempimento", "Gevuld op"}},
        {STOCK_LIST_RECEIVED,
         {"Received", "Eingangsdatum", "Date de r\u00E9ception", "Fecha de entrada", "Data di arrivo", "Ontvangen op"}},
        {STOCK_LIST_OPENED,
         {"Opened", "Ge\u00F6ffnet am", "Date d'ouverture", "Fecha de apertura", "Data di apertura", "Geopend"}},
        {STOCK_LIST_AMOUNT, {"Content", "Inhalt", "Contenu", "Contenido", "Contenuto", "Inhoud"}},
        {STOCK_LIST_HOURS, {"Hours", "Betriebsstunden", "Heures", "Horas de uso", "Ore", "Draaiuren"}},
        {STOCK_LIST_QUANTITY, {"Qty", "St\u00FCckzahl", "Quantit\u00E9", "Cantidad", "Quantit\u00E0", "Aantal"}},
        {STOCK_LIST_PLACE, {"Location", "Lagerplatz", "Emplacement", "Ubicaci\u00F3n", "Scaffale", "Plaats"}},
        {STOCK_LIST_PRINTER, {"Printer", "Drucker", "Imprimante", "Impresora", "Stampante", "In printer"}},
        {STOCK_LIST_FILM, {"Film", "Folienzustand", "\u00C9tat du film", "Estado", "Pellicola", "Folie"}},
        {STOCK_LIST_REFERENCE,
         {"Old no.", "Inventarnummer", "N\u00B0 s\u00E9rie", "N\u00FAmero de serie", "Matricola", "Volgnummer"}},
        {STOCK_LIST_NOTE, {"Remarks", "Bemerkung", "Remarques", "Observaciones", "Osservazioni", "Opmerking"}},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
        for (size_t k = 0; k < 6; k++)
            if (field_of(cases[i].headings[k]) != cases[i].field)
                fail_msg("'%s' is %d, not %s", cases[i].headings[k], (int)field_of(cases[i].headings[k]),
                         stock_list_field_word(cases[i].field));
}

static void writing_does_not_matter_and_strange_headings_are_not_used(void **state)
{
    static const char *const strange[] = {"", "Price", "Lot size", "Supplier", "Preis (EUR)", "items per lot", "l"};
    (void)state;
    assert_int_equal(field_of("USE-BY DATE"), STOCK_LIST_EXPIRES);
    assert_int_equal(field_of("Ablauf-\ndatum"), STOCK_LIST_EXPIRES);
    assert_int_equal(field_of("Expiry (EXP)"), STOCK_LIST_EXPIRES);
    for (size_t i = 0; i < sizeof strange / sizeof *strange; i++)
        assert_int_equal(field_of(strange[i]), STOCK_LIST_UNUSED);
    enum stock_list_field field;
    for (int i = 0; i < STOCK_LIST_FIELD_COUNT; i++)
        assert_true(stock_list_field_read(stock_list_field_word(i), &field) && (int)field == i);
    assert_false(stock_list_field_read("price", &field));
}

static void a_heading_may_say_its_unit(void **state)
{
    static const struct {
        const char *heading;
        enum stock_list_field field;
        enum stock_list_volume unit;
        bool mass;
    } cases[] = {
        {"Inhalt (ml)", STOCK_LIST_AMOUNT, STOCK_LIST_ML, false},
        {"Volume [l]", STOCK_LIST_AMOUNT, STOCK_LIST_L, false},
        {"Inhalt in Liter", STOCK_LIST_AMOUNT, STOCK_LIST_L, false},
        {"Content ml", STOCK_LIST_AMOUNT, STOCK_LIST_ML, false},
        {"Menge (ml)", STOCK_LIST_AMOUNT, STOCK_LIST_ML, false}, /* an amount, no count */
        {"Menge", STOCK_LIST_QUANTITY, STOCK_LIST_VOLUME_NONE, false},
        {"ml", STOCK_LIST_AMOUNT, STOCK_LIST_ML, false},
        {"Inhalt (g)", STOCK_LIST_AMOUNT, STOCK_LIST_VOLUME_NONE, true},
        {"Contenu en cl", STOCK_LIST_AMOUNT, STOCK_LIST_CL, false},
    };
    (void)state;
    for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
        enum stock_list_volume unit;
        bool mass;
        if (stock_list_heading_read(cases[i].heading, &unit, &mass) != cases[i].field || unit != cases[i].unit ||
            mass != cases[i].mass)
            fail_msg("%s", cases[i].heading);
    }
}

static void the_row_of_headings_is_found_under_a_title(void **state)
{
    struct stock_list_rows rows;
    (void)state;
    assert_true(
        stock_list_rows_read(span_of("Stock;;\nof March;;\nItem;Lot;Use by\nFLINT;A;2027-01-01\n"), ';', &rows, NULL));
    assert_int_equal(rows.rows[stock_list_heading_row(&rows)].line, 3);
    stock_list_rows_clear(&rows);
    assert_true(stock_list_rows_read(span_of("a;b\nc;d\n"), ';', &rows, NULL));
    assert_int_equal(stock_list_heading_row(&rows), 0);
    stock_list_rows_clear(&rows);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(headings_of_six_languages_are_known),
        cmocka_unit_test(writing_does_not_matter_and_strange_headings_are_not_used),
        cmocka_unit_test(a_heading_may_say_its_unit),
        cmocka_unit_test(the_row_of_headings_is_found_under_a_title),
    };
    return cmocka_run_group_tests_name("desk/stock_list_column", tests, NULL, NULL);
}
