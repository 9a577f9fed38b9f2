#ifndef LABELS_CONTENT_WORKPLACE_WORDS_H
#define LABELS_CONTENT_WORKPLACE_WORDS_H

/* "Workplace label." in the language of the SDS that a hazard label was copied from. Our own words: no standard gives
 * them. Pure. */

/* `language` as ISO 639-1 writes it, "de"; NULL: English. NULL is returned for a language that there are no words in.
 */
const char *workplace_words_in(const char *language);

/* All of them, for a sentence: "cs da de …". */
extern const char workplace_words_languages[];

#endif
