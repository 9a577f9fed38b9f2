#ifndef KIOSK_LEDGER_ERASURE_H
#define KIOSK_LEDGER_ERASURE_H

#include "kiosk/ledger/ledger.h"

/* Forgets a person's name wherever the ledger holds it. In the act's transaction; the caller books that it happened.
 *   - every name that was ever entered for the badge: text and salt
 *   - notes in which one of these names stands as a word of its own (no movement changes: only a digest is hashed)
 *   - stored answers and what counters are doing: each such word becomes the badge's serial; a counter where the person
 *     is signed in signs him out
 *   - the digests of the acts that entered the name: a name is short, and could be tried until the digest fits
 * The bytes leave the file at once (secure_delete) and the write-ahead log at the next idle checkpoint; on PostgreSQL,
 * with the server's next vacuum. Another person of the same name keeps his own entry. Reads every stored answer: about
 * a second for 300 MB. */
bool erasure_of_name(struct ledger *ledger, const char *serial, struct fault *fault);

/* `text` with every whole word `name` replaced by `serial`; words are parted by anything but letters and digits (bytes
 * above 0x7F count as letters). NULL: no memory. The caller frees. */
char *erasure_replace(const char *text, const char *name, const char *serial);

#endif
