#ifndef LABELS_CONTENT_APPLICATION_IDENTIFIER_TABLE_H
#define LABELS_CONTENT_APPLICATION_IDENTIFIER_TABLE_H

#include <stddef.h>

#include "labels/content/application_identifier.h"

/* The rows behind application_identifier.h, in the order of their identifiers. application_identifiers.py makes them of
 * application_identifiers.txt. For application_identifier.c only. */

extern const struct application_identifier application_identifier_table[];
extern const size_t application_identifier_rows;

#endif
