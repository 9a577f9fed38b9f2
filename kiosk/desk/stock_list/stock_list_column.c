#include "kiosk/desk/stock_list/stock_list_column.h"

#include <string.h>

#include "kiosk/desk/stock_list/stock_list_fold.h"
#include "labels/basics/text.h"

enum { HEADING_ROWS = 10, PADDED = STOCK_LIST_FOLDED + 2 };

static const struct {
    const char *word, *says;
} fields[STOCK_LIST_FIELD_COUNT] = {
#define X(name, word, says) {word, says},
    STOCK_LIST_FIELDS(X)
#undef X
};

/* As stock_list_fold_heading writes them, a blank around each; lines: English, German, French, Spanish, Italian, Dutch.
 */
static const char *const headings[STOCK_LIST_FIELD_COUNT] = {
    [STOCK_LIST_ITEM] =
        " item itemcode itemno itemnumber article articlecode articleno product productcode partnumber"
        " partno sku stockcode material materialcode materialnumber"
        " artikel artikelnummer artikelnr artikelcode artnr produkt materialnummer sachnummer teilenummer"
        " produit codearticle codeproduit reference ref refarticle"
        " articulo codigo codigoarticulo producto codigodeproducto codigodelproducto"
        " articolo codicearticolo codice prodotto codiceprodotto"
        " artikelnaam ",
    [STOCK_LIST_NAME] = " name itemname description designation productname articlename"
                        " bezeichnung benennung artikelbezeichnung artikelname produktname beschreibung"
                        " nom libelle nomduproduit"
                        " nombre descripcion denominacion nombredelproducto"
                        " nome descrizione denominazione nomeprodotto"
                        " naam omschrijving productnaam benaming beschrijving ",
    [STOCK_LIST_MAKER_CODE] =
        " makercode makerscode makersitemnumber manufacturercode manufacturerpartnumber mpn"
        " manufacturerno suppliercode supplieritem supplieritemnumber suppliersitemnumber ordernumber"
        " herstellernummer herstellernr herstellerartikelnummer herstellercode bestellnummer"
        " bestellnr lieferantenartikelnummer lieferantennummer"
        " codefabricant reffabricant referencefabricant reffournisseur referencefournisseur"
        " codigofabricante referenciafabricante referenciaproveedor"
        " codiceproduttore codicefornitore codicecostruttore"
        " fabrikantcode fabrikantnummer leverancierscode bestelnummer ",
    [STOCK_LIST_GTIN] = " gtin gtin14 gtin13 ean ean13 eancode barcode upc barcodenumber"
                        " strichcode eannummer gtinnummer"
                        " codebarre codebarres codeabarres"
                        " codigodebarras codigobarras"
                        " codiceabarre codiceean"
                        " streepjescode ",
    [STOCK_LIST_KIND] = " kind type category thing"
                        " art typ kategorie warengruppe gattung"
                        " categorie genre"
                        " tipo categoria clase"
                        " genere"
                        " soort ",
    [STOCK_LIST_RESIN] = " resin resintype resininit filledwith resininvat"
                         " harz harzsorte harztyp gefulltmit fullung"
                         " resine typederesine remplieavec remplide"
                         " resina tipoderesina llenacon rellenocon"
                         " tipodiresina tiporesina riempitacon"
                         " hars harstype gevuldmet ",
    [STOCK_LIST_LOT] = " lot lotno lotnumber lotnr batch batchno batchnumber batchcode lotcode"
                       " charge chargennummer chargennr chargenr losnummer los chargebatch"
                       " lote numerodelote nlote nolot numerodelot nlot ndelot numerolot"
                       " lotto numerolotto numerodilotto nlotto"
                       " partij partijnummer batchnummer lotnummer ",
    [STOCK_LIST_EXPIRES] =
        " expires expiry expirydate expirationdate expiration expdate exp useby usebydate bestbefore"
        " bestbeforedate usebefore shelflifeend validuntil expiresat expireson bbd"
        " ablauf ablaufdatum verfall verfallsdatum verfalldatum verfallt haltbarbis mhd"
        " mindesthaltbarkeit mindesthaltbarkeitsdatum verwendbarbis verwendenbis zuverwendenbis"
        " ablauftam gultigbis"
        " peremption datedeperemption dateperemption expirele datedexpiration dateexpiration dlc dluo"
        " ddm autiliseravant datelimite"
        " caducidad fechadecaducidad fechacaducidad vencimiento fechadevencimiento fechavencimiento"
        " caduca vence"
        " scadenza datadiscadenza datascadenza scade dascadere"
        " vervaldatum houdbaartot tenminstehoudbaartot tht thtdatum vervalt uiterstegebruiksdatum ",
    [STOCK_LIST_FILLED] = " filled filleddate filldate fillingdate filledon datefilled"
                          " gefullt gefulltam abfulldatum abgefullt abgefulltam fulldatum befullt befulltam"
                          " remplie rempli datederemplissage dateremplissage remplile remplisle"
                          " llenado fechadellenado fechallenado llenada"
                          " riempita riempito datadiriempimento datariempimento"
                          " gevuld gevuldop vuldatum ",
    [STOCK_LIST_RECEIVED] = " received receiveddate datereceived receivedon receiptdate arrived deliverydate"
                            " eingang eingangsdatum wareneingang erhalten erhaltenam geliefert lieferdatum"
                            " recu recule datedereception datereception reception"
                            " recibido fechaderecepcion fecharecepcion entrada fechadeentrada fechaentrada"
                            " ricevuto datadiricevimento dataricevimento arrivo datadiarrivo"
                            " ontvangen ontvangenop ontvangstdatum ",
    [STOCK_LIST_OPENED] = " opened openeddate openedon dateopened openingdate"
                          " geoffnet geoffnetam offnungsdatum angebrochen angebrochenam anbruch anbruchdatum"
                          " ouvert ouvertle datedouverture dateouverture"
                          " abierto abiertoel fechadeapertura fechaapertura"
                          " aperto apertoil datadiapertura dataapertura"
                          " geopend geopendop openingsdatum ",
    [STOCK_LIST_AMOUNT] = " amount content contents volume fill fillvolume remaining left level netcontent ml"
                          " inhalt fullmenge fullstand restmenge rest volumen restinhalt nettoinhalt"
                          " contenu quantiterestante reste contenance"
                          " contenido restante cantidadrestante"
                          " contenuto rimanente quantitarimanente"
                          " inhoud resterend resthoeveelheid hoeveelheid ",
    [STOCK_LIST_HOURS] = " hours hoursused usedhours lighthours exposurehours hoursoflight runtime operatinghours"
                         " stunden betriebsstunden belichtungsstunden laufzeit lichtstunden std"
                         " heures heuresdutilisation heuresdexposition dureedutilisation"
                         " horas horasdeuso horasdeexposicion"
                         " ore oreduso oredesposizione oreutilizzo"
                         " uren draaiuren belichtingsuren branduren ",
    [STOCK_LIST_QUANTITY] = " quantity qty count pieces pcs units numberof howmany stock onhand"
                            " menge anzahl stuck stuckzahl stk bestand"
                            " quantite qte nombredepieces"
                            " cantidad cant unidades piezas existencias"
                            " quantita qta pezzi giacenza"
                            " aantal stuks voorraad ",
    [STOCK_LIST_PLACE] = " place location shelf bin position storagelocation storage shelfposition rack"
                         " lagerort lagerplatz platz ort regal standort fach stellplatz lager"
                         " emplacement lieu etagere rayon"
                         " ubicacion lugar estante estanteria almacen"
                         " posizione ubicazione scaffale luogo ripiano magazzino"
                         " locatie plaats plank schap opslaglocatie stelling ",
    [STOCK_LIST_PRINTER] = " printer machine inprinter printername"
                           " drucker maschine imdrucker gerat"
                           " imprimante dansimprimante"
                           " impresora maquina enimpresora"
                           " stampante macchina instampante"
                           " indeprinter ",
    [STOCK_LIST_FILM] = " film filmcondition filmstate condition foil foilcondition"
                        " folie folienzustand filmzustand zustand"
                        " etatdufilm etatfilm etat"
                        " estado estadodelfilm pelicula estadodelapelicula"
                        " pellicola statopellicola statodellapellicola stato"
                        " folieconditie toestand staatfolie conditie ",
    [STOCK_LIST_REFERENCE] =
        " serial serialnumber serialno serialnr id no nr oldnumber oldno oldserial ournumber inventorynumber"
        " assetnumber labelnumber tag ownnumber"
        " inventarnummer inventarnr seriennummer seriennr laufendenummer lfdnr etikettnummer"
        " unserenummer altenummer altenr kennnummer etikett"
        " numero numerodeserie noserie nserie nodeserie notrereference numeroinventaire"
        " numeroserie numeroinventario etiqueta"
        " numerodiserie matricola etichetta numeroinventario"
        " serienummer nummer volgnummer inventarisnummer ",
    [STOCK_LIST_NOTE] = " note notes comment comments remark remarks info"
                        " bemerkung bemerkungen notiz notizen kommentar anmerkung hinweis"
                        " remarque remarques commentaire commentaires observations"
                        " nota notas comentario comentarios observaciones"
                        " commento commenti osservazioni"
                        " opmerking opmerkingen notitie ",
};

