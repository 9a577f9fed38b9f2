#ifndef LABELS_CONTENT_DATA_IDENTIFIER_TABLE_H
#define LABELS_CONTENT_DATA_IDENTIFIER_TABLE_H

#include <stddef.h>

#include "labels/content/data_identifier.h"

/* The identifiers whose values are checked or named, in the order of data_identifiers.txt, which the table is made
 * from and which names the source. Private to data_identifier.c and its test. */

extern const struct data_identifier data_identifier_table[];
extern const size_t data_identifier_table_size;

#endif
