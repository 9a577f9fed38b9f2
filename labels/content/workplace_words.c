#include "labels/content/workplace_words.h"

#include <stddef.h>
#include <string.h>

const char workplace_words_languages[] = "cs da de en es fi fr it nb nl pl pt sv";

const char *workplace_words_in(const char *language)
{
    static const struct {
        char language[3];
        const char *words;
    } table[] = {
        {"cs", "Štítek pro pracoviště."},         {"da", "Etiket til arbejdspladsen."},
        {"de", "Etikett für den Arbeitsplatz."},  {"en", "Workplace label."},
        {"es", "Etiqueta de lugar de trabajo."},  {"fi", "Työpaikan etiketti."},
        {"fr", "Étiquette de poste de travail."}, {"it", "Etichetta per il luogo di lavoro."},
        {"nb", "Etikett for arbeidsplassen."},    {"nl", "Etiket voor de werkplek."},
        {"pl", "Etykieta stanowiska pracy."},     {"pt", "Etiqueta de local de trabalho."},
        {"sv", "Etikett för arbetsplatsen."},
    };
    for (size_t i = 0; i < sizeof table / sizeof *table; i++)
        if (strcmp(table[i].language, language ? language : "en") == 0)
            return table[i].words;
    return NULL;
}