const char *stock_list_field_word(enum stock_list_field field)
{
    return fields[field].word;
}

const char *stock_list_field_says(enum stock_list_field field)
{
    return fields[field].says;
}

bool stock_list_field_read(const char *word, enum stock_list_field *field)
{
    for (int i = 0; i < STOCK_LIST_FIELD_COUNT; i++) {
        if (strcmp(fields[i].word, word) != 0)
            continue;
        *field = i;
        return true;
    }
    return false;
}

static enum stock_list_field look_up(const char *text)
{
    char folded[STOCK_LIST_FOLDED], padded[PADDED];
    struct builder key;
    builder_init(&key, padded, sizeof padded);
    builder_addf(&key, " %s ", stock_list_fold_heading(text, folded));
    for (int i = 0; i < STOCK_LIST_FIELD_COUNT && folded[0]; i++)
        if (strstr(headings[i], padded))
            return i;
    return STOCK_LIST_UNUSED;
}

/* "Inhalt [ml]" -> "Inhalt", "ml"; "Volume in ml" -> "Volume", "ml". False when nothing stands apart. */
static bool split_unit(const char *heading, char base[STOCK_LIST_FOLDED], char unit[STOCK_LIST_FOLDED])
{
    const char *open = strpbrk(heading, "([");
    struct span before, after;
    if (open) {
        before = (struct span){heading, (size_t)(open - heading)};
        after = (struct span){open + 1, strcspn(open + 1, ")]")};
    } else {
        const char *blank = strrchr(heading, ' ');
        if (!blank)
            return false;
        before = (struct span){heading, (size_t)(blank - heading)};
        after = span_of(blank + 1);
        static const char *const ins[] = {" in", " en", " a"};
        for (size_t i = 0; i < sizeof ins / sizeof *ins; i++) {
            const size_t length = strlen(ins[i]);
            if (before.length > length && memcmp(before.at + before.length - length, ins[i], length) == 0)
                before.length -= length;
        }
    }
    return span_copy(before, base, STOCK_LIST_FOLDED) && span_copy(after, unit, STOCK_LIST_FOLDED);
}

