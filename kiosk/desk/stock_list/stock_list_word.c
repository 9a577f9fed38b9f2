#include "kiosk/desk/stock_list/stock_list_word.h"

#include <string.h>

#include "kiosk/desk/stock_list/stock_list_fold.h"
#include "labels/basics/text.h"

const char *const stock_list_films[] = {"clear", "fogged", "dented", "bits", "leaking", NULL};
const char *const stock_list_kinds[5][2] = {
    {"C", "cartridge"}, {"R", "bottle"}, {"V", "vat"}, {"P", "platform"}, {"W", "waste container"}};

/* As stock_list_fold_heading writes them. */
static const char *const kinds[] = {
    " c cartridge cartridges kartusche kartuschen cartouche cartouches cartucho cartuchos cartuccia cartucce patroon"
    " patronen ",
    " r bottle bottles flasche flaschen bouteille bouteilles flacon botella botellas bottiglia bottiglie fles flessen ",
    " v t vat vats tray resinvat resintank tank wanne wannen harzwanne bac bacs cuve cuves cubeta cubetas tanque vasca"
    " vasche vaschetta bak bakken harsbak ",
    " p platform platforms buildplatform plattform plattformen bauplattform plateforme plateau plataforma"
    " plataformas piattaforma piattaforme bouwplatform bouwplaat ",
    " w waste wastecontainer abfall abfallbehalter dechets residuos rifiuti afval ",
};
static const char *const films[] = {
    " clear klar clair claire transparent transparente transparant claro limpio chiaro trasparente limpido helder ",
    " fogged foggy cloudy hazy trub getrubt beschlagen milchig trouble opaque turbio empanado opaco appannato troebel"
    " beslagen ",
    " dented dent dents delle dellen verbeult eingedellt bosse bosses bosselee abollado abollada ammaccato ammaccata"
    " deuk deuken gedeukt ",
    " bits curedbits reste harzreste residus restos residui resten ",
    " leaking leaks leak undicht leckt leck fuit fuite fugas pierde gotea perde perdita lekt lek lekkend ",
};

static int find(const char *const *table, int count, const char *text)
{
    char folded[STOCK_LIST_FOLDED], padded[STOCK_LIST_FOLDED + 2];
    struct builder key;
    builder_init(&key, padded, sizeof padded);
    builder_addf(&key, " %s ", stock_list_fold_heading(text, folded));
    for (int i = 0; i < count && folded[0]; i++)
        if (strstr(table[i], padded))
            return i;
    return -1;
}

bool stock_list_kind_read(const char *text, char *letter)
{
    const int i = find(kinds, sizeof kinds / sizeof *kinds, text);
    if (i < 0)
        return false;
    *letter = stock_list_kinds[i][0][0];
    return true;
}

bool stock_list_film_read(const char *text, const char **film)
{
    const int i = find(films, sizeof films / sizeof *films, text);
    if (i < 0)
        return false;
    *film = stock_list_films[i];
    return true;
}
