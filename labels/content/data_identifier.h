#ifndef LABELS_CONTENT_DATA_IDENTIFIER_H
#define LABELS_CONTENT_DATA_IDENTIFIER_H

#include <stdbool.h>
#include <stddef.h>

#include "labels/basics/calendar.h"
#include "labels/basics/fault.h"
#include "labels/basics/text.h"

/* Data identifiers of ANSI MH10.8.2: none to three digits and one capital letter, then the value. The table, made
 * from data_identifiers.txt, holds those that say something to a storeroom; others are legal and kept as they came,
 * with `kind` NULL. Pure; spans are borrowed. */

enum { DATA_IDENTIFIER_SIZE = 5 };

enum data_form {
    DATA_TEXT,
    DATA_QUANTITY,      /* Q: digits, perhaps with a decimal point */
    DATA_MEASURE,       /* 7Q: a quantity, then two letters, X12 data element 355: ML LT GR KG EA … */
    DATA_YYMMDD,        /* D: day 00 allowed */
    DATA_DDMMYY,        /* 1D */
    DATA_MMDDYY,        /* 2D */
    DATA_YDDD,          /* 3D: ordinal date; the decade is open, so only its shape is checked */
    DATA_YYDDD,         /* 4D */
    DATA_YYMMDD_CODE,   /* 5D: then three digits that say which date, X12 data element 374 */
    DATA_YYYYMMDD_CODE, /* 6D */
    DATA_YYWW,          /* 10D: a week of ISO 8601-1, which gives no day */
    DATA_YYYYWW,        /* 11D */
    DATA_YYYYMMDD,      /* 12D 14D 16D 25D */
    DATA_DDMMYYYY,      /* 15D 17D 20D */
    DATA_YYYYMMDDHHMM   /* 18D 19D 22D: of a radio tag, so it gives no day */
};

struct data_identifier {
    char name[DATA_IDENTIFIER_SIZE];
    enum data_form form;
    const char *title; /* our words */
};

struct data_field {
    char name[DATA_IDENTIFIER_SIZE];
    const struct data_identifier *kind; /* NULL: not in the table */
    struct span value;                  /* 1 byte or more */
    bool has_day, day_was_00;           /* a date whose day is known */
    struct day day;
};

/* Splits one field into identifier and value and checks the value by its form. `today` decides centuries.
 * False: FAULT_INPUT (no identifier, lower case, no value, a date that does not exist, a bad quantity). */
bool data_identifier_read(struct span field, struct day today, struct data_field *out, struct fault *fault);

/* A quantity of up to eight digits, perhaps with a decimal point and up to six decimals, in millionths. */
bool data_identifier_quantity(struct span text, int64_t *millionths);

/* Splits the value of a DATA_MEASURE field: quantity in millionths and its unit, "ML". */
bool data_identifier_measure(struct span value, int64_t *millionths, char unit[3]);

/* The value of the first field `name` of `count`, NULL when there is none. */
const struct data_field *data_identifier_find(const struct data_field *fields, size_t count, const char *name);

#endif