enum stock_list_field stock_list_heading_read(const char *heading, enum stock_list_volume *unit, bool *mass)
{
    char base[STOCK_LIST_FOLDED], said[STOCK_LIST_FOLDED];
    enum stock_list_field field = look_up(heading);
    *unit = STOCK_LIST_VOLUME_NONE;
    *mass = false;
    if (field != STOCK_LIST_UNUSED) { /* "ml" alone is a heading and its own unit */
        if (field == STOCK_LIST_AMOUNT)
            (void)stock_list_volume_read(heading, unit);
        return field;
    }
    if (!split_unit(heading, base, said))
        return STOCK_LIST_UNUSED;
    const bool volume = stock_list_volume_read(said, unit);
    *mass = stock_list_is_mass(said);
    field = look_up(base);
    if (field == STOCK_LIST_QUANTITY && (volume || *mass)) /* "Menge (ml)" is no count */
        field = STOCK_LIST_AMOUNT;
    if (!strpbrk(heading, "([") && !(field == STOCK_LIST_AMOUNT && (volume || *mass)))
        return STOCK_LIST_UNUSED; /* "lot size": only a unit may stand at the end without brackets */
    return field;
}

int stock_list_heading_score(const struct stock_list_rows *rows, size_t row)
{
    int score = 0;
    for (int i = 0; i < rows->rows[row].count; i++) {
        enum stock_list_volume unit;
        bool mass;
        score += stock_list_heading_read(stock_list_cell(rows, row, i), &unit, &mass) != STOCK_LIST_UNUSED;
    }
    return score;
}

size_t stock_list_heading_row(const struct stock_list_rows *rows)
{
    size_t best = 0;
    int most = 0;
    for (size_t i = 0; i < rows->count && i < HEADING_ROWS; i++) {
        const int score = stock_list_heading_score(rows, i);
        if (score > most) {
            most = score;
            best = i;
        }
    }
    return best;
}
